"""Marks at random, failures, exchanges and undo: what counts at the end is read as a list of times.

The rules of that reading stand here by hand. Common practice, no source.
"""

import random
from contextlib import suppress
from typing import TYPE_CHECKING, get_args

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from station.errors import Refusal
from station.events import NutState
from station.outfit import (
    Outfit,
    OutfitEvent,
    Progress,
    apply,
    check_withdrawal,
    holds,
    next_steps,
    open_for_dive,
    ready,
    refold,
    ring,
    sections,
)

if TYPE_CHECKING:
    from tests.outfit.conftest import Lane

Act = tuple[str, str, int]

LOWER = {3: 2, 11: 12, 5: 6, 9: 8}
PLAIN = {2, 3, 5, 6, 8, 9, 11, 12}
ALL = set(range(1, 13))
LONG = 12
SEEDS = st.integers(0, 2**32 - 1)
QUICK = settings(deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])


@settings(QUICK, max_examples=8)
@given(seed=SEEDS)
def test_shuffled_marks_never_get_past_an_open_nut(
    deep_sea: Outfit, new_lane: type["Lane"], seed: int
) -> None:
    shuffled_marks(new_lane(deep_sea), seed)


@pytest.mark.soak
@settings(QUICK, max_examples=25)
@given(seed=SEEDS)
def test_shuffled_marks_many_times_over(deep_sea: Outfit, new_lane: type["Lane"], seed: int) -> None:
    shuffled_marks(new_lane(deep_sea), seed)


def shuffled_marks(lane: "Lane", seed: int) -> None:
    """Mark wholly at random over an inspected outfit, pass after pass, then read it as a list of times."""
    deep_sea = lane.outfit
    lane.inspect()
    chance = random.Random(seed)  # noqa: S311 - a game of chance, no secret
    acts: list[Act] = [("step", step.id, 0) for step in deep_sea.steps.values() if not step.nuts]
    acts += [("nut", state, stud) for state in get_args(NutState) for stud in ALL]
    order: list[Act] = []
    for _ in range(40):
        chance.shuffle(acts)
        order += [act for act in acts if lane.takes(lane.act(*act))]
    audit(order)


def audit(order: list[Act]) -> None:
    """Read accepted marks as a list of times: the rules of the ring and of the weights, one by one."""
    at = {act: place for place, act in reversed(list(enumerate(order)))}
    again = {act: place for place, act in enumerate(order)}
    on, tight, tried = (
        {stud: at[("nut", state, stud)] for stud in ALL if ("nut", state, stud) in at}
        for state in ("hand_tight", "wrenched", "tried")
    )
    steps = {name: place for (kind, name, _), place in at.items() if kind == "step"}
    if tight:
        assert len(on) == 12
        assert max(on.values()) < min(tight.values())
    for upper, lower in LOWER.items():
        if upper in tight:
            assert tight[lower] < tight[upper]
    if 4 in tight and 10 in tight:
        assert abs(tight[4] - tight[10]) == 1
        assert max(tight[stud] for stud in PLAIN) < tight[1] < tight[7] < min(tight[4], tight[10])
    if tried:
        assert len(tight) == 12
        assert max(tight.values()) < min(tried.values())
    if "belt-on" in steps:
        assert len(tried) == 12
        assert max(tried.values()) < at[("nut", "off", LONG)] < steps["belt-on"]
    if "ready-to-dive" in steps:
        back = at[("nut", "back_on", LONG)]
        assert at[("nut", "off", LONG)] < back < again[("nut", "wrenched", LONG)] < steps["ready-to-dive"]
        assert steps["diver-ready"] < steps["faceplate-closed"] < steps["ready-to-dive"]


def marks_in_force(outfit: Outfit, progress: Progress, events: list[OutfitEvent]) -> list[Act]:
    """Return the steps and nuts that count at the end, in the order they were marked."""
    place = {event.id: number for number, event in enumerate(events)}
    found = [(place[mark.entry], ("step", name, 0)) for name, mark in progress.done.items()]
    for (name, stud), mark in progress.nuts.items():
        nuts = outfit.steps[name].nuts
        assert nuts is not None
        found.append((place[mark.entry], ("nut", nuts.mark, stud)))
    return [act for _, act in sorted(found)]


