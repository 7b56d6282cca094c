"""What stands on a screen, as plain text: every style left out."""

from collections.abc import Callable
from typing import Any

from textual.app import App
from textual.pilot import Pilot


def screen_lines(app: App[Any]) -> list[str]:
    """Return the rows of the screen on top, without blanks at their ends."""
    strips = app.screen._compositor.render_strips(app.size)
    return [strip.text.rstrip() for strip in strips]


LOOK_S, LOOKS = 0.02, 1500


async def reached(pilot: Pilot[int], found: Callable[[], object]) -> None:
    """Let the screen go on until something is so, for half a minute of a busy machine."""
    for _ in range(LOOKS):
        if found():
            return
        await pilot.pause(LOOK_S)
    raise AssertionError("\n".join(screen_lines(pilot.app)))


async def settled(pilot: Pilot[int]) -> None:
    """Paint until nothing changes: one paint may lay out anew what the next one fills."""
    lines: list[str] = []
    while (now := await _painted(pilot)) != lines:
        lines = now


async def _painted(pilot: Pilot[int]) -> list[str]:
    await pilot.pause()
    pilot.app.repaint()  # type: ignore[attr-defined]  # every screen of the station has it
    await pilot.pause()
    return screen_lines(pilot.app)
