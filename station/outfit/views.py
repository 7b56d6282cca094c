"""What screens and the record show of a lane's outfit, row by row."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from station.events import NutState
from station.outfit.file import Item, Piece, Step
from station.outfit.model import Outfit, section_of
from station.outfit.progress import Mark, Progress, half_marked, is_done, nut_state, nuts_left
from station.outfit.rules import nut_waits, too_late
from station.outfit.waiting import Facts, not_drawn, piece_faults, unmet, waits

State = Literal["done", "open", "waiting", "failed", "optional", "skipped"]

SECTION_TITLES = {
    "pieces": "Pieces",
    "inspection": "Inspection",
    "connecting": "Connecting up",
    "dressing": "Dressing",
    "ladder": "On the ladder",
    "undressing": "Undressing",
}


@dataclass(frozen=True, slots=True)
class Row:
    """One piece, item or step.

    state: 'optional' is open and may be left out, 'skipped' was left out. waits: why it is not done
    yet, empty when it can be marked now. markable: an entry for it would be taken now, the person's
    role aside. mark: the latest entry for it.
    """

    id: str
    kind: Literal["piece", "item", "step", "nuts"]
    title: str
    how: str
    state: State
    waits: tuple[str, ...]
    markable: bool
    mark: Mark | None = None
    remark: str | None = None
    second_person: bool = False
    always: bool = False


@dataclass(frozen=True, slots=True)
class SectionRows:
    """One part of the order with its rows, and how many required ones of how many are done."""

    id: str
    title: str
    rows: tuple[Row, ...]
    done: int
    total: int


@dataclass(frozen=True, slots=True)
class StudView:
    """One stud of the ring; `state` of its nut, `next` the mark that would be taken now."""

    number: int
    place: str
    half: str
    joint: bool
    flanged: bool
    long: bool
    state: NutState | None
    next: NutState | None


@dataclass(frozen=True, slots=True)
class HoldView:
    """A hold and what it still asks for."""

    id: str
    title: str
    absolute: bool
    state: Literal["met", "standing", "released"]
    waits: tuple[str, ...]
    basis: str
    reason: str | None = None


def sections(outfit: Outfit, progress: Progress, facts: Facts) -> tuple[SectionRows, ...]:
    """Return every row of the lane, in the order of the file."""
    rows = {name: tuple(_rows(outfit, progress, facts, name)) for name in SECTION_TITLES}
    return tuple(
        SectionRows(
            id=name,
            title=SECTION_TITLES[name],
            rows=found,
            done=sum(row.state == "done" for row in found if not outfit.optional(row.id)),
            total=sum(not outfit.optional(row.id) for row in found),
        )
        for name, found in rows.items()
        if found
    )


def next_row(outfit: Outfit, progress: Progress, facts: Facts, section: str) -> Row | None:
    """Return the first row of a section that can be marked now."""
    return next((row for row in _rows(outfit, progress, facts, section) if row.markable), None)


def next_steps(outfit: Outfit, progress: Progress, facts: Facts) -> tuple[Row, ...]:
    """Return the rows that can be marked now; a piece among them is to be drawn, or drawn anew."""
    return tuple(row for part in sections(outfit, progress, facts) for row in part.rows if row.markable)


def ring(outfit: Outfit, progress: Progress, facts: Facts) -> tuple[StudView, ...]:
    """Return the studs in order; nothing for an outfit without a ring."""
    studs = outfit.file.ring.studs if outfit.file.ring else ()
    allowed = dict(_nuts_allowed(outfit, progress, facts))
    return tuple(
        StudView(
            number=stud.number,
            place=stud.place,
            half=stud.half,
            joint=stud.joint,
            flanged=stud.flanged,
            long=stud.long,
            state=nut_state(outfit, progress, stud.number),
            next=allowed.get(stud.number),
        )
        for stud in studs
    )


def holds(outfit: Outfit, progress: Progress, facts: Facts) -> tuple[HoldView, ...]:
    """Return every hold with its state."""
    found = []
    for hold in outfit.holds.values():
        lines = tuple(dict.fromkeys(unmet(outfit, progress, hold, facts)))
        release = None if hold.absolute else progress.released.get(hold.id)
        state: Literal["met", "standing", "released"] = (
            "released" if release else "standing" if lines else "met"
        )
        found.append(
            HoldView(
                id=hold.id,
                title=hold.title,
                absolute=hold.absolute,
                state=state,
                waits=lines,
                basis=hold.basis,
                reason=release.reason if release else None,
            )
        )
    return tuple(found)


def on_hose_since(outfit: Outfit, progress: Progress) -> datetime | None:
    """Return when the faceplate was closed, from when the diver lives on the hose; None while it is open."""
    marks = [
        progress.done[step.id] for step in outfit.steps.values() if step.on_hose and step.id in progress.done
    ]
    return marks[-1].at if marks else None


def _piece(outfit: Outfit, progress: Progress, piece: Piece, facts: Facts) -> Row:
    drawn = progress.drawn.get(piece.id)
    faults = piece_faults(outfit, progress, piece.id, facts)
    lines = faults if drawn else (not_drawn(outfit, progress, piece.id),)
    aside = any(one.piece == piece.id for one in progress.set_aside)
    before = facts.where == "before" and half_marked(outfit, progress) is None
    state: State = "failed" if faults or (aside and not drawn) else "done" if drawn else "open"
    return Row(
        id=piece.id,
        kind="piece",
        title=piece.title,
        how=_piece_words(piece),
        state=state,
        waits=lines,
        markable=before and state != "done",
        mark=drawn.mark if drawn else None,
        remark=drawn.number if drawn else None,
    )


def _piece_words(piece: Piece) -> str:
    words = ["own number"]
    if piece.stamped:
        words.append("number stamped on it")
    if piece.test:
        words.append(f"date of its {piece.test.what} (every {piece.test.every_days} days)")
    return ", ".join(words)


def _item(outfit: Outfit, progress: Progress, item: Item, facts: Facts) -> Row:
    looked = progress.looked.get(item.id)
    passed = is_done(outfit, progress, item.id)
    lines = () if passed else waits(outfit, progress, item.id, facts)
    failed = looked is not None and not passed
    return Row(
        id=item.id,
        kind="item",
        title=f"{item.part}: {item.look}",
        how=f"passes when {item.passes}; if not: {item.fails}",
        state="done" if passed else "failed" if failed else "waiting" if lines else "open",
        waits=lines,
        markable=not passed and not lines,
        mark=looked.mark if looked else None,
        remark=looked.remark if looked else None,
        always=item.always,
    )


def _rows(outfit: Outfit, progress: Progress, facts: Facts, section: str) -> Iterator[Row]:
    if section == "pieces":
        yield from (_piece(outfit, progress, piece, facts) for piece in outfit.pieces.values())
    elif section == "inspection":
        yield from (_item(outfit, progress, item, facts) for item in outfit.items.values())
    else:
        found = (step for step in outfit.steps.values() if section_of(step) == section)
        yield from (_step(outfit, progress, step, facts) for step in found)


def _step(outfit: Outfit, progress: Progress, step: Step, facts: Facts) -> Row:
    done = is_done(outfit, progress, step.id)
    skipped = not done and too_late(outfit, progress, step) is not None
    lines = () if done or skipped else waits(outfit, progress, step.id, facts)
    markable = not (done or skipped or lines)
    return Row(
        id=step.id,
        kind="nuts" if step.nuts else "step",
        title=step.title,
        how=step.how,
        state=_step_state(step, done=done, skipped=skipped, markable=markable),
        waits=lines,
        markable=markable,
        mark=_latest(progress, step),
        second_person=step.second_person,
    )


def _step_state(step: Step, *, done: bool, skipped: bool, markable: bool) -> State:
    if done:
        return "done"
    if skipped:
        return "skipped"
    if not markable:
        return "waiting"
    return "optional" if step.optional else "open"


def _latest(progress: Progress, step: Step) -> Mark | None:
    marks = [mark for (name, _), mark in progress.nuts.items() if name == step.id]
    return marks[-1] if marks else progress.done.get(step.id)


def _nuts_allowed(outfit: Outfit, progress: Progress, facts: Facts) -> Iterator[tuple[int, NutState]]:
    """Yield each stud whose nut can be marked now, with the mark it may get."""
    for step in outfit.nut_steps:
        for stud in nuts_left(progress, step):
            if step.nuts and not nut_waits(outfit, progress, step, stud, facts):
                yield stud, step.nuts.mark
