"""The station file and the files it names, read and checked together: everything the rules work with."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, StringConstraints, ValidationError, model_validator

from station.dive.altitude import HIGHEST_FT
from station.dive.cards import Cards, load_cards
from station.dive.choices import Choices
from station.errors import FileError
from station.events import FileUse, Name, Role, Slug
from station.files import FileModel, digest, load, read_bytes
from station.outfit import Outfit, load_outfit
from station.shipped import shipped
from station.supply.load import load_supply
from station.supply.model import Supply
from station.tables.load import load_tables
from station.tables.model import Tables

FileName = Annotated[str, StringConstraints(pattern=r"^[\w./-]+\.toml$", max_length=200)]
Seconds = Annotated[int, Field(ge=1, le=86400)]
FileRole = Literal["station", "outfit", "tables", "supply", "cards", "scenario"]
PARTS: tuple[FileRole, ...] = ("station", "outfit", "tables", "supply", "cards")


class FileNames(FileModel):
    """The files that belong to a station."""

    outfit: FileName
    tables: FileName
    supply: FileName
    cards: FileName = "cards/emergency.toml"


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
    choices: Choices = Choices()
    people: tuple[Person, ...] = ()

    @model_validator(mode="after")
    def _people_once(self) -> "StationFile":
        ids = [person.id for person in self.people]
        twice = sorted({one for one in ids if ids.count(one) > 1})
        if twice:
            raise ValueError(f"people: the same id stands twice: {', '.join(twice)}")
        return self


@dataclass(frozen=True)
class Setup:
    """A station file with its outfit, tables, supply and cards, all checked, and the bytes they came from."""

    station: StationFile
    outfit: Outfit
    tables: Tables
    supply: Supply
    cards: Cards
    sources: tuple[tuple[FileUse, bytes], ...]

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


def read_sources(station_path: Path) -> dict[FileRole, tuple[str, bytes]]:
    """Return the bytes of a station file and of the files it names, by role, with their shown names."""
    data = read_bytes(station_path)
    station = load(data, str(station_path), StationFile)
    sources: dict[FileRole, tuple[str, bytes]] = {"station": (str(station_path), data)}
    for role in PARTS[1:]:
        path = find(getattr(station.files, role), station_path)
        sources[role] = (str(path), read_bytes(path))
    return sources


def setup_from(sources: dict[FileRole, tuple[str, bytes]]) -> Setup:
    """Return the checked setup of files already read, from a folder or from a journal.

    Raises:
        FileError: with every problem of the first file that has any.

    """
    return Setup(
        station=load(sources["station"][1], sources["station"][0], StationFile),
        outfit=load_outfit(sources["outfit"][1], sources["outfit"][0]),
        tables=_named(load_tables(sources["tables"][1], sources["tables"][0])),
        supply=load_supply(sources["supply"][1], sources["supply"][0]),
        cards=load_cards(sources["cards"][1], sources["cards"][0]),
        sources=tuple((_use(role, name, data), data) for role, (name, data) in sources.items()),
    )


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
