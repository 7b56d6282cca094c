"""Entries of one dive: plan, marks, readings, decisions, closing, signatures."""

from typing import Annotated, Literal

from pydantic import Field

from station.events.base import DepthFsw, Gas, LaneEntry, MarkName, Name, Role, Sha256, Slug, Text


class DivePlanned(LaneEntry):
    """Opens a lane."""

    kind: Literal["dive.planned"] = "dive.planned"
    diver: Slug
    tenders: tuple[Slug, ...]
    depth_fsw: Annotated[float, Field(gt=0, le=400)]
    time_min: Annotated[int, Field(ge=1, le=1440)]
    mode: Name = "surface-supplied air, standard deep-sea outfit"
    work: Text


class MarkTaken(LaneEntry):
    """A time of the dive; a mark of a stop, and of a hold on the way up, names its depth."""

    kind: Literal["mark.taken"] = "mark.taken"
    mark: MarkName
    depth_fsw: DepthFsw | None = None


class DepthRead(LaneEntry):
    """A pneumofathometer reading as read, before its correction."""

    kind: Literal["depth.read"] = "depth.read"
    reading_fsw: DepthFsw


class DepthDeclared(LaneEntry):
    """The supervisor declares a deeper depth of dive than was read; never a shallower one."""

    kind: Literal["depth.declared"] = "depth.declared"
    depth_fsw: DepthFsw
    reason: Text


class VoiceChecked(LaneEntry):
    """A voice check with the diver."""

    kind: Literal["voice.checked"] = "voice.checked"
    good: bool


class ScheduleLengthened(LaneEntry):
    """The supervisor takes the next longer schedule for a cold or arduous dive."""

    kind: Literal["schedule.lengthened"] = "schedule.lengthened"
    reason: Text


class GasChosen(LaneEntry):
    """The supervisor chooses what is breathed on the way up: air, oxygen in the water, or oxygen on deck.

    The latest entry of a lane holds; a lane without one goes up on air.
    """

    kind: Literal["gas.chosen"] = "gas.chosen"
    gas: Gas
    reason: Text


class DiveCalledOff(LaneEntry):
    """The supervisor calls a dive off before the diver has left the surface; the diver is free again."""

    kind: Literal["dive.called_off"] = "dive.called_off"
    reason: Text


class DiveClosed(LaneEntry):
    """The supervisor closes the lane; from here on its record can be written and signed."""

    kind: Literal["dive.closed"] = "dive.closed"
    condition_after: Text
    remarks: Text | None = None


class RecordSigned(LaneEntry):
    """A signature was put under the record of this lane, with `addenda` corrections that it covers first."""

    kind: Literal["record.signed"] = "record.signed"
    file: Name
    sha256: Sha256
    person: Slug
    role: Role
    fingerprint: str
    addenda: Annotated[int, Field(ge=1)] | None = None
