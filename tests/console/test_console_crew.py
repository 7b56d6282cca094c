"""Who is here: everybody has an id of the own name, in whatever letters, and nobody another person's."""

from typing import TYPE_CHECKING

import pytest

from station.console.dialogs.form import Form
from station.events import CrewJoined

if TYPE_CHECKING:
    from tests.console.conftest import Make, Play, Station

SIZE = (80, 24)


def why(station: "Station") -> str:
    """Return what the form says of its field."""
    assert isinstance(station.app.screen, Form), station.app.desk.said
    return str(station.app.screen.query_one(".dialog-why").render())


async def test_people_whose_names_share_no_letter_with_the_program_are_told_apart(
    make: "Make", keys: "Play"
) -> None:
    station = make("planned")
    before = len(station.watch.board.crew)
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "c", " Ελένη Νίκου", "enter", "1", "enter")
        await keys(pilot, " Νίκος Δάμου", "enter", "4", "enter", "escape")
    board = station.watch.board
    assert len(board.crew) == before + 2
    supervisors = [one.name for one in board.people("supervisor")]
    assert supervisors == ["Ines Oyelaran", "Ελένη Νίκου"]


async def test_whoever_is_here_by_another_id_changes_the_own_duties(make: "Make", keys: "Play") -> None:
    """As people are whom the station file names."""
    station = make("planned")
    stamp = station.watch.stamp("ines-oyelaran", "supervisor")
    station.watch.enter(CrewJoined(person="ada", name="Ada Brook", roles=("tender",), **stamp))
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "c", " ada brook", "enter", "4", "enter", "escape")
    crew = station.watch.board.crew
    assert crew["ada"].roles == ("diver",)
    assert "ada-brook" not in crew


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("Ines-Oyelaran", "Name: the id 'ines-oyelaran' is that of Ines Oyelaran; "),
        ("...", "Name: a name has a letter or a digit"),
    ],
)
async def test_a_name_that_tells_nobody_apart_is_told_at_its_field(
    make: "Make", keys: "Play", typed: str, said: str
) -> None:
    station = make("planned")
    head = station.watch.head
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "c", f" {typed}", "enter")
        assert why(station).startswith(said)
        await keys(pilot, "escape")
    assert station.watch.head == head
