"""Around the ascent by keyboard: holds, gas, chamber, company, earlier dives, cards, trail, ladder."""

from typing import TYPE_CHECKING, Any

import pytest
from screen_text import reached, screen_lines, settled
from textual.containers import VerticalScroll
from textual.widgets import OptionList, Static

from station.closeout import file_key, make_key, sign_record, write_record
from station.console.app import ConsoleApp
from station.console.dialogs.card import CardScreen
from station.console.dialogs.panel import Choose, Panel
from station.console.panes.paint import Paint

if TYPE_CHECKING:
    from station.events import Role
    from station.folder import Folder
    from tests.console.conftest import Make, Play, Station

SIZE = (80, 24)
MARKUP = "[bold]not[/bold] [@click=app.quit]markup[/]"
OXYGEN = ("slash", "1", "enter", " long stop", "enter")
CHAMBER = ("slash", "2", "enter", " chamber is manned", "enter")
SECOND = ("b", "right", "enter", "enter", " 60", "enter", " 20", "enter", " Look", "enter")
STATED = (
    *("semicolon", "2", "ctrl+u", " 2031-05-04 05:00", "enter", " 60", "enter", " 40", "enter", "enter"),
    *(" g", "enter", "enter", " told by the diver, no record at hand", "enter"),
)
"""60 fsw for 40 min, group G, stated by hand."""


def said(station: "Station") -> str:
    """Return everything that the dialog on top says."""
    return "\n".join(str(one.render()) for one in station.app.screen.query(Static))


def shown(station: "Station", name: str) -> str:
    return station.app.screen_stack[0].query_one(f"#{name}", Paint).shown


def lane(station: "Station") -> str:
    """Return the figures of the lane in hand, broken rows put together again."""
    lines = station.app.screen_stack[0].query(".lane-lines").first(Paint)
    return " ".join(lines.shown.split())


def page(station: "Station", name: str) -> str:
    return str(station.app.screen_stack[0].query_one(f"#{name}-text", Static).render())


ENTRIES: list[tuple[str, tuple[str, ...], str, dict[str, Any]]] = [
    ("ascent", ("minus", " 60", "enter"), "mark.taken", {"mark": "held", "depth_fsw": 60.0}),
    ("ascent", ("k", "3", " 60", "enter"), "mark.taken", {"mark": "held", "depth_fsw": 60.0}),
    (
        "ascent",
        ("minus", " 60", "enter", "underscore", " 58", "enter"),
        "mark.taken",
        {"mark": "moving", "depth_fsw": 58.0, "by": "tam-belcourt"},
    ),
    ("ascent", OXYGEN, "gas.chosen", {"gas": "air_oxygen", "reason": "long stop", "by": "ines-oyelaran"}),
    ("ascent", (*OXYGEN, "f9", "f9"), "mark.taken", {"mark": "on_oxygen", "depth_fsw": None}),
    ("ascent", (*OXYGEN, "f9", "f9", "k", "2"), "mark.taken", {"mark": "off_oxygen"}),
    ("ascent", (*OXYGEN, "f9", "f9", "k", "3"), "mark.taken", {"mark": "oxygen_lost"}),
    ("ascent", (*CHAMBER, "f9"), "mark.taken", {"mark": "reached_surface"}),
    ("ascent", (*CHAMBER, "f9", "f9"), "chamber.marked", {"mark": "entered_chamber", "depth_fsw": None}),
    (
        "ascent",
        (*CHAMBER, "f9", "f9", "8", "1"),
        "chamber.marked",
        {"mark": "reached_chamber_depth", "depth_fsw": 50, "by": "tam-belcourt"},
    ),
    ("ascent", (*CHAMBER, "f9", "f9", "f9", "k", "1"), "chamber.marked", {"mark": "on_chamber_oxygen"}),
    ("bottom", (*SECOND, "apostrophe", "enter"), "divers.together", {"lanes": (1, 2)}),
    (
        "bottom",
        (*SECOND, "apostrophe", "enter", "quotation_mark", " own ways", "enter"),
        "divers.apart",
        {"lanes": (1, 2), "reason": "own ways"},
    ),
    ("planned", ("backslash", " weather", "enter"), "dive.called_off", {"reason": "weather"}),
    (
        "planned",
        (*STATED, "escape"),
        "earlier.stated",
        {"group": "G", "depth_fsw": 60.0, "bottom_min": 40, "added_min": 0, "by": "ines-oyelaran"},
    ),
    (
        "planned",
        (*STATED, "4", " lighter by the notes", "enter", "escape"),
        "residual.chosen",
        {"method": "sum", "reason": "lighter by the notes"},
    ),
    ("bottom", ("4", "3", "escape"), "card.opened", {"card": "lost-voice", "by": "ines-oyelaran"}),
    ("bottom", ("dollar_sign", "3", "d", f" {MARKUP}", "enter", "escape"), "card.decided", {"text": MARKUP}),
    ("bottom", ("4", "3", "c", " voice is back", "enter"), "card.closed", {"text": "voice is back"}),
    ("stop", ("f9", "enter", "escape"), "card.opened", {"card": "omitted-decompression"}),
]


