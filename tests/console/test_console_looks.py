"""How every seat looks in every phase, as text to compare; the clock is set by hand, so nothing moves.

The texts stand in `looks/`; a few pictures beside them hold colours and styles. Both are renewed with
`pytest --snapshot-update`, after looking at each.
"""

from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

import pytest
from screen_text import screen_lines, settled
from textual.app import App
from textual.pilot import Pilot

from station.clock import HandClock
from station.console.app import ConsoleApp
from station.drill.player import Player
from station.drill.scenario import load_scenario
from station.events import CrewJoined, DivePlanned
from station.journal.memory import MemoryJournal
from station.operation import begin_on
from station.setup import load_setup
from station.shipped import shipped

if TYPE_CHECKING:
    from station.folder import Folder
    from station.watch import Watch
    from tests.console.conftest import Make, Play

LOOKS = Path(__file__).parent / "looks"
TOGETHER = shipped("demo") / "ossary-dam" / "together.toml"
SIZES = [(80, 24), (120, 40)]
IDS = ["80x24", "120x40"]
SEATS = {"tender": "f2", "timekeeper": "f3", "supervisor": "f4"}
PAGES = {"air": "a", "journal": "f5", "trail": "5", "ladder": "6"}
PHASES = {
    "inspection": "inspection",
    "dressing": "nuts",
    "descent": "descent",
    "bottom": "bottom",
    "stops": "stop",
    "interval": "undressing",
    "close-out": "to close",
}
"""Each phase with the entry of the scenario that would come next."""
DIALOGS = {
    "form": ("bottom", ("d",)),
    "choice": ("descent", ("k",)),
    "refusal": ("nuts", ("f9",)),
    "card": ("bottom", ("4", "3")),
    "paper": ("bottom", ("7", " 130", "enter", " 30", "enter", "enter")),
    "chamber": ("ascent", ("slash", "2", "enter", " manned", "enter", "f9", "f9", "f9", "f9", "f3")),
}
PICTURES: dict[str, tuple[str, str, tuple[int, int]]] = {
    "tender": ("nuts", "f2", (120, 40)),
    "timekeeper": ("stop", "f3", (80, 24)),
    "supervisor": ("bottom", "f4", (120, 40)),
    "form": ("bottom", "d", (80, 24)),
    "refusal": ("nuts", "f9", (80, 24)),
}

Compare = Callable[[Pilot[int], str], Awaitable[None]]


class SnapCompare(Protocol):
    """What compares a screen with its picture."""

    def __call__(
        self,
        app: App[int],
        press: list[str] = ...,
        terminal_size: tuple[int, int] = ...,
        run_before: object = None,
    ) -> bool: ...


@pytest.fixture
def compare(request: pytest.FixtureRequest) -> Compare:
    """Return what compares the screen with the text of that name, or renews the text when told to."""
    renew = bool(request.config.getoption("update_snapshots", default=False))

    async def look(pilot: Pilot[int], name: str) -> None:
        await settled(pilot)
        path, lines = LOOKS / f"{name}.txt", screen_lines(pilot.app)
        if renew:
            path.parent.mkdir(exist_ok=True)
            path.write_text("\n".join([*lines, ""]), encoding="utf-8")
        assert lines == path.read_text(encoding="utf-8").splitlines(), name

    return look


@pytest.mark.parametrize("size", SIZES, ids=IDS)
@pytest.mark.parametrize("phase", PHASES)
async def test_each_seat_in_each_phase(
    make: "Make", keys: "Play", compare: Compare, phase: str, size: tuple[int, int]
) -> None:
    async with make(PHASES[phase]).app.run_test(size=size) as pilot:
        for seat, key in SEATS.items():
            await keys(pilot, key)
            await compare(pilot, f"{seat}-{phase}-{size[0]}x{size[1]}")


@pytest.mark.parametrize("size", SIZES, ids=IDS)
async def test_each_page(make: "Make", keys: "Play", compare: Compare, size: tuple[int, int]) -> None:
    async with make("bottom").app.run_test(size=size) as pilot:
        for page, key in PAGES.items():
            await keys(pilot, key)
            await compare(pilot, f"{page}-{size[0]}x{size[1]}")


@pytest.mark.parametrize("dialog", DIALOGS)
async def test_each_kind_of_dialog(make: "Make", keys: "Play", compare: Compare, dialog: str) -> None:
    until, press = DIALOGS[dialog]
    async with make(until).app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, *press)
        await compare(pilot, f"dialog-{dialog}")


