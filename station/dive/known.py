"""What enters the tables, and since when: the depth of the dive, the next longer row, divers in company."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from station.dive.choice_words import MARK
from station.dive.choices import Choices
from station.dive.depth import corrected
from station.dive.facts import Company, DiveFacts
from station.dive.text import depth_text
from station.tables.model import Tables


@dataclass(frozen=True)
class Other:
    """A diver in company, as known at a moment; `until` is when the bottom was left, once that was marked."""

    facts: DiveFacts
    depth: float
    lengthen: bool
    until: datetime | None


@dataclass(frozen=True)
class Known:
    """From a moment on: the depth of the dive, whether lengthened, and what brought it about.

    `shallower` are the lesser depths that held before on this dive; `others` are the divers in company.
    """

    at: datetime
    depth: float
    lengthen: bool
    cause: str
    shallower: tuple[float, ...] = ()
    others: tuple[Other, ...] = ()

    @property
    def what(self) -> tuple[float, bool, tuple[Other, ...]]:
        """What a look-up depends on."""
        return self.depth, self.lengthen, self.others


def known_over_time(tables: Tables, facts: DiveFacts, choices: Choices) -> tuple[Known, ...]:
    """Return what held from leaving the surface on, each time it changed; the last one holds now."""
    own = _each_time(_each(tables, facts, choices))
    if not facts.company or not own or not choices.together_follow_deeper:
        return own
    return _each_time(_in_company(tables, facts, choices, own))


def _each_time(moments: Iterator[Known]) -> tuple[Known, ...]:
    found: list[Known] = []
    for one in moments:
        if found and found[-1].at == one.at:
            found.pop()
        if not found or found[-1].what != one.what:
            lesser = {*(found[-1].shallower if found else ()), *(known.depth for known in found[-1:])}
            found.append(replace(one, shallower=tuple(sorted(deep for deep in lesser if deep < one.depth))))
    return tuple(found)


def _each(tables: Tables, facts: DiveFacts, choices: Choices) -> Iterator[Known]:
    left = facts.time_of("left_surface")
    if left is None:
        return
    up = facts.time_of("left_bottom")
    planned: float | None = facts.planned_depth
    deepest, declared, lengthen = 0.0, 0.0, False
    for at, what, value in _changes(tables, facts, left):
        if what == "declared":
            declared = max(declared, value)
        elif what == "lengthened":
            lengthen = True
        elif what == "read":
            deepest = max(deepest, value)
            if choices.planned_depth_holds == "until first reading" and (up is None or at <= up):
                planned = None
        yield Known(
            at, max(deepest, declared, planned or 0.0), lengthen, _cause(tables, what, value, choices)
        )


def _changes(tables: Tables, facts: DiveFacts, left: datetime) -> list[tuple[datetime, str, float]]:
    """Return what may change the look-up, in the order of time, from leaving the surface on."""
    changes = [(left, "planned", facts.planned_depth)]
    if facts.declared_depth is not None:
        changes.append((max(left, facts.declared_at or left), "declared", facts.declared_depth))
    if facts.lengthened:
        changes.append((max(left, facts.lengthened_at or left), "lengthened", 0.0))
    changes += [(one.at, "read", corrected(tables, one.reading)) for one in facts.readings if one.at >= left]
    return sorted(changes, key=lambda one: one[0])


def _cause(tables: Tables, what: str, value: float, choices: Choices) -> str:
    if what == "lengthened":
        return "next longer schedule taken for a cold or arduous dive"
    words = f"depth {what}: {depth_text(value, tables.unit)}"
    if what != "planned":
        return words
    least = choices.planned_depth_holds == "whole dive"
    return f"{words}, {'the least for the whole dive' if least else 'until it is read'} {MARK}"


def _in_company(
    tables: Tables, facts: DiveFacts, choices: Choices, own: tuple[Known, ...]
) -> Iterator[Known]:
    """Yield what is known at each moment at which it may change for this diver or for one in company."""
    theirs = [
        (spell, other, known_over_time(tables, other, choices))
        for spell in facts.company
        for other in spell.others
    ]
    moments = {one.at for one in own}
    for spell, other, known in theirs:
        left = other.time_of("left_bottom")
        since = {one.at for one in known} | ({left} if left else set())
        moments |= {at for at in since if _lasts(spell, at)} | {spell.since, spell.until or spell.since}
    for at in sorted(one for one in moments if one >= own[0].at):
        mine = _at(own, at) or own[0]
        found = [
            (other, last)
            for spell, other, known in theirs
            if _lasts(spell, at) and (last := _at(known, at)) is not None
        ]
        others = tuple(_other(other, last, at) for other, last in found)
        cause = _company_words(found) if others else "on the diver's own figures"
        yield replace(mine, at=at, cause=mine.cause if mine.at == at else cause, others=others)


def _lasts(spell: Company, at: datetime) -> bool:
    return spell.since <= at and (spell.until is None or at < spell.until)


def _at(known: tuple[Known, ...], at: datetime) -> Known | None:
    return next((one for one in reversed(known) if one.at <= at), None)


def _other(facts: DiveFacts, last: Known, at: datetime) -> Other:
    left = facts.time_of("left_bottom") or facts.time_of("reached_surface")
    return Other(facts, last.depth, last.lengthen, left if left is not None and left <= at else None)


def _company_words(found: list[tuple[DiveFacts, Known]]) -> str:
    return f"together with {', '.join(facts.diver for facts, _ in found)}"
