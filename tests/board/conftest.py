"""A whole dive at an invented quay, entry by entry, and a bench on which it stands at any moment."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from station.board.alarms import Alarm
from station.board.facts import facts_of
from station.board.figures import Figures, LaneFigures, figures
from station.board.state import Board
from station.clock import HandClock
from station.errors import Refusal
from station.events import EVENT, Event
from station.journal.interface import Entry
from station.journal.memory import MemoryJournal
from station.operation import begin_on
from station.outfit import Row, next_steps, open_for_dive, ring
from station.setup import Setup, load_setup
from station.watch import Watch

DAY = datetime(2031, 6, 3, tzinfo=UTC)
START = "06:45:00"
DIVE = """
07:30:00 mark.taken mark=left_surface
07:31:00 depth.read reading_fsw=62
07:32:10 mark.taken mark=reached_bottom
07:32:30 depth.read reading_fsw=105
07:33:00 voice.checked good=true
07:33:30 supply.read source=manifold pressure_psig=148
07:37:00 depth.read reading_fsw=103
07:38:00 voice.checked good=true
07:42:00 depth.read reading_fsw=104
07:43:00 supply.read source=manifold pressure_psig=147
07:43:00 voice.checked good=true
07:47:00 depth.read reading_fsw=104
07:48:00 voice.checked good=true
07:52:00 depth.read reading_fsw=104
07:53:00 supply.read source=manifold pressure_psig=146
07:53:00 voice.checked good=true
07:57:00 depth.read reading_fsw=105
07:58:00 voice.checked good=true
08:02:50 depth.read reading_fsw=105
08:03:00 supply.read source=manifold pressure_psig=146
08:03:00 voice.checked good=true
08:03:40 mark.taken mark=left_bottom
08:06:34 mark.taken mark=reached_stop depth_fsw=20
08:33:34 mark.taken mark=left_stop depth_fsw=20
08:34:20 mark.taken mark=reached_surface
"""
"""The readings of 105 stand for 107 fsw, 33:40 of bottom time for 34 min: row 110/35 with 27 min at 20 fsw,
group M (U.S. Navy Diving Manual, Revision 7, Table 9-9). From 107 to 20 fsw are 2:54 of travel."""


def at(time_of_day: str) -> datetime:
    """Return a moment of the day of the dive."""
    hours, minutes, seconds = time_of_day.split(":")
    return DAY + timedelta(hours=int(hours), minutes=int(minutes), milliseconds=round(float(seconds) * 1000))


def value(text: str) -> Any:
    if text in ("true", "false"):
        return text == "true"
    return float(text) if text.replace(".", "").isdigit() else text


@dataclass
class Bench:
    """A watch on a journal in memory, with a clock set by hand."""

    watch: Watch
    clock: HandClock

    @property
    def board(self) -> Board:
        return self.watch.board

    def go(self, time_of_day: str) -> "Bench":
        """Set the clock, forward or back."""
        self.clock.moment = at(time_of_day)
        return self

    def event(self, kind: str, by: str = "tomma", *, when: str | None = None, **fields: Any) -> Event:
        moment = at(when) if when else self.clock.now()
        stamp = self.watch.stamp(by, "timekeeper", at=moment)
        return EVENT.validate_python({"kind": kind, **stamp, **fields}, strict=False)

    def enter(self, kind: str, by: str = "tomma", *, when: str | None = None, **fields: Any) -> Entry:
        return self.watch.enter(self.event(kind, by, when=when, **fields))

    def refusal(self, kind: str, by: str = "tomma", *, when: str | None = None, **fields: Any) -> str:
        """Return how an entry is refused, with its list, having seen that nothing changed by it."""
        board, head = self.board, self.watch.journal.head()
        with pytest.raises(Refusal) as caught:
            self.enter(kind, by, when=when, **fields)
        assert board is self.board
        assert head == self.watch.journal.head()
        return "; ".join((caught.value.message, *caught.value.missing))

    def find(self, kind: str, nth: int = 0, **fields: Any) -> str:
        """Return the id of an entry of the log."""
        found = [
            event.id
            for event in self.board.log
            if event.kind == kind and all(getattr(event, key) == wanted for key, wanted in fields.items())
        ]
        return found[nth]

    def amend(self, target: str, by: str = "sela", **changes: Any) -> str:
        return self.enter("entry.amended", by, target=target, changes=changes, reason="misread").event.id

    def not_amended(self, target: str, by: str = "sela", **changes: Any) -> str:
        return self.refusal("entry.amended", by, target=target, changes=changes, reason="misread")

    def withdraw(self, target: str, by: str = "sela") -> str:
        return self.enter("entry.withdrawn", by, target=target, reason="wrong lane").event.id

    def not_withdrawn(self, target: str, by: str = "sela") -> str:
        return self.refusal("entry.withdrawn", by, target=target, reason="wrong lane")

    def figures(self) -> Figures:
        return figures(self.board, self.clock.now())

    def lane(self, number: int = 1) -> LaneFigures:
        return next(one for one in self.figures().lanes if one.lane.number == number)

    def alarms(self) -> dict[str, Alarm]:
        return {alarm.key: alarm for alarm in self.figures().alarms}

    def play(self, lines: str, lane: int = 1) -> "Bench":
        """Enter lines such as `07:31:00 depth.read reading_fsw=62`."""
        for line in lines.split("\n"):
            if line:
                time_of_day, kind, *pairs = line.split()
                fields = {key: value(text) for key, text in (pair.split("=") for pair in pairs)}
                if kind != "supply.read":
                    fields["lane"] = lane
                self.go(time_of_day).enter(kind, **fields)
        return self

    def plan(self, lane: int = 1, diver: str = "joni", **fields: Any) -> Entry:
        planned: dict[str, Any] = {
            "depth_fsw": 110.0,
            "time_min": 35,
            "tenders": ["mara", "ivo"],
            "work": "survey",
        }
        return self.enter("dive.planned", "sela", lane=lane, diver=diver, **(planned | fields))

    def dress(self, lane: int = 1, until: str | None = None) -> "Bench":
        """Enter whatever is open next, until the diver may leave the surface or `until` is open next."""
        for _ in range(400):
            row = self._next(lane)
            if row is None or row.id == until:
                return self
            self.clock.advance(10)
            self._enter_row(lane, row)
        raise AssertionError("the order of dressing does not end")

    def _next(self, lane: int) -> Row | None:
        board, mine = self.board, self.board.lanes[lane]
        facts = facts_of(board, mine, self.clock.now())
        if facts.where == "before" and not open_for_dive(board.setup.outfit, mine.progress, facts):
            return None
        return next(iter(next_steps(board.setup.outfit, mine.progress, facts)), None)

    def _enter_row(self, lane: int, row: Row) -> None:
        board, mine = self.board, self.board.lanes[lane]
        if row.kind == "piece":
            drawn: dict[str, Any] = {"number": f"{row.id}-1", "stamped": "27", "tested": date(2031, 5, 1)}
            self.enter("piece.drawn", "mara", lane=lane, piece=row.id, **drawn)
        elif row.kind == "item":
            self.enter("item.inspected", "mara", lane=lane, item=row.id, passed=True)
        elif row.kind == "nuts":
            facts = facts_of(board, mine, self.clock.now())
            stud = next(one for one in ring(board.setup.outfit, mine.progress, facts) if one.next)
            self.enter("nut.marked", "mara", lane=lane, stud=stud.number, state=stud.next)
        else:
            roles = board.setup.outfit.steps[row.id].roles
            by = "mara" if "tender" in roles else "sela" if "supervisor" in roles else mine.plan.diver
            second: dict[str, Any] = {"checked_by": "ivo"} if row.second_person else {}
            self.enter("step.done", by, lane=lane, step=row.id, **second)


def opened(setup: Setup, time_of_day: str = START) -> Bench:
    clock = HandClock(at(time_of_day))
    watch = begin_on(MemoryJournal(), setup, clock, title="Gate survey", program="test", drill=False)
    return Bench(watch, clock)


def tests_done(bench: Bench) -> None:
    """Enter every test of the supply file as done and passed of late."""
    found: dict[str, Any] = {"oxygen_percent": 20.9, "co2_ppm": 400.0, "co_ppm": 1.0, "oil_mg_m3": 0.2}
    bench.enter("sample.taken", test="air-sample", on=date(2031, 4, 2), **found)
    for test in ("hose-1-test", "hose-2-test", "depth-gauge-test"):
        bench.enter("test.done", test=test, on=date(2031, 3, 4), passed=True)


def whole_dive(setup: Setup) -> Iterator[Event]:
    """Yield the entries of a dive from the opening to the closing."""
    bench = opened(setup)
    bench.go("06:46:00").plan()
    tests_done(bench)
    for source in ("bank-1", "bank-2", "bank-3"):
        bench.go("06:47:00").enter("supply.read", source=source, pressure_psig=2900.0)
    bench.dress(until="air-on")
    bench.go("07:26:00").enter("supply.read", source="manifold", pressure_psig=150.0)
    bench.dress().play(DIVE)
    bench.go("08:35:00").dress()
    bench.go("08:40:00").enter(
        "conditions.noted", "sela", visibility="3 ft", water_temperature_c=9.5, current="none", surface="calm"
    )
    bench.go("08:50:00").enter("dive.closed", "sela", lane=1, condition_after="well, no complaints")
    yield from bench.board.log


@pytest.fixture(scope="session")
def setup() -> Setup:
    return load_setup(Path(__file__).parent / "station.toml")


@pytest.fixture(scope="session")
def log(setup: Setup) -> tuple[Event, ...]:
    return tuple(whole_dive(setup))


@pytest.fixture(scope="session")
def bench_of(setup: Setup) -> Callable[[Sequence[Event], str], Bench]:
    """Return what puts entries on a new bench, as they stand, without asking whether they may be."""

    def bench(events: Sequence[Event], time_of_day: str) -> Bench:
        journal, clock = MemoryJournal(), HandClock(at(time_of_day))
        for head, event in enumerate(events):
            journal.append(event, head)
        return Bench(Watch(journal, setup, clock), clock)

    return bench


@pytest.fixture(scope="session")
def bench_at(
    log: tuple[Event, ...], bench_of: Callable[[Sequence[Event], str], Bench]
) -> Callable[[str], Bench]:
    """Return what sets up the dive as it stands at a time of day."""

    def bench(time_of_day: str) -> Bench:
        return bench_of([event for event in log if event.at <= at(time_of_day)], time_of_day)

    return bench


@pytest.fixture
def fresh(setup: Setup) -> Bench:
    """An operation just opened, with nothing planned."""
    return opened(setup)
