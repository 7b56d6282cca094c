"""Every entry by keyboard, each through the real watch, and what the rules' no looks like.

What a key enters is looked up on the journal, never on the screen: the screen is the snapshots' matter.
"""

import re
from datetime import date
from typing import TYPE_CHECKING, Any

import pytest
from screen_text import reached
from textual.events import Key
from textual.widgets import Input, OptionList, Static

from station.console.dialogs.panel import Panel
from station.events import Event, NoteMade, PieceDrawn

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from station.journal.interface import Entry
    from tests.console.conftest import Make, Play, Station

SIZE = (80, 24)
Case = tuple[str, tuple[str, ...], str, dict[str, Any]]


def last(station: "Station") -> Event:
    return station.watch.entries[-1].event


def panel(station: "Station") -> str:
    """Return everything that the panel on top says."""
    assert isinstance(station.app.screen, Panel), station.app.desk.said
    return "\n".join(str(one.render()) for one in station.app.screen.query(Static))


ENTRIES: list[Case] = [
    ("planned", ("w", " Tide turns", "enter"), "note.made", {"text": "Tide turns", "by": "tam-belcourt"}),
    ("planned", ("i", " Hose kinked", "enter"), "incident.noted", {"by": "ines-oyelaran", "lane": 1}),
    (
        "planned",
        ("f8", "enter", " 150", "enter"),
        "supply.read",
        {"source": "manifold", "pressure_psig": 150.0, "seat": "timekeeper"},
    ),
    ("planned", ("p", "right", "enter", " 2900", "enter"), "supply.read", {"source": "bank-1"}),
    ("planned", ("p", "b", " 10 bar", "enter"), "supply.read", {"source": "bank-2"}),
    (
        "planned",
        ("u", " 3 ft", "enter", " 50 F", "enter", " none", "enter", " calm", "enter"),
        "conditions.noted",
        {"water_temperature_c": pytest.approx(10.0), "current": "none"},
    ),
    (
        "planned",
        ("c", " Ada Brook", "enter", "3", "4", "enter", "escape"),
        "crew.joined",
        {"person": "ada-brook", "roles": ("tender", "diver"), "by": "ines-oyelaran"},
    ),
    (
        "planned",
        ("b", "right", "enter", "enter", " 60", "enter", " 20", "enter", " Look", "enter"),
        "dive.planned",
        {"lane": 2, "diver": "wyn-farrow", "tenders": ("rua-kessing", "mikko-alder"), "depth_fsw": 60.0},
    ),
    (
        "planned",
        ("n", " D-04", "enter"),
        "piece.drawn",
        {"piece": "dress", "number": "D-04", "by": "rua-kessing", "seat": "tender"},
    ),
    ("inspection", ("n",), "item.inspected", {"item": "dress-fabric", "passed": True}),
    ("inspection", ("down", "enter"), "item.inspected", {"item": "dress-collar", "passed": True}),
    ("inspection", ("N",), "item.inspected", {"item": "dress-fabric", "passed": True}),
    (
        "inspection",
        ("f", " torn at stud 3", "enter"),
        "item.inspected",
        {"passed": False, "remark": "torn at stud 3"},
    ),
    ("connecting", ("n",), "step.done", {"step": "air-hose-connected", "checked_by": None}),
    ("nuts", ("r",), "nut.marked", {"stud": 2, "state": "wrenched"}),
    ("nuts", ("enter",), "nut.marked", {"stud": 2, "state": "wrenched"}),
    ("nuts", ("number_sign", " 12", "enter"), "nut.marked", {"stud": 12, "state": "wrenched"}),
    (
        "tried",
        ("r", "n", "enter"),
        "step.done",
        {"step": "belt-on", "by": "rua-kessing", "checked_by": "mikko-alder"},
    ),
    (
        "tried",
        ("s", "r", "n", "enter"),
        "step.done",
        {"step": "belt-on", "by": "mikko-alder", "checked_by": "rua-kessing"},
    ),
    ("word", ("n", "enter"), "step.done", {"step": "diver-ready", "by": "jona-strand", "seat": "tender"}),
    ("release", ("n", "enter"), "step.done", {"step": "ready-to-dive", "by": "ines-oyelaran"}),
    (
        "left surface",
        ("f9",),
        "mark.taken",
        {"mark": "left_surface", "by": "tam-belcourt", "depth_fsw": None},
    ),
    ("descent", ("m",), "mark.taken", {"mark": "reached_bottom"}),
    ("descent", ("k", "2"), "mark.taken", {"mark": "left_bottom"}),
    ("descent", ("d", " 68", "enter"), "depth.read", {"reading_fsw": 68.0}),
    ("descent", ("d", " 21msw", "enter"), "depth.read", {"reading_fsw": pytest.approx(68.4, abs=0.05)}),
    ("bottom", ("v", "1"), "voice.checked", {"good": True}),
    ("bottom", ("v", "2"), "voice.checked", {"good": False}),
    (
        "bottom",
        ("greater_than_sign", " 120", "enter", " gauge sticks", "enter"),
        "depth.declared",
        {"depth_fsw": 120.0, "reason": "gauge sticks", "by": "ines-oyelaran"},
    ),
    ("bottom", ("plus", " cold", "enter"), "schedule.lengthened", {"reason": "cold"}),
    ("ascent", ("f9",), "mark.taken", {"mark": "reached_stop", "depth_fsw": 20.0}),
    ("stop", ("f9", "escape"), "mark.taken", {"mark": "left_stop", "depth_fsw": 20.0}),
    ("last", ("f9",), "mark.taken", {"mark": "reached_surface"}),
    ("undressing", ("n",), "step.done", {"step": "faceplate-opened", "by": "rua-kessing"}),
    (
        "to close",
        ("z", " Well", "enter", "enter"),
        "dive.closed",
        {"condition_after": "Well", "remarks": None, "by": "ines-oyelaran"},
    ),
]


