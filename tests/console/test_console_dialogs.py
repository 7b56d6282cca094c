"""Every dialog at every size: clock and alarms stay in sight, nothing typed is lost, Esc leaves it."""

import importlib
import pkgutil
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from textual.screen import ModalScreen
from textual.widgets import Input

import station.console as room
from station.board.alarm_states import AlarmState
from station.console.dialogs.alarms import AlarmList
from station.console.dialogs.card import CardScreen, CardWords
from station.console.dialogs.fields import Field
from station.console.dialogs.find import Find, Found
from station.console.dialogs.form import Form
from station.console.dialogs.keys import Keys
from station.console.dialogs.listed import Listed
from station.console.dialogs.panel import Choose, Panel
from station.console.taking import AFTERWARDS_S, DOUBLE_S

if TYPE_CHECKING:
    from tests.console.conftest import Make, Play, Station

LONG = "words that go on and on so that a line of them has no room on any screen of this console, " * 3
MANY = [f"{number} {LONG}" for number in range(30)]
STATE = AlarmState(1, "key", "high", LONG, datetime(2031, 5, 4, tzinfo=UTC), 1)
OPTIONS = tuple((str(number), LONG) for number in range(8))
PLACES = [
    ("timekeeper", (60, 20)),
    ("supervisor", (60, 20)),
    ("tender", (80, 24)),
    ("supervisor", (120, 40)),
]


def form() -> Form:
    """Return a form with more than there is room for."""
    fields = [Field(f"f{number}", LONG[:60]) for number in range(8)]
    fields += [Field("pick", "Pick", kind="pick", options=OPTIONS)]
    return Form(LONG, [*fields, Field("ticks", "Ticks", kind="ticks", options=OPTIONS)], LONG)


LARGEST: dict[type[ModalScreen[Any]], list[Callable[[], ModalScreen[Any]]]] = {
    Form: [form],
    Panel: [
        lambda: Panel(LONG, LONG, MANY, "loud"),
        lambda: Panel(LONG, LONG, MANY, "question"),
        lambda: Panel(LONG, LONG, MANY, "text"),
    ],
    Choose: [lambda: Choose(LONG, tuple((str(at), LONG) for at in range(24)), LONG)],
    CardScreen: [lambda: CardScreen(lambda: CardWords(LONG, LONG, MANY[:5], MANY))],
    Keys: [lambda: Keys(LONG, [("HEAD", MANY)], LONG)],
    AlarmList: [lambda: AlarmList([(STATE, LONG) for _ in range(24)])],
    Find: [lambda: Find(LONG, [Found(str(at), f"name {at}", "F9", LONG) for at in range(60)])],
}
"""Every kind of dialog, filled with more than any screen holds."""


def kinds() -> set[type[ModalScreen[Any]]]:
    """Return every kind of dialog in the room."""
    for module in pkgutil.walk_packages(room.__path__, "station.console."):
        importlib.import_module(module.name)
    found: set[type[ModalScreen[Any]]] = set()
    left: list[type[ModalScreen[Any]]] = [ModalScreen]
    while left:
        below = left.pop().__subclasses__()
        left += below
        found |= {one for one in below if one.__module__.startswith("station.")}
    return found - {Listed}  # what several have in common, and none by itself


def test_no_kind_of_dialog_is_missing_here() -> None:
    assert kinds() == set(LARGEST)


@pytest.mark.parametrize(("seat", "size"), PLACES, ids=str)
async def test_no_dialog_hides_alarm_or_clock_or_its_own_keys(
    make: "Make", keys: "Play", seat: str, size: tuple[int, int]
) -> None:
    station = make("bottom", seat=seat)
    async with station.app.run_test(size=size) as pilot:
        await keys(pilot)
        base = station.app.screen_stack[0]
        for dialog in [one() for each in LARGEST.values() for one in each]:
            await station.app.push_screen(dialog)
            await pilot.pause()
            box, told = dialog.query_one(".dialog").region, dialog.query_one(".dialog-keys").region
            above = [base.query_one("#alarms").region, base.query_one("#clock-band").region]
            assert all(one.bottom <= box.y for one in above), (dialog, box, above)
            assert box.bottom <= size[1]
            assert told.height == 1
            assert told.bottom < box.bottom, (dialog, box, told)
            await station.app.pop_screen()