def mishap(lane: "Lane", chance: random.Random, count: int) -> None:
    """Fail an item, exchange a piece, or withdraw an entry, whichever is allowed."""
    which = chance.random()
    if which < 0.4:
        lane.takes(lane.item(chance.choice(list(lane.outfit.items)), passed=False))
    elif which < 0.6:
        lane.takes(lane.drawn(chance.choice(list(lane.outfit.pieces)), f"n{count}"))
    elif lane.events:
        target = chance.choice(lane.events[-15:])
        facts = lane.facts_for(lane.step("ready-to-dive"))
        with suppress(Refusal):
            check_withdrawal(lane.outfit, lane.events, target.id, facts)
            lane.withdraw(target)


@settings(QUICK, max_examples=5)
@given(seed=SEEDS)
def test_mishaps_and_undo_never_open_another_way(deep_sea: Outfit, new_lane: type["Lane"], seed: int) -> None:
    mishaps_and_undo(new_lane(deep_sea), seed)


@pytest.mark.soak
@settings(QUICK, max_examples=15)
@given(seed=SEEDS)
def test_mishaps_and_undo_many_times_over(deep_sea: Outfit, new_lane: type["Lane"], seed: int) -> None:
    mishaps_and_undo(new_lane(deep_sea), seed)


def mishaps_and_undo(lane: "Lane", seed: int) -> None:
    """Whatever fails, is exchanged or taken back: what counts at the end is in the trade's order."""
    outfit = lane.outfit
    chance = random.Random(seed)  # noqa: S311 - a game of chance, no secret
    for count in range(2000):
        if ready(outfit, lane.progress):
            break
        if chance.random() < (0.04 if count < 600 else 0.0):
            mishap(lane, chance, count)
            continue
        rows = [row for row in next_steps(outfit, lane.progress, lane.facts) if row.state != "optional"]
        assert rows, "stuck short of ready"
        row = chance.choice(rows)
        if row.kind == "nuts":
            nuts = outfit.steps[row.id].nuts
            assert nuts is not None
            assert any(lane.takes(lane.nut(stud, nuts.mark)) for stud in nuts.studs)
        else:
            kind = {"piece": "draw", "item": "pass", "step": "step"}[row.kind]
            event = lane.drawn(row.id, f"n{count}") if kind == "draw" else lane.act(kind, row.id)
            assert lane.takes(event), row
    assert ready(outfit, lane.progress)
    audit(marks_in_force(outfit, lane.progress, lane.events))
    assert set(outfit.items) == {name for name, looked in lane.progress.looked.items() if looked.passed}
    aside = {(one.piece, one.number) for one in lane.progress.set_aside}
    assert not aside & {(piece, drawn.number) for piece, drawn in lane.progress.drawn.items()}
    lines = open_for_dive(outfit, lane.progress, lane.facts)
    assert all("under water" in line or "bubbles" in line or "Telephone once" in line for line in lines)


@settings(QUICK, max_examples=20)
@given(seed=SEEDS)
def test_folding_and_showing_take_whatever_a_journal_holds(
    deep_sea: Outfit, new_lane: type["Lane"], seed: int
) -> None:
    """Entries in any order, unknown names among them: no error, and never ready to dive by accident."""
    lane = new_lane(deep_sea)
    chance = random.Random(seed)  # noqa: S311 - a game of chance, no secret
    events: list[OutfitEvent] = [
        lane.drawn("knife"),
        lane.item("knife"),
        lane.step("knife"),
        lane.release("x"),
    ]
    events += [lane.drawn(piece) for piece in deep_sea.pieces]
    events += [lane.item(item, passed=chance.random() < 0.8) for item in deep_sea.items]
    events += [lane.step(step) for step in deep_sea.steps]
    events += [lane.nut(stud, state) for stud in (*ALL, 99) for state in get_args(NutState)]
    events += [lane.release(hold) for hold in deep_sea.holds]
    chance.shuffle(events)
    progress = Progress()
    for event in events:
        progress = apply(deep_sea, progress, event)
        assert not ready(deep_sea, progress)
    assert progress == refold(deep_sea, events)
    assert sections(deep_sea, progress, lane.facts)
    assert len(ring(deep_sea, progress, lane.facts)) == 12
    assert len(holds(deep_sea, progress, lane.facts)) == len(deep_sea.holds)
    assert open_for_dive(deep_sea, progress, lane.facts)
