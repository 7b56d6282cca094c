"""The shipped tables, and a small file with figures of an older revision."""

from pathlib import Path

import pytest

from station.shipped import shipped
from station.tables.load import load_tables
from station.tables.model import Tables


@pytest.fixture(scope="session")
def tables() -> Tables:
    path = shipped("configs") / "tables" / "usn-rev7-air.toml"
    return load_tables(path.read_bytes(), path.name)


@pytest.fixture(scope="session")
def rev4() -> Tables:
    """USN Rev 4 Change A: the figures its worked examples print, everything else invented."""
    path = Path(__file__).with_name("rev4-examples.toml")
    return load_tables(path.read_bytes(), path.name)


@pytest.fixture(scope="session")
def metres() -> Tables:
    """A made-up table in metres: no groups, no intervals, no altitude."""
    path = Path(__file__).parent.parent / "tables" / "made-up-msw.toml"
    return load_tables(path.read_bytes(), path.name)
