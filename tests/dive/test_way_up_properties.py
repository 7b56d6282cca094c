"""What must hold on every way up, tried on thousands of random dives; the seeds stand here and are kept."""

import random
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import pytest

from station.dive.facts import DiveFacts, Mark, Reading
from station.dive.follow import Live, follow
from station.dive.marks import PLACE_MARKS
from station.dive.order import allowed_marks, check_mark
from station.dive.planning import plan
from station.dive.schedule import Schedule, Stop
from station.dive.series import EarlierDive
from station.dive.trail import trail
from station.errors import LookUpError
from station.events import MarkName
from station.moments import MILLISECOND
from station.tables.model import Tables

START = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)
EARLIER = EarlierDive(START - timedelta(minutes=5), None, 10, 7, "7 min up to five minutes before")
SEEDS = (1, 2, *(pytest.param(seed, marks=pytest.mark.soak) for seed in (3, 5, 8, 13, 21, 34)))
DIVES = 130
"""Per seed and property; 8 seeds, six of them in the long run, make 1,040 dives of about seven marks, each
looked at before and after."""


@dataclass
class Diver:
    """One random dive under way: its facts so far and the moment."""

    rng: random.Random
    facts: DiveFacts
    now: datetime

    def depth(self, live: Live) -> float:
        """Return the least depth at which the diver is known to have been on the way up."""
        known = [mark.depth for mark in self.facts.marks if mark.depth is not None]
        return min([live.departure_depth, *known])

    def wait(self) -> None:
        """Let time pass: mostly about as planned, at times far too long or not at all."""
        span = self.rng.choice((0, 20_000, 61_000, 300_000, 2_400_000))
        self.now += timedelta(milliseconds=self.rng.randint(0, span))

    def mark(self, tables: Tables, live: Live) -> None:
        """Take one of the marks that may come, the expected one most often, and on time every other time."""
        allowed = allowed_marks(tables, live)
        name, depth = allowed[0] if self.rng.random() < 0.6 else self.rng.choice(allowed)
        due = live.next_mark.due if live.next_mark else None
        if due is not None and due > self.now and self.rng.random() < 0.5:
            self.now = due
        if name in PLACE_MARKS:
            depth = max(0.1, round(self.rng.uniform(0.1, self.depth(live)), 1) - 0.1)
        mark = Mark(name, self.now, depth)
        check_mark(tables, self.facts, mark)
        self.facts = replace(self.facts, marks=(*self.facts.marks, mark))


def begin(seed: int, number: int) -> Diver:
    """Return a diver who has just left the bottom."""
    rng = random.Random(seed * 100_003 + number)  # noqa: S311 - not for secrets
    depth, minutes = rng.choice((rng.randint(20, 100), rng.randint(100, 190))), rng.randint(1, 70)
    left = START + timedelta(minutes=minutes) - rng.randint(0, 59_999) * MILLISECOND
    facts = DiveFacts(
        depth,
        minutes,
        (Mark("left_surface", START), Mark("left_bottom", left)),
        gas=rng.choice(("air", "air_oxygen")),
        earlier=rng.choice(((), (), (EARLIER,))),
    )
    if rng.random() < 0.5:
        facts = replace(facts, readings=(Reading(left, round(depth * rng.uniform(0.2, 0.95), 1)),))
    return Diver(rng, facts, left)


def travelled(before: Live, after: Live) -> timedelta:
    """Return the travel that need not be made any more: a new deep stop that is served further up instead.

    Only then may the surface come nearer, by that much: the diver turns out to be shallower already.
    """
    there = {line.depth for line in after.stops}
    gone = [line.depth for line in before.stops if line.depth not in there]
    shallower = [line.depth for line in after.stops if gone and line.depth < max(gone)]
    return timedelta(seconds=2 * (max(gone) - max(shallower)) + 1 if shallower else 0)


def later(before: Live, after: Live) -> None:
    """Check that nothing due has moved earlier, and that nothing owed has vanished or shrunk."""
    if not isinstance(after.schedule, Schedule) or after.phase == "at the surface":
        return
    assert isinstance(before.schedule, Schedule)
    assert after.surface_at is not None
    assert before.surface_at is not None
    assert after.surface_at >= before.surface_at - travelled(before, after)
    assert after.entered_min >= before.entered_min
    assert after.schedule.total_s >= before.schedule.total_s
    for line in before.stops:
        if not line.on_oxygen or line.state == "to come":
            due = line.due_leave - travelled(before, after)
            assert any(one.depth <= line.depth and one.due_leave >= due for one in after.stops)
    if before.oxygen is None:
        owed = sum(line.minutes for line in before.stops)
        assert sum(line.minutes for line in after.stops) >= owed


@pytest.mark.parametrize("seed", SEEDS)
def test_due_times_only_move_later(tables: Tables, seed: int) -> None:
    """Whatever marks are taken, early, late or never; oxygen lost is the one mark that is judged afresh."""
    for number in range(DIVES):
        diver = begin(seed, number)
        live = follow(tables, diver.facts, diver.now)
        for _ in range(9):
            if live.phase == "at the surface":
                break
            diver.wait()
            waited = follow(tables, diver.facts, diver.now)
            later(live, waited)
            diver.mark(tables, waited)
            before = follow(tables, replace(diver.facts, marks=diver.facts.marks[:-1]), diver.now)
            live = follow(tables, diver.facts, diver.now)
            if diver.facts.marks[-1].name != "oxygen_lost":
                later(before, live)
            never_down(live, diver.depth(live))


