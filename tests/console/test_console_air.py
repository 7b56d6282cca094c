"""The air by keyboard: readings in two keys and a figure, sources, tests and samples from one menu."""

from datetime import date
from typing import TYPE_CHECKING, Any

import pytest
from textual.widgets import Static

from station.console.dialogs.form import Form
from station.console.dialogs.panel import Panel
from station.console.panes.paint import Paint

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from station.events import Event
    from tests.console.conftest import Make, Play, Station

SMALL, WIDE = (80, 24), (120, 40)
Case = tuple[tuple[str, ...], str, dict[str, Any]]
MENU = "left_curly_bracket"


def last(station: "Station") -> "Event":
    return station.watch.entries[-1].event


def panel(station: "Station") -> str:
    assert isinstance(station.app.screen, Panel), station.app.desk.said
    return "\n".join(str(one.render()) for one in station.app.screen.query(Static))


READINGS: list[tuple[tuple[str, ...], str, float]] = [
    (("p", "m", " 145", "enter"), "manifold", 145),
    (("P", "M", " 143", "enter"), "manifold", 143),
    (("p", "enter", " 142", "enter"), "manifold", 142),
    (("p", "b", *"2840", "enter"), "bank-2", 2840),
    (("f8", "C", " 2990", "enter"), "bank-3", 2990),
    (("p", "4", "9", "x", "m", " 141", "enter"), "manifold", 141),
]
"""The last: a key that is no gauge's chooses none."""


async def test_a_pressure_is_two_keys_its_figure_and_enter(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=SMALL) as pilot:
        for pressed, source, psig in READINGS:
            head = station.watch.head
            await keys(pilot, *pressed)
            found = last(station).model_dump()
            assert station.watch.head == head + 1, station.app.desk.said
            assert (found["source"], found["pressure_psig"]) == (source, psig), pressed
            assert found["by"] == "tam-belcourt"


@pytest.mark.parametrize("typed", ["150", "2400", "05", "9 bar", "1"])
async def test_a_figure_typed_before_its_gauge_enters_nothing_and_is_said(
    make: "Make", keys: "Play", typed: str
) -> None:
    """No digit may choose a gauge: of 150 typed at once, 50 psig would stand on the journal for a bank."""
    station = make("bottom")
    async with station.app.run_test(size=SMALL) as pilot:
        head = station.watch.head
        await keys(pilot, "p", *("space" if one == " " else one for one in typed.replace("bar", "")), "enter")
        form = station.app.screen
        assert isinstance(form, Form)
        why = str(form.query_one(".dialog-why", Static).render())
        assert f"'{typed.replace('bar', '')}' is none of the keys above" in why
        assert form.values == {"gauge": "manifold", "pressure": ""}
        await keys(pilot, *"m150", "enter")
        assert station.watch.head == head + 1
    found = last(station).model_dump()
    assert (found["source"], found["pressure_psig"]) == ("manifold", 150)


