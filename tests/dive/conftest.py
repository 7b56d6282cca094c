"""The shipped tables."""

import pytest

from station.shipped import shipped
from station.tables.load import load_tables
from station.tables.model import Tables


@pytest.fixture(scope="session")
def tables() -> Tables:
    path = shipped("configs") / "tables" / "usn-rev7-air.toml"
    return load_tables(path.read_bytes(), path.name)
