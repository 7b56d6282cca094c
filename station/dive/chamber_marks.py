"""The marks of surface decompression: which may come next, and where each stands in the sequence."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from station.dive.oxygen import Turn
from station.dive.surface import FIRST_DEPTH, LAST_DEPTH, MIDDLE_DEPTH
from station.errors import Refusal
from station.events import ChamberMarkName
from station.moments import clock_time

CHAMBER_WORDS: dict[ChamberMarkName, str] = {
    "left_for_chamber": "left for the chamber",
    "entered_chamber": "entered the chamber",
    "reached_chamber_depth": "reached chamber depth",
    "on_chamber_oxygen": "on chamber oxygen",
    "off_chamber_oxygen": "off chamber oxygen",
    "left_chamber_depth": "left chamber depth for the surface",
    "surfaced_in_chamber": "surfaced in the chamber",
}
CHAMBER_DEPTHS = (FIRST_DEPTH, MIDDLE_DEPTH, LAST_DEPTH)
_TURNS: dict[ChamberMarkName, Turn] = {"on_chamber_oxygen": "on", "off_chamber_oxygen": "off"}
Option = tuple[ChamberMarkName, int | None]


@dataclass(frozen=True)
class ChamberMark:
    """A time of surface decompression; only 'reached chamber depth' has a depth, in fsw.

    'Left for the chamber' is leaving the last stop in the water, or passing 40 fsw where there is none; 'left
    chamber depth' begins the last way up.
    """

    name: ChamberMarkName
    at: datetime
    depth: int | None = None

    @property
    def words(self) -> str:
        """The mark in the trade's words."""
        return chamber_mark_text(self.name, self.depth)


@dataclass(frozen=True)
class Seen:
    """The marks put in their places, and the moment they are looked at."""

    now: datetime
    left: datetime | None
    entered: datetime | None
    reached: tuple[tuple[datetime, int], ...]
    turns: tuple[tuple[datetime, Turn], ...]
    leaving: datetime | None
    surfaced: datetime | None

    @property
    def at_first(self) -> datetime | None:
        """When 50 fsw was reached."""
        return next((at for at, depth in self.reached if depth >= FIRST_DEPTH), None)

    @property
    def depth(self) -> int | None:
        """The last depth that was marked."""
        return self.reached[-1][1] if self.reached else None

    @property
    def on_oxygen(self) -> bool:
        """Whether the last turn was onto oxygen."""
        return bool(self.turns) and self.turns[-1][1] == "on"


def chamber_mark_text(name: ChamberMarkName, depth: int | None) -> str:
    """Return a mark in the trade's words: reached chamber depth 50 fsw."""
    return CHAMBER_WORDS[name] if depth is None else f"{CHAMBER_WORDS[name]} {depth} fsw"


def seen_of(marks: Sequence[ChamberMark], now: datetime) -> Seen:
    """Return the marks in their places; a moment before the last mark counts as that mark's."""

    def first(name: ChamberMarkName) -> datetime | None:
        return next((mark.at for mark in marks if mark.name == name), None)

    return Seen(
        now=max([now, *(mark.at for mark in marks)]),
        left=first("left_for_chamber"),
        entered=first("entered_chamber"),
        reached=tuple(
            (mark.at, mark.depth)
            for mark in marks
            if mark.name == "reached_chamber_depth" and mark.depth is not None
        ),
        turns=tuple((mark.at, _TURNS[mark.name]) for mark in marks if mark.name in _TURNS),
        leaving=first("left_chamber_depth"),
        surfaced=first("surfaced_in_chamber"),
    )


def allowed_chamber_marks(seen: Seen) -> tuple[Option, ...]:
    """Return the marks that may come next, with their depths, the expected one first.

    Before 50 fsw a shallower depth may be marked: ears that will not clear are a fact, and the supervisor's.
    """
    if seen.surfaced is not None:
        return ()
    if seen.left is None:
        return (("left_for_chamber", None),)
    surfaced: Option = ("surfaced_in_chamber", None)
    if seen.leaving is not None:
        return (surfaced,)
    if seen.depth is None:
        entered: tuple[Option, ...] = () if seen.entered else (("entered_chamber", None),)
        return *entered, *(("reached_chamber_depth", depth) for depth in CHAMBER_DEPTHS)
    turn: Option = ("off_chamber_oxygen" if seen.on_oxygen else "on_chamber_oxygen", None)
    deeper = FIRST_DEPTH if seen.at_first is None else seen.depth
    moves = [depth for depth in CHAMBER_DEPTHS if depth <= deeper and depth != seen.depth]
    return (
        turn,
        *(("reached_chamber_depth", depth) for depth in moves),
        ("left_chamber_depth", None),
        surfaced,
    )


def check_chamber_mark(marks: Sequence[ChamberMark], mark: ChamberMark) -> None:
    """Pass when the mark may come next.

    Raises:
        Refusal: says why it may not, and which marks may.

    """
    if marks and mark.at < marks[-1].at:
        last = marks[-1]
        raise Refusal(f"{clock_time(mark.at)} is before the last mark, {last.words} at {clock_time(last.at)}")
    allowed = allowed_chamber_marks(seen_of(marks, mark.at))
    if (mark.name, mark.depth) not in allowed:
        may = [chamber_mark_text(*one) for one in allowed]
        raise Refusal(
            f"'{mark.words}' cannot be taken now; what may come next: {', '.join(may) or 'nothing'}",
            may,
        )
