"""A record made again from what its drill left behind is the same record, byte for byte."""

import tomllib
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from station.events import from_text
from station.journal.memory import MemoryJournal
from station.record.document import build
from station.record.signed import split
from station.shipped import shipped

if TYPE_CHECKING:
    from tests.conftest import PlayedDrills

DEMO = shipped("demo")
DRILLS = sorted(
    path.relative_to(DEMO).with_suffix("").as_posix()
    for path in DEMO.glob("*/*.toml")
    if 'format = "scenario/' in path.read_text(encoding="utf-8")
)


def body_of(record: Path) -> bytes:
    return split(record.read_bytes()).body


@pytest.mark.parametrize("name", DRILLS)
def test_from_the_entries_of_its_journal(played_drills: "PlayedDrills", name: str) -> None:
    """Every entry goes through its own text into another journal; nothing else is carried over."""
    drill, journal = played_drills(name), MemoryJournal()
    for entry in drill.entries:
        journal.append(from_text(entry.body), journal.head()[0])
    assert drill.records
    for record in drill.records:
        lane = tomllib.loads(record.read_text(encoding="utf-8"))["dive"]["lane"]
        assert body_of(record).rstrip(b"\n") == build(journal.read(), lane, drill.setup).rstrip(b"\n")


@pytest.mark.parametrize("name", ["ossary-dam/gate-survey", "ossary-dam/surface-oxygen"])
def test_from_the_entries_that_stand_in_the_record_itself(played_drills: "PlayedDrills", name: str) -> None:
    """The record of a station's only lane shows every entry whole, up to the closing of the dive."""
    drill, journal = played_drills(name), MemoryJournal()
    (record,) = drill.records
    for row in tomllib.loads(record.read_text(encoding="utf-8"))["journal"]["entries"]:
        journal.append(from_text(row["body"]), journal.head()[0])
    assert body_of(record).rstrip(b"\n") == build(journal.read(), 1, drill.setup).rstrip(b"\n")