def no_lane() -> "Watch":
    """Return the watch of an operation that has just begun."""
    scenario = load_scenario(TOGETHER)
    setup, clock = load_setup(scenario.station_path), HandClock(scenario.file.start)
    return begin_on(MemoryJournal(), setup, clock, title=scenario.file.title, program="test", drill=True)


def three_lanes() -> "Watch":
    """Return the watch of two divers on the bottom, and a standby who is to be dressed."""
    scenario = load_scenario(TOGETHER)
    watch, clock = no_lane(), HandClock(scenario.file.start)
    watch.clock = clock
    player = Player(watch, scenario)
    while player.due is not None and player.due.fields.get("mark") != "left_bottom":
        player.play_next(clock)
    by = "ines-oyelaran"
    joined = CrewJoined(
        person="osk-mere", name="Osk Mere", roles=("standby", "diver"), **watch.stamp(by, "supervisor")
    )
    watch.enter(joined)
    planned = DivePlanned(
        lane=3,
        diver="osk-mere",
        tenders=("mikko-alder",),
        depth_fsw=115,
        time_min=10,
        work="Standby",
        **watch.stamp(by, "supervisor"),
    )
    watch.enter(planned)
    clock.advance(5)
    return watch


@pytest.mark.parametrize("size", SIZES, ids=IDS)
@pytest.mark.parametrize("lanes", [0, 3])
async def test_each_seat_without_a_lane_and_with_three(
    folder: "Folder", keys: "Play", compare: Compare, lanes: int, size: tuple[int, int]
) -> None:
    app = ConsoleApp(three_lanes() if lanes else no_lane(), folder, notice=False)
    async with app.run_test(size=size) as pilot:
        for seat, key in SEATS.items():
            await keys(pilot, key)
            await compare(pilot, f"{seat}-{lanes}-lanes-{size[0]}x{size[1]}")


async def test_each_seat_at_the_least_size(make: "Make", keys: "Play", compare: Compare) -> None:
    async with make("nuts").app.run_test(size=(60, 20)) as pilot:
        for seat, key in SEATS.items():
            await keys(pilot, key)
            await compare(pilot, f"{seat}-60x20")
        await pilot.resize_terminal(40, 12)
        await compare(pilot, "too-small")


@pytest.mark.parametrize("size", SIZES, ids=IDS)
@pytest.mark.parametrize("phase", ["dressing", "stops"])
async def test_without_colour_each_seat_says_the_same(
    make: "Make", keys: "Play", monkeypatch: pytest.MonkeyPatch, phase: str, size: tuple[int, int]
) -> None:
    """With NO_COLOR set no colour is sent, and not a character differs."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with make(PHASES[phase]).app.run_test(size=size) as pilot:
        for seat, key in SEATS.items():
            await keys(pilot, key)
            await settled(pilot)
            path = LOOKS / f"{seat}-{phase}-{size[0]}x{size[1]}.txt"
            assert screen_lines(pilot.app) == path.read_text(encoding="utf-8").splitlines()
            strips = pilot.app.screen._compositor.render_strips(pilot.app.size)
            styles = [segment.style for strip in strips for segment in strip if segment.style]
            assert not [one for one in styles if one.color and not one.color.is_default]
            assert not [one for one in styles if one.bgcolor and not one.bgcolor.is_default]


def test_no_text_is_left_over() -> None:
    """A text that no test compares would be a lie that nobody sees."""
    sizes = [f"{width}x{height}" for width, height in SIZES]
    used = {f"{seat}-{phase}-{size}" for seat in SEATS for phase in PHASES for size in sizes}
    used |= {f"{seat}-{lanes}-lanes-{size}" for seat in SEATS for lanes in (0, 3) for size in sizes}
    used |= {f"{page}-{size}" for page in PAGES for size in sizes}
    used |= {f"dialog-{dialog}" for dialog in DIALOGS} | {f"{seat}-60x20" for seat in SEATS} | {"too-small"}
    assert {path.stem for path in LOOKS.iterdir()} == used


@pytest.mark.parametrize("picture", PICTURES)
def test_picture(make: "Make", snap_compare: SnapCompare, picture: str) -> None:
    until, key, size = PICTURES[picture]
    assert snap_compare(make(until).app, press=[key], terminal_size=size, run_before=settled)


def test_picture_without_colour(
    make: "Make", snap_compare: SnapCompare, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    assert snap_compare(make("nuts").app, terminal_size=(80, 24), run_before=settled)
