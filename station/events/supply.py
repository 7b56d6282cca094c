"""Entries of the air supply: which source is on line, lost or filled; tests and samples with their dates."""

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from station.events.base import Entry, Slug, Text

Ppm = Annotated[float, Field(ge=0, le=1_000_000)]


class ChangedOver(Entry):
    """A source was brought on line in the place of the one before."""

    kind: Literal["supply.changed_over"] = "supply.changed_over"
    source: Slug


class SourceLost(Entry):
    """A source failed or was shut off: nothing is counted on it from here on."""

    kind: Literal["source.lost"] = "source.lost"
    source: Slug
    reason: Text | None = None


class SourceRestored(Entry):
    """A lost source may be counted on again, once it has been read."""

    kind: Literal["source.restored"] = "source.restored"
    source: Slug
    reason: Text


class BankFilled(Entry):
    """A bank was filled: its earlier readings say nothing of how fast it falls."""

    kind: Literal["bank.filled"] = "bank.filled"
    source: Slug


class TestDone(Entry):
    """A test of the supply file was made, here or elsewhere: when, and whether it was passed."""

    __test__ = False  # no test of the program's own, whatever its name

    kind: Literal["test.done"] = "test.done"
    test: Slug
    on: date
    passed: bool
    result: Text | None = None


class SampleTaken(Entry):
    """A sample of the breathing air, with what was found in it."""

    kind: Literal["sample.taken"] = "sample.taken"
    test: Slug
    on: date
    oxygen_percent: Annotated[float, Field(ge=0, le=100)]
    co2_ppm: Ppm
    co_ppm: Ppm
    oil_mg_m3: Annotated[float, Field(ge=0, le=1000)]
    odour: bool = False
