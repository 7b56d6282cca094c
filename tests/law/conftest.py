"""The shipped rule files, and one of a country that there is not."""

from pathlib import Path

import pytest

from station.law.model import Authority, load_authority
from station.shipped import shipped

SHIPPED = shipped("configs") / "authorities"
MADE_UP = """format = "authority/1"
id = "lacustria-work-act"
title = "Work under Water Act of Lacustria"
cite = "Lacustria WWA"

[[asked]]
paragraph = "12(1)"
what = "who dived"
keys = ["dive.diver_name"]
when = ["always"]
basis = "read"

[[asked]]
paragraph = "12(3)"
what = "voice checks"
keys = ["voice.checks", "told.items"]
when = ["30 msw or deeper"]
basis = "from memory"

[[told]]
id = "tea"
paragraph = "14"
what = "given something warm"
when = ["always"]
basis = "read"

[[observation]]
paragraph = "14(2)"
what = "in sight of the tender"
minutes = 90
when = ["deeper than 20 msw"]
basis = "read"

[[retention]]
papers = "record of dive"
paragraph = "20"
what = "record"
years = 10
months = 6
when = ["always"]
basis = "read"
"""


def shipped_file(name: str) -> Authority:
    path: Path = SHIPPED / name
    return load_authority(path.read_bytes(), str(path))


@pytest.fixture(scope="session")
def labour() -> Authority:
    return shipped_file("us-29-cfr-1910.toml")


@pytest.fixture(scope="session")
def coast_guard() -> Authority:
    return shipped_file("us-46-cfr-197.toml")


@pytest.fixture(scope="session")
def made_up() -> Authority:
    return load_authority(MADE_UP.encode(), "lacustria.toml")