@pytest.mark.parametrize("case", ENTRIES, ids=lambda case: f"{case[2]} {case[1][0]} {case[0]}")
async def test_keys_enter_what_they_say(make: "Make", keys: "Play", case: Case) -> None:
    until, pressed, kind, fields = case
    station = make(until)
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, *pressed)
        assert len(station.app.screen_stack) == 1, "a dialog is still open"
    event = last(station)
    assert event.kind == kind, station.app.desk.said
    found = event.model_dump()
    assert {name: found[name] for name in fields} == fields


async def test_the_time_of_an_entry_is_that_of_its_key_press(make: "Make", keys: "Play") -> None:
    """A mark behind a dialog, and a reading typed slowly, keep the moment at which the key went down."""
    station = make("descent")
    async with station.app.run_test(size=SIZE) as pilot:
        pressed = station.clock.now()
        await keys(pilot, "k")
        station.clock.advance(9)
        await keys(pilot, "1")
        assert last(station).at == pressed
        pressed = station.clock.now()
        await keys(pilot, "d", " 60")
        station.clock.advance(21)
        await keys(pilot, "enter")
        assert last(station).at == pressed
        assert last(station).entered == station.clock.now()


async def test_the_next_mark_is_taken_under_an_open_dialog(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "w", " half a no", "f9")
        assert last(station).kind == "mark.taken"
        await keys(pilot, " te", "enter")
        assert last(station).model_dump()["text"] == "half a note"


async def test_letters_typed_into_a_dialog_do_nothing_else(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        head = station.watch.head
        await keys(pilot, "w", *"mmnqdpvz", "question_mark")
        assert station.watch.head == head
        await keys(pilot, "escape")
        assert (station.watch.head, len(station.app.screen_stack)) == (head, 1)
        await keys(pilot, "w", "enter")
        assert last(station).model_dump()["text"] == "mmnqdpvz?", "what was typed is offered again"


async def test_a_held_or_bouncing_key_is_one_press(make: "Make", keys: "Play") -> None:
    station = make("left surface")
    station.app._pulse = lambda: 5.0
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "f9", "f9", "f9", "w", "escape", "f9")
        assert [one.mark for one in station.watch.board.lanes[1].marks] == ["left_surface", "reached_bottom"]


SLOW_S = 0.4


@pytest.mark.parametrize(("apart_s", "passed"), [(0.14, 1), (0.16, 2)])
async def test_a_key_counts_from_when_it_was_pressed_however_slow_the_disk(
    make: "Make", keys: "Play", apart_s: float, passed: int
) -> None:
    """Two presses before the first entry is on the disk: a bounce stays one press, a press keeps its time."""
    station = make("inspection")
    begun, head, enter = station.clock.now(), station.watch.head, station.watch.enter

    def now() -> float:
        return (station.clock.now() - begun).total_seconds()

    def slow(event: Event) -> "Entry":
        station.clock.advance(SLOW_S)
        return enter(event)

    station.watch.enter = slow  # type: ignore[method-assign]
    station.app._pulse, station.app._waited = now, lambda key: now() - key.time
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot)
        for at in (0.0, apart_s):
            key = Key("n", "n")
            key.time = at
            station.app.post_message(key)
        await reached(pilot, lambda: passed == 2 or "taken for one press" in station.app.desk.said)
        await reached(pilot, lambda: station.watch.head == head + passed)
    events = [entry.event for entry in station.watch.entries[head:]]
    assert [one.kind for one in events] == ["item.inspected"] * passed
    assert [(one.at - begun).total_seconds() for one in events] == [0.0, apart_s][:passed]


