"""Which mark may come next, and the words that refuse any other.

A refusal keeps a slip of the finger off the record; a fact is never refused. So reaching the surface is
always accepted once the surface was left, from wherever the diver was, and so is leaving the bottom without
having been marked there: the dive was broken off on the way down.
"""

from datetime import datetime

from station.dive.choices import Choices
from station.dive.depth import depth_of_dive
from station.dive.facts import DiveFacts, Mark
from station.dive.follow import DEFAULTS, Live, follow
from station.dive.schedule import NoSchedule
from station.dive.text import depth_text, mark_text
from station.errors import Refusal
from station.events import MarkName
from station.moments import clock_time
from station.tables.model import Tables

STOP_MARKS: tuple[MarkName, ...] = ("reached_stop", "left_stop")


def allowed_marks(tables: Tables, live: Live) -> tuple[tuple[MarkName, float | None], ...]:
    """Return the marks that may come next, with the depths of stops, the expected one first."""
    match live.phase:
        case "on deck":
            return (("left_surface", None),)
        case "descending":
            return ("reached_bottom", None), ("left_bottom", None), ("reached_surface", None)
        case "on the bottom":
            return ("left_bottom", None), ("reached_surface", None)
        case "at a stop":
            here = live.stop
            left: tuple[tuple[MarkName, float | None], ...] = (("left_stop", here.depth),) if here else ()
            return *left, ("reached_surface", None)
        case "ascending":
            return *(("reached_stop", depth) for depth in _stops_above(tables, live)), (
                "reached_surface",
                None,
            )
        case _:
            return ()


def check_mark(tables: Tables, facts: DiveFacts, mark: Mark, choices: Choices = DEFAULTS) -> None:
    """Pass when the mark may come next.

    Raises:
        Refusal: says why it may not, and which marks may.

    """
    live = follow(tables, facts, mark.at, choices)
    allowed = allowed_marks(tables, live)
    if facts.marks and mark.at < facts.marks[-1].at:
        raise Refusal(_before_last(tables, facts.marks[-1], mark.at))
    if (mark.name, mark.depth) not in allowed:
        raise Refusal(_why_not(tables, facts, live, mark), [mark_text(*one, tables.unit) for one in allowed])


def check_declared_depth(
    tables: Tables, facts: DiveFacts, declared: float, choices: Choices = DEFAULTS
) -> None:
    """Pass when a declared depth is deeper than the depth of the dive so far.

    Raises:
        Refusal: a supervisor may declare a deeper depth, never a shallower one.

    """
    known = depth_of_dive(tables, facts, choices)
    if declared <= known.depth:
        raise Refusal(
            f"{depth_text(declared, tables.unit)} is not deeper than the depth of this dive, "
            f"{depth_text(known.depth, tables.unit)} ({known.origin}); only a deeper one may be declared"
        )


def _stops_above(tables: Tables, live: Live) -> list[float]:
    """Return the depths of stops still to come; without a schedule, every stop depth above the diver."""
    if not isinstance(live.schedule, NoSchedule):
        return [line.depth for line in live.stops if line.state == "to come"]
    rules = tables.file.stops
    above = min([line.depth for line in live.stops], default=max(live.departure_depth, live.depth.depth))
    depths = [float(depth) for depth in range(rules.last, int(above) + 1, rules.spacing)]
    return [depth for depth in reversed(depths) if depth < above]


def _before_last(tables: Tables, last: Mark, at: datetime) -> str:
    name = mark_text(last.name, last.depth, tables.unit)
    return f"{clock_time(at)} is before the last mark, {name} at {clock_time(last.at)}"


def _why_not(tables: Tables, facts: DiveFacts, live: Live, mark: Mark) -> str:
    """Return one sentence on why this mark may not come now."""
    name = mark_text(mark.name, mark.depth, tables.unit)
    if live.phase == "at the surface":
        return f"'{name}' cannot be taken: the diver reached the surface at {_when(facts, 'reached_surface')}"
    if mark.name not in STOP_MARKS:
        if mark.depth is not None:
            return f"'{name}' cannot be taken: only the marks of a stop have a depth"
        return _why_not_plain(facts, name, mark.name)
    if mark.depth is None:
        return f"'{name}' cannot be taken: a stop's mark names the depth of the stop"
    if facts.time_of("left_bottom") is None:
        return f"'{name}' cannot be taken: the diver has not left the bottom"
    return f"'{name}' cannot be taken: {_why_no_stop(tables, facts, live, mark)}"


def _why_not_plain(facts: DiveFacts, name: str, mark: MarkName) -> str:
    taken = facts.time_of(mark)
    if taken is not None:
        return f"'{name}' cannot be taken: it was taken at {clock_time(taken)}"
    if facts.time_of("left_surface") is None:
        return f"'{name}' cannot be taken: the diver has not left the surface"
    return f"'{name}' cannot be taken: the diver left the bottom at {_when(facts, 'left_bottom')}"


def _why_no_stop(tables: Tables, facts: DiveFacts, live: Live, mark: Mark) -> str:
    depth, unit = mark.depth or 0.0, tables.unit
    here = live.stop
    if here is not None:
        return f"the diver is at the {depth_text(here.depth, unit)} stop and has not left it"
    if facts.stop_time(mark.name, depth) is not None:
        return "it was taken already"
    if mark.name == "left_stop":
        return "the diver is not at a stop"
    to_come = [depth_text(one, unit) for one in _stops_above(tables, live)]
    return f"stops still to come: {', '.join(to_come)}" if to_come else "no stop is to come"


def _when(facts: DiveFacts, mark: MarkName) -> str:
    taken = facts.time_of(mark)
    return "a time not marked" if taken is None else clock_time(taken)
