"""What stands on a screen, as plain text: every style left out."""

from typing import Any

from textual.app import App
from textual.pilot import Pilot


def screen_lines(app: App[Any]) -> list[str]:
    """Return the rows of the screen on top, without blanks at their ends."""
    strips = app.screen._compositor.render_strips(app.size)
    return [strip.text.rstrip() for strip in strips]


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
