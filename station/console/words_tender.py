"""What the tender reads: the next step in large type, the order with who and when, holds, defects."""

from collections.abc import Iterator
from dataclasses import dataclass

from textual.content import Content

from station.board.figures import Figures, LaneFigures, Phase
from station.board.state import Board
from station.console.keyboard import key_of
from station.console.layout import columns
from station.console.words import row_text
from station.moments import clock_time
from station.outfit import Row
from station.outfit.waiting import NUT_WORDS

HANDS_ON: frozenset[Phase] = frozenset({"dressing", "ready", "undressing"})
"""The phases in which the tender of another diver has something to do."""
AFTERWARDS: dict[Phase, tuple[str, str, str]] = {
    "to close": ("NEXT: the supervisor closes the dive", "the diver is undressed", "close"),
    "closed": ("NEXT: those who must sign the record", "the dive is closed", "sign"),
    "signed": ("THE RECORD IS SIGNED", "nothing more is to be done for this dive", ""),
    "called off": ("THE DIVE IS CALLED OFF", "nothing more is entered for it", ""),
}
"""What is left once nobody is to be dressed or undressed, how it stands, and the action for it."""
WHO_WIDTH = 66
"""From this width on a row of the order says who did it and when."""


@dataclass(frozen=True)
class NextWords:
    """The next step: what it is or waits for, how it is done or what follows."""

    what: str
    how: str


def next_words(one: LaneFigures | None) -> NextWords:
    """Return what the tender of a lane does next."""
    if one is None:
        return NextWords("NO DIVE IS PLANNED YET", "the supervisor begins one")
    if one.phase == "ready" and not one.open_for_dive:
        return NextWords("READY TO DIVE", "the mark of left surface begins the dive")
    if one.next_steps:
        first = one.next_steps[0]
        return NextWords(f"NEXT: {first.title}", _nuts(one) or first.how)
    if one.phase in AFTERWARDS:
        what, how, key = AFTERWARDS[one.phase]
        return NextWords(what, f"{how}{f': key {key_of(key)}' if key else ''}")
    row = next((row for part in one.parts for row in part.rows if row.state == "waiting"), None)
    if row is None:
        return NextWords("NEXT: nothing is open now", "")
    return NextWords(f"NEXT: nothing is open now, waits for: {'; '.join(row.waits)}", f"then: {row.title}")


def _nuts(one: LaneFigures) -> str:
    may = [stud for stud in one.ring if stud.next]
    if not may or may[0].next is None:
        return ""
    return f"{NUT_WORDS[may[0].next]} now: nut {', '.join(str(stud.number) for stud in may)}"


def others_lines(board: Board, figures: Figures, in_hand: int) -> list[str]:
    """Return the next step of every other diver who is being dressed or undressed, a line each."""
    return [
        f"LANE {one.lane.number} {board.name(one.lane.plan.diver)}  {_short(one)}"
        for one in figures.lanes
        if one.lane.number != in_hand and one.phase in HANDS_ON
    ]


def _short(one: LaneFigures) -> str:
    words = next_words(one)
    row = one.next_steps[0].id if one.next_steps else ""
    part = next((part for part in one.parts if any(row == each.id for each in part.rows)), None)
    return words.what if part is None else f"{words.what}   {part.title} {part.done} of {part.total} done"


def order_line(board: Board, row: Row, width: int) -> str:
    """Return a row of the order: state, title, and in enough room when it was done and by whom."""
    text = row_text(row)
    if row.mark is None or width < WHO_WIDTH:
        return text
    return columns(text, f"{clock_time(row.mark.at)} {board.name(row.mark.by)}", width)


def hold_lines(board: Board, one: LaneFigures) -> list[Content]:
    """Return holds, failed items and pieces set aside with what replaced them, the gravest first."""
    return [*_holds(one), *_defects(board, one)]


def _holds(one: LaneFigures) -> Iterator[Content]:
    if one.phase not in ("dressing", "ready"):
        return
    standing = [hold for hold in one.holds if hold.state == "standing"]
    for hold in standing:
        kind = "HOLD, absolute: " if hold.absolute else "HOLD: "
        yield Content.assemble((kind, "bold"), f"{hold.title}; waits for {'; '.join(hold.waits)}")
    for hold in one.holds:
        if hold.state == "released":
            yield Content.assemble(("HOLD RELEASED: ", "bold"), f"{hold.title}; {hold.reason}")
    if not standing:
        yield Content.assemble(("HOLDS ", "bold"), "none standing")


def _defects(board: Board, one: LaneFigures) -> Iterator[Content]:
    outfit, progress = board.setup.outfit, one.lane.progress
    for row in (row for part in one.parts for row in part.rows if row.state == "failed"):
        why = row.remark or "; ".join(row.waits)
        yield Content.assemble(("FAILED ", "bold"), f"{row.title}{f': {why}' if why else ''}")
    for aside in progress.set_aside:
        drawn = progress.drawn.get(aside.piece)
        instead = f"replaced by {drawn.number}" if drawn else "not replaced yet"
        title = outfit.pieces[aside.piece].title
        yield Content.assemble(("SET ASIDE ", "bold"), f"{title} {aside.number}; {instead}")
