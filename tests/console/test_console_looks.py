"""How the screen looks in each phase, compared with pictures; the clock is set by hand, so nothing moves."""

from typing import TYPE_CHECKING, Protocol

import pytest
from textual.app import App
from textual.pilot import Pilot

if TYPE_CHECKING:
    from tests.console.conftest import Make

SIZES = [(80, 24), (120, 40)]


class SnapCompare(Protocol):
    """What compares a screen with its picture."""

    def __call__(
        self,
        app: App[int],
        press: list[str] = ...,
        terminal_size: tuple[int, int] = ...,
        run_before: object = None,
    ) -> bool: ...


async def settled(pilot: Pilot[int]) -> None:
    """Wait until the first tick is painted."""
    await pilot.pause(0.3)


LOOKS = {
    "inspection": ("inspection", []),
    "nuts": ("nuts", []),
    "descent": ("descent", []),
    "bottom": ("bottom", []),
    "stop": ("stop", []),
    "undressing": ("undressing", []),
    "closed": ("closed", []),
    "air": ("bottom", ["f4"]),
    "journal": ("bottom", ["f5"]),
    "form": ("bottom", ["d"]),
    "choice": ("descent", ["k"]),
    "refusal": ("nuts", ["f9"]),
    "trail": ("stop", ["5"]),
    "ladder": ("bottom", ["6"]),
    "card": ("bottom", ["4", "3"]),
    "chamber": ("ascent", ["slash", "2", "enter", *"manned", "enter", "f9", "f9", "f9", "f9", "f3"]),
    "paper": ("bottom", ["7", *"130", "enter", *"30", "enter", "enter"]),
}


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
@pytest.mark.parametrize("look", LOOKS)
def test_look(make: "Make", snap_compare: SnapCompare, look: str, size: tuple[int, int]) -> None:
    until, press = LOOKS[look]
    assert snap_compare(make(until).app, press=press, terminal_size=size, run_before=settled)


def test_look_without_colour(
    make: "Make", snap_compare: SnapCompare, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With NO_COLOR set every state is still told by its sign and word."""
    monkeypatch.setenv("NO_COLOR", "1")
    assert snap_compare(make("stop").app, terminal_size=(80, 24), run_before=settled)


def test_look_at_the_least_size(make: "Make", snap_compare: SnapCompare) -> None:
    assert snap_compare(make("nuts").app, terminal_size=(60, 20), run_before=settled)


def test_look_of_a_screen_too_small(make: "Make", snap_compare: SnapCompare) -> None:
    assert snap_compare(make("stop").app, terminal_size=(40, 12), run_before=settled)