async def test_clocks_and_alarms_go_on_under_every_dialog_and_esc_leaves_it(
    make: "Make", keys: "Play"
) -> None:
    station = make("bottom", seat="timekeeper")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        for dialog in [one() for each in LARGEST.values() for one in each]:
            await station.app.push_screen(dialog)
            before = shown(station)
            station.clock.advance(timedelta(minutes=11).total_seconds())
            station.app.tick()
            assert all(new != old for new, old in zip(shown(station), before, strict=True)), dialog
            await pilot.press("escape")
            assert len(station.app.screen_stack) == 1


def shown(station: "Station") -> tuple[str, str]:
    """Return the clock and the alarms as they stand on the screen."""
    base = station.app.screen_stack[0]
    return base.query_one("#clock").value, base.query_one("#alarms").shown  # type: ignore[attr-defined]


async def test_an_open_dialog_keeps_everything_while_the_screen_changes_its_size(
    make: "Make", keys: "Play"
) -> None:
    station = make("bottom")
    async with station.app.run_test(size=(120, 40)) as pilot:
        await keys(pilot, "u", " 3 ft", "enter", " 50 F", "enter", " half a wor")
        dialog = station.app.screen
        for size in ((60, 20), (40, 12), (80, 24), (120, 40)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert station.app.screen is dialog
            focus = station.app.focused
            assert isinstance(focus, Input)
            assert focus.value == "half a wor"
        await keys(pilot, "d", "enter", " calm", "enter")
    noted = station.watch.board.conditions
    assert noted
    assert (noted.visibility, noted.current, noted.surface) == ("3 ft", "half a word", "calm")


async def test_the_second_enter_of_a_double_press_answers_no_question(make: "Make", keys: "Play") -> None:
    """A doubtful depth is asked once more; the press that entered the figure is not the answer."""
    station = make("bottom")
    now = 0.0
    station.app._pulse = lambda: now
    async with station.app.run_test(size=(80, 24)) as pilot:
        head = station.watch.head
        await keys(pilot, "d", " 10", "enter", "enter", "enter")
        assert isinstance(station.app.screen, Panel)
        assert station.watch.head == head
        now += DOUBLE_S
        await keys(pilot, "enter")
        assert station.kinds(1) == ["depth.read"]


async def test_an_enter_too_many_after_a_dialog_does_not_do_the_row_behind_it(
    make: "Make", keys: "Play"
) -> None:
    station = make("undressing", seat="tender")
    now = 0.0
    station.app._pulse = lambda: now
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "w", " Up", "enter")
        head = station.watch.head
        now += AFTERWARDS_S / 2
        await keys(pilot, "enter")
        assert (station.watch.head, station.kinds(1)) == (head, ["note.made"])
        assert "taken for one press" in station.app.desk.said
        now += AFTERWARDS_S
        await keys(pilot, "enter")
        assert station.watch.head == head + 1


async def test_capitals_and_wrong_keys_do_no_harm_in_a_dialog(make: "Make", keys: "Play") -> None:
    """Caps lock is on, the hand is a key off: nothing is entered that was not meant."""
    station = make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        head = station.watch.head
        await keys(pilot, "V", "M", "K", "F5".lower(), "x", "9", "escape")
        await keys(pilot, "D", "x", "enter", "escape", "P", "M", "x", "enter", "escape", "4", "Q", "escape")
        assert station.watch.head == head
        assert len(station.app.screen_stack) == 1
        await keys(pilot, "M")
        assert station.kinds(1) == ["mark.taken"]
