"""Lines that fit: broken to the width there is, the most important first where there is no room for all.

Most words stand for many ticks: rows once broken are kept.
"""

from collections.abc import Sequence
from functools import lru_cache
from textwrap import wrap

from textual.content import Content

from station.console.words_ascent import LABEL, Named

Ranked = tuple[int, Named]
"""A named line and its rank: the lower, the longer it stays where room is short."""
SHORTEST = 8
"""The least columns that words are broken to."""


@lru_cache(maxsize=1024)
def named_rows(name: str, words: str, width: int) -> tuple[Content, ...]:
    """Return a named line in rows: its name in bold, its words beside it, broken and set in below."""
    parts = broken(words, width - LABEL)
    first = Content.assemble((f"{name:<{LABEL}}", "bold"), parts[0])
    return first, *(Content(f"{'':<{LABEL}}{part}") for part in parts[1:])


@lru_cache(maxsize=1024)
def broken(words: str, width: int, indent: str = "") -> tuple[str, ...]:
    """Return words in rows of the width there is; a word is only cut where it is longer than a row."""
    room = max(SHORTEST, width)
    return tuple(wrap(words, room, subsequent_indent=indent, break_on_hyphens=False)) or ("",)


def fitted(ranked: Sequence[Ranked], width: int, room: int) -> list[Content]:
    """Return those lines, whole, that have room, chosen by rank and shown in their own order."""
    rows = [named_rows(*named, width) for _, named in ranked]
    chosen: set[int] = set()
    for at in sorted(range(len(ranked)), key=lambda at: ranked[at][0]):
        taken = sum(len(rows[one]) for one in chosen)
        if taken + len(rows[at]) <= room:
            chosen.add(at)
    return [row for at, one in enumerate(rows) if at in chosen for row in one]


def counted(lines: Sequence[Content], room: int) -> list[Content]:
    """Return as many lines as there is room for; what is left out is counted in the last of them."""
    if len(lines) <= room:
        return list(lines)
    if room == 1:
        return [Content.assemble(f"(1 of {len(lines)}) ", lines[0])]
    shown = max(0, room - 1)
    return [*lines[:shown], Content(f"(+{len(lines) - shown} more)")][: max(0, room)]


def shortened(words: str, width: int) -> str:
    """Return words in one row; where they are cut it says so."""
    return words if len(words) <= width else f"{words[: max(0, width - 3)]}..."


def columns(left: str, right: str, width: int) -> str:
    """Return two texts at the two ends of a line; the left one gives way, and says so."""
    room = width - len(right) - 1
    if room < SHORTEST:
        return left
    return f"{shortened(left, room):<{room}} {right}".rstrip()
