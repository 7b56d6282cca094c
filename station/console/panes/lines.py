"""The single lines of the screen: header, lanes, what was said last, who acts, which keys."""

import re
from collections.abc import Sequence
from itertools import accumulate

from textual.content import Content
from textual.events import Click

from station.board.figures import Figures
from station.board.state import Board
from station.console.actions import BY_ID, Action
from station.console.keyboard import key_of
from station.console.panes.paint import Paint
from station.console.words import tab

ALWAYS = ("keys", "leave")
SEATS = ("seat.tender", "seat.timekeeper", "seat.supervisor")


def lanes_line(board: Board, figures: Figures, in_view: int) -> Content:
    """Return the tabs of the lanes, the one in view reversed and bracketed."""
    if not figures.lanes:
        return Content("no lane yet")
    parts: list[tuple[str, str]] = []
    for one in figures.lanes:
        here = one.lane.number == in_view
        text = tab(board, one)
        parts.append((f"[{text}]" if here else f" {text} ", "bold reverse" if here else ""))
    if len(figures.lanes) > 1:
        parts.append((f"  {key_of('lane.next')}: next lane", ""))
    return Content.assemble(*parts)


class KeyLine(Paint):
    """The keys worth knowing now; a click does what the key does."""

    def __init__(self) -> None:
        super().__init__(id="keys")
        self._places: list[tuple[range, str]] = []

    async def on_click(self, event: Click) -> None:
        """Do what the key under the mouse stands for."""
        at = event.get_content_offset(self)
        for columns, action in self._places if at else ():
            if at and at.x in columns:
                await self.app.run_action(f"do('{action}')")

    def show_keys(self, actions: Sequence[Action], width: int) -> None:
        """Paint as many as there is room for; F1 and leaving always."""
        last = [(_one(BY_ID[one]), one) for one in ALWAYS]
        views = seats_words()
        room = width - sum(len(part) + 2 for part, _ in last) - len(views) - 2
        shown: list[tuple[Content, str]] = []
        for action in actions:
            part = _one(action)
            if len(part) + 2 > room:
                continue
            room -= len(part) + 2
            shown.append((part, action.id))
        parts = [*shown, (Content(views), ""), *last]
        self.show(Content("  ").join(part for part, _ in parts))
        ends = list(accumulate(len(part) + 2 for part, _ in parts))
        self._places = [
            (range(end - len(part) - 2, end - 2), action)
            for end, (part, action) in zip(ends, parts, strict=True)
            if action
        ]


def seats_words() -> str:
    """Return the keys of the seats in few words: 'F2-F4 seats' where they stand in a row."""
    keys = [key_of(seat) for seat in SEATS]
    numbers = [int(key[1:]) for key in keys if re.fullmatch(r"F\d+", key)]
    in_a_row = numbers == list(range(numbers[0], numbers[0] + len(keys))) if numbers else False
    return f"{keys[0]}-{keys[-1]} seats" if in_a_row else f"{' '.join(keys)} seats"


def _one(action: Action) -> Content:
    key = key_of(action.id)
    return Content.assemble((key, "bold"), f" {action.short}")
