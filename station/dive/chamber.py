"""Following a diver through the chamber: the interval, time on oxygen, breaks and moves, each by its mark.

Station choices where the rules restated second-hand are silent: time on oxygen runs on while the chamber goes
up 10 fsw; a move is due when the time at the deeper depth is served, a break that falls due then as well;
oxygen beyond 30 min without a break does not count, nor does it before a break's 5 min are over.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import accumulate
from typing import Literal

from station.dive.chamber_marks import ChamberMark, Seen, seen_of
from station.dive.oxygen import OxygenClock, oxygen_clock
from station.dive.surface import (
    BREAK_MIN,
    CHAMBER_UP_RATE,
    FIRST_DEPTH,
    INTERVAL_LAST_S,
    INTERVAL_LIMIT_S,
    LAST_DEPTH,
    MIDDLE_DEPTH,
    PERIOD_MIN,
    ChamberPart,
    Penalty,
    chamber_parts,
    penalty,
)
from station.dive.times import MS_PER_MIN, MS_PER_S, seconds_down, seconds_up
from station.moments import MILLISECOND, ms_between
from station.tables.model import OxygenRules

ChamberPhase = Literal[
    "in the water",
    "interval",
    "not yet on oxygen",
    "on oxygen",
    "air break",
    "off oxygen",
    "coming up",
    "surfaced",
]
StepWhat = Literal["reach", "on oxygen", "air break", "move", "leave", "surface"]

CHAMBER_RULES = OxygenRules(
    source="second-hand: study notes on USN Rev 6, chamber oxygen periods",
    depths=(FIRST_DEPTH, MIDDLE_DEPTH, LAST_DEPTH),
    period_min=PERIOD_MIN,
    break_min=BREAK_MIN,
    last_period_max_min=PERIOD_MIN,
)


@dataclass(frozen=True)
class Interval:
    """From the water to 50 fsw in the chamber: elapsed seconds rounded up, those left to a limit down.

    A limit that has passed is negative. `over` is set once 50 fsw was reached.
    """

    elapsed_s: int
    left_of_5_s: int
    left_of_7_s: int
    over: bool
    penalty: Penalty


@dataclass(frozen=True)
class ChamberStep:
    """A step to come and when it is due; in the past when it is overdue. `depth` is where it leads."""

    what: StepWhat
    depth: int
    due: datetime


@dataclass(frozen=True)
class ChamberLive:
    """Everything true of a diver's surface decompression at one moment.

    `parts` is the plan with what the interval added; empty once the interval gives the plan up. `served_s` is
    rounded down, `left_s` and `break_left_s` up. `missing` tells in words what was cut short.
    """

    now: datetime
    phase: ChamberPhase
    depth: int | None
    interval: Interval | None
    parts: tuple[ChamberPart, ...]
    served_s: int
    left_s: int
    break_left_s: int | None
    to_come: tuple[ChamberStep, ...]
    surface_at: datetime | None
    missing: tuple[str, ...]

    @property
    def next(self) -> ChamberStep | None:
        """The step expected next."""
        return self.to_come[0] if self.to_come else None


def follow_chamber(periods: float, marks: Sequence[ChamberMark], now: datetime) -> ChamberLive:
    """Return the live figures of surface decompression by a schedule's chamber periods.

    A moment before the last mark counts as that mark's. While the interval runs, the plan is the one that
    holds if 50 fsw were reached now.
    """
    seen = seen_of(marks, now)
    interval = _interval(seen, periods)
    at_first = interval.penalty.at_first_min if interval else chamber_parts(1)[0].minutes
    parts = () if at_first is None else chamber_parts(periods, at_first)
    total_min = sum(part.minutes for part in parts)
    base = _base(seen)
    clock = _clock(seen, base, total_min)
    served = min(clock.served_ms, total_min * MS_PER_MIN)
    to_come = _to_come(seen, base, clock, parts)
    surface = seen.surfaced or (to_come[-1].due if to_come else None)
    if surface is not None and seen.surfaced is None:
        surface = max(surface, seen.now)
    on_break = clock.state == "air break" and clock.break_ends_ms is not None
    break_ends = base + (clock.break_ends_ms or 0) * MILLISECOND
    return ChamberLive(
        now=seen.now,
        phase=_phase(seen, clock),
        depth=seen.depth,
        interval=interval,
        parts=parts,
        served_s=seconds_down(served),
        left_s=seconds_up(total_min * MS_PER_MIN - served),
        break_left_s=seconds_up(max(0, ms_between(seen.now, break_ends))) if on_break else None,
        to_come=to_come,
        surface_at=surface,
        missing=_missing(seen, parts, total_min),
    )


def _interval(seen: Seen, periods: float) -> Interval | None:
    if seen.left is None:
        return None
    gone = ms_between(seen.left, seen.at_first or seen.now)
    return Interval(
        elapsed_s=seconds_up(gone),
        left_of_5_s=seconds_down(INTERVAL_LIMIT_S * MS_PER_S - gone),
        left_of_7_s=seconds_down(INTERVAL_LAST_S * MS_PER_S - gone),
        over=seen.at_first is not None,
        penalty=penalty(gone, periods),
    )


def _base(seen: Seen) -> datetime:
    """Return from when oxygen may count: the first depth reached, or when 50 fsw is due."""
    if seen.reached:
        return seen.reached[0][0]
    limit = timedelta(seconds=INTERVAL_LIMIT_S)
    return seen.now if seen.left is None else max(seen.now, seen.left + limit)


def _clock(seen: Seen, base: datetime, total_min: int, until: datetime | None = None) -> OxygenClock:
    """Return the clock of time on oxygen up to a moment, or to now; it stops when the last depth is left."""
    ends = min(one for one in (seen.now, until, seen.leaving, seen.surfaced) if one is not None)
    turns = tuple((ms_between(base, at), turn) for at, turn in seen.turns if at <= ends)
    return oxygen_clock(CHAMBER_RULES, total_min, 0, turns, max(0, ms_between(base, ends)))


def _to_come(
    seen: Seen, base: datetime, clock: OxygenClock, parts: Sequence[ChamberPart]
) -> tuple[ChamberStep, ...]:
    """Return the steps still to come, in the order they are due."""
    if not parts or seen.surfaced is not None:
        return ()
    last, total_ms = parts[-1].depth, sum(part.minutes for part in parts) * MS_PER_MIN
    if seen.leaving is not None:
        return (ChamberStep("surface", 0, seen.leaving + _up(seen.depth or last)),)
    steps: list[ChamberStep] = []
    if not seen.reached:
        due = base if seen.left is None else seen.left + timedelta(seconds=INTERVAL_LIMIT_S)
        steps.append(ChamberStep("reach", FIRST_DEPTH, due))
    if clock.state != "on oxygen" and clock.served_ms < total_ms:
        resume = base if clock.break_ends_ms is None else base + clock.break_ends_ms * MILLISECOND
        resume = seen.now if clock.state == "off oxygen" else resume
        steps.append(ChamberStep("on oxygen", seen.depth or FIRST_DEPTH, resume))
    steps += sorted(
        [*_breaks(base, clock, parts), *_moves(seen, base, clock, parts)], key=lambda one: one.due
    )
    leave = base + clock.time_at(total_ms) * MILLISECOND
    steps.append(ChamberStep("leave", last, leave))
    steps.append(ChamberStep("surface", 0, max(leave, seen.now) + _up(last)))
    return tuple(steps)


def _breaks(base: datetime, clock: OxygenClock, parts: Sequence[ChamberPart]) -> list[ChamberStep]:
    """Return the air breaks to come: after each 30 min on oxygen, but not at the end."""
    found = []
    for number in range(clock.breaks_taken + 1, clock.planned_breaks + 1):
        oxygen_min = number * PERIOD_MIN
        due = clock.next_break_ms if number == clock.breaks_taken + 1 else None
        at = clock.time_at(oxygen_min * MS_PER_MIN) if due is None else due
        found.append(ChamberStep("air break", _depth_at(parts, oxygen_min), base + at * MILLISECOND))
    return found


def _moves(seen: Seen, base: datetime, clock: OxygenClock, parts: Sequence[ChamberPart]) -> list[ChamberStep]:
    ends = accumulate(part.minutes for part in parts)
    here = seen.depth or FIRST_DEPTH
    return [
        ChamberStep("move", above.depth, base + clock.time_at(end * MS_PER_MIN) * MILLISECOND)
        for above, end in zip(parts[1:], ends, strict=False)
        if above.depth < here
    ]


def _depth_at(parts: Sequence[ChamberPart], oxygen_min: int) -> int:
    """Return at which depth so much oxygen ends; a break that falls on a move is taken before it."""
    done = 0
    for part in parts:
        done += part.minutes
        if oxygen_min <= done:
            return part.depth
    return parts[-1].depth


def _up(depth: int) -> timedelta:
    return timedelta(seconds=-(-depth * 60 // CHAMBER_UP_RATE))


def _phase(seen: Seen, clock: OxygenClock) -> ChamberPhase:
    if seen.surfaced is not None:
        return "surfaced"
    if seen.leaving is not None:
        return "coming up"
    if not seen.reached:
        return "in the water" if seen.left is None else "interval"
    return "not yet on oxygen" if clock.state == "not yet" else clock.state


def _missing(seen: Seen, parts: Sequence[ChamberPart], total_min: int) -> tuple[str, ...]:
    """Return what of the oxygen at each depth was not breathed when the diver was taken up from it."""
    words = []
    if seen.reached and seen.reached[0][1] < FIRST_DEPTH:
        words.append(f"{seen.reached[0][1]} fsw was reached, not {FIRST_DEPTH}: the supervisor decides")
    base, ends = _base(seen), accumulate(part.minutes for part in parts)
    for number, (part, end) in enumerate(zip(parts, ends, strict=True)):
        left = _left(seen, parts[number + 1 :])
        if left is None:
            continue
        short_ms = end * MS_PER_MIN - _clock(seen, base, total_min, left).served_ms
        if short_ms > 0:
            short = seconds_up(short_ms)
            words.append(f"left {part.depth} fsw {short // 60}:{short % 60:02} of oxygen short")
    return tuple(words)


def _left(seen: Seen, above: Sequence[ChamberPart]) -> datetime | None:
    """Return when the diver was taken up from a depth: a shallower one marked, or the last way up begun."""
    shallower = {part.depth for part in above}
    marks = [at for at, depth in seen.reached[1:] if depth in shallower]
    marks += [one for one in (seen.leaving, seen.surfaced) if one is not None]
    return min(marks, default=None)
