"""`station tables check`, `station config check`, `station journal check`."""

import sys
from argparse import Namespace
from collections.abc import Callable
from pathlib import Path
from typing import Any

from station.dive.cards import load_cards
from station.drill.scenario import load_scenario
from station.errors import FileError
from station.files import parse_toml, read_bytes
from station.journal.verify import check as check_journal
from station.law.model import load_authority
from station.outfit import load_outfit
from station.setup import Setup, load_setup
from station.shipped import shipped
from station.supply.load import load_supply
from station.tables.load import load_tables
from station.tables.model import Tables

STEPS = 20
"""How many times a long check reports how far it has come."""


def tables(options: Namespace) -> int:
    """Check a table file and print every check that was made."""
    path = Path(options.file) if options.file else shipped("configs") / "tables" / "usn-rev7-air.toml"
    print("\n".join(tables_report(str(path), load_tables(read_bytes(path), str(path)))))
    return 0


def tables_report(name: str, checked: Tables) -> list[str]:
    """Return what a table file is and which checks it passed."""
    file = checked.file
    lines = [f"{name}: passes", f"  {file.title}", f"  {file.authority}, {file.edition}"]
    if not file.for_diving:
        lines.append("  NOT FOR DIVING")
    lines += [f"  {made.count:5d}  {made.words}" for made in checked.checks]
    lines += [
        f"  printed exception, declared in the file: {one.depth}/{one.time}, {one.check}: {one.note}"
        for one in file.known_exceptions
    ]
    return lines


def config(options: Namespace) -> int:
    """Check one file by what it is, or every shipped one; all problems are listed."""
    if options.file:
        print(check_file(Path(options.file)))
        return 0
    found = [*sorted(shipped("configs").rglob("*.toml")), *sorted(shipped("demo").rglob("*.toml"))]
    failed = 0
    for path in found:
        try:
            print(check_file(path))
        except FileError as error:
            failed += 1
            print(error.message)
    if failed:
        raise FileError(str(shipped("configs")), [("", f"{failed} of {len(found)} files do not pass")])
    return 0


def check_file(path: Path) -> str:
    """Return one line on a file that passes; FileError when it does not."""
    document = parse_toml(read_bytes(path), str(path))
    for what, marks, check in _KINDS:
        if marks(document):
            return f"{path}: passes as {what}{check(path)}"
    kinds = ", ".join(what for what, _, _ in _KINDS)
    raise FileError(str(path), [("format", f"tells no kind of file that is known here: {kinds}")])


def check_keys(setup: Setup, path: Path) -> None:
    """Check the keys that a station file changes; FileError with every problem."""
    if setup.station.keys:
        from station.console.keymap import checked_keys  # noqa: PLC0415 - loads the screen's library

        checked_keys(setup.station, str(path))


def _is(prefix: str) -> Callable[[dict[str, Any]], bool]:
    return lambda document: str(document.get("format", "")).startswith(prefix)


def _station(path: Path) -> str:
    setup = load_setup(path)
    check_keys(setup, path)
    return f", with {', '.join(use.name for use in setup.uses[1:])}"


def _scenario(path: Path) -> str:
    scenario = load_scenario(path)
    check_keys(load_setup(scenario.station_path), scenario.station_path)
    return f": {scenario.file.title}"


def _outfit(path: Path) -> str:
    outfit = load_outfit(read_bytes(path), str(path))
    return f": {len(outfit.items)} items, {len(outfit.steps)} steps, {len(outfit.holds)} holds"


def _supply(path: Path) -> str:
    return f": {load_supply(read_bytes(path), str(path)).name}"


def _cards(path: Path) -> str:
    return f": {len(load_cards(read_bytes(path), str(path)).cards)} cards"


def _authority(path: Path) -> str:
    found = load_authority(read_bytes(path), str(path))
    memory = sum(one.basis != "read" for one in found.every)
    return f": {found.title}, {len(found.asked)} fields of the record; {memory} lines to be confirmed"


def _tables(path: Path) -> str:
    return f": {len(load_tables(read_bytes(path), str(path)).file.schedules.rows)} schedules"


_KINDS: tuple[tuple[str, Callable[[dict[str, Any]], bool], Callable[[Path], str]], ...] = (
    ("station file", _is("station/"), _station),
    ("scenario file", _is("scenario/"), _scenario),
    ("supply file", _is("supply/"), _supply),
    ("card file", _is("cards/"), _cards),
    ("rule file of an authority", _is("authority/"), _authority),
    ("outfit file", lambda document: "pieces" in document and "steps" in document, _outfit),
    ("table file", lambda document: "schedules" in document, _tables),
)


def journal(options: Namespace) -> int:
    """Check a journal and print what it holds."""
    path = Path(options.file)
    report = check_journal(path, _progress)
    print(f"{path}: sound")
    print(f"  {report.entries} entries, chained without a gap; {report.attachments} files attached")
    print(f"  head {report.head.hex()}")
    for name in report.unattached:
        print(f"  no copy is kept of {name}")
    return 0


def _progress(done: int, total: int) -> None:
    """Tell how far a long check has come, on a terminal only."""
    if sys.stderr.isatty() and total > STEPS and done % max(1, total // STEPS) == 0:
        end = "\n" if done == total else ""
        print(f"\r  {done} of {total} entries", end=end, file=sys.stderr, flush=True)
