"""Entries that the law asks for around a dive: planning, briefing, words to the diver, sickness, gaps."""

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from station.events.base import DepthFsw, LaneEntry, Slug, Text
from station.moments import Moment

Items = Annotated[tuple[Slug, ...], Field(min_length=1, max_length=60)]


class PlanningChecked(LaneEntry):
    """Items of the planning that were gone through before the dive, by the ids of the rule files in use."""

    kind: Literal["planning.checked"] = "planning.checked"
    items: Items


class BriefingDone(LaneEntry):
    """Who was briefed before the dive, and on which items of the rule files in use."""

    kind: Literal["briefing.done"] = "briefing.done"
    items: Items
    people: Annotated[tuple[Slug, ...], Field(min_length=1, max_length=60)]


class DiverTold(LaneEntry):
    """What was done for the diver after the dive, and what the diver was told."""

    kind: Literal["diver.told"] = "diver.told"
    items: Items


class ObservationEnded(LaneEntry):
    """The diver is no longer observed; it begins by itself, at the surface or on leaving the chamber."""

    kind: Literal["observation.ended"] = "observation.ended"
    text: Text


class SicknessSuspected(LaneEntry):
    """Decompression sickness is suspected: symptoms, and the depth and time at which they began."""

    kind: Literal["sickness.suspected"] = "sickness.suspected"
    symptoms: Text
    onset: Moment
    onset_fsw: DepthFsw


class SicknessTreated(LaneEntry):
    """A treatment and what came of it."""

    kind: Literal["sickness.treated"] = "sickness.treated"
    treatment: Text
    results: Text


class CasualtyNoted(LaneEntry):
    """A death, or an injury that the law wants reported, with its circumstances."""

    kind: Literal["casualty.noted"] = "casualty.noted"
    what: Literal["death", "injury"]
    circumstances: Text


class GapExplained(LaneEntry):
    """The supervisor says in words why something that the law asks for is not on the record."""

    kind: Literal["gap.explained"] = "gap.explained"
    key: Annotated[str, StringConstraints(pattern=r"^[a-z_]{1,40}\.[a-z_]{1,40}$")]
    words: Text
