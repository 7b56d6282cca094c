"""The station file and the files it names, read and checked together: everything the rules work with."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, StringConstraints, ValidationError, field_validator, model_validator

from station.dive.altitude import HIGHEST_FT
from station.dive.cards import Cards, load_cards
from station.dive.choices import Choices
from station.errors import FileError
from station.events import FileUse, Name, Role, Slug
from station.files import FileModel, digest, load, read_bytes
from station.law.model import Authority, clashing, load_authority
from station.outfit import Outfit, load_outfit
from station.shipped import shipped
from station.supply.load import load_supply
from station.supply.model import Supply
from station.tables.load import load_tables
from station.tables.model import Tables

FileName = Annotated[str, StringConstraints(pattern=r"^[\w./-]+\.toml$", max_length=200)]
Seconds = Annotated[int, Field(ge=1, le=86400)]
FileRole = Literal["station", "outfit", "tables", "supply", "cards", "authority", "scenario"]
PartRole = Literal["outfit", "tables", "supply", "cards"]
Theme = Literal["dark", "light", "high-contrast"]
KeyNames = Annotated[
    tuple[Annotated[str, Field(min_length=1, max_length=30)], ...],
    Field(min_length=1, max_length=2, strict=False),
]
CallFor = Literal["chamber", "hospital", "physician", "transport", "rescue"]
CALLS: dict[CallFor, str] = {
    "chamber": "decompression chamber",
    "hospital": "hospital",
    "physician": "physician",
    "transport": "transport",
    "rescue": "rescue centre",
}
"""Whom 29 CFR 1910.421(b) wants on the call list; a chamber only where none stands at the site."""
PARTS: tuple[PartRole, ...] = ("outfit", "tables", "supply", "cards")
CARDS = "cards/emergency.toml"
AUTHORITIES = ("authorities/us-29-cfr-1910.toml",)


class FileNames(FileModel):
    """The files that belong to a station."""

    outfit: FileName
    tables: FileName
    supply: FileName
    cards: FileName = CARDS
    authorities: Annotated[tuple[FileName, ...], Field(min_length=1, max_length=9)] = AUTHORITIES


class UnitNames(FileModel):
    """Units in which the station types and shows its figures."""

    depth: Literal["fsw", "msw"] = "fsw"
    pressure: Literal["psig", "bar"] = "psig"


class Signing(FileModel):
    """Who must sign a record."""

    required: Annotated[tuple[Role, ...], Field(min_length=1)] = ("timekeeper", "supervisor")


class Ages(FileModel):
    """How old a reading may grow before it is shown as old."""

    depth_s: Seconds = 300
    pressure_s: Seconds = 600
    voice_s: Seconds = 300
    closed_faceplate_s: Seconds = 300


class Sounds(FileModel):
    """How alarms are heard: after how long a pattern sounds again while nobody has taken notice."""

    sound: Literal["bell", "off"] = "bell"
    high_repeat_s: Annotated[int, Field(ge=3, le=60)] = 10
    medium_repeat_s: Annotated[int, Field(ge=3, le=600)] = 30

    @model_validator(mode="after")
    def _more_urgent_is_sooner(self) -> "Sounds":
        if self.high_repeat_s > self.medium_repeat_s:
            raise ValueError("high_repeat_s is longer than medium_repeat_s: what is urgent sounds sooner")
        return self


class Looks(FileModel):
    """How the console looks."""

    theme: Theme = "dark"


class Call(FileModel):
    """Somebody to call: whom, at which number or channel, for what (29 CFR 1910.421(b))."""

    name: Name
    number: Annotated[str, StringConstraints(pattern=r"^[\w+() ./-]*\d[\w+() ./-]*$", max_length=40)]
    what: CallFor


class Person(FileModel):
    """One of the people who work at the station."""

    id: Slug
    name: Name
    roles: Annotated[tuple[Role, ...], Field(min_length=1)]


class StationFile(FileModel):
    """The station file as declared; see configs/stations/default.toml for what each key means."""

    format: Literal["station/1"]
    name: Name
    place: Name
    altitude_ft: Annotated[int, Field(ge=-1500, le=HIGHEST_FT)] = 0
    files: FileNames
    units: UnitNames = UnitNames()
    signing: Signing = Signing()
    ages: Ages = Ages()
    alarms: Sounds = Sounds()
    choices: Choices = Choices()
    screen: Looks = Looks()
    keys: dict[str, KeyNames] = Field(default_factory=dict)
    people: tuple[Person, ...] = ()
    call_list: tuple[Call, ...] = ()

    @field_validator("keys", mode="before")
    @classmethod
    def _actions_in_quotes(cls, found: object) -> object:
        for name, one in found.items() if isinstance(found, dict) else ():
            if isinstance(one, dict):
                raise ValueError(f'an action is written in quotes: "{name}.{next(iter(one), "")}" = [...]')  # noqa: TRY004 - pydantic's
        return found

    @model_validator(mode="after")
    def _people_once(self) -> "StationFile":
        ids = [person.id for person in self.people]
        twice = sorted({one for one in ids if ids.count(one) > 1})
        if twice:
            raise ValueError(f"people: the same id stands twice: {', '.join(twice)}")
        return self

    @model_validator(mode="after")
    def _calls_once(self) -> "StationFile":
        calls = [(call.what, call.number) for call in self.call_list]
        twice = sorted({number for what, number in calls if calls.count((what, number)) > 1})
        if twice:
            raise ValueError(f"call_list: the same number stands twice for the same: {', '.join(twice)}")
        return self


def call_list_lacks(station: StationFile) -> tuple[str, ...]:
    """Return what a station's call list has nobody for, in words."""
    listed = {call.what for call in station.call_list}
    return tuple(words for what, words in CALLS.items() if what not in listed)


