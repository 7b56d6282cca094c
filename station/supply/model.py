"""The supply file as declared: sources of air, what the helmet needs, and where each figure comes from."""

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from station.events import Name, PressurePsig, Slug, Text
from station.files import FileModel

SupplyRole = Literal["primary", "secondary", "reserve"]
ROLES: tuple[SupplyRole, ...] = ("primary", "secondary", "reserve")
Consumer = Literal["divers", "standby", "chamber"]
CONSUMERS: tuple[Consumer, ...] = ("divers", "standby", "chamber")
Tested = Literal["air sample", "hose", "gauge", "compressor"]

FswLimit = Annotated[float, Field(gt=0, le=400)]
Psi = Annotated[float, Field(ge=0, le=1000)]
Psig = Annotated[float, Field(gt=0, le=6000)]
Acfm = Annotated[float, Field(gt=0, le=100)]
Scfm = Annotated[float, Field(gt=0, le=10000)]
PsiPerFsw = Annotated[float, Field(ge=0.4, le=1)]
CubicFeet = Annotated[float, Field(gt=0, le=1000)]
Celsius = Annotated[float, Field(ge=-10, le=50)]
ReadTo = Annotated[float, Field(gt=0, le=200)]
MOST_BANKS = 25
"""Each bank is told by a letter of its own, and the manifold by one; station choice."""
Feeds = Annotated[tuple[Consumer, ...], Field(min_length=1)]


class Band(FileModel):
    """Over-bottom pressure for depths deeper than `over_fsw`, down to and including `down_to_fsw`."""

    over_fsw: Annotated[float, Field(ge=0, le=400)]
    down_to_fsw: FswLimit
    psi: Psi
    source: Text


class BandForm(FileModel):
    """Minimum manifold pressure as bottom pressure plus the over-bottom pressure of a depth band.

    `rounded` says what is rounded up to a whole psi: the bottom pressure before the sum (U.S. Navy Diving
    Manual Revision 4, 8-2.2.3), or the sum (the form of its 15-8.1). They can differ by 1 psi.
    """

    form: Literal["over-bottom"]
    rounded: Literal["bottom", "sum"]
    bands: tuple[Band, ...]


class LineForm(FileModel):
    """Minimum manifold pressure as depth x `psi_per_fsw` + `plus_psi`, published for one hose length."""

    form: Literal["line"]
    psi_per_fsw: PsiPerFsw
    plus_psi: Psi
    down_to_fsw: FswLimit
    source: Text


class Equipment(FileModel):
    """A helmet on its hose, and the manifold pressure it needs."""

    id: Slug
    name: Name
    hose_ft: Annotated[int, Field(gt=0, le=2000)] | None = None
    pressure: Annotated[BandForm | LineForm, Field(discriminator="form")]


class Hose(FileModel):
    """A hose of the station with the helmet on it: what a diver, the standby diver or a lane hangs on."""

    id: Slug
    name: Name
    equipment: Slug
    length_ft: Annotated[int, Field(gt=0, le=2000)]
    working_psig: Psig
    source: Text


class WorkRate(FileModel):
    """What a diver at some kind of work breathes and ventilates, at depth."""

    id: Slug
    name: Name
    acfm: Acfm
    source: Text


class Consumption(FileModel):
    """How the divers' use of air is reckoned."""

    work_rate: Slug
    charge_standby: bool
    source: Text


class Depth(FileModel):
    """Bottom pressure in psi for each fsw of depth."""

    psi_per_fsw: Annotated[float, Field(ge=0.44, le=0.46)]
    source: Text


class AirTemperature(FileModel):
    """How warm the air is in the flasks, and as it is breathed: warm flasks and cold water hold the least."""

    flask_c: Celsius = 30
    breathed_c: Celsius = 10
    source: Text = "station choice: flasks in the sun, cold water"


class Manifold(FileModel):
    """The manifold the hoses hang on: the id under which its pressure is entered, and its gauge."""

    id: Slug
    name: Name
    gauge_psig: PressurePsig
    """Full scale of the gauge: no reading can stand above it."""


