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
from station.dive.marks import PLACE_MARKS
from station.dive.schedule import NoSchedule
from station.dive.text import depth_text, mark_text
from station.errors import Refusal
from station.events import Gas, MarkName
from station.moments import clock_time
from station.tables.model import Tables

STOP_MARKS: tuple[MarkName, ...] = ("reached_stop", "left_stop")
_OXYGEN_MARKS: tuple[MarkName, ...] = ("on_oxygen", "off_oxygen", "oxygen_lost")
_HELD = {
    True: "the diver is held already and has not been marked as moving",
    False: "it is for a diver on the way up who is not at a stop, and 'moving' for one who was held",
}
Choice = tuple[MarkName, float | None]


def allowed_marks(tables: Tables, live: Live) -> tuple[Choice, ...]:
    """Return the marks that may come next, with the depths of stops, the expected one first.

    The marks 'held' and 'moving' stand without a depth: the timekeeper says where, see `check_mark`.
    """
    match live.phase:
        case "on deck":
            return (("left_surface", None),)
        case "descending":
            return ("reached_bottom", None), ("left_bottom", None), ("reached_surface", None)
        case "on the bottom":
            return ("left_bottom", None), ("reached_surface", None)
        case "at a stop":
            here = live.stop
            left: tuple[Choice, ...] = (("left_stop", here.depth),) if here else ()
            return *_expected_first(live, (*left, *_oxygen_marks(live))), ("reached_surface", None)
        case "ascending":
            stops: tuple[Choice, ...] = tuple(("reached_stop", depth) for depth in _stops_above(tables, live))
            place: Choice = ("moving" if live.held else "held", None)
            lost: tuple[Choice, ...] = (("oxygen_lost", None),) if _may_lose(live) else ()
            return *stops, ("reached_surface", None), place, *lost
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
    depth = None if mark.name in PLACE_MARKS else mark.depth
    if (mark.name, depth) not in allowed:
        raise Refusal(_why_not(tables, facts, live, mark), [mark_text(*one, tables.unit) for one in allowed])
    if mark.name in PLACE_MARKS:
        _check_place(tables, facts, live, mark)


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


def check_gas(tables: Tables, facts: DiveFacts, gas: Gas, at: datetime, choices: Choices = DEFAULTS) -> None:
    """Pass when the gas of the ascent may be chosen now: before the first oxygen stop (station choice).

    Raises:
        Refusal: the tables print nothing for it, the choice stands already, or the diver is past it.

    """
    if gas == facts.gas:
        raise Refusal(f"the ascent is on {gas.replace('_', ' and ')} already")
    oxygen = tables.file.oxygen
    if gas != "air" and oxygen is None:
        raise Refusal("the tables in use print no stops on oxygen")
    live = follow(tables, facts, at, choices)
    if live.phase == "at the surface":
        raise Refusal("the diver has reached the surface")
    begun = [line.depth for line in live.stops if line.state != "to come"]
    if oxygen is not None and any(depth <= live.site.stop_depth(max(oxygen.depths)) for depth in begun):
        raise Refusal("the gas is chosen before the first oxygen stop; the diver has reached it")


def _expected_first(live: Live, found: tuple[Choice, ...]) -> tuple[Choice, ...]:
    expected = live.next_mark and (live.next_mark.name, live.next_mark.depth)
    return tuple(sorted(found, key=lambda one: one != expected))


def _oxygen_marks(live: Live) -> tuple[Choice, ...]:
    """Return the marks of the oxygen at a stop that is served on it."""
    here, oxygen = live.stop, live.oxygen
    if here is None or oxygen is None or oxygen.lost or not here.on_oxygen:
        return (("oxygen_lost", None),) if _may_lose(live) else ()
    turn: MarkName = "off_oxygen" if oxygen.state == "on oxygen" else "on_oxygen"
    return (turn, None), ("oxygen_lost", None)


def _may_lose(live: Live) -> bool:
    return live.oxygen is not None and not live.oxygen.lost


def _check_place(tables: Tables, facts: DiveFacts, live: Live, mark: Mark) -> None:
    name = mark_text(mark.name, mark.depth, tables.unit)
    if mark.depth is None:
        raise Refusal(f"'{name}' cannot be taken: it names the depth where the diver is")
    since = [one.depth for one in facts.marks if one.depth is not None]
    least = min([max(live.departure_depth, live.depth.depth), *since])
    if not 0 < mark.depth <= least:
        raise Refusal(
            f"'{name}' cannot be taken: the diver is at {depth_text(least, tables.unit)} or shallower"
        )


def _stops_above(tables: Tables, live: Live) -> list[float]:
    """Return the depths of stops still to come; without a schedule, every stop depth above the diver."""
    to_come = [line.depth for line in live.stops if line.state == "to come"]
    if not isinstance(live.schedule, NoSchedule) or to_come:
        return to_come
    rules = tables.file.stops
    above = min([line.depth for line in live.stops], default=max(live.departure_depth, live.depth.depth))
    deepest = max(int(above), int(live.site.equivalent))
    listed = [float(depth) for depth in range(rules.last, deepest + 1, rules.spacing)]
    depths = [live.site.stop_depth(depth) for depth in listed]
    return [depth for depth in reversed(depths) if depth < above]


def _before_last(tables: Tables, last: Mark, at: datetime) -> str:
    name = mark_text(last.name, last.depth, tables.unit)
    return f"{clock_time(at)} is before the last mark, {name} at {clock_time(last.at)}"


def _why_not(tables: Tables, facts: DiveFacts, live: Live, mark: Mark) -> str:
    """Return one sentence on why this mark may not come now."""
    name = mark_text(mark.name, mark.depth, tables.unit)
    if live.phase == "at the surface":
        return f"'{name}' cannot be taken: the diver reached the surface at {_when(facts, 'reached_surface')}"
    if mark.name in _OXYGEN_MARKS:
        return f"'{name}' cannot be taken: {_why_no_oxygen(live)}"
    if mark.name in PLACE_MARKS:
        return f"'{name}' cannot be taken: {_HELD[live.held]}"
    if mark.name in STOP_MARKS:
        return f"'{name}' cannot be taken: {_why_no_stop(tables, facts, live, mark)}"
    if mark.depth is not None:
        return f"'{name}' cannot be taken: only the marks of a stop have a depth"
    return _why_not_plain(facts, name, mark.name)


def _why_no_oxygen(live: Live) -> str:
    if live.oxygen is None:
        return "this ascent is on air"
    if live.oxygen.lost:
        return "oxygen was lost"
    state = "is not on it yet" if live.oxygen.state == "not yet" else f"is already {live.oxygen.state}"
    return f"the diver is not at an oxygen stop, or {state}"


def _why_not_plain(facts: DiveFacts, name: str, mark: MarkName) -> str:
    taken = facts.time_of(mark)
    if taken is not None:
        return f"'{name}' cannot be taken: it was taken at {clock_time(taken)}"
    if facts.time_of("left_surface") is None:
        return f"'{name}' cannot be taken: the diver has not left the surface"
    return f"'{name}' cannot be taken: the diver left the bottom at {_when(facts, 'left_bottom')}"


def _why_no_stop(tables: Tables, facts: DiveFacts, live: Live, mark: Mark) -> str:
    if mark.depth is None:
        return "a stop's mark names the depth of the stop"
    if facts.time_of("left_bottom") is None:
        return "the diver has not left the bottom"
    depth, unit, here = mark.depth, tables.unit, live.stop
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
