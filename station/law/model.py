"""The rule file of an authority, as declared: what it asks of a dive, paragraph by paragraph.

Every line says where it comes from and on what ground: `read`, or `from memory`, which must be confirmed
before anyone relies on it. Local law comes first; the file says what the station keeps to.
"""

import difflib
from collections.abc import Sequence
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, StringConstraints, model_validator

from station.events import Slug
from station.files import FileModel, load
from station.law.conditions import ALWAYS, Condition
from station.law.keys import RECORD_KEYS

Words = Annotated[str, StringConstraints(min_length=1, max_length=300, strip_whitespace=True)]
Paragraph = Annotated[str, StringConstraints(pattern=r"^[\w.()/ -]{1,60}$", strip_whitespace=True)]
Basis = Literal["read", "read in part", "read in a parallel rule", "from memory"]
"""On what ground a line stands. Only `read` was held against the text itself, in full."""
Tested = Literal["air sample", "hose", "gauge", "compressor"]
"""Kinds of dated tests in a supply file, which hold the dates; a rule file only says how often."""


def _record_key(key: str) -> str:
    if key in RECORD_KEYS:
        return key
    near = difflib.get_close_matches(key, sorted(RECORD_KEYS), n=1)
    hint = f"; did you mean '{near[0]}'?" if near else f"; known keys: {', '.join(sorted(RECORD_KEYS))}"
    raise ValueError(f"the record has no key '{key}'{hint}")


RecordKey = Annotated[str, AfterValidator(_record_key)]


class Ruled(FileModel):
    """Base of everything that a paragraph asks for; any one of the conditions is enough."""

    paragraph: Paragraph
    what: Words
    when: Annotated[tuple[Condition, ...], Field(min_length=1)]
    basis: Basis

    @model_validator(mode="after")
    def _always_is_enough(self) -> Self:
        if ALWAYS in self.when and len(self.when) > 1:
            raise ValueError("what is asked for 'always' needs no further condition")
        return self


class AskedField(Ruled):
    """A field of the record of a dive, and the keys of the record that answer it together."""

    keys: Annotated[tuple[RecordKey, ...], Field(min_length=1)]


class DutyItem(Ruled):
    """Something to be planned, briefed or told: an item of a list that people tick."""

    id: Slug


class TestAsked(Ruled):
    """A test or service of the equipment; its dates stand with the kind named, in the supply file."""

    __test__ = False  # no test of the program's own, whatever its name

    every_months: Annotated[int, Field(ge=1, le=120)] | None = None
    dated_as: Tested | None = None


class Observation(Ruled):
    """How long a diver stays under observation after a dive."""

    minutes: Annotated[int, Field(ge=1, le=10_080)]


class Retention(Ruled):
    """How long papers are kept."""

    papers: Literal["record of dive", "other"]
    years: Annotated[int, Field(ge=0, le=100)] = 0
    months: Annotated[int, Field(ge=0, le=11)] = 0

    @model_validator(mode="after")
    def _some_time(self) -> Self:
        if not (self.years or self.months):
            raise ValueError("how long is missing: years, months or both")
        return self


class Authority(FileModel):
    """A rule file. `cite` stands before each paragraph: 29 CFR, then 1910.423(d)."""

    format: Literal["authority/1"]
    id: Slug
    title: Words
    cite: Words
    asked: Annotated[tuple[AskedField, ...], Field(min_length=1)]
    retention: tuple[Retention, ...] = ()
    planning: tuple[DutyItem, ...] = ()
    briefing: tuple[DutyItem, ...] = ()
    told: tuple[DutyItem, ...] = ()
    observation: tuple[Observation, ...] = ()
    tests: tuple[TestAsked, ...] = ()
    chamber: tuple[Ruled, ...] = ()
    sickness: tuple[Ruled, ...] = ()

    @model_validator(mode="after")
    def _ids_once(self) -> Self:
        for part, items in (("planning", self.planning), ("briefing", self.briefing), ("told", self.told)):
            ids = [one.id for one in items]
            if twice := sorted({one for one in ids if ids.count(one) > 1}):
                raise ValueError(f"{part}: the same id stands twice: {', '.join(twice)}")
        return self

    @property
    def every(self) -> tuple[Ruled, ...]:
        """Everything the file says, line by line."""
        lists = (self.planning, self.briefing, self.told, self.observation, self.tests)
        others = (self.chamber, self.sickness, self.retention)
        return *self.asked, *(one for part in (*lists, *others) for one in part)

    def cited(self, paragraph: str) -> str:
        """Return a paragraph as it is cited: 29 CFR 1910.423(d)(1)(i)."""
        return f"{self.cite} {paragraph}"


def load_authority(data: bytes, name: str) -> Authority:
    """Return the checked rules of a file's bytes; `name` is shown as the file.

    Raises:
        FileError: lists every key that fails, with its reason.

    """
    return load(data, name, Authority)


def clashing(authorities: Sequence[Authority]) -> str | None:
    """Return why authorities cannot be used together, None when they can."""
    ids = [one.id for one in authorities]
    twice = sorted({one for one in ids if ids.count(one) > 1})
    return f"the same authority is named twice: {', '.join(twice)}" if twice else None
