"""Entries of the whole station: opening, clock, crew, conditions, remarks, supply, corrections."""

from typing import Annotated, Any, Literal

from pydantic import Field

from station.events.base import Entry, LaneNumber, Name, Part, PressurePsig, Role, Sha256, Slug, Text


class FileUse(Part):
    """A configuration file in use: its part, its name and its SHA-256."""

    role: Literal["station", "outfit", "tables", "supply", "cards", "authority", "scenario"]
    name: Name
    sha256: Sha256


class OperationOpened(Entry):
    """The first entry of every journal."""

    kind: Literal["operation.opened"] = "operation.opened"
    title: Name
    station: Name
    place: Name
    drill: bool
    program: str
    files: tuple[FileUse, ...]


class ClockAnchored(Entry):
    """Both clocks of a machine read at once; every seat on that machine counts from here."""

    kind: Literal["clock.anchored"] = "clock.anchored"
    boot: str
    counter_ns: int


class ClockJumped(Entry):
    """The machine's wall clock was set by somebody or something; station time went on regardless."""

    kind: Literal["clock.jumped"] = "clock.jumped"
    by_s: float


class CrewJoined(Entry):
    """A person takes up duties, or changes them: the latest entry for a person holds."""

    kind: Literal["crew.joined"] = "crew.joined"
    person: Slug
    name: Name
    roles: tuple[Role, ...]


class ConditionsNoted(Entry):
    """Underwater and surface conditions: from memory, 29 CFR 1910.423(d)(1)(v)."""

    kind: Literal["conditions.noted"] = "conditions.noted"
    visibility: Name
    water_temperature_c: Annotated[float, Field(ge=-5, le=50)]
    current: Name
    surface: Name


class NoteMade(Entry):
    """Free words on the record, of one lane or of the whole station."""

    kind: Literal["note.made"] = "note.made"
    lane: LaneNumber | None = None
    text: Text


class IncidentNoted(Entry):
    """Something went wrong: what, in whose lane, and what was decided."""

    kind: Literal["incident.noted"] = "incident.noted"
    lane: LaneNumber | None = None
    text: Text


class EntryAmended(Entry):
    """A correction: names the entry it corrects, the fields that change, and why. Nothing is erased."""

    kind: Literal["entry.amended"] = "entry.amended"
    target: str
    changes: dict[str, Any]
    reason: Text


class EntryWithdrawn(Entry):
    """An entry made in error no longer counts; it stays readable."""

    kind: Literal["entry.withdrawn"] = "entry.withdrawn"
    target: str
    reason: Text


class SupplyRead(Entry):
    """A pressure read on the manifold or on a bank."""

    kind: Literal["supply.read"] = "supply.read"
    source: Slug
    pressure_psig: PressurePsig
