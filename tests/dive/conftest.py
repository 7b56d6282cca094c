"""The shipped tables, and dives told by marks and minutes."""

from datetime import UTC, datetime, timedelta

import pytest

from station.dive.facts import Mark
from station.events import MarkName
from station.shipped import shipped
from station.tables.load import load_tables
from station.tables.model import Tables

START = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)
Taken = tuple[MarkName, str] | tuple[MarkName, str, float]


@pytest.fixture(scope="session")
def tables() -> Tables:
    path = shipped("configs") / "tables" / "usn-rev7-air.toml"
    return load_tables(path.read_bytes(), path.name)


def at(clock: str) -> datetime:
    """Return a moment by minutes and seconds since 10:00:00."""
    minutes, _, seconds = clock.partition(":")
    return START + timedelta(minutes=int(minutes), milliseconds=round(float(seconds) * 1000))


def taken_marks(*marks: Taken) -> tuple[Mark, ...]:
    return tuple(Mark(one[0], at(one[1]), one[2] if len(one) == 3 else None) for one in marks)
