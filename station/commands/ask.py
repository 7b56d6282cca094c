"""Asking for a passphrase: at the terminal without echo, or one line of standard input without one."""

import getpass
import sys

from station.errors import KeyFileError, UsageError


def passphrase(prompt: str) -> str:
    """Return a passphrase; UsageError when there is nobody and nothing to give one."""
    if sys.stdin.isatty():
        return getpass.getpass(prompt)
    line = sys.stdin.readline()
    if not line:
        raise UsageError("no terminal to ask for the passphrase at; give it as one line on standard input")
    return line.rstrip("\n")


def new_passphrase() -> str:
    """Return a new passphrase, asked for twice at a terminal."""
    first = passphrase("New passphrase (8 characters or more): ")
    if sys.stdin.isatty() and passphrase("The same once more: ") != first:
        raise KeyFileError("the two passphrases differ; nothing was done")
    return first
