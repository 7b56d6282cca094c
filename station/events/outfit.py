"""Entries of the outfit: pieces, inspection, steps, nuts, holds."""

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from station.events.base import LaneEntry, Name, NutState, Slug, Text


class PieceDrawn(LaneEntry):
    """A piece of the outfit is drawn for this dive, or drawn in place of one that failed."""

    kind: Literal["piece.drawn"] = "piece.drawn"
    piece: Slug
    number: Name
    stamped: Name | None = None
    tested: date | None = None


class ItemInspected(LaneEntry):
    """One inspection item looked at, with its result."""

    kind: Literal["item.inspected"] = "item.inspected"
    item: Slug
    passed: bool
    remark: Text | None = None


class StepDone(LaneEntry):
    """One step of connecting, dressing or undressing; `checked_by` where a second person must look."""

    kind: Literal["step.done"] = "step.done"
    step: Slug
    checked_by: Slug | None = None


class NutMarked(LaneEntry):
    """One wing nut on its numbered stud."""

    kind: Literal["nut.marked"] = "nut.marked"
    stud: Annotated[int, Field(ge=1, le=99)]
    state: NutState


class HoldReleased(LaneEntry):
    """The supervisor releases a hold that may be released, with the reason."""

    kind: Literal["hold.released"] = "hold.released"
    hold: Slug
    reason: Text