async def test_several_pasted_lines_are_taken_as_one(make: "Make", keys: "Play") -> None:
    station = make("planned")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "w", " tide turns\nwind rises", "enter")
        event = last(station)
        assert isinstance(event, NoteMade)
        assert event.text == "tide turns wind rises"


async def test_who_is_offered_as_diver_is_not_ticked_as_tender(make: "Make", keys: "Play") -> None:
    station = make("planned")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "c", " Rua Kessing", "enter", "3", "4", "enter", "escape", "b")
        words = "\n".join(str(one.render()) for one in station.app.screen.query(Static))
        assert "< Rua Kessing >" in words
        assert "[ ] Rua Kessing" in words
        assert "[x] Mikko Alder" in words


REFUSALS: list[tuple[str, tuple[str, ...], str]] = [
    ("nuts", ("f9",), "Ready to dive: not yet done"),
    ("nuts", ("number_sign", " 3", "enter"), "nut 2"),
    ("belt", ("number_sign", " 12", "enter", "enter", "down", "down", "enter"), "nuts not yet tried"),
    ("planned", ("d", " 60", "enter"), "not in the water"),
    ("bottom", ("n",), "no step is open now"),
    ("bottom", ("n",), "Faceplate open waits for: the mark of reached surface"),
    ("bottom", ("z",), "reached surface"),
    ("bottom", ("g",), "not closed yet"),
    ("closed", ("w", " late", "enter"), "closed"),
    ("planned", ("space",), "no drill"),
]


@pytest.mark.parametrize(("until", "pressed", "words"), REFUSALS)
async def test_a_refusal_says_what_is_missing_and_changes_nothing(
    make: "Make", keys: "Play", until: str, pressed: tuple[str, ...], words: str
) -> None:
    station = make(until)
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "f2", *pressed[:-1])
        head, board = station.watch.head, station.watch.board
        await keys(pilot, pressed[-1])
        assert words in panel(station)
        assert station.app.desk.said.startswith("NOT TAKEN")
        assert (station.watch.head, station.watch.board) == (head, board)
        await keys(pilot, "escape")
        assert len(station.app.screen_stack) == 1


AT_THE_FIELD: list[tuple[str, tuple[str, ...], str]] = [
    ("bottom", ("d", " 9999"), "Depth as read, fsw: at most 400 fsw is possible, not '9999'"),
    ("bottom", ("d", " 130 msw"), "at most 400 fsw is possible, not '130 msw'"),
    ("bottom", ("greater_than_sign", " 401"), "Depth of dive, fsw: at most 400 fsw is possible, not '401'"),
    ("bottom", ("greater_than_sign", " 60"), "not deeper"),
    ("bottom", ("greater_than_sign", " 120", "enter", " a\u200bb"), "cannot be shown (U+200B)"),
    ("planned", ("f8", "enter", " 700"), "its gauge shows 0 to 600"),
    ("planned", ("f8", "enter", " 7000"), "at most 6000 psig is possible, not '7000'"),
    ("planned", ("b", "right", "enter", "enter", " 0"), "more than 0 fsw is possible, not '0'"),
    ("planned", ("b", "right", "enter", "enter", " 60", "enter", " 1441"), "at most 1440 min is possible"),
    (
        "planned",
        ("u", " 3 ft", "enter", " 200 F"),
        "Water temperature, C: at most 50 C is possible, not '200 F'",
    ),
    ("nuts", ("number_sign", " 13"), "no stud 13 on this outfit; 1 to 12 are possible"),
    ("ascent", ("e", "enter", "2", "ctrl+u", " 24:10:00"), "23:59:59 at most"),
    ("ascent", ("e", "enter", "2", "ctrl+u", " 09:10:00"), "09:10:00 is in the future"),
    ("bottom", ("f5", "enter", "3", " 999"), "at most 400 fsw is possible, not '999'"),
]
"""What cannot be, up to the field in which it is typed; the entry's own model or the rules say so."""


