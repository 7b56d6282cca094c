"""How the account of a drill tells what a dive came to: no figure that could be taken for another."""

from typing import TYPE_CHECKING

from station.drill.account import WIDTH, ending_lines

if TYPE_CHECKING:
    from tests.conftest import PlayedDrills


def ending(played_drills: "PlayedDrills", name: str) -> dict[str, str]:
    """Return the lines of a drill's one dive by what they tell."""
    lines = ending_lines(played_drills(name).board)
    assert max(map(len, lines)) <= WIDTH
    return {line[:22].strip(): line[23:] for line in lines[1:]}


def test_at_altitude_it_says_which_depth_is_the_tables_and_which_is_held(
    played_drills: "PlayedDrills",
) -> None:
    """20:38 stood beside a clock of 08:38 and a stop of 16 fsw; USN Rev 4, pages 9-38 and 9-44."""
    told = ending(played_drills, "tarn-velloch/outlet-works")
    assert told["stops"] == "20 fsw 38 min, as the table prints them"
    assert told["owed"] == "16 fsw 38 min; the table's 20 fsw is 16 fsw here, 9 fsw on the gauge"
    assert told["due"] == "16 fsw 08:00:32 to 08:38:32"


def test_at_sea_level_a_stop_has_one_depth(played_drills: "PlayedDrills") -> None:
    told = ending(played_drills, "ossary-dam/late-deep")
    assert "gauge" not in told["owed"]
    assert "fsw" in told["changes"]


def test_a_dive_without_stops_says_so(played_drills: "PlayedDrills") -> None:
    assert ending(played_drills, "ossary-dam/rack-look-over")["owed"] == "no stops"
