"""The ring of studs as a picture, seen from above: front at the bottom, numbers clockwise, evenly apart."""

import math
from collections.abc import Sequence

from station.events import NutState
from station.outfit import StudView
from station.outfit.waiting import NUT_WORDS

WIDTH, HEIGHT = 44, 11
CELL = 10
MOST = 12
"""Studs that the picture has room for: of more, some would stand over one another."""
_ACROSS, _DOWN = (WIDTH - CELL) / 2, (HEIGHT - 1) / 2
NUT_SIGNS: dict[NutState | None, str] = {
    None: ".bare ",
    "hand_tight": "~hand ",
    "wrenched": "=tight",
    "tried": "#tried",
    "off": "xoff  ",
    "back_on": "+back ",
}


def cell(stud: StudView) -> str:
    """Return a stud: > when its nut may be marked now, its number, J or L, the sign and word of its nut."""
    kind = "J" if stud.joint else "L" if stud.long else " "
    return f"{'>' if stud.next else ' '}{stud.number:>2}{kind}{NUT_SIGNS[stud.state]}"


def picture(studs: Sequence[StudView]) -> list[str]:
    """Return the ring as lines of one width; nothing for an outfit without one, or with too many studs."""
    if not 0 < len(studs) <= MOST:
        return []
    canvas = [[" "] * WIDTH for _ in range(HEIGHT)]
    for at, stud in enumerate(studs):
        turn = 2 * math.pi * at / len(studs)
        left = round(_ACROSS - _ACROSS * math.sin(turn))
        row = round(_DOWN + _DOWN * math.cos(turn))
        _write(canvas, row, left, cell(stud))
    for row, words in enumerate(_middle(studs), start=4):
        _write(canvas, row, (WIDTH - len(words)) // 2, words)
    return ["".join(row).rstrip() for row in canvas]


def rows(studs: Sequence[StudView], width: int) -> list[str]:
    """Return the studs in rows, for a place too narrow for the picture, or for more than it has room for."""
    across = max(1, width // CELL)
    cells = [cell(stud) for stud in studs]
    return ["".join(cells[at : at + across]) for at in range(0, len(cells), across)]


def _middle(studs: Sequence[StudView]) -> list[str]:
    may = [stud for stud in studs if stud.next]
    words = f"> {NUT_WORDS[may[0].next]}" if may and may[0].next else "no nut now"
    return ["from above", words, "J joint, L long"]


def _write(canvas: list[list[str]], row: int, left: int, words: str) -> None:
    for at, sign in enumerate(words):
        canvas[row][left + at] = sign
