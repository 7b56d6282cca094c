"""Duties and gaps at the desk: lists to tick, words for what is missing, sickness, the observation shown."""

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest
from textual.widgets import Static

from station.console.words_ascent import afterwards, observed_words
from station.law.after import Observed, ObservedNow

if TYPE_CHECKING:
    from tests.console.conftest import Make, Play, Station

SIZE = (80, 24)


def shown(station: "Station") -> str:
    return "\n".join(str(one.render()) for one in station.app.screen.query(Static))


CASES: list[tuple[str, tuple[str, ...], str, dict[str, Any]]] = [
    (
        "lane",
        ("less_than_sign", "1", "1", "3", "enter", "5", "enter"),
        "planning.checked",
        {"items": ("mode", "gas", "first-aid"), "by": "ines-oyelaran"},
    ),
    (
        "lane",
        ("right_curly_bracket", "2", "1", "enter", "5", "enter"),
        "briefing.done",
        {"items": ("tasks",), "people": ("jona-strand",)},
    ),
    (
        "undressing",
        ("less_than_sign", "3", "4", "5", "enter"),
        "diver.told",
        {"items": ("flying", "observed")},
    ),
    ("to close", ("less_than_sign", "4", " well", "enter"), "observation.ended", {"text": "well"}),
    (
        "to close",
        ("less_than_sign", "5", " itch", "enter", " 08:36:00", "enter", " 0", "enter"),
        "sickness.suspected",
        {"symptoms": "itch", "onset_fsw": 0.0},
    ),
    (
        "to close",
        ("less_than_sign", "6", " oxygen", "enter", " better", "enter"),
        "sickness.treated",
        {"treatment": "oxygen", "results": "better"},
    ),
    (
        "to close",
        ("less_than_sign", "7", "right", "enter", " fell", "enter"),
        "casualty.noted",
        {"what": "death", "circumstances": "fell"},
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case[2])
async def test_each_list_and_entry_is_made_by_keys(make: "Make", keys: "Play", case: Any) -> None:
    until, pressed, kind, fields = case
    station = make(until)
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, *pressed)
        assert len(station.app.screen_stack) == 1, shown(station)
    event = station.watch.entries[-1].event
    assert event.kind == kind
    assert {name: getattr(event, name) for name in fields} == fields


async def test_a_list_without_a_tick_enters_nothing(make: "Make", keys: "Play") -> None:
    station = make("lane")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "less_than_sign", "1", "enter", "enter")
        assert "nothing ticked, nothing entered" in station.app.desk.said
    assert station.kinds(1) == ["dive.planned"]


async def test_noted_items_are_not_asked_for_again(make: "Make", keys: "Play") -> None:
    station = make("lane")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "less_than_sign", "1", "1", "enter", "enter", "less_than_sign")
        assert "Planning: what was gone through (10 not noted)" in listed(station)
        await keys(pilot, "1")
        assert "diving mode" not in shown(station)


def listed(station: "Station") -> str:
    from textual.widgets import OptionList  # noqa: PLC0415 - only here

    options = station.app.screen.query_one(OptionList).options
    return "\n".join(str(one.prompt) for one in options)


def unnamed(station: "Station") -> "Station":
    """Let the operation be at a place that nobody named."""
    board = station.watch.board
    assert board.opened is not None
    opened = board.opened.model_copy(update={"place": "not yet named"})
    station.watch.board = replace(board, opened=opened)
    return station


async def test_closing_asks_for_words_on_every_gap_first(make: "Make", keys: "Play") -> None:
    station = unnamed(make("to close"))
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "z")
        assert "MISSING ON THE RECORD of lane 1: date, time and location" in shown(station)
        assert "29 CFR 1910.423(d)(1)(ii) asks for it." in shown(station)
        await keys(pilot, " north steps", "enter")
        assert "Condition of the diver after the dive" in shown(station)
        await keys(pilot, " Well", "enter", "enter")
    assert station.kinds(2) == ["gap.explained", "dive.closed"]


async def test_a_gap_that_is_left_leaves_the_dive_open(make: "Make", keys: "Play") -> None:
    station = unnamed(make("to close"))
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "z", "escape")
        assert len(station.app.screen_stack) == 1
    assert not station.watch.board.lanes[1].closed


async def test_what_the_record_lacks_is_listed_and_explained(make: "Make", keys: "Play") -> None:
    station = unnamed(make("to close"))
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "less_than_sign", "8", " north steps", "enter")
        assert "nothing is missing on the record without words" in station.app.desk.said
    assert station.kinds(1) == ["gap.explained"]


async def test_under_water_it_is_only_listed(make: "Make", keys: "Play") -> None:
    station = unnamed(make("bottom"))
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "less_than_sign", "8")
        assert "NOT YET ON THE RECORD" in shown(station)
        assert "date, time and location: station.place (29 CFR 1910.423(d)(1)(ii))" in shown(station)


def test_the_observation_is_shown_after_surfacing(make: "Make") -> None:
    from station.board.figures import figures  # noqa: PLC0415 - only here

    station = make("closed")
    (lane,) = figures(station.watch.board, station.clock.now()).lanes
    found = dict(afterwards(lane))
    assert found["OBSERVED"] == (
        "45:35 left, until 09:34:20: awake, near the chamber at the dive location (29 CFR 1910.423(b)(2))"
    )
    assert list(found).index("OBSERVED") < list(found).index("FLYING")


def test_the_observation_in_words_at_its_ends(make: "Make") -> None:
    now = make("closed").clock.now()
    rule = Observed(60, "awake", "29 CFR x", "read")
    assert observed_words(ObservedNow(rule, None, None, None)) == (
        "60 min from leaving the chamber: awake (29 CFR x)"
    )
    assert observed_words(ObservedNow(rule, now, now, 0)) == (
        "the 60 min ran out at 08:48:45: awake (29 CFR x)"
    )
