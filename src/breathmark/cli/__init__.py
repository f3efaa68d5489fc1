"""The command line: thin, and polite when something is wrong."""

from breathmark.cli.app import main

__all__ = ["main"]
