"""The page that is on the screen as plain text: lists and what scrolls in full, not only what is in sight."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import OptionList, Static

from station.console.panes.paint import Paint

LEFT_OUT = frozenset({"keys", "small"})
"""Widgets by id that say nothing on paper."""


def page_lines(screen: Screen[object]) -> list[str]:
    """Return the lines of a screen from top to bottom; what stands side by side comes one after another."""
    lines = [line.rstrip() for widget in screen.walk_children(Widget) for line in _lines(widget)]
    while lines and not lines[-1]:
        lines.pop()
    return lines


def page_text(name: str, now: datetime, lines: Sequence[str]) -> str:
    """Return the lines of a page as one text, headed by what it is and when it was shown so."""
    head = f"Page '{name}' of the dive station console, as shown at {now:%Y-%m-%d %H:%M:%S} UTC"
    return "\n".join([head, "For reading; what counts is on the journal and in the record.", "", *lines, ""])


def _lines(widget: Widget) -> Iterator[str]:
    shown = all(one.display for one in widget.ancestors_with_self if isinstance(one, Widget))
    if not shown or widget.id in LEFT_OUT:
        return
    if isinstance(widget, OptionList):
        yield from (str(one.prompt) for one in widget.options)
    elif isinstance(widget, Paint):
        yield from widget.shown.split("\n")
    elif isinstance(widget, Static):
        yield from str(widget.render()).split("\n")
