"""A dialog that was left loses nothing: what was typed stays on offer until it is entered itself."""

from typing import TYPE_CHECKING

from textual.widgets import Static

from station.console.dialogs.form import Form
from station.moments import clock_time

if TYPE_CHECKING:
    from tests.console.conftest import Make, Play, Station

SIZE = (80, 24)


def offered(station: "Station") -> dict[str, str]:
    assert isinstance(station.app.screen, Form), station.app.desk.said
    return station.app.screen.values


async def test_what_was_typed_outlives_entries_made_in_between(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "i", " Hose kinked", "escape", "v", "1", "f9", "d", " 80", "enter", "enter")
        await keys(pilot, "escape", "i")
        assert offered(station) == {"text": "Hose kinked"}
        await keys(pilot, "enter", "i")
        assert offered(station) == {"text": ""}
    assert "incident.noted" in station.kinds(1)


async def test_what_was_entered_is_not_offered_again_though_a_mark_was_taken_under_its_question(
    make: "Make", keys: "Play"
) -> None:
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "d", " 10", "enter", "f9", "enter")
        assert sorted(station.kinds(2)) == ["depth.read", "mark.taken"]
        await keys(pilot, "d")
        assert offered(station) == {"depth": ""}


async def test_a_reading_that_was_left_is_offered_with_its_time(make: "Make", keys: "Play") -> None:
    """It is selected, and Enter alone would enter it with the time of now."""
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "d")
        assert said(station) == ""
        await keys(pilot, "escape", "d")
        assert said(station) == ""
        await keys(pilot, " 80", "escape")
        left = clock_time(station.clock.now())
        for _again in range(2):
            station.clock.advance(200)
            await keys(pilot, "d")
            assert offered(station) == {"depth": "80"}
            assert said(station) == f"kept from {left}, not entered yet"
            await keys(pilot, "escape")


def said(station: "Station") -> str:
    return str(station.app.screen.query_one(".dialog-why", Static).render())