class FlaskMinimum(FileModel):
    """The pressure below which no flask is drawn, before the manifold's needs are added."""

    psig: Psig
    source: Text


class Bank(FileModel):
    """Flasks that are drawn together; sizes are those of one flask."""

    id: Slug
    name: Name
    role: SupplyRole
    flasks_in_bank: Annotated[int, Field(ge=1, le=200)]
    flasks_on_line: Annotated[int, Field(ge=1, le=200)]
    floodable_cu_ft: Annotated[float, Field(gt=0, le=1000)]
    working_psig: Psig
    minimum_psig: Psig
    change_over_psig: Psig | None = None
    """Where the next source is brought on; the lowest pressure of use where none is given."""

    gauge_psig: PressurePsig
    read_to_psi: ReadTo = 50
    """How near the gauge can be read: half its smallest division, say."""

    feeds: Feeds = CONSUMERS
    source: Text


class Compressor(FileModel):
    """A low-pressure compressor that feeds the manifold."""

    id: Slug
    name: Name
    role: SupplyRole
    delivers_scfm: Scfm
    delivers_psig: Psig
    intake: Text | None = None
    volume_tank_cu_ft: CubicFeet | None = None
    feeds: Feeds = CONSUMERS
    source: Text


class Chamber(FileModel):
    """What the deck chamber takes: so many pressings to a depth, and its ventilation there for a time."""

    floodable_cu_ft: Annotated[float, Field(gt=0, le=5000)]
    depth_fsw: FswLimit
    pressings: Annotated[int, Field(ge=1, le=20)]
    ventilation_acfm: Acfm
    ventilation_min: Annotated[int, Field(ge=0, le=1440)]
    source: Text


class Dated(FileModel):
    """Something that must have been sampled or tested of late; `on` is the last date, where the file has it.

    `id` names what is tested; a date entered at the station under that id stands in place of the file's.
    """

    id: Slug
    kind: Tested
    name: Name
    every_months: Annotated[int, Field(ge=1, le=60)]
    on: date | None = None
    source: Text


class Supply(FileModel):
    """A whole supply file; `example` stands until a station has put its own sizes in place."""

    format: Literal["supply/1"]
    name: Name
    example: bool
    depth: Depth
    flask_minimum: FlaskMinimum
    equipment_in_use: Slug
    equipment: tuple[Equipment, ...]
    consumption: Consumption
    work_rates: tuple[WorkRate, ...]
    hoses: tuple[Hose, ...] = ()
    air_temperature: AirTemperature = AirTemperature()
    manifold: Manifold
    banks: Annotated[tuple[Bank, ...], Field(max_length=MOST_BANKS)] = ()
    compressors: tuple[Compressor, ...] = ()
    change_over: tuple[Slug, ...]
    chamber: Chamber | None = None
    tests: tuple[Dated, ...] = ()

    @property
    def sources(self) -> tuple[Bank | Compressor, ...]:
        """Return everything that can feed the manifold."""
        return (*self.banks, *self.compressors)

    @property
    def in_order(self) -> tuple[Bank | Compressor, ...]:
        """Return the sources in the order in which they are brought on."""
        sources = {one.id: one for one in self.sources}
        return tuple(sources[one] for one in self.change_over)

    def hose_of(self, hose_id: str) -> Hose:
        """Return a hose; KeyError when not in the file."""
        return {one.id: one for one in self.hoses}[hose_id]

    def equipment_of(self, equipment_id: str | None = None) -> Equipment:
        """Return one of the equipment, the one in use when none is named; KeyError when not in the file."""
        wanted = equipment_id or self.equipment_in_use
        return {one.id: one for one in self.equipment}[wanted]

    def work_rate_of(self, work_rate_id: str | None = None) -> WorkRate:
        """Return a work rate, the planned one when none is named; KeyError when not in the file."""
        wanted = work_rate_id or self.consumption.work_rate
        return {one.id: one for one in self.work_rates}[wanted]
