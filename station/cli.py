"""The command `station`: its words, its help, and the one place where errors become exit codes.

Only argparse is imported at the top; each command imports what it needs when it runs, so that help and
version come at once.
"""

import argparse
import importlib
import os
import sys
from collections.abc import Sequence

from station import __version__
from station.caution import CAUTION
from station.errors import StationError, UsageError

EPILOG = f"""\
files are kept in a folder named by --folder, else by STATION_FOLDER, else the platform's data folder

exit codes:
  0 done                      6 a record is not sound
  1 unforeseen fault          7 a signing key is missing, locked or of the wrong kind
  2 wrong words of a command  8 disk full, read-only or out of reach
  3 a file fails its checks   9 no terminal, or one too small
  4 journal damaged, foreign 10 a drill did not end as its scenario says
  5 an entry was refused    130 interrupted

{CAUTION}"""

Arguments = tuple[tuple[tuple[str, ...], dict[str, object]], ...]


def _arg(*names: str, **options: object) -> tuple[tuple[str, ...], dict[str, object]]:
    return names, options


FOLDER = _arg("--folder", metavar="FOLDER", help="where journals, records and keys are kept")

COMMANDS: tuple[tuple[str, str, str, str, Arguments], ...] = (
    (
        "open",
        "station.commands.open",
        "open the console on a new operation, or go on with the one that is running",
        (
            "station open\n  station open --new --title 'Weir inspection'\n"
            "  station open --station my-station.toml\n  station open journals/2031-05-04-weir.journal"
        ),
        (
            _arg("journal", nargs="?", help="journal to go on with; default: the latest in the folder"),
            _arg("--new", action="store_true", help="begin a new operation even if one is running"),
            _arg(
                "--station", metavar="FILE", help="station file for a new operation; default: the shipped one"
            ),
            _arg("--title", metavar="WORDS", help="title of a new operation"),
            FOLDER,
        ),
    ),
    (
        "drill",
        "station.commands.drill",
        "play a scripted dive; with no scenario named, the shipped one",
        "station drill\n  station drill --no-screen\n  station drill demo/heron-lake/weir.toml --speed 20",
        (
            _arg("scenario", nargs="?", help="scenario file"),
            _arg("--no-screen", action="store_true", help="as fast as it goes, printing an account"),
            _arg(
                "--speed", type=float, default=30.0, metavar="N", help="drill seconds per second, default 30"
            ),
            FOLDER,
        ),
    ),
    (
        "plan",
        "station.commands.plan",
        "the schedule for a depth and a bottom time, with its stops",
        "station plan 79 33\n  station plan 115 52 --reading\n  station plan 154 20 --leave 10:20 --json",
        (
            _arg("depth", help="corrected depth in fsw (or with its unit: 24msw), a reading with --reading"),
            _arg("time", help="bottom time in minutes"),
            _arg(
                "--reading", action="store_true", help="DEPTH is a pneumofathometer reading, to be corrected"
            ),
            _arg(
                "--leave",
                metavar="HH:MM",
                help="clock time of leaving the bottom, for the stops' clock times",
            ),
            _arg("--colder", action="store_true", help="cold or arduous dive: the next longer schedule"),
            _arg("--tables", metavar="FILE", help="table file; default: the shipped one"),
            _arg("--json", action="store_true", help="print one JSON object"),
        ),
    ),
    (
        "tables check",
        "station.commands.check:tables",
        "check a table file by its own sums and print what was checked",
        "station tables check\n  station tables check my-tables.toml",
        (_arg("file", nargs="?", help="table file; default: the shipped one"),),
    ),
    (
        "config check",
        "station.commands.check:config",
        "check a station, outfit, supply, table or scenario file",
        "station config check\n  station config check my-station.toml",
        (_arg("file", nargs="?", help="file to check; default: every shipped one"),),
    ),
    (
        "key new",
        "station.commands.key:new",
        "make a signing key, protected by a passphrase, and list it as a signer",
        "station key new ines-oyelaran --role supervisor",
        (
            _arg("person", help="the person's id: lower case, digits and hyphens"),
            _arg(
                "--role",
                action="append",
                required=True,
                choices=("tender", "timekeeper", "supervisor", "diver"),
                help="what the person may sign as; may be given more than once",
            ),
            FOLDER,
        ),
    ),
    (
        "key show",
        "station.commands.key:show",
        "show the signing keys of the folder, or one key file",
        "station key show\n  station key show keys/ines-oyelaran",
        (
            _arg("file", nargs="?", help="key file; default: all keys of the folder"),
            FOLDER,
        ),
    ),
    (
        "record verify",
        "station.commands.record:verify",
        "check a record's signatures and chain; names every signer",
        "station record verify records/2031-05-04-1.toml\n  station record verify *.toml --signers list",
        (
            _arg("files", nargs="+", help="record files"),
            _arg(
                "--signers", metavar="FILE", help="list of who may sign; default: beside the record's folder"
            ),
        ),
    ),
    (
        "record show",
        "station.commands.record:show",
        "print a record for reading",
        "station record show records/2031-05-04-1.toml",
        (_arg("file", help="record file"),),
    ),
    (
        "journal check",
        "station.commands.check:journal",
        "check a journal: storage, chain, every entry",
        "station journal check journals/2031-05-04-weir.journal",
        (_arg("file", help="journal file"),),
    ),
)


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
            epilog=f"examples:\n  {examples}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        for names, options in arguments:
            command.add_argument(*names, **options)  # type: ignore[arg-type]
        command.set_defaults(target=target)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command and return its exit code; nothing but a clear sentence reaches the user."""
    options = parser().parse_args(argv)
    try:
        return run(options)
    except StationError as error:
        print(f"station: {error.title.lower()}: {error.message}", file=sys.stderr)
        for line in getattr(error, "missing", ()):
            print(f"  - {line}", file=sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        print("station: interrupted", file=sys.stderr)
        return 130
    except BrokenPipeError:
        # The reader of our output has gone; keep the interpreter from complaining about it at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as error:
        if os.environ.get("STATION_TRACEBACK"):
            raise
        print(
            f"station: unforeseen fault: {type(error).__name__}: {error}\n"
            "  what was entered before is on the journal; set STATION_TRACEBACK=1 to see where it happened",
            file=sys.stderr,
        )
        return 1


def run(options: argparse.Namespace) -> int:
    """Import the command that was asked for and run it."""
    module, _, function = str(options.target).partition(":")
    command = getattr(importlib.import_module(module), function or "run")
    return int(command(options))


def whole_number(text: str, what: str) -> int:
    """Return a whole number typed by a user; UsageError names what it was meant to be."""
    if not text.isascii() or not text.isdigit():
        raise UsageError(f"{what} must be a whole number, not {text!r}")
    return int(text)


if __name__ == "__main__":
    sys.exit(main())