def never_down(live: Live, depth: float) -> None:
    """Check that every stop still to come is where the diver is or above."""
    assert all(line.depth <= depth for line in live.stops if line.state in {"to come", "here"})
    assert live.next_mark is None or (live.next_mark.depth or 0) <= depth


def outline(live: Live) -> tuple[str, tuple[Stop, ...], int]:
    name = live.schedule.name if isinstance(live.schedule, Schedule) else "no schedule"
    stops = tuple(Stop(line.depth, line.minutes) for line in live.stops if line.minutes)
    return name, stops, live.delay_min


@pytest.mark.parametrize("seed", SEEDS)
def test_the_trail_explains_every_change_of_plan(tables: Tables, seed: int) -> None:
    """Between two looks at a dive, schedule, stops or delays change only where a line of the trail says so.

    What stands in the trail stays there while time passes, and the last line has the plan in force.
    """
    for number in range(DIVES // 2):
        diver = begin(seed, number)
        diver.facts = replace(diver.facts, gas="air")
        live, lines = follow(tables, diver.facts, diver.now), trail(tables, diver.facts, diver.now)
        for _ in range(7):
            if live.phase == "at the surface":
                break
            diver.wait()
            waited, longer = follow(tables, diver.facts, diver.now), trail(tables, diver.facts, diver.now)
            assert longer[: len(lines)] == lines
            explained(live, waited, longer[len(lines) :])
            diver.mark(tables, waited)
            before = follow(tables, replace(diver.facts, marks=diver.facts.marks[:-1]), diver.now)
            live, lines = follow(tables, diver.facts, diver.now), trail(tables, diver.facts, diver.now)
            explained(before, live, tuple(line for line in lines if line.at > waited.now) or lines[-1:])
            changing = [line for line in lines if line.before != line.after] or list(lines)
            assert (changing[-1].after.schedule, changing[-1].after.stops) == outline(live)[:2]
            assert trail(tables, diver.facts, diver.now) == lines


def explained(before: Live, after: Live, lines: tuple[object, ...]) -> None:
    if outline(before)[:2] != outline(after)[:2]:
        assert lines


@pytest.mark.parametrize("seed", SEEDS)
def test_a_dive_marked_when_due_goes_as_planned(tables: Tables, seed: int) -> None:
    """On air and on oxygen: every mark on the millisecond gives the planned total and misses nothing."""
    for number in range(DIVES):
        diver = begin(seed, number)
        facts = replace(diver.facts, readings=(), earlier=())
        live = follow(tables, facts, diver.now)
        try:
            planned = plan(tables, facts.planned_depth, live.bottom_min, gas=facts.gas)
        except LookUpError:
            continue
        while live.next_mark is not None:
            assert live.next_mark.due is not None
            mark = Mark(live.next_mark.name, live.next_mark.due, live.next_mark.depth)
            check_mark(tables, facts, mark)
            facts = replace(facts, marks=(*facts.marks, mark))
            live = follow(tables, facts, mark.at)
        assert live.early == ()
        assert live.deviations == ()
        assert live.too_fast is None
        assert live.decompression_s == planned.ascent.total_s
        assert live == follow(tables, facts, live.now)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_total_is_the_sum_of_its_parts(tables: Tables, seed: int) -> None:
    """Travel to the first stop, stops, breaks, travel to the first oxygen stop, last travel."""
    for number in range(DIVES):
        diver = begin(seed, number)
        gas = diver.facts.gas
        try:
            found = plan(tables, diver.facts.planned_depth, diver.facts.planned_min, gas=gas)
        except LookUpError:
            continue
        ascent, clock = found.ascent, found.ascent.clock
        parts = ascent.to_first_stop_s + 60 * sum(one.minutes for one in ascent.stops)
        parts += round(2 * ascent.stops[-1].depth) if ascent.stops else 0
        if clock is not None:
            parts += 300 * clock.planned_breaks + (20 if ascent.stops[0].depth > 30 else 0)
        assert ascent.total_s == parts


NAMES: tuple[MarkName, ...] = ("held", "moving", "on_oxygen", "off_oxygen", "oxygen_lost")


@pytest.mark.parametrize("seed", SEEDS)
def test_after_the_surface_nothing_of_a_dive_changes_but_the_time(tables: Tables, seed: int) -> None:
    """So the figures of a diver who is up are worked out once, however long the day."""
    for number in range(DIVES // 2):
        diver = begin(seed, number)
        live = follow(tables, diver.facts, diver.now)
        for _ in range(9):
            if live.phase == "at the surface":
                break
            diver.wait()
            diver.mark(tables, follow(tables, diver.facts, diver.now))
            live = follow(tables, diver.facts, diver.now)
        up = Mark("reached_surface", diver.now + timedelta(minutes=3))
        facts = replace(diver.facts, marks=(*diver.facts.marks, up))
        if live.phase == "at the surface":
            up, facts = diver.facts.marks[-1], diver.facts
        ended = follow(tables, facts, up.at)
        assert ended.phase == "at the surface"
        for span in (timedelta(milliseconds=1), timedelta(minutes=7), timedelta(days=3)):
            assert follow(tables, facts, up.at + span) == replace(ended, now=up.at + span)


def test_the_marks_of_the_way_up_have_no_place_below(tables: Tables) -> None:
    facts = DiveFacts(100, 20, (Mark("left_surface", START),))
    for live in (follow(tables, DiveFacts(100, 20), START), follow(tables, facts, START)):
        assert not {name for name, _ in allowed_marks(tables, live)} & set(NAMES)