@pytest.mark.parametrize("case", ENTRIES, ids=lambda case: f"{case[2]} {'-'.join(case[1][-3:])} {case[0]}")
async def test_keys_enter_what_they_say(
    make: "Make", keys: "Play", case: tuple[str, tuple[str, ...], str, dict[str, Any]]
) -> None:
    until, pressed, kind, fields = case
    station = make(until)
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, *pressed)
        assert len(station.app.screen_stack) == 1, said(station)
    event = station.watch.entries[-1].event
    assert event.kind == kind, station.app.desk.said
    found = event.model_dump()
    assert {name: found[name] for name in fields} == fields


REFUSALS = [
    ("bottom", ("minus", " 60", "enter"), "for a diver on the way up"),
    ("ascent", ("minus", " 160", "enter"), "at 107 fsw or shallower"),
    ("undressing", OXYGEN, "has reached the surface"),
    ("ascent", ("8",), "no mark of the chamber is to come"),
    ("bottom", ("apostrophe",), "no other diver"),
    ("bottom", ("backslash", " weather", "enter"), "the diver left the surface"),
    ("closed", ("4",), "the dive is over"),
]


@pytest.mark.parametrize(("until", "pressed", "words"), REFUSALS)
async def test_a_refusal_says_why_and_changes_nothing(
    make: "Make", keys: "Play", until: str, pressed: tuple[str, ...], words: str
) -> None:
    station = make(until)
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, *pressed[:-1])
        head, board = station.watch.head, station.watch.board
        await keys(pilot, pressed[-1])
        assert isinstance(station.app.screen, Panel), station.app.desk.said
        assert words in said(station)
        assert (station.watch.head, station.watch.board) == (head, board)


async def test_an_earlier_dive_stated_twice_or_still_to_come_is_said_at_its_time(
    make: "Make", keys: "Play"
) -> None:
    station = make("planned")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, *STATED, *STATED[1:5])
        head, why = station.watch.head, station.app.screen.query_one(".dialog-why", Static)
        assert "stated already" in str(why.render())
        await keys(pilot, "ctrl+u", " 2031-05-04 07:00", "enter")
        assert "an earlier dive ended earlier" in str(why.render())
        assert station.watch.head == head


async def test_where_the_diver_is_held_is_asked_on_the_dives_pane(make: "Make", keys: "Play") -> None:
    """Due at 20 fsw 2:54 after leaving the bottom; from a minute later on the delay counts."""
    station = make("ascent")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "f3")
        await settled(pilot)
        assert "HELD" not in lane(station)
        station.clock.advance(240)
        station.app.tick()
        assert "WHERE IS THE DIVER HELD?" in lane(station)
        await settled(pilot)  # the plot gives way to what is asked
        lines = lane(station)
        assert "before the first stop" in lines
        assert " delay" in lines.partition("ENTERED ")[2].partition("ASCENT ")[0]
        await keys(pilot, "minus", " 60", "enter")
        assert "at 60 fsw; key - when" in lane(station)


