"""What several authorities ask for of one dive: fields of its record, and duties around it."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from station.law.conditions import Circumstances, applies
from station.law.model import Authority, Basis, DutyItem

Part = Literal["planning", "briefing", "told"]
PLACE_UNNAMED: Final = "not yet named"
"""What stands in a station file for its place until somebody names it: no location."""


@dataclass(frozen=True)
class Asked:
    """A field of the record that a paragraph asks for, and the keys that answer it."""

    paragraph: str
    what: str
    keys: tuple[str, ...]
    basis: Basis

    @property
    def memory(self) -> str:
        """Say, behind the paragraph, that it was not read in full; "" where it was."""
        return "" if self.basis == "read" else f", {self.basis}"


@dataclass(frozen=True)
class Gap:
    """A key of the record that is asked for and missing, with every paragraph that asks for it."""

    key: str
    asked: tuple[Asked, ...]

    @property
    def what(self) -> str:
        """What is asked for, by the first authority that does."""
        return self.asked[0].what

    @property
    def paragraphs(self) -> str:
        """The paragraphs that ask for it."""
        return "; ".join(one.paragraph for one in self.asked)


@dataclass(frozen=True)
class Duty:
    """An item to be ticked, with every paragraph that asks for it."""

    id: str
    what: str
    paragraphs: tuple[str, ...]
    basis: tuple[Basis, ...]


def asked_fields(authorities: Sequence[Authority], dive: Circumstances | None = None) -> tuple[Asked, ...]:
    """Return the fields that are asked for of a dive; of any dive when none is given."""
    return tuple(
        Asked(one.cited(field.paragraph), field.what, field.keys, field.basis)
        for one in authorities
        for field in one.asked
        if dive is None or applies(field.when, dive)
    )


def gaps(asked: Sequence[Asked], lacking: Collection[str]) -> tuple[Gap, ...]:
    """Return the keys asked for that are lacking, in the order in which they are first asked for."""
    keys = dict.fromkeys(key for one in asked for key in one.keys if key in lacking)
    return tuple(Gap(key, tuple(one for one in asked if key in one.keys)) for key in keys)


def duties(
    authorities: Sequence[Authority], part: Part, dive: Circumstances | None = None
) -> tuple[Duty, ...]:
    """Return the items of a list that are asked for of a dive; an id in two files is one duty."""
    found: dict[str, list[tuple[Authority, DutyItem]]] = {}
    for one, item in _items(authorities, part):
        if dive is None or applies(item.when, dive):
            found.setdefault(item.id, []).append((one, item))
    return tuple(
        Duty(
            name,
            both[0][1].what,
            tuple(one.cited(item.paragraph) for one, item in both),
            tuple(item.basis for _, item in both),
        )
        for name, both in found.items()
    )


def _items(authorities: Sequence[Authority], part: Part) -> Iterator[tuple[Authority, DutyItem]]:
    for one in authorities:
        lists = {"planning": one.planning, "briefing": one.briefing, "told": one.told}
        yield from ((one, item) for item in lists[part])
