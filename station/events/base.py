"""What every entry carries, and the kinds of value that entries hold."""

import uuid
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

from station.moments import Moment

Seat = Literal["tender", "timekeeper", "supervisor", "drill", "console"]
Role = Literal["tender", "timekeeper", "supervisor", "diver", "standby"]
NutState = Literal["hand_tight", "wrenched", "tried", "off", "back_on"]
MarkName = Literal[
    "left_surface",
    "reached_bottom",
    "left_bottom",
    "reached_stop",
    "left_stop",
    "reached_surface",
    "held",
    "moving",
    "on_oxygen",
    "off_oxygen",
    "oxygen_lost",
]
Gas = Literal["air", "air_oxygen", "surface_oxygen"]
ChamberMarkName = Literal[
    "left_for_chamber",
    "entered_chamber",
    "reached_chamber_depth",
    "on_chamber_oxygen",
    "off_chamber_oxygen",
    "left_chamber_depth",
    "surfaced_in_chamber",
]


def _shows(text: str) -> str:
    """Return the text; ValueError for what a screen or a print could not show as it was typed."""
    for letter in text:
        if not letter.isprintable() and letter != "\n":
            raise ValueError(f"holds a character that cannot be shown (U+{ord(letter):04X})")
    return text


def _one_line(text: str) -> str:
    if "\n" in text:
        raise ValueError("must be one line")
    return _shows(text)


Name = Annotated[
    str,
    StringConstraints(min_length=1, max_length=80, strip_whitespace=True),
    AfterValidator(_one_line),
]
Slug = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$")]
Text = Annotated[
    str, StringConstraints(min_length=1, max_length=2000, strip_whitespace=True), AfterValidator(_shows)
]
Sha256 = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
LaneNumber = Annotated[int, Field(ge=1, le=999)]
DepthFsw = Annotated[float, Field(ge=0, le=400)]
PressurePsig = Annotated[float, Field(ge=0, le=6000)]


class Part(BaseModel):
    """Base of events and of what they hold: frozen, no unknown fields, no silent conversions."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class Entry(Part):
    """What every event carries."""

    version: Literal[1] = 1
    id: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")] = Field(
        default_factory=lambda: uuid.uuid4().hex
    )
    at: Moment
    entered: Moment
    by: Slug
    seat: Seat


class LaneEntry(Entry):
    """An event that belongs to one diver's lane."""

    lane: LaneNumber