async def test_a_chambers_marks_come_with_their_countdown(make: "Make", keys: "Play") -> None:
    """15 min of oxygen at 50 fsw, then 40 fsw: study notes on USN Rev 6, second-hand."""
    station = make("ascent")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, *CHAMBER, "f9", "f3")
        await settled(pilot)
        assert "left of 5:00" in lane(station)
        await keys(pilot, "f9", "f9", "f9")
        station.clock.advance(14 * 60 + 50)
        station.app.tick()
        coming = shown(station, "clock-next")
        assert "in 0:10" in coming, coming
        station.clock.advance(30)
        station.app.tick()
        assert "LATE 0:20" in shown(station, "clock-next")
        assert "F9 next mark" in shown(station, "keys")


async def test_the_earlier_dive_counts_on_the_pane(make: "Make", keys: "Play") -> None:
    station = make("planned")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "semicolon", "1")
        assert "none is known" in said(station)
        await keys(pilot, "escape", "escape", *STATED)
        assert isinstance(station.app.screen, Choose)
        told = [str(one.prompt) for one in station.app.screen.query_one(OptionList).options]
        assert any("COUNTS NOW by the table" in line for line in told), told
        assert any("count by the sum of bottom times" in line for line in told), told
        await keys(pilot, "escape", "f3")
        await settled(pilot)
        lines = lane(station)
        assert "EARLIER G after" in lines
        assert "min for the planned time, " in lines


async def test_a_dive_without_a_group_is_refused_in_words(make: "Make", keys: "Play") -> None:
    station = make("planned")
    stated = tuple(" none" if key == " g" else key for key in STATED)
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, *stated)
        told = [str(one.prompt) for one in station.app.screen.query_one(OptionList).options]
        assert any("without a group" in line for line in told), told
        await keys(pilot, "3", " must go", "enter")
        assert isinstance(station.app.screen, Panel)
        assert station.watch.entries[-1].event.kind == "earlier.stated"
        await keys(pilot, "escape", "f3")
        await settled(pilot)
        assert "NO DIVE CAN BE RECKONED" in lane(station)


async def test_an_open_card_stays_in_sight_and_its_clocks_run(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "4", "3", "d", f" {MARKUP}", "enter")
        assert isinstance(station.app.screen, CardScreen)
        assert MARKUP in said(station)
        assert "the supervisor decides" in said(station).lower()
        assert "medical officer" in said(station)
        before = said(station)
        station.clock.advance(61)
        await reached(pilot, lambda: said(station) != before)
        await keys(pilot, "escape")
        assert "CARD lane 1: Voice lost, 1:0" in shown(station, "alarms")
        await keys(pilot, "4", "1", "c", " found", "enter")
        assert "CARD" not in shown(station, "alarms")


async def test_the_omitted_card_is_offered_once(make: "Make", keys: "Play") -> None:
    station = make("stop")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "f9")
        assert "OMITTED DECOMPRESSION" in said(station)
        await keys(pilot, "escape", "f9")
        assert len(station.app.screen_stack) == 1
        assert [one.mark for one in station.watch.board.lanes[1].marks][-1] == "reached_surface"


async def test_a_dive_on_paper_stands_beside_the_live_one_and_enters_nothing(
    make: "Make", keys: "Play"
) -> None:
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        head, board = station.watch.head, station.watch.board
        await keys(pilot, "7", " 130", "enter", " 30", "enter", "enter")
        assert "110/35" in said(station)
        assert "130/30" in said(station)
        assert "what if  30 min" in said(station)
        await keys(pilot, "escape")
        assert (station.watch.head, station.watch.board) == (head, board)


async def test_trail_and_ladder_are_one_key_away_and_scroll(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "6")
        ladder = page(station, "ladder").splitlines()
        assert ladder[1].startswith("> 110/35")
        left = page(station, "ladder")
        station.clock.advance(180)  # past the end of the row in force
        station.app.tick()
        assert page(station, "ladder") != left
        scroll = station.app.query_one("#ladder-scroll", VerticalScroll)
        await keys(pilot, "down", "down", "pagedown")
        assert scroll.scroll_y > 0
        await keys(pilot, "5")
        assert "SURFACE LEFT" in page(station, "trail")
        assert "USN Rev 4" in page(station, "trail")
        assert station.app.query_one("#trail").region.area
        assert not station.app.query_one("#ladder").region.area


