"""One module for each check; its docstring is its page in the manual."""
