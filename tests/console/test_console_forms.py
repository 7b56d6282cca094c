"""Fields in any order: whoever goes back over one that is wrong is told so at it, and nothing breaks."""

from typing import TYPE_CHECKING

import pytest
from textual.widgets import Input, Static

from station.console.dialogs.fields import Field
from station.console.dialogs.form import Form

if TYPE_CHECKING:
    from tests.console.conftest import Make, Play, Station

SIZE = (80, 24)


def why(station: "Station") -> str:
    assert isinstance(station.app.screen, Form), station.app.desk.said
    return str(station.app.screen.query_one(".dialog-why", Static).render())


def field(station: "Station") -> str:
    """Return the name of the field that is in hand."""
    focus = station.app.focused
    assert isinstance(focus, Input)
    return str(focus.id)


WRONG = ("b", "right", "enter", "enter", " 60", "enter", " abc")
"""A dive to begin, the cursor in the minutes, which are none."""


async def test_a_rule_is_not_asked_of_what_is_wrong_further_down(make: "Make", keys: "Play") -> None:
    station = make("planned")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, *WRONG, "up", "enter")
        assert (field(station), why(station)) == ("field-minutes", "")
        await keys(pilot, "enter")
        assert why(station) == "Planned bottom time, min: write whole minutes, such as 35"
        await keys(pilot, "ctrl+u", " 20", "enter", " Look", "enter")
    assert station.kinds(1) == ["dive.planned"]


def broken(_text: str) -> str | None:
    raise ZeroDivisionError("nobody foresaw this")


async def test_a_check_that_breaks_is_said_and_the_screen_stays(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot)
        await station.app.push_screen(Form("Form", [Field("words", "Words", check=broken)]))
        await keys(pilot, " x", "enter")
        assert why(station) == "Words: unforeseen fault: ZeroDivisionError: nobody foresaw this"
        await keys(pilot, "escape", "f9")
    assert station.kinds(1) == ["mark.taken"]


@pytest.mark.parametrize("arrived", ["yesterday", ""])
async def test_nor_of_what_is_wrong_further_up_until_the_end(
    make: "Make", keys: "Play", arrived: str
) -> None:
    station = make("lane", altitude_ft=5200)
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "semicolon", "3", "ctrl+u", f" {arrived}", "down", "enter")
        assert field(station) == "field-arrived"
        assert why(station).startswith("Arrived, YYYY-MM-DD HH:MM UTC: ")
