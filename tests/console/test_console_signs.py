"""Every state is told apart by what is written, with every style taken away."""

from dataclasses import replace
from typing import TYPE_CHECKING, Literal, get_args

import pytest
from screen_text import screen_lines, settled

from station.board.alarms import Alarm
from station.console.panes.lines import lanes_line
from station.console.panes.ring import cell
from station.console.words import OLD, STOP_SIGNS, row_text
from station.console.words_lane import lane_head, pressure_lines
from station.console.words_supervisor import lanes_small
from station.console.words_tender import hold_lines, next_words
from station.dive.follow import StopState
from station.events import DepthRead, NutState, Priority
from station.outfit import Row, StudView
from station.outfit.views import State

if TYPE_CHECKING:
    from station.board.figures import Figures
    from tests.console.conftest import Make, Play, Station

ROW = Row("valve", "item", "Valve tried", "by hand", "open", (), markable=True)
STUD = StudView(3, "front", "right", joint=False, flanged=False, long=False, state=None, next=None)


def figures_of(station: "Station") -> "Figures":
    from station.board.figures import figures  # noqa: PLC0415 - beside the type of the same module

    return figures(station.watch.board, station.clock.now())


def apart(texts: list[str]) -> bool:
    """Whether no two texts are the same, and none is empty."""
    return all(text.strip() for text in texts) and len({text.strip() for text in texts}) == len(texts)


def test_rows_of_the_order_done_open_waiting_failed_left_out() -> None:
    assert apart([row_text(replace(ROW, state=state)) for state in get_args(State)])


def test_nobody_is_ready_to_dive_while_a_step_on_the_ladder_is_open(make: "Make") -> None:
    """The mark of left surface would be refused."""
    figures = figures_of(make("release"))
    one = replace(figures.lanes[0], phase="ready")
    assert one.open_for_dive
    assert "READY" not in next_words(one).what
    assert next_words(figures_of(make("left surface")).lanes[0]).what == "READY TO DIVE"


def test_nuts_and_the_kinds_of_stud() -> None:
    states: list[NutState | None] = [None, *get_args(NutState)]
    assert apart([cell(replace(STUD, state=state)) for state in states])
    kinds = [STUD, replace(STUD, joint=True), replace(STUD, long=True), replace(STUD, next="wrenched")]
    assert apart([cell(stud) for stud in kinds])


def test_stops() -> None:
    assert set(STOP_SIGNS) == set(get_args(StopState))
    assert apart(list(STOP_SIGNS.values()))


def test_priorities_of_alarms() -> None:
    assert apart([Alarm(priority, "key", "words").text for priority in get_args(Priority)])


def test_the_lane_in_hand(make: "Make") -> None:
    station = make("bottom")
    board, now = station.watch.board, figures_of(station)
    one = now.lanes[0]
    heads = [lane_head(board, one, in_hand=here).plain for here in (True, False)]
    tabs = [lanes_line(board, now, lane).plain for lane in (1, 2)]
    small = [[line.plain for line in lanes_small(board, now, lane, 60, 30)][1] for lane in (1, 2)]
    assert all(apart(texts) for texts in (heads, tabs, small))


def test_holds_standing_and_met(make: "Make") -> None:
    station = make("nuts")
    board, one = station.watch.board, figures_of(station).lanes[0]
    states: list[Literal["standing", "released", "met"]] = ["standing", "released", "met"]
    lanes = [
        replace(one, holds=(replace(one.holds[0], state=state, reason="by word"),), parts=())
        for state in states
    ]
    assert apart([hold_lines(board, lane)[0].plain for lane in lanes])


def test_old_readings(make: "Make") -> None:
    """The same pressure, fresh and old."""
    station = make("planned")
    board, now = station.watch.board, figures_of(station)
    gauge = replace(now.supply.manifold, pressure_psig=150.0, age_s=60, stale=False)
    texts = [
        pressure_lines(
            board, replace(now, supply=replace(now.supply, manifold=replace(gauge, stale=stale))), 300, 1
        )[0].plain
        for stale in (False, True)
    ]
    assert apart(texts)
    assert OLD in texts[1]


@pytest.mark.parametrize("key", ["f3", "f4"])
async def test_an_old_depth_on_the_screen(make: "Make", keys: "Play", key: str) -> None:
    station = make("bottom")
    async with station.app.run_test(size=(120, 40)) as pilot:
        await keys(pilot, key)
        read = DepthRead(lane=1, reading_fsw=105, **station.watch.stamp("tam-belcourt", "timekeeper"))
        station.watch.enter(read)
        await settled(pilot)
        fresh = "\n".join(screen_lines(pilot.app))
        station.clock.advance(400)
        await settled(pilot)
        old = "\n".join(screen_lines(pilot.app))
    assert "0:00 ago" in fresh
    assert f"6:40 ago{OLD}" in old
