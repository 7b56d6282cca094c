"""The single lines of the screen: header, lanes, what was said last, who acts, which keys."""

import re
from collections.abc import Sequence

from textual.content import Content

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

    def show_keys(self, actions: Sequence[Action], width: int) -> None:
        """Paint as many as there is room for; F1 and leaving always."""
        last = [_one(BY_ID[one]) for one in ALWAYS]
        views = seats_words()
        room = width - sum(len(part) + 2 for part in last) - len(views) - 2
        shown: list[Content] = []
        for action in actions:
            part = _one(action)
            if len(part) + 2 > room:
                continue
            room -= len(part) + 2
            shown.append(part)
        self.show(Content("  ").join([*shown, Content(views), *last]))


def seats_words() -> str:
    """Return the keys of the seats in few words: 'F2-F4 seats' where they stand in a row."""
    keys = [key_of(seat) for seat in SEATS]
    numbers = [int(key[1:]) for key in keys if re.fullmatch(r"F\d+", key)]
    in_a_row = numbers == list(range(numbers[0], numbers[0] + len(keys))) if numbers else False
    return f"{keys[0]}-{keys[-1]} seats" if in_a_row else f"{' '.join(keys)} seats"


def _one(action: Action) -> Content:
    key = key_of(action.id)
    return Content.assemble((key, "bold"), f" {action.short}")