@dataclass(frozen=True)
class FileRead:
    """A file as it was read: its part, its shown name, its bytes.

    `stand_in` marks a shipped file that an old journal did not name, as its program knew no such file.
    """

    role: FileRole
    name: str
    data: bytes
    stand_in: bool = False


@dataclass(frozen=True)
class Setup:
    """A station file with the files it names, all checked, and the bytes they came from.

    `stand_ins` are shipped files that stand in for ones the journal does not name.
    """

    station: StationFile
    outfit: Outfit
    tables: Tables
    supply: Supply
    cards: Cards
    authorities: tuple[Authority, ...]
    sources: tuple[tuple[FileUse, bytes], ...]
    stand_ins: tuple[FileUse, ...] = ()

    @property
    def uses(self) -> tuple[FileUse, ...]:
        """Return which files are in use, by role, name and digest."""
        return tuple(use for use, _ in self.sources)


def default_station() -> Path:
    """Return the shipped station file."""
    return shipped("configs") / "stations" / "default.toml"


def find(name: str, station_path: Path) -> Path:
    """Return where a file named in a station file stands: beside it, one folder up, or shipped."""
    places = [station_path.parent, station_path.parent.parent, shipped("configs")]
    for place in places:
        if (place / name).is_file():
            return place / name
    looked = ", ".join(str(place / name) for place in places)
    raise FileError(str(station_path), [("files", f"no such file: {name} (looked for {looked})")])


def read_sources(station_path: Path) -> tuple[FileRead, ...]:
    """Return a station file and the files it names, as they stand on the disk."""
    data = read_bytes(station_path)
    station = load(data, str(station_path), StationFile)
    named: list[tuple[FileRole, str]] = [(role, getattr(station.files, role)) for role in PARTS]
    named += [("authority", name) for name in station.files.authorities]
    paths = [(role, find(name, station_path)) for role, name in named]
    return (
        FileRead("station", str(station_path), data),
        *(FileRead(role, str(path), read_bytes(path)) for role, path in paths),
    )


def with_stand_ins(sources: Sequence[FileRead]) -> tuple[FileRead, ...]:
    """Return the sources with shipped files for cards and rule files where there are none of the kind."""
    roles = {one.role for one in sources}
    wanted: list[tuple[FileRole, str]] = [("cards", CARDS)] if "cards" not in roles else []
    wanted += [("authority", name) for name in AUTHORITIES] if "authority" not in roles else []
    shipped_files = [(role, shipped("configs") / name) for role, name in wanted]
    return (
        *sources,
        *(FileRead(role, str(path), read_bytes(path), stand_in=True) for role, path in shipped_files),
    )


def setup_from(sources: Sequence[FileRead]) -> Setup:
    """Return the checked setup of files already read, from a folder or from a journal.

    Raises:
        FileError: with every problem of the first file that has any.

    """
    by_role: dict[FileRole, FileRead] = {one.role: one for one in sources}
    station = by_role["station"]
    outfit, tables, supply, cards = (by_role[role] for role in PARTS)
    uses = [(one, _use(one.role, one.name, one.data)) for one in sources]
    return Setup(
        station=load(station.data, station.name, StationFile),
        outfit=load_outfit(outfit.data, outfit.name),
        tables=_named(load_tables(tables.data, tables.name)),
        supply=load_supply(supply.data, supply.name),
        cards=load_cards(cards.data, cards.name),
        authorities=_authorities([one for one in sources if one.role == "authority"], station.name),
        sources=tuple((use, one.data) for one, use in uses if not one.stand_in),
        stand_ins=tuple(use for one, use in uses if one.stand_in),
    )


def _authorities(sources: Sequence[FileRead], station: str) -> tuple[Authority, ...]:
    found = tuple(load_authority(one.data, one.name) for one in sources)
    if why := clashing(found):
        raise FileError(station, [("files.authorities", why)])
    return found


def _named(tables: Tables) -> Tables:
    """Drop the folder from the tables' name: it is the same setup wherever the files were read from."""
    return replace(tables, name=Path(tables.name).name)


def _use(role: FileRole, name: str, data: bytes) -> FileUse:
    try:
        return FileUse(role=role, name=Path(name).name, sha256=digest(data))
    except ValidationError as error:
        why = error.errors()[0]["msg"].lower()
        raise FileError(name, [("", f"the name of the file cannot stand on a record: {why}")]) from None


def load_setup(station_path: Path | None = None) -> Setup:
    """Return the checked setup of a station file; the shipped one when none is named."""
    return setup_from(read_sources(station_path or default_station()))