@pytest.mark.parametrize(("until", "pressed", "words"), AT_THE_FIELD)
async def test_what_cannot_be_is_said_at_its_field_and_stays_there(
    make: "Make", keys: "Play", until: str, pressed: tuple[str, ...], words: str
) -> None:
    """Nothing is answered in vain: the field is checked on its Enter, and keeps what was typed."""
    station = make(until)
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, *pressed)
        head, field = station.watch.head, station.app.focused
        await keys(pilot, "enter")
        assert words in str(station.app.screen.query_one(".dialog-why", Static).render())
        assert station.app.focused is field
        assert isinstance(field, Input)
        assert field.value == pressed[-1][1:]
        assert station.watch.head == head
        await keys(pilot, "escape")
        assert len(station.app.screen_stack) == 1


async def test_a_bound_is_told_in_the_unit_of_the_station_rounded_to_what_can_be_typed(
    make: "Make", keys: "Play"
) -> None:
    """400 fsw is 122.82 msw, 6000 psi 413.69 bar."""
    station = make("bottom", units={"depth": "msw", "pressure": "bar"})
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "d", " 123", "enter")
        why = station.app.screen.query_one(".dialog-why", Static)
        assert "at most 122.8 msw is possible, not '123'" in str(why.render())
        await keys(pilot, "escape", "p", "a", " 414", "enter")
        why = station.app.screen.query_one(".dialog-why", Static)
        assert "at most 413.6 bar is possible, not '414'" in str(why.render())


def burst(pilot: "Pilot[int]", *names: str) -> None:
    """Press keys without waiting for anything, as whoever types ahead does."""
    for name in names:
        pilot.app.post_message(Key(name, name if len(name) == 1 else {"space": " "}.get(name)))


async def test_what_is_typed_ahead_of_a_fault_does_nothing(make: "Make", keys: "Play") -> None:
    """Figures meant for the next fields are not mixed into the one that is wrong; no letter is a command."""
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        head = station.watch.head
        await keys(pilot, "greater_than_sign")
        burst(pilot, *"9999", "enter", *"max 60", "enter", *"mw", "enter")
        await pilot.pause()
        await keys(pilot)
        field = station.app.focused
        assert isinstance(field, Input)
        assert (field.value, len(station.app.screen_stack), station.watch.head) == ("9999", 2, head)
        await keys(pilot, "ctrl+u", *"120", "enter", "x", "enter")
    assert last(station).model_dump()["depth_fsw"] == 120


async def test_the_panel_of_a_refusal_takes_what_is_typed_ahead(make: "Make", keys: "Play") -> None:
    """Neither the blank nor the Enter of words that were meant for a form puts the refusal away unread."""
    station = make("planned")
    async with station.app.run_test(size=SIZE) as pilot:
        head = station.watch.head
        await keys(pilot, "d", " 60")
        burst(pilot, "enter", *"uw", "space", *"w", "enter")
        await pilot.pause(0.1)
        while station.app._work is None or len(station.app.screen_stack) < 2:
            await pilot.pause(0.05)
        assert "not in the water" in panel(station)
        await keys(pilot, *"wz", "space", "s", "w", "enter")
        assert "not taken" in panel(station)
        assert station.watch.head == head
        await keys(pilot, "enter")
        assert (len(station.app.screen_stack), station.watch.head) == (1, head)