CASES: list[Case] = [
    ((MENU, "1"), "supply.changed_over", {"source": "bank-2", "by": "tam-belcourt"}),
    ((MENU, "2"), "source.lost", {"source": "bank-1", "reason": None}),
    (("ctrl+v", "3", "2"), "supply.changed_over", {"source": "bank-3"}),
    (
        (MENU, "4", "right", "enter", " frozen", "enter"),
        "source.lost",
        {"source": "bank-2", "reason": "frozen"},
    ),
    (
        (MENU, "2", MENU, "5", "enter", " valve freed", "enter"),
        "source.restored",
        {"source": "bank-1", "reason": "valve freed", "by": "ines-oyelaran", "seat": "supervisor"},
    ),
    ((MENU, "6", "2"), "bank.filled", {"source": "bank-2"}),
    (
        (MENU, "7", "enter", "enter", "right", "enter", " leaks", "enter"),
        "test.done",
        {"test": "hose-1-test", "on": date(2031, 5, 4), "passed": False, "result": "leaks"},
    ),
    (
        (MENU, "8", "enter", " 2031-05-01", "enter", " 20.9", *("enter", " 1") * 3, "enter", "enter"),
        "sample.taken",
        {"on": date(2031, 5, 1), "oxygen_percent": 20.9, "oil_mg_m3": 1.0, "odour": False},
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case[1]} {' '.join(case[0][:3])}")
async def test_the_air_is_entered_by_few_keys(make: "Make", keys: "Play", case: Case) -> None:
    pressed, kind, fields = case
    station = make("bottom")
    async with station.app.run_test(size=SMALL) as pilot:
        await keys(pilot, *pressed)
        assert len(station.app.screen_stack) == 1, "a dialog is still open"
    assert last(station).kind == kind, station.app.desk.said
    found = last(station).model_dump()
    assert {name: found[name] for name in fields} == fields
    assert station.app.desk.said.startswith("TAKEN")


async def test_a_lost_source_keeps_the_time_of_its_key_and_its_answer_is_offered_first(
    make: "Make", keys: "Play"
) -> None:
    station = make("bottom")
    async with station.app.run_test(size=SMALL) as pilot:
        pressed = station.clock.now()
        await keys(pilot, MENU)
        station.clock.advance(7)
        await keys(pilot, "2")
        assert last(station).at == pressed
        await keys(pilot, MENU, "1")
        assert last(station).model_dump()["source"] == "bank-2", "the one the alarm names, not the one after"
        await keys(pilot, MENU, "1")
        assert last(station).model_dump()["source"] == "bank-3"


@pytest.mark.parametrize(
    ("pressed", "words"),
    [
        ((MENU, "5"), "no source is lost"),
        ((MENU, "2") * 4, "every source is lost already"),
        ((*(MENU, "2") * 3, MENU, "1"), "no source is left to change over to"),
        ((MENU, "7", "enter", " 2031-06-01", "enter", "enter", "enter"), "still to come"),
    ],
)
async def test_what_the_rules_refuse_is_shown_and_changes_nothing(
    make: "Make", keys: "Play", pressed: tuple[str, ...], words: str
) -> None:
    station = make("bottom")
    async with station.app.run_test(size=SMALL) as pilot:
        await keys(pilot, *pressed[:-1])
        head = station.watch.head
        await keys(pilot, pressed[-1])
        assert words in panel(station)
        assert station.watch.head == head


async def test_a_pressure_against_the_trend_is_entered_only_when_it_is_so(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=SMALL) as pilot:
        head = station.watch.head
        await keys(pilot, "p", "a", " 1725", "enter")
        assert "READ IT ONCE MORE" in panel(station)
        await keys(pilot, "escape")
        assert (station.watch.head, len(station.app.screen_stack)) == (head, 1)
        assert "nothing entered" in station.app.desk.said
        await keys(pilot, "p", "a", " 1725", "enter", "enter")
        assert last(station).model_dump()["pressure_psig"] == 1725
        assert station.watch.head == head + 1


def rows(pilot: "Pilot[int]") -> list[str]:
    """Return the rows of the air pane that are in sight."""
    app = pilot.app
    pane, first = app.query_one("#supply"), app.query_one("#supply-first", Paint)
    scroll, text = app.query_one("#supply-scroll"), app.query_one("#supply-text", Static)
    assert first.size.height == len(first.shown.splitlines())
    assert scroll.region.bottom <= pane.region.bottom
    below = str(text.render()).splitlines()
    begin = int(scroll.scroll_y)
    return [*first.shown.splitlines(), *below[begin : begin + scroll.size.height]]


async def test_the_pane_on_a_small_screen_keeps_turn_and_manifold_while_it_scrolls(
    make: "Make", keys: "Play"
) -> None:
    station = make("bottom")
    async with station.app.run_test(size=SMALL) as pilot:
        await keys(pilot, "a")
        seen = rows(pilot)
        assert seen[0].startswith(
            "TURN lane 1 08:05:00: leave by 35 min: the schedule ends first; air to 119"
        )
        assert [row[:8] for row in seen[2:6]] == ["m  Manif", "a> Bank ", "b  Bank ", "c  Bank "]
        assert any(row.startswith("leave now: covered") for row in seen)
        assert any(row.startswith("without the primary: covered") for row in seen)
        assert "a, Up/Down: more" in pilot.app.query_one("#supply-head", Paint).shown
        await keys(pilot, "end")
        seen = rows(pilot)
        assert seen[0].startswith("TURN lane 1")
        assert seen[2].startswith("m  Manifold")
        assert "Test of the pneumofathometer gauges" in "\n".join(seen)


async def test_the_page_on_a_wide_screen_shows_the_history_too(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=WIDE) as pilot:
        await keys(pilot, "a")
        seen = "\n".join(rows(pilot))
        assert all(
            words in seen for words in ("TURN lane 1", "Manifold", "Bank 3", "leave now", "as planned")
        )
        assert "BANKS over time, psig" in seen
        assert "change-over in" in seen
