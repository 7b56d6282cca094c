"""What the commands of the shelf print: aligned tables within 80 columns, and the same as JSON."""

import math
import textwrap
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any, Final

from station.moments import iso
from station.record.verify import Status
from station.shelf.entry import UNREADABLE, Entry

WIDTH: Final = 80
VERDICTS: Final = {
    Status.SOUND.value: "sound",
    Status.ALTERED.value: "ALTERED",
    Status.UNLISTED.value: "UNLISTED",
    Status.UNSIGNED.value: "UNSIGNED",
    Status.NEWER.value: "NEWER",
    Status.NOT_A_RECORD.value: "NO RECORD",
    UNREADABLE: "UNREAD",
}
ROUNDED: Final = "Depth in fsw, rounded up; bottom time in minutes, as recorded."
Row = Sequence[str]
_WIDEST: Final = {"diver": 16, "place": 18, "schedule": 10}


def table(head: Row, rows: Iterable[Row], right: Iterable[str] = ()) -> list[str]:
    """Return an aligned table; columns that could grow wide are cut, each with a sign that it was."""
    cut = [
        [_cut(cell, _WIDEST.get(name, WIDTH)) for name, cell in zip(head, row, strict=True)] for row in rows
    ]
    widths = [max(len(cell) for cell in column) for column in zip(head, *cut, strict=True)]
    to_right = [name in set(right) for name in head]
    return [
        " ".join(
            cell.rjust(width) if side else cell.ljust(width)
            for cell, width, side in zip(row, widths, to_right, strict=True)
        ).rstrip()
        for row in [head, *cut]
    ]


def wrapped(words: str, indent: str = "") -> list[str]:
    """Return words as lines within the width; a word that is longer, a file's name, is left whole."""
    return textwrap.wrap(
        shown(words),
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    )


def shown(words: str) -> str:
    """Return words of a file, or its name, without what would steer a terminal."""
    return "".join(one if one.isprintable() else "?" for one in words)


def _cut(cell: str, width: int) -> str:
    text = shown(cell)
    return text if len(text) <= width else f"{text[: width - 1]}~"


def dive_table(entries: Sequence[Entry]) -> list[str]:
    """Return dives, one to a line, with the file and what is wrong with it on the lines below."""
    head = ("day", "diver", "place", "fsw", "min", "schedule", "grp", "dev", "verdict")
    rows = [_dive_row(one) for one in entries]
    lines = table(head, rows, right=("fsw", "min", "dev"))
    found = lines[:1]
    for one, line in zip(entries, lines[1:], strict=True):
        drill = "DRILL  " if (one.dive.drill if one.dive else one.drill) else ""
        found += [line, f"  {drill}{shown(one.name)}"]
        if one.problem:
            found += wrapped(one.problem, "  ")
        if one.dive and one.dive.deviations:
            found += wrapped(f"deviations: {counted(one.dive.deviations)}", "  ")
    return found


def _dive_row(one: Entry) -> Row:
    dive, verdict = one.dive, VERDICTS.get(one.status, one.status)
    if dive is None:
        return ("", "", "", "", "", "", "", "", verdict)
    return (
        dive.day.isoformat(),
        dive.diver,
        dive.place,
        str(math.ceil(dive.depth_fsw)),
        str(dive.bottom_min),
        dive.schedule or "none",
        dive.group or "none",
        str(len(dive.deviations)) if dive.deviations else "-",
        verdict,
    )


def counted(kinds: Iterable[str]) -> str:
    """Return kinds with how often each stands there."""
    return ", ".join(kind if count == 1 else f"{count} x {kind}" for kind, count in Counter(kinds).items())


def entry_json(one: Entry) -> dict[str, Any]:
    """Return a file of the shelf for JSON: times in UTC, depth as recorded."""
    dive = one.dive
    found: dict[str, Any] = {
        "file": one.name,
        "sha256": one.sha256,
        "verdict": one.status,
        "problem": one.problem,
        "drill": dive.drill if dive else one.drill,
        "signed_by": [f"{signed.person}:{signed.role}" for signed in one.signatures],
    }
    if dive is not None:
        found |= {
            "day": dive.day.isoformat(),
            "diver": dive.diver,
            "diver_name": dive.diver_name,
            "title": dive.title,
            "place": dive.place,
            "started": iso(dive.started),
            "finished": iso(dive.finished),
            "depth_fsw": dive.depth_fsw,
            "bottom_time_min": dive.bottom_min,
            "schedule": dive.schedule,
            "group": dive.group,
            "deviations": list(dive.deviations),
        }
    return found
