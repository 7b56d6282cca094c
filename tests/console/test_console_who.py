"""The line that says who acts: on no screen is a name or a duty cut off it."""

from typing import TYPE_CHECKING

import pytest
from screen_text import screen_lines

from station.console.panes.paint import Paint
from station.console.words_who import who_acts
from station.events import CrewJoined, Role

if TYPE_CHECKING:
    from station.board.state import Board
    from tests.console.conftest import Make, Play

LONGEST = "Maximiliane Wolkenkratzerbaumeister-Unterwasserbeleuchtung"


@pytest.mark.parametrize(
    ("size", "said"),
    [
        ((60, 20), "outfit: Kessing  times: Belcourt  decides: Oyelaran"),
        ((64, 20), "outfit: R. Kessing  times: T. Belcourt  decides: I. Oyelaran"),
        ((80, 24), "outfit: Rua Kessing  times: Tam Belcourt  decides: Ines Oyelaran"),
    ],
)
async def test_who_acts_stands_whole_on_the_screen(
    make: "Make", keys: "Play", size: tuple[int, int], said: str
) -> None:
    station = make("bottom", seat="timekeeper")
    async with station.app.run_test(size=size) as pilot:
        await keys(pilot)
        assert station.app.query_one("#who", Paint).shown == said
        assert f" {said}" in screen_lines(station.app)


def joined(make: "Make", *people: tuple[str, Role]) -> "Board":
    """Return a board with these people as well, each holding the one duty."""
    watch = make("planned").watch
    for number, (name, role) in enumerate(people):
        stamp = watch.stamp("ines-oyelaran", "supervisor")
        watch.enter(CrewJoined(person=f"person-{number}", name=name, roles=(role,), **stamp))
    return watch.board


def test_short_names_tell_two_of_the_crew_apart(make: "Make") -> None:
    """Tam Belcourt keeps the times; Uma and Tor Belcourt are divers."""
    board = joined(make, ("Uma Belcourt", "diver"))
    assert who_acts(board, 1, {}, 60) == "outfit: Kessing  times: T. Belcourt  decides: Oyelaran"
    board = joined(make, ("Uma Belcourt", "diver"), ("Tor Belcourt", "diver"))
    assert who_acts(board, 1, {}, 66) == "outfit: Rua Kessing  times: Tam Belcourt  decides: Ines Oyelaran"
    assert who_acts(board, 1, {}, 64) == "outfit: R. Kessing  times: Tam Belcourt  decides: I. Oyelaran"
    assert who_acts(board, 1, {}, 60) == "outfit: Kessing  times: Tam Belcourt  decides: Oyelaran"
    assert who_acts(board, 1, {}, 52) == "outfit: RK  times: Tam Belcourt  decides: IO"


def test_the_longest_names_have_room_on_the_least_screen(make: "Make") -> None:
    board = joined(make, (LONGEST, "tender"), (f"Bo {LONGEST}", "supervisor"), ("Ada", "timekeeper"))
    pens = {("tender", 1): "person-0", ("supervisor", 0): "person-1", ("timekeeper", 0): "person-2"}
    assert who_acts(board, 1, pens, 60) == "outfit: MW  times: A  decides: BMW"  # type: ignore[arg-type]


def test_a_duty_that_nobody_has_is_said(make: "Make") -> None:
    board = make("planned").watch.board
    nobody = board.__class__(board.setup)
    assert who_acts(nobody, 1, {}, 60) == "outfit: NOBODY  times: NOBODY  decides: NOBODY"
