"""Random orders of marks: none but an order of the trade ever reaches ready to dive.

The order is written down here a second time, by hand and without a look at the outfit file or the engine.
Common practice, no source.
"""

import random
from collections.abc import Callable
from typing import TYPE_CHECKING, get_args

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from station.events import NutState
from station.outfit import Outfit, next_steps, ready, refold

if TYPE_CHECKING:
    from tests.outfit.conftest import Lane

Act = tuple[str, str, int]
"""draw PIECE, pass ITEM, step STEP, or the state of a nut and its stud."""

STRAPS = ("strap-front-right", "strap-rear-right", "strap-rear-left", "strap-front-left")
PIECE_OF = {
    "dress": ("dress-fabric", "dress-collar", "dress-lacings"),
    "helmet": (
        "matched-numbers",
        "helmet-fit",
        "ports-sound",
        "ports-clean",
        "faceplate",
        "goosenecks",
        "exhaust-valve",
        "spitcock",
    ),
    "breastplate": ("studs-firm", "lanyards", "leather-gasket"),
    "strap-front-right": ("strap-fit-front-right",),
    "strap-rear-right": ("strap-fit-rear-right",),
    "strap-rear-left": ("strap-fit-rear-left",),
    "strap-front-left": ("strap-fit-front-left",),
    "wing-nuts": ("nut-threads", "nut-flanges"),
    "air-control-valve": ("air-control-valve-sound",),
    "non-return-valve": ("non-return-valve-test", "non-return-valve-refitted"),
    "belt": ("belt-sound", "belt-load-test"),
    "wrist-straps": ("wrist-straps-sound",),
    "shoes": ("shoes-sound",),
    "air-hose": (),
    "lifeline": (),
}
TRIED_ON_BREASTPLATE = {
    "matched-numbers",
    "helmet-fit",
    "nut-threads",
    "strap-fit-front-right",
    "strap-fit-rear-right",
    "strap-fit-rear-left",
    "strap-fit-front-left",
}
STEP_NEEDS = {
    "air-hose-connected": ("goosenecks", "air-control-valve-sound", "non-return-valve-refitted", "air-hose"),
    "lifeline-connected": ("goosenecks", "lifeline"),
    "air-heard": ("air-hose-connected", "lifeline-connected"),
    "underwear": ("all inspected", "air-heard"),
    "dress-on": ("underwear",),
    "leg-lacings": ("dress-on",),
    "shoes-on": ("leg-lacings",),
    "shoulder-cushion": ("dress-on", "no breastplate yet"),
    "breastplate-on": ("shoes-on",),
    "collar-on": ("breastplate-on",),
    "washers": ("collar-on",),
    "straps-on": ("washers",),
    "belt-on": ("12 tried", "long stud bare"),
    "belt-fastened": ("belt-on",),
    "jocking-strap": ("belt-fastened",),
    "wrist-straps-on": ("dress-on",),
    "helmet-on": ("jocking-strap", "wrist-straps-on"),
    "latch": ("helmet-on",),
    "control-valve-on": ("latch",),
    "control-valve-checked": ("long stud tight again",),
    "hose-lashed": ("control-valve-checked",),
    "lifeline-lashed": ("latch",),
    "telephone-check": ("lifeline-lashed",),
    "exhaust-valve-set": ("telephone-check",),
    "air-on": ("exhaust-valve-set", "hose-lashed"),
    "diver-ready": ("exhaust-valve-set", "hose-lashed", "air-on"),
    "faceplate-closed": ("diver-ready",),
    "ready-to-dive": ("faceplate-closed", "long stud tight again"),
    "ladder-valve": ("ready-to-dive",),
    "ladder-no-leak": ("ladder-valve",),
    "ladder-telephone": ("ladder-valve",),
}
LOWER = {3: 2, 11: 12, 5: 6, 9: 8}
PLAIN = {2, 3, 5, 6, 8, 9, 11, 12}
ALL = set(range(1, 13))
LONG = 12
ITEMS = tuple(item for items in PIECE_OF.values() for item in items)
ACTS: tuple[Act, ...] = (
    *(("draw", piece, 0) for piece in PIECE_OF),
    *(("pass", item, 0) for item in ITEMS),
    *(("step", step, 0) for step in STEP_NEEDS),
    *(("nut", state, stud) for state in get_args(NutState) for stud in ALL),
)


