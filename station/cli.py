"""The command `station`: its words become a call, and this is the one place where errors become exit codes.

Only argparse is imported at the top; each command imports what it needs when it runs, so that help and
version come at once.
"""

import argparse
import contextlib
import importlib
import os
import re
import sys
from collections.abc import Sequence

from station import __version__
from station.commands.words import COMMANDS, EPILOG
from station.errors import StationError, StorageError, UsageError


def parser() -> argparse.ArgumentParser:
    """Return the parser of all commands, built from the table above."""
    top = argparse.ArgumentParser(
        prog="station",
        description="Console of a surface-supplied dive station.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=f"station {__version__}")
    groups: dict[str, argparse._SubParsersAction[argparse.ArgumentParser]] = {
        "": top.add_subparsers(metavar="COMMAND", required=True)
    }
    for words, target, summary, examples, arguments in COMMANDS:
        first, _, second = words.partition(" ")
        if second and first not in groups:
            parent = groups[""].add_parser(first, help=f"{first} commands: see 'station {first} --help'")
            groups[first] = parent.add_subparsers(metavar="COMMAND", required=True)
        command = groups[first if second else ""].add_parser(
            second or first,
            help=summary,
            description=f"{summary[0].upper()}{summary[1:]}.",
            epilog=f"examples:\n  {examples}\n\nexit codes: see 'station --help'",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        for names, options in arguments:
            command.add_argument(*names, **options)  # type: ignore[arg-type]
        command.set_defaults(target=target)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command and return its exit code; nothing but a clear sentence reaches the user."""
    words = sys.argv[1:] if argv is None else argv
    _show_anything()
    try:
        _nothing_negative(words)
        code = run(_parsed(words))
        _flush()
    except StationError as error:
        return _tell(error)
    except KeyboardInterrupt:
        print("station: interrupted", file=sys.stderr)
        return 130
    except BrokenPipeError:  # whoever reads our output has seen enough
        _give_up_output()
        return 0
    except OSError as error:
        _give_up_output()
        return _tell(StorageError(f"{error.filename or 'the output'}: {error.strerror or error}"))
    except Exception as error:
        if os.environ.get("STATION_TRACEBACK"):
            raise
        print(
            f"station: unforeseen fault: {type(error).__name__}: {error}\n"
            "  what was entered before is on the journal; set STATION_TRACEBACK=1 to see where it happened",
            file=sys.stderr,
        )
        return 1
    return code


def _parsed(words: Sequence[str]) -> argparse.Namespace:
    try:
        return parser().parse_args(words)
    except SystemExit:
        _flush()
        raise


def run(options: argparse.Namespace) -> int:
    """Import the command that was asked for and run it."""
    module, _, function = str(options.target).partition(":")
    command = getattr(importlib.import_module(module), function or "run")
    return int(command(options))


def _tell(error: StationError) -> int:
    with contextlib.suppress(OSError):
        _flush()  # what was printed before comes first
    print(f"station: {error.title.lower()}: {error.message}", file=sys.stderr)
    for line in getattr(error, "missing", ()):
        print(f"  - {line}", file=sys.stderr)
    return error.exit_code


def _nothing_negative(words: Sequence[str]) -> None:
    """Refuse a figure below zero in its own words: to the parser it would be an option it does not know."""
    for word in words:
        if re.match(r"-\.?\d", word):
            raise UsageError(f"'{word}' is below zero: no depth, time or speed of a command is")


def _show_anything() -> None:
    """Let a character that a terminal cannot show come out as its number instead of ending the command."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")


def _flush() -> None:
    """Write out what was printed, while an error can still be told."""
    if sys.stdout is not None:
        sys.stdout.flush()


def _give_up_output() -> None:
    """Keep the interpreter from trying once more, at its exit, to write what nobody takes."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


if __name__ == "__main__":
    sys.exit(main())
