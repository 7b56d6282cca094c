"""Random walks: plausible and impossible entries by anybody, at any moment, through the one door.

The seeds are kept; the soak has others and walks further. Whatever comes, a refusal changes nothing, the
board is the fold of its log, every figure can be had now and later, and nobody leaves the surface while
anything required is open.
"""

import random
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from station.board.facts import dive_facts, facts_of
from station.board.figures import figures
from station.board.fold import fold
from station.board.state import Board
from station.dive.follow import Live, follow
from station.errors import Refusal
from station.events import Event
from station.outfit import next_steps, open_for_dive, ring

if TYPE_CHECKING:
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]
STARTS = (
    "06:45:00",
    "06:57:00",
    "07:29:30",
    "07:30:30",
    "07:40:00",
    "08:03:30",
    "08:05:00",
    "08:20:00",
    "08:40:00",
)
CREW = ("sela", "tomma", "mara", "ivo", "joni", "oskar", "stranger")
MARKS = ("left_surface", "reached_bottom", "left_bottom", "reached_stop", "left_stop", "reached_surface")
GASES = ("air", "air_oxygen", "surface_oxygen")
CONDITIONS = {"visibility": "3 ft", "water_temperature_c": 9.5, "current": "none", "surface": "calm"}


class Walk:
    """One walk on one bench."""

    def __init__(self, bench: "Bench", seed: int) -> None:
        self.bench = bench
        self.random = random.Random(seed)  # noqa: S311 - no secret hangs on it
        self.taken: list[str] = []

    def step(self) -> None:
        bench, board = self.bench, self.bench.board
        bench.clock.advance(self.random.choice((0, 1, 20, 90, 400)))
        kind, by, fields = self.entry()
        when = bench.clock.now() - timedelta(seconds=self.random.choice((0, 0, 0, 3, 100, -1, -5)))
        stamp = {"at": when, "entered": bench.clock.now(), "by": by, "seat": "timekeeper"}
        try:
            event = self.built(kind, stamp, fields)
        except ValueError:
            return
        head = bench.watch.journal.head()
        try:
            bench.watch.enter(event)
        except Refusal:
            assert bench.board is board
            assert bench.watch.journal.head() == head
        else:
            self.taken.append(kind)
            self.look(board, event)

    def built(self, kind: str, stamp: dict[str, Any], fields: dict[str, Any]) -> Event:
        event = self.bench.event(kind, **fields)
        return event.model_copy(update=stamp)

    def look(self, before: Board, event: Event) -> None:
        now = self.bench.clock.now()
        if getattr(event, "mark", None) == "left_surface":
            lane = before.lanes[getattr(event, "lane", 0)]
            assert open_for_dive(before.setup.outfit, lane.progress, facts_of(before, lane, now)) == ()
        if event.kind.startswith("entry."):
            assert fold(before.setup, self.bench.board.log) == self.bench.board

    def entry(self) -> tuple[str, str, dict[str, Any]]:
        pick: Any = self.random.choice(
            [self.outfit, self.mark, self.correction] * 2
            + [self.depth, self.pressure, self.voice, self.words]
            + [self.plan, self.supervisor, self.conditions, self.around]
        )
        kind, by, fields = pick()
        return kind, by if self.random.random() < 0.8 else self.random.choice(CREW), fields

    def lane(self) -> int:
        return self.random.choice((*self.bench.board.lanes, *self.bench.board.lanes, 1, 2))

    def outfit(self) -> tuple[str, str, dict[str, Any]]:
        """Return the next step or any, by those whose it is."""
        lane, board = self.lane(), self.bench.board
        if lane not in board.lanes:
            return "step.done", "mara", {"lane": lane, "step": "belt-on"}
        facts = facts_of(board, board.lanes[lane], self.bench.clock.now())
        rows = next_steps(board.setup.outfit, board.lanes[lane].progress, facts)
        row = next(iter(rows), None)
        if row is not None and row.kind == "nuts" and self.random.random() < 0.8:
            stud = next(
                one for one in ring(board.setup.outfit, board.lanes[lane].progress, facts) if one.next
            )
            return "nut.marked", "mara", {"lane": lane, "stud": stud.number, "state": stud.next}
        if row is None or row.kind == "nuts" or self.random.random() < 0.2:
            state = self.random.choice(("hand_tight", "wrenched", "tried", "off", "back_on"))
            return "nut.marked", "mara", {"lane": lane, "stud": self.random.randint(1, 13), "state": state}
        if row.kind == "piece":
            number = f"N-{self.random.randint(1, 3)}"
            return "piece.drawn", "mara", {"lane": lane, "piece": row.id, "number": number, "stamped": "27"}
        if row.kind == "item":
            passed = self.random.random() < 0.9
            return "item.inspected", "mara", {"lane": lane, "item": row.id, "passed": passed}
        second = {"checked_by": "ivo"} if row.second_person else {}
        by = "joni" if row.id == "diver-ready" else "sela" if row.id == "ready-to-dive" else "mara"
        return "step.done", by, {"lane": lane, "step": row.id, **second}

    def mark(self) -> tuple[str, str, dict[str, Any]]:
        lane = self.lane()
        fields: dict[str, Any] = {"lane": lane, "mark": self.random.choice(MARKS)}
        if fields["mark"].endswith("_stop") or self.random.random() < 0.05:
            fields["depth_fsw"] = float(self.random.choice((20, 20, 30, 40, 50, 17)))
        following = [one.dive.next_mark for one in self.bench.figures().lanes if one.lane.number == lane]
        if following and following[0] and self.random.random() < 0.6:
            fields = {"lane": lane, "mark": following[0].name, "depth_fsw": following[0].depth}
        return "mark.taken", "tomma", fields

    def depth(self) -> tuple[str, str, dict[str, Any]]:
        reading = float(self.random.choice((0, 12, 58, 100, 104, 180, 299, 310, 399, 400)))
        return "depth.read", "tomma", {"lane": self.lane(), "reading_fsw": reading}

    def pressure(self) -> tuple[str, str, dict[str, Any]]:
        source = self.random.choice(("manifold", "manifold", "bank-1", "bank-2", "bank-9"))
        psig = float(self.random.choice((0, 40, 150, 240, 2400, 6000)))
        return "supply.read", "tomma", {"source": source, "pressure_psig": psig}

    def voice(self) -> tuple[str, str, dict[str, Any]]:
        return "voice.checked", "tomma", {"lane": self.lane(), "good": self.random.random() < 0.8}

    def words(self) -> tuple[str, str, dict[str, Any]]:
        lane = self.random.choice((None, self.lane()))
        return self.random.choice(("note.made", "incident.noted")), "tomma", {"lane": lane, "text": "a word"}

    def plan(self) -> tuple[str, str, dict[str, Any]]:
        fields = {"lane": len(self.bench.board.lanes) + 1, "diver": self.random.choice(("joni", "oskar"))}
        depth, minutes = float(self.random.choice((30, 110, 300, 400))), self.random.choice((5, 35, 1440))
        plan = {"depth_fsw": depth, "time_min": minutes, "tenders": ["mara"], "work": "survey"}
        return "dive.planned", "sela", fields | plan

    def supervisor(self) -> tuple[str, str, dict[str, Any]]:
        kind, fields = self.random.choice(
            (
                ("depth.declared", {"depth_fsw": float(self.random.choice((90, 150, 350, 400)))}),
                ("schedule.lengthened", {}),
                ("hold.released", {"hold": self.random.choice(("belt-load-test", "divers-own-word"))}),
                ("dive.closed", {"condition_after": "well"}),
            )
        )
        reason = {} if kind == "dive.closed" else {"reason": "decided"}
        return str(kind), "sela", {"lane": self.lane(), **fields, **reason}

    def around(self) -> tuple[str, str, dict[str, Any]]:
        """Return an entry around the ascent: earlier dives, altitude, company, the chamber, cards."""
        ago = self.bench.clock.now() - timedelta(minutes=self.random.choice((-5, 4, 15, 90, 700, 1500)))
        lane, card = {"lane": self.lane()}, self.random.choice(("blow-up", "lost-voice", "fog"))
        dive = {"surfaced": ago, "depth_fsw": float(self.random.choice((30, 90, 180))), "bottom_min": 20}
        group = self.random.choice((None, "A", "H", "Z", "Y"))
        chamber = self.random.choice((("left_for_chamber", None), ("reached_chamber_depth", 50)))
        kind, fields = self.random.choice(
            (
                ("dive.called_off", {**lane, "reason": "fog"}),
                ("earlier.stated", {**lane, **dive, "group": group, "reason": "told"}),
                ("residual.chosen", {**lane, "method": self.random.choice(("sum", "table")), "reason": "x"}),
                ("no_group.decided", {**lane, "reason": "x"}),
                ("arrival.stated", {**lane, "arrived": ago, "from_ft": 0.0}),
                ("divers.together", {"lanes": [1, 2]}),
                ("divers.apart", {"lanes": [1, 2], "reason": "x"}),
                ("gas.chosen", {**lane, "gas": self.random.choice(GASES), "reason": "x"}),
                ("chamber.marked", {**lane, "mark": chamber[0], "depth_fsw": chamber[1]}),
                (self.random.choice(("card.decided", "card.closed")), {**lane, "card": card, "text": "x"}),
                ("card.opened", {**lane, "card": card}),
            )
        )
        return str(kind), "sela", dict(fields)

    def conditions(self) -> tuple[str, str, dict[str, Any]]:
        return "conditions.noted", "sela", dict(CONDITIONS)

    def correction(self) -> tuple[str, str, dict[str, Any]]:
        log = self.bench.board.log
        target = self.random.choice((log[-1], log[-1], self.random.choice(log)))
        if self.random.random() < 0.4:
            return "entry.withdrawn", "sela", {"target": target.id, "reason": "error"}
        earlier = target.at - timedelta(seconds=self.random.choice((1, 60, 600, -60)))
        changes: dict[str, Any] = self.random.choice(
            (
                {"at": earlier.isoformat()},
                {"reading_fsw": 115.0},
                {"pressure_psig": 33.0},
                {"depth_fsw": 30.0},
                {"good": False},
                {"text": "other words"},
            )
        )
        return "entry.amended", "sela", {"target": target.id, "changes": changes, "reason": "error"}


