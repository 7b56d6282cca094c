"""What the supply comes to now: every figure of the supply pane.

Shown figures are rounded to the safe side: needed pressures and demand up, margins, usable air and minutes
down. A figure that cannot be had is None.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from station.moments import age_s
from station.supply.bank import bank_least_psig, bank_usable, minutes_left
from station.supply.model import Bank, Compressor, Supply, SupplyRole
from station.supply.need import Need, OnHose, need_of, need_of_all
from station.supply.pressure import margin_psi
from station.supply.readings import Reading
from station.units import down_to, up_to


@dataclass(frozen=True)
class DiverFigures:
    """What one diver needs: manifold pressure and its live margin, and air in scfm rounded up to 0.1."""

    lane: int
    depth_fsw: float
    needed_psig: int | None
    margin_psi: int | None
    scfm: float
    pressure_words: str
    flow_words: str


@dataclass(frozen=True)
class GaugeFigures:
    """The manifold or a bank: last reading with its age, and what it means for the divers now.

    `stale` is true as well where nothing was read. `usable_scf` and `minutes_left` are None for the
    manifold. `usable_scf` is the smaller of `ideal_scf`, by the trade's formula, and `real_scf`, as a real
    gas. `minutes_left` counts from the moment of the reading, as if this bank alone carried everyone.
    """

    id: str
    name: str
    kind: Literal["manifold", "bank"]
    role: SupplyRole | None
    pressure_psig: float | None
    age_s: int | None
    stale: bool
    minimum_psig: int | None
    margin_psi: int | None
    usable_scf: int | None
    minutes_left: int | None
    ideal_scf: int | None = None
    real_scf: int | None = None

    @property
    def below_minimum(self) -> bool:
        """Return whether the last reading stands below what is needed now."""
        return self.margin_psi is not None and self.margin_psi < 0


@dataclass(frozen=True)
class CompressorFigures:
    """A compressor against what the divers need: flow and pressure to spare, negative when short."""

    id: str
    name: str
    role: SupplyRole
    spare_scfm: float
    margin_psi: int | None
    words: str


@dataclass(frozen=True)
class SupplyFigures:
    """The whole supply pane; `demand_scfm` is rounded up to 0.1."""

    manifold: GaugeFigures
    banks: tuple[GaugeFigures, ...]
    compressors: tuple[CompressorFigures, ...]
    divers: tuple[DiverFigures, ...]
    demand_scfm: float
    needed_psig: int | None
    pressure_words: str
    flow_words: str


@dataclass(frozen=True)
class _Read:
    """A gauge's last reading as it stands now."""

    psig: float | None
    age_s: int | None
    stale: bool


def figures(
    supply: Supply,
    readings: Mapping[str, Reading],
    divers: Sequence[OnHose],
    now: datetime,
    stale_after: timedelta,
) -> SupplyFigures:
    """Return every live figure of the supply.

    Args:
        supply: the checked supply file.
        readings: the last reading of each gauge, by the id of manifold or bank.
        divers: everyone on a hose, each with the present depth; the standby is added as the file says.
        now: the present moment, with its zone.
        stale_after: the age beyond which a reading counts as old.

    """
    need = need_of_all(supply, divers)
    reads = {
        gauge: _read(readings.get(gauge), now, stale_after)
        for gauge in (supply.manifold.id, *(bank.id for bank in supply.banks))
    }
    manifold = reads[supply.manifold.id]
    return SupplyFigures(
        manifold=_manifold(supply, manifold, need),
        banks=tuple(_bank(supply, bank, reads[bank.id], need) for bank in supply.banks),
        compressors=tuple(_compressor(one, need) for one in supply.compressors),
        divers=tuple(_diver(supply, one, manifold) for one in divers),
        demand_scfm=up_to(need.scfm, 0.1),
        needed_psig=need.psig,
        pressure_words=need.pressure_words,
        flow_words=need.flow_words,
    )


def _read(reading: Reading | None, now: datetime, stale_after: timedelta) -> _Read:
    if reading is None:
        return _Read(None, None, stale=True)
    return _Read(reading.pressure_psig, age_s(reading.at, now), stale=now - reading.at > stale_after)


def _margin(pressure_psig: float | None, minimum_psig: int | None) -> int | None:
    if pressure_psig is None or minimum_psig is None:
        return None
    return margin_psi(pressure_psig, minimum_psig)


def _manifold(supply: Supply, read: _Read, need: Need) -> GaugeFigures:
    return GaugeFigures(
        id=supply.manifold.id,
        name=supply.manifold.name,
        kind="manifold",
        role=None,
        pressure_psig=read.psig,
        age_s=read.age_s,
        stale=read.stale,
        minimum_psig=need.psig,
        margin_psi=_margin(read.psig, need.psig),
        usable_scf=None,
        minutes_left=None,
    )


def _bank(supply: Supply, bank: Bank, read: _Read, need: Need) -> GaugeFigures:
    minimum = None if need.psig is None else int(up_to(bank_least_psig(bank, need.psig)))
    usable = None
    if read.psig is not None and need.psig is not None:
        usable = bank_usable(bank, read.psig, need.psig, supply.air_temperature)
    return GaugeFigures(
        id=bank.id,
        name=bank.name,
        kind="bank",
        role=bank.role,
        pressure_psig=read.psig,
        age_s=read.age_s,
        stale=read.stale,
        minimum_psig=minimum,
        margin_psi=_margin(read.psig, minimum),
        usable_scf=None if usable is None else int(down_to(usable.scf)),
        minutes_left=None if usable is None else minutes_left(usable.scf, need.scfm),
        ideal_scf=None if usable is None else int(down_to(usable.ideal_scf)),
        real_scf=None if usable is None else int(down_to(usable.real_scf)),
    )


def _compressor(compressor: Compressor, need: Need) -> CompressorFigures:
    return CompressorFigures(
        id=compressor.id,
        name=compressor.name,
        role=compressor.role,
        spare_scfm=down_to(compressor.delivers_scfm - need.scfm, 0.1),
        margin_psi=_margin(compressor.delivers_psig, need.psig),
        words=f"delivers {compressor.delivers_scfm:g} scfm at {compressor.delivers_psig:g} psig; "
        f"{compressor.source}",
    )


def _diver(supply: Supply, diver: OnHose, manifold: _Read) -> DiverFigures:
    need = need_of(supply, diver)
    return DiverFigures(
        lane=diver.lane,
        depth_fsw=diver.depth_fsw,
        needed_psig=need.psig,
        margin_psi=_margin(manifold.psig, need.psig),
        scfm=up_to(need.scfm, 0.1),
        pressure_words=need.pressure_words,
        flow_words=need.flow_words,
    )