async def test_a_question_is_not_answered_by_words_typed_ahead(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        head = station.watch.head
        await keys(pilot, "d", " 10", "enter", *"p150", "enter")
        assert "READ IT ONCE MORE" in panel(station)
        assert station.watch.head == head
        await keys(pilot, "enter")
        assert last(station).model_dump()["reading_fsw"] == 10


async def test_a_doubtful_pressure_is_asked_once_more(make: "Make", keys: "Play") -> None:
    station = make("planned")
    async with station.app.run_test(size=SIZE) as pilot:
        head = station.watch.head
        await keys(pilot, "p", "a", " 3100", "enter")
        assert "above the working pressure" in panel(station)
        await keys(pilot, "escape")
        assert station.watch.head == head
        await keys(pilot, "p", "a", " 3100", "enter", "enter")
        assert last(station).model_dump()["pressure_psig"] == 3100


async def test_a_doubtful_depth_is_asked_once_more(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        head = station.watch.head
        await keys(pilot, "d", " 10", "enter")
        assert "shallower than" in panel(station)
        await keys(pilot, "escape")
        assert station.watch.head == head
        await keys(pilot, "d", " 10", "enter", "enter")
        assert last(station).model_dump()["reading_fsw"] == 10


@pytest.mark.parametrize("typed", [" ", " x", " -3", " 1e3", " 10 bottles"])
async def test_what_cannot_be_read_stays_in_the_dialog(make: "Make", keys: "Play", typed: str) -> None:
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        head = station.watch.head
        await keys(pilot, "d", typed, "enter")
        why = station.app.screen.query_one(".dialog-why", Static)
        assert str(why.render())
        assert station.watch.head == head


async def test_a_wrong_mark_is_withdrawn_or_given_its_right_time(make: "Make", keys: "Play") -> None:
    station = make("ascent")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "e", "enter", "2", "ctrl+u", " 08:03:30", "enter", " slip", "enter", "enter")
        amended = last(station).model_dump()
        assert (amended["kind"], amended["reason"]) == ("entry.amended", "slip")
        assert station.watch.board.lanes[1].marks[-1].at.strftime("%H:%M:%S") == "08:03:30"
        assert "amended to: 08:03:30; was: lane 1: left bottom" in station.app.desk.said
        await keys(pilot, "e", "2", "1", " not left", "enter", "enter")
        assert last(station).kind == "entry.withdrawn"
        assert station.watch.board.lanes[1].marks[-1].mark == "reached_bottom"


async def test_a_line_of_the_journal_is_corrected_where_it_stands(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "f5", "enter", "3", " 104", "enter", " misread", "enter", "enter")
        assert last(station).model_dump()["changes"] == {"reading_fsw": 104.0}
        said = "amended to: lane 1: depth read 104 fsw; was: lane 1: depth read 105 fsw"
        assert said in station.app.desk.said
        assert station.watch.board.lanes[1].readings[-1].reading_fsw == 104.0


async def test_a_hold_is_released_by_the_supervisor_with_a_reason(make: "Make", keys: "Play") -> None:
    station = make("planned")
    stamp = station.watch.stamp("rua-kessing", "tender")
    station.watch.enter(PieceDrawn(lane=1, piece="belt", number="B1", tested=date(2030, 5, 1), **stamp))
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "h", "enter", " no time", "enter")
        assert "nobody can release" in panel(station)
        await keys(pilot, "escape", "h", "end", "enter", " only one aboard", "enter")
    event = last(station).model_dump()
    assert (event["kind"], event["hold"], event["by"]) == ("hold.released", "belt-load-test", "ines-oyelaran")


async def test_what_was_refused_is_offered_again_to_be_put_right(make: "Make", keys: "Play") -> None:
    station = make("planned")
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(
            pilot, "f8", "enter", " 700", "enter", "escape", "f8", "enter", "end", "backspace", "enter"
        )
    assert last(station).model_dump()["pressure_psig"] == 70


async def test_an_amended_figure_is_asked_about_as_a_read_one_and_the_old_stays_readable(
    make: "Make", keys: "Play"
) -> None:
    """A slip in a correction is as likely as one in a reading; the journal tells both figures."""
    station = make("bottom")
    async with station.app.run_test(size=SIZE) as pilot:
        head = station.watch.head
        await keys(pilot, "f5", "enter", "3", " 160", "enter", " misread", "enter", "enter")
        assert "READ IT ONCE MORE" in panel(station)
        await keys(pilot, "escape")
        assert (station.watch.head, station.app.desk.said) == (head, "amend: left, nothing entered")
        await keys(pilot, "e", "3", "ctrl+u", " 32 msw", "enter", "enter", "enter")
        assert len(station.app.screen_stack) == 1
        lines = [str(one.prompt) for one in station.app.query_one("#lines", OptionList).options]
    assert last(station).model_dump()["changes"] == {"reading_fsw": pytest.approx(104.22, abs=0.01)}
    assert "depth read 105 fsw" in lines[-2]
    assert lines[-2].endswith("[AMENDED]")
    assert re.search(r"AMENDED lane 1: depth read 105 fsw: now depth read 105 fsw \(mis", lines[-1])


async def test_a_unit_may_be_typed_whatever_the_station_file_says(make: "Make", keys: "Play") -> None:
    """18 msw is 1.8 bar, 1.8 / 1.01325 x 33 = 58.62 fsw; 10 bar is 145.04 psi."""
    station = make("bottom", units={"depth": "msw", "pressure": "bar"})
    async with station.app.run_test(size=SIZE) as pilot:
        await keys(pilot, "d", " 32", "enter")
        assert last(station).model_dump()["reading_fsw"] == pytest.approx(104.22, abs=0.01)
        await keys(pilot, "d", " 105 fsw", "enter")
        assert last(station).model_dump()["reading_fsw"] == 105.0
        await keys(pilot, "f8", "m", " 10", "enter")
        assert last(station).model_dump()["pressure_psig"] == pytest.approx(145.04, abs=0.01)
        await keys(pilot, "f8", "m", " 150 psi", "enter")
        assert last(station).model_dump()["pressure_psig"] == 150.0
