"""Entries around the ascent: earlier dives, altitude, divers together, the chamber, emergency cards."""

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from station.events.base import (
    ChamberMarkName,
    DepthFsw,
    Entry,
    LaneEntry,
    LaneNumber,
    Name,
    Sha256,
    Slug,
    Text,
)
from station.moments import Moment


class EarlierStated(LaneEntry):
    """A dive that this lane's diver made before, from a record on the shelf, or by hand with the reason.

    `depth_fsw` is the depth that entered the tables; `group` is left out where the schedule printed none.
    `record` and `record_sha256` name the record it was read from.
    """

    kind: Literal["earlier.stated"] = "earlier.stated"
    surfaced: Moment
    group: Annotated[str, StringConstraints(pattern=r"^[A-Z*]{1,2}$")] | None = None
    depth_fsw: DepthFsw
    bottom_min: Annotated[int, Field(ge=1, le=1440)]
    added_min: Annotated[int, Field(ge=0, le=1440)] = 0
    exceptional: bool = False
    record: Name | None = None
    record_sha256: Sha256 | None = None
    reason: Text


class ResidualChosen(LaneEntry):
    """The supervisor chooses how an earlier dive counts: by the table, or by the sum of the bottom times."""

    kind: Literal["residual.chosen"] = "residual.chosen"
    method: Literal["table", "sum"]
    reason: Text


class NoGroupDecided(LaneEntry):
    """The supervisor lets a dive go ahead after one whose schedule prints no group, once that may be."""

    kind: Literal["no_group.decided"] = "no_group.decided"
    reason: Text


class ArrivalStated(LaneEntry):
    """When the diver came up to the site's altitude, and from which; the same altitude: lives there."""

    kind: Literal["arrival.stated"] = "arrival.stated"
    arrived: Moment
    from_ft: Annotated[float, Field(ge=-1500, le=30000)] = 0


class DiversTogether(Entry):
    """The supervisor has these lanes ascend together: the deeper depth and the longer time hold for all."""

    kind: Literal["divers.together"] = "divers.together"
    lanes: Annotated[tuple[LaneNumber, ...], Field(min_length=2, max_length=9)]


class DiversApart(Entry):
    """From here on each of these lanes follows its own figures again."""

    kind: Literal["divers.apart"] = "divers.apart"
    lanes: Annotated[tuple[LaneNumber, ...], Field(min_length=2, max_length=9)]
    reason: Text


class ChamberMarkTaken(LaneEntry):
    """A time of surface decompression; 'reached chamber depth' names the depth."""

    kind: Literal["chamber.marked"] = "chamber.marked"
    mark: ChamberMarkName
    depth_fsw: Annotated[int, Field(ge=1, le=200)] | None = None


class CardOpened(LaneEntry):
    """An emergency card is opened for a lane: its clocks run."""

    kind: Literal["card.opened"] = "card.opened"
    card: Slug


class CardDecided(LaneEntry):
    """What was decided on an open card, and by whom."""

    kind: Literal["card.decided"] = "card.decided"
    card: Slug
    text: Text


class CardClosed(LaneEntry):
    """The supervisor closes a card: what it was opened for is over."""

    kind: Literal["card.closed"] = "card.closed"
    card: Slug
    text: Text
