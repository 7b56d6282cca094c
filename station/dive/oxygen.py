"""Oxygen in the water: what counts as time on oxygen, when air breaks are due, what is left when it is lost.

Times are whole milliseconds after leaving the bottom. Time on oxygen is counted through from the first
oxygen stop to the last, so that staying late at 30 fsw is taken off the 20 fsw time by itself, and staying
late at 20 fsw adds nothing (USN Rev 4, page 14-8, helium-oxygen; air from memory). Breaks are dead time
(second-hand: notes on Rev 6; USN Rev 7, Table 9-9: printed totals).
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from station.dive.schedule import Schedule, Stop
from station.dive.times import MS_PER_MIN
from station.tables.model import OxygenRules

Turn = Literal["on", "off"]
State = Literal["not yet", "on oxygen", "air break", "off oxygen"]
BREAK_EARLY_MS = 60_000
"""A diver taken off no more than this before a break is due is on that break; the usual station choice."""


@dataclass(frozen=True)
class OxygenPlan:
    """Which stops are breathed on oxygen, by what rules, and what each is worth on air.

    `on_air[depth]` holds the printed minutes on air and on oxygen; `overall` the same of all oxygen stops.
    `depths` are those of the stops on oxygen, at the site.
    """

    rules: OxygenRules
    on_air: Mapping[float, tuple[int, int]]
    overall: tuple[int, int]
    depths: tuple[float, ...]

    def covers(self, depth: float) -> bool:
        """Whether oxygen is breathed at a stop of that depth."""
        return depth <= max(self.depths)

    def moved(self, place: Callable[[float], float]) -> "OxygenPlan":
        """Return the plan with its stops at other depths: those of the site's altitude."""
        depths = tuple(place(depth) for depth in self.depths)
        return replace(self, depths=depths, on_air={place(deep): pair for deep, pair in self.on_air.items()})

    def air_minutes(self, depth: float, left_ms: int) -> int:
        """Return the minutes on air in place of what is left on oxygen, rounded up to whole minutes.

        By the ratio of the row's stop on air to its stop on oxygen (from memory: Rev 6/7).
        """
        air, oxygen = self.on_air.get(depth, self.overall)
        return math.ceil(left_ms * air / (oxygen * MS_PER_MIN)) if left_ms > 0 else 0


def oxygen_plan(rules: OxygenRules | None, schedule: Schedule) -> OxygenPlan | None:
    """Return how a schedule is gone up on oxygen; None when it prints no stop on oxygen."""
    if rules is None or not schedule.oxygen_stops:
        return None
    air = {stop.depth: stop.minutes for stop in schedule.stops}
    pairs = {
        stop.depth: (air.get(stop.depth, 0), stop.minutes)
        for stop in schedule.oxygen_stops
        if stop.depth <= max(rules.depths)
    }
    if not pairs:
        return None
    overall = sum(one for one, _ in pairs.values()), sum(one for _, one in pairs.values())
    on_air = {deep: pair if pair[0] else overall for deep, pair in pairs.items()}
    return OxygenPlan(rules, on_air, overall, tuple(float(depth) for depth in rules.depths))


@dataclass(frozen=True)
class OxygenClock:
    """Time on oxygen up to a moment, and how it goes on if every mark to come is taken when due.

    `counted` are the spells that count. `resume_ms` is when counting goes on, the moment itself while it
    runs. `break_ends_ms` is set from the mark that began a break until the mark that ends it. `early_breaks`
    are those begun before they were due: when, and by how much.
    """

    rules: OxygenRules
    planned_breaks: int
    counted: tuple[tuple[int, int], ...]
    breaks_taken: int
    state: State
    resume_ms: int
    break_ends_ms: int | None
    early_breaks: tuple[tuple[int, int], ...] = ()

    @property
    def served_ms(self) -> int:
        """Time on oxygen that counts."""
        return sum(end - begin for begin, end in self.counted)

    @property
    def next_break_ms(self) -> int | None:
        """When the next air break is due, in the past when it is overdue; None when no more is to come."""
        if self.breaks_taken >= self.planned_breaks:
            return None
        at = self._position(self.breaks_taken + 1)
        return self.time_at(at) if at > self.served_ms or not self.counted else self.counted[-1][1]

    def time_at(self, target_ms: int) -> int:
        """Return when that much oxygen was, or will be, breathed, with the breaks that fall before it."""
        done = 0
        for begin, end in self.counted:
            if target_ms <= done + end - begin:
                return begin + target_ms - done
            done += end - begin
        ahead = range(self.breaks_taken + 1, self.planned_breaks + 1)
        breaks = sum(self._position(number) < target_ms for number in ahead)
        return self.resume_ms + target_ms - done + breaks * self.rules.break_min * MS_PER_MIN

    def _position(self, number: int) -> int:
        return number * self.rules.period_min * MS_PER_MIN


def oxygen_clock(  # noqa: PLR0913 - the marks and the moment, by what rules
    rules: OxygenRules,
    total_min: int,
    starts_ms: int,
    turns: Sequence[tuple[int, Turn]],
    now_ms: int,
    *,
    early_ms: int = BREAK_EARLY_MS,
) -> OxygenClock:
    """Return the clock of time on oxygen from the marks 'on oxygen' and 'off oxygen'.

    Nothing counts before `starts_ms`, when the travel time to the first oxygen stop has run out. Station
    choices: nor beyond the 30 minutes before a break until it is taken, nor before its 5 minutes have run
    out; taken off more than `early_ms` early is no break, which comes after 30 minutes all the same.
    """
    planned = rules.breaks(total_min)
    counted: list[tuple[int, int]] = []
    early: list[tuple[int, int]] = []
    served = taken = 0
    break_ends: int | None = None
    state: State = "not yet"
    begins = starts_ms
    for (at, turn), (until, _) in pairwise([*turns, (now_ms, "off")]):
        if turn == "on":
            begins, state = max(at, starts_ms, break_ends or at), "on oxygen"
            room = (taken + 1) * rules.period_min * MS_PER_MIN - served if taken < planned else until
            end = min(until, begins + max(0, room))
            if end > begins:
                counted.append((begins, end))
                served += end - begins
            break_ends = None
        elif taken < planned and (short := _due_ms(rules, taken) - served) <= early_ms:
            early += [(at, short)] if short > 0 else []
            taken, state, break_ends = taken + 1, "air break", at + rules.break_min * MS_PER_MIN
        elif state == "on oxygen":
            state = "off oxygen"
    earliest = begins if state in {"not yet", "on oxygen"} else max(starts_ms, break_ends or now_ms)
    return OxygenClock(
        rules, planned, tuple(counted), taken, state, max(now_ms, earliest), break_ends, tuple(early)
    )


def _due_ms(rules: OxygenRules, taken: int) -> int:
    """Return after how much oxygen the next break is due."""
    return (taken + 1) * rules.period_min * MS_PER_MIN


def oxygen_minutes(plan: OxygenPlan, stops: Sequence[Stop]) -> int:
    """Return the minutes on oxygen of all stops together."""
    return sum(stop.minutes for stop in stops if plan.covers(stop.depth))
