"""What enters the tables, and since when: the depth of the dive and whether the next longer row is taken."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from station.dive.choices import Choices
from station.dive.depth import corrected
from station.dive.facts import DiveFacts
from station.dive.text import depth_text
from station.tables.model import Tables


@dataclass(frozen=True)
class Known:
    """From a moment on: the depth that enters the tables, whether lengthened, and what brought it about."""

    at: datetime
    depth: float
    lengthen: bool
    cause: str


def known_over_time(tables: Tables, facts: DiveFacts, choices: Choices) -> tuple[Known, ...]:
    """Return what held from leaving the surface on, each time it changed; the last one holds now."""
    found: list[Known] = []
    for one in _each(tables, facts, choices):
        if found and found[-1].at == one.at:
            found.pop()
        if not found or (found[-1].depth, found[-1].lengthen) != (one.depth, one.lengthen):
            found.append(one)
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
        yield Known(at, max(deepest, declared, planned or 0.0), lengthen, _cause(tables, what, value))


def _changes(tables: Tables, facts: DiveFacts, left: datetime) -> list[tuple[datetime, str, float]]:
    """Return what may change the look-up, in the order of time, from leaving the surface on."""
    changes = [(left, "planned", facts.planned_depth)]
    if facts.declared_depth is not None:
        changes.append((max(left, facts.declared_at or left), "declared", facts.declared_depth))
    if facts.lengthened:
        changes.append((max(left, facts.lengthened_at or left), "lengthened", 0.0))
    changes += [(one.at, "read", corrected(tables, one.reading)) for one in facts.readings if one.at >= left]
    return sorted(changes, key=lambda one: one[0])


def _cause(tables: Tables, what: str, value: float) -> str:
    if what == "lengthened":
        return "next longer schedule taken for a cold or arduous dive"
    return f"depth {what}: {depth_text(value, tables.unit)}"