class ByHand:
    """What the trade allows, kept in sets, for a lane in which nothing fails."""

    def __init__(self) -> None:
        self.have: set[str] = set()
        self.on: set[int] = set()
        self.tight: set[int] = set()
        self.tried: set[int] = set()
        self.long_stud = "untouched"

    def facts(self) -> set[str]:
        facts = set(self.have)
        if set(ITEMS) <= self.have and set(PIECE_OF) <= self.have:
            facts.add("all inspected")
        if "breastplate-on" not in self.have:
            facts.add("no breastplate yet")
        if self.tried == ALL:
            facts.add("12 tried")
        if self.long_stud != "untouched":
            facts.add("long stud bare")
        if self.long_stud == "tight":
            facts.add("long stud tight again")
        return facts

    def allows(self, act: Act) -> bool:
        kind, name, stud = act
        half = self.tight & {4, 10}
        if len(half) == 1:
            return act == ("nut", "wrenched", 14 - half.pop())
        if kind == "nut":
            return self.allows_nut(name, stud)
        if name in self.have:
            return False
        if kind == "draw":
            return True
        return all(need in self.facts() for need in (STEP_NEEDS[name] if kind == "step" else self.item(name)))

    def item(self, name: str) -> tuple[str, ...]:
        pieces = next(piece for piece, items in PIECE_OF.items() if name in items)
        needs = [pieces]
        if name in TRIED_ON_BREASTPLATE:
            needs.append("breastplate")
        if name == "matched-numbers":
            needs += STRAPS
        if name == "non-return-valve-refitted":
            needs += ["non-return-valve-test", "goosenecks", "helmet"]
        return tuple(needs)

    def allows_nut(self, state: str, stud: int) -> bool:
        if state == "hand_tight":
            return "straps-on" in self.have and stud not in self.on
        if state == "wrenched" and stud not in self.tight:
            return self.on == ALL and self.turn_of(stud)
        if state == "tried":
            return self.tight == ALL and stud not in self.tried
        if stud != LONG or self.tried != ALL:
            return False
        return (state, self.long_stud) in {("off", "untouched"), ("wrenched", "on")} or (
            (state, self.long_stud) == ("back_on", "off") and "control-valve-on" in self.have
        )

    def turn_of(self, stud: int) -> bool:
        if stud in PLAIN:
            return stud not in LOWER or LOWER[stud] in self.tight
        if not self.tight >= PLAIN:
            return False
        if stud in {4, 10}:
            return {1, 7} <= self.tight
        return stud == 1 or 1 in self.tight

    def take(self, act: Act) -> None:
        kind, name, stud = act
        if kind != "nut":
            self.have.add(name)
        elif name == "hand_tight":
            self.on.add(stud)
        elif name == "tried":
            self.tried.add(stud)
        elif name == "wrenched" and stud not in self.tight:
            self.tight.add(stud)
        else:
            self.long_stud = {"off": "off", "back_on": "on", "wrenched": "tight"}[name]


def walk(lane: "Lane", seed: int, wild: float, look: Callable[[ByHand], None]) -> ByHand:
    """Dress a diver by marks that are wild or right by chance; engine and hand must agree on each."""
    chance, hand = random.Random(seed), ByHand()  # noqa: S311 - a game of chance, no secret
    while "ready-to-dive" not in hand.have:
        right = [act for act in ACTS if hand.allows(act)]
        act = chance.choice(ACTS if chance.random() < wild else right)
        assert lane.takes(lane.act(*act)) == hand.allows(act), act
        if hand.allows(act):
            hand.take(act)
        assert ready(lane.outfit, lane.progress) == ("ready-to-dive" in hand.have)
        look(hand)
    return hand


SEEDS = st.integers(0, 2**32 - 1)
QUICK = settings(deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])


@settings(QUICK, max_examples=25)
@given(seed=SEEDS, wild=st.sampled_from([0.0, 0.3, 0.7]))
def test_only_an_order_of_the_trade_reaches_ready(
    deep_sea: Outfit, new_lane: type["Lane"], seed: int, wild: float
) -> None:
    lane = new_lane(deep_sea)

    def never_stuck(_: ByHand) -> None:
        if not ready(lane.outfit, lane.progress):
            rows = next_steps(lane.outfit, lane.progress, lane.facts)
            assert any(row.state in {"open", "failed"} for row in rows)

    calls = 0

    def sometimes(hand: ByHand) -> None:
        nonlocal calls
        calls += 1
        if calls % 10 == 0:
            never_stuck(hand)

    walk(lane, seed, wild, sometimes)
    assert lane.progress == refold(lane.outfit, lane.events)


@settings(QUICK, max_examples=3)
@given(seed=SEEDS)
def test_in_every_state_every_mark_is_judged_as_by_hand(
    deep_sea: Outfit, new_lane: type["Lane"], seed: int
) -> None:
    """Not just the mark tried: all of them, and the rows on the screen say the same."""
    lane = new_lane(deep_sea)

    def judge(hand: ByHand) -> None:
        rows = {row.id for row in next_steps(lane.outfit, lane.progress, lane.facts) if row.kind != "nuts"}
        kept = lane.progress, list(lane.events)
        for act in ACTS:
            allowed = hand.allows(act)
            assert lane.takes(lane.act(*act)) == allowed, act
            lane.progress, lane.events = kept[0], list(kept[1])
            assert act[0] == "nut" or (act[1] in rows) == allowed, act

    walk(lane, seed, 0.0, judge)


def test_the_hand_written_order_speaks_of_the_same_outfit(deep_sea: Outfit) -> None:
    """Otherwise the comparison would compare two half orders."""
    assert set(PIECE_OF) == set(deep_sea.pieces)
    assert set(ITEMS) == set(deep_sea.items)
    steps = {step.id for step in deep_sea.steps.values() if not step.nuts and step.section != "undressing"}
    assert set(STEP_NEEDS) == steps


@pytest.mark.parametrize("left_out", sorted(ALL))
def test_belt_is_refused_and_names_the_one_untried_nut(lane: "Lane", left_out: int) -> None:
    lane.inspect()
    lane.dress("nuts-tried")
    for stud in ALL - {left_out}:
        lane.enter(lane.nut(stud, "tried"))
    assert lane.refusal(lane.step("belt-on")).missing[0] == f"nut not yet tried: {left_out}"
