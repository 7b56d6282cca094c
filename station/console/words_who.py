"""Who makes which entries, in one line of any screen: no duty and nobody may be cut off it."""

from collections.abc import Callable, Iterator
from typing import Final

from station.board.state import Board
from station.console.duties import Duty, Pens, holder
from station.errors import Refusal

NOBODY: Final = "NOBODY"
SIDES: Final = 2
"""Columns of a screen that are left free beside the line."""
DUTIES: Final[tuple[tuple[Duty, str], ...]] = (
    ("tender", "outfit"),
    ("timekeeper", "times"),
    ("supervisor", "decides"),
)


def who_acts(board: Board, lane: int, pens: Pens, width: int) -> str:
    """Return the line that says who makes which entries; names are shortened, all alike, to a screen's width.

    Nobody's short name stands for two of the crew: it is as long as tells them apart. In full they stand in
    the list of the crew.
    """
    acts = [(words, _holder(board, duty, lane, pens)) for duty, words in DUTIES]
    lines = (_line(board, acts, short) for short in (_whole, _first_letter, _last, _letters))
    return next((line for line in lines if len(line) <= width - SIDES), _line(board, acts, _letters))


def _holder(board: Board, duty: Duty, lane: int, pens: Pens) -> str:
    try:
        return holder(board, duty, lane, pens)
    except Refusal:
        return ""


def _line(board: Board, acts: list[tuple[str, str]], short: Callable[[str], Iterator[str]]) -> str:
    """Return the line with everybody's name in the first of the forms that is nobody else's too."""
    crew = {one.person: [*short(one.name), one.name] for one in board.crew.values()}
    parts = []
    for words, person in acts:
        others = [form for other, forms in crew.items() if other != person for form in forms]
        forms = crew.get(person, [NOBODY])
        parts.append(f"{words}: {next((form for form in forms if form not in others), forms[-1])}")
    return "  ".join(parts)


def _whole(name: str) -> Iterator[str]:
    yield name


def _first_letter(name: str) -> Iterator[str]:
    """Yield J. Strand."""
    first, *_, last = [*name.split()[:1], *name.split()]
    yield f"{first[0]}. {last}" if len(name.split()) > 1 else name


def _last(name: str) -> Iterator[str]:
    """Yield Strand, then J. Strand."""
    yield name.rsplit(maxsplit=1)[-1]
    yield from _first_letter(name)


def _letters(name: str) -> Iterator[str]:
    """Yield JS, then JSt, JStr and so on."""
    *first, last = name.split()
    letters = "".join(one[0] for one in first)
    yield from (f"{letters}{last[:long]}" for long in range(1, len(last) + 1))