async def test_words_from_outside_are_shown_as_they_are_on_the_trail(make: "Make", keys: "Play") -> None:
    station = make("planned")
    async with station.app.run_test(size=(120, 40)) as pilot:
        await keys(pilot, "c", f" {MARKUP}", "enter", "4", "enter", "escape", "b", "3", "enter", "enter")
        await keys(pilot, " 60", "enter", " 20", "enter", " Look", "enter", "5")
        assert MARKUP in shown(station, "trail-head")


@pytest.fixture
def shelved(make: "Make", folder: "Folder") -> None:
    """Put a signed record of lane 1's diver on the shelf: 110 fsw, group M."""
    watch = make("closed").watch
    path = write_record(watch, 1, folder)
    signers: tuple[tuple[str, Role], ...] = (("tam-belcourt", "timekeeper"), ("ines-oyelaran", "supervisor"))
    for person, role in signers:
        make_key(folder, person, [role], "ossary drill only")
        key = file_key(folder, person, "ossary drill only")
        sign_record(watch, 1, path, folder, person, role, key)


@pytest.mark.usefixtures("shelved")
async def test_a_dive_on_the_shelf_is_asked_about_again_until_it_is_settled(
    make: "Make", keys: "Play"
) -> None:
    """The terminal was closed under the question; whoever opens the console again is asked."""
    station = make("planned")
    station.clock.advance(6 * 3600)
    for _closed in range(2):
        app = ConsoleApp(station.watch, station.app.desk.folder, notice=False)
        async with app.run_test(size=SIZE) as pilot:
            await reached(pilot, lambda: len(pilot.app.screen_stack) == 2)
            assert "take from the shelf" in "\n".join(screen_lines(app))
    async with station.app.run_test(size=SIZE) as pilot:
        await reached(pilot, lambda: len(station.app.screen_stack) == 2)
        await keys(pilot, "escape", "enter")
        assert "left out" in str(station.watch.entries[-1].event)
    again = ConsoleApp(station.watch, station.app.desk.folder, notice=False)
    async with again.run_test(size=SIZE) as pilot:
        await keys(pilot)
        await pilot.pause()
        assert len(again.screen_stack) == 1


@pytest.mark.usefixtures("shelved")
async def test_a_dive_on_the_shelf_is_offered_and_taken_once(make: "Make", keys: "Play") -> None:
    """Lane 1's diver, known from a record of another journal: 110 fsw, group M, surfaced hours ago."""
    station = make("planned")
    station.clock.advance(6 * 3600)
    async with station.app.run_test(size=SIZE) as pilot:
        await reached(pilot, lambda: len(station.app.screen_stack) == 2)
        await keys(pilot, "escape", "escape")
        assert "NOT TAKEN from the shelf: 1" in said(station)
        assert "left out" not in str(station.watch.entries[-1].event)
        await keys(pilot, "escape", "enter")
        noted = station.watch.entries[-1].event.model_dump()
        assert noted["text"].startswith("Earlier dive on the shelf left out: ")
        assert "NOT TAKEN from the shelf: 1" in station.app.desk.said
        await keys(pilot, "semicolon", "1")
        stated = station.watch.entries[-1].event.model_dump()
        assert (stated["kind"], stated["group"], stated["bottom_min"]) == ("earlier.stated", "M", 34)
        assert stated["record"].endswith(".toml")
        told = [str(one.prompt) for one in station.app.screen.query_one(OptionList).options]
        assert not any("from the shelf" in line for line in told), told


async def test_a_second_dive_of_the_same_diver_is_settled_when_planned(make: "Make", keys: "Play") -> None:
    station = make("closed")
    station.clock.advance(3600)
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "b", "enter", "enter", " 60", "enter", " 20", "enter", " Again", "enter")
        assert isinstance(station.app.screen, Choose)
        assert "residual nitrogen time" in said(station)
        await keys(pilot, "escape")
        assert "[ 2 Jona Strand" in shown(station, "lanes")


async def test_arrival_is_not_asked_for_near_the_sea(make: "Make", keys: "Play") -> None:
    """At 180 ft there is no correction (USN Rev 4, page 9-38), and no arrival to state."""
    station = make("planned")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "semicolon")
        told = [str(one.prompt) for one in station.app.screen.query_one(OptionList).options]
        assert not any("altitude" in line for line in told), told