def worked_out_anew(board: Board, now: datetime) -> list[Live]:
    """Return the figures of every dive, nothing of it kept from before."""
    tables, choices = board.setup.tables, board.setup.station.choices
    return [follow(tables, dive_facts(board, lane), now, choices) for lane in board.lanes.values()]


@pytest.mark.parametrize(
    ("seeds", "steps"),
    [((6, 9), 40), pytest.param((0, 1), 50, marks=pytest.mark.soak)],
    ids=["short", "long"],
)
def test_whatever_is_entered_the_board_holds_together(
    bench_at: BenchAt, seeds: tuple[int, ...], steps: int
) -> None:
    phases, kinds = set(), set()
    for start in STARTS:
        for seed in seeds:
            walk = Walk(bench_at(start), seed)
            bench = walk.bench
            for _ in range(steps):
                walk.step()
                later = bench.clock.now() + timedelta(seconds=walk.random.choice((0, 0, 30, 3600, 100_000)))
                shown = figures(bench.board, later).lanes
                assert all(lane.clock.seconds >= 0 for lane in shown)
                assert [lane.dive for lane in shown] == worked_out_anew(bench.board, later)
                phases |= {lane.phase for lane in shown}
            assert fold(bench.board.setup, bench.board.log) == bench.board
            kinds |= set(walk.taken)
    # The walks are known to try what they mean to.
    assert {"dressing", "ready", "descent", "bottom", "ascent", "stop", "undressing"} <= phases
    assert {"mark.taken", "entry.amended", "entry.withdrawn", "depth.read", "nut.marked"} <= kinds
    assert {"earlier.stated", "card.opened"} <= kinds
