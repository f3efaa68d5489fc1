"""``python -m breathmark``: the command line."""

from breathmark.cli import main

if __name__ == "__main__":
    main()
