"""Sums on deck: bank, flow, pressure and carbon dioxide, each with its formula, figures, source and rounding.

Rounded to the safe side: what is needed up, what is there down. The data beside the lines hold the shown
figures, each with its unit in its name.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from station.supply.bank import Usable, bank_usable, minutes_left
from station.supply.flow import (
    HELMET_ACFM,
    HELMET_CO2_ATA,
    HELMET_CO2_SLM,
    absolute_ata,
    inspired_co2_ata,
    scfm,
    ventilation_suffices,
)
from station.supply.gas import BAR_PER_PSI, SURFACE_PSIA, real_gas_factor
from station.supply.limits import hose_working_psig
from station.supply.model import AirTemperature, Bank, Supply
from station.supply.need import OnHose, equipment_of
from station.supply.pressure import margin_psi, needed
from station.units import down_to, show_depth, show_needed_pressure, show_pressure, up_to

FLOW_SOURCE = "U.S. Navy Diving Manual Revision 4, 7-4.1"
BANK_SOURCE = "U.S. Navy Diving Manual Revision 4, 7-4.1; flask minimum plus manifold from memory: 8-2.2.3"
CO2_SOURCE = "46 CFR 197.322(b)"

Value = float | int | str | bool | None


@dataclass(frozen=True)
class Sum:
    """One sum: its lines, label and words, for people; its shown figures for programs."""

    rows: tuple[tuple[str, str], ...]
    data: Mapping[str, Value]

    @property
    def lines(self) -> list[str]:
        """Return the lines as printed."""
        return [f"{label:<12}  {words}" for label, words in self.rows]


@dataclass(frozen=True)
class Drawn:
    """Who draws from a bank: the depth, the flow of each at depth, and how many, the standby counted."""

    depth_fsw: float
    acfm: float
    divers: int


def both(psig: float) -> str:
    """Return a needed pressure in psig and bar, each rounded up by itself."""
    return f"{show_needed_pressure(psig)} ({show_needed_pressure(psig, 'bar')})"


def pressure_sum(supply: Supply, diver: OnHose, gauge_psig: float | None = None) -> Sum:
    """Return the manifold pressure needed at a depth, and the margin of a gauge over it.

    Raises:
        LookUpError: deeper than the supply file has a figure for.

    """
    equipment = equipment_of(supply, diver)
    found = needed(equipment, diver.depth_fsw, supply.depth.psi_per_fsw)
    hose = up_to(hose_working_psig(diver.depth_fsw))
    rows = [
        ("Equipment", equipment.name),
        ("Depth", f"{show_depth(diver.depth_fsw)} ({show_depth(diver.depth_fsw, 'msw')})"),
        ("Manifold", f"{both(found.psig)}: {found.words}"),
        ("Hose", f"{both(hose)} working pressure at least: depth pressure + 100 psi; 46 CFR 197.312(a)"),
    ]
    data: dict[str, Value] = {
        "equipment": equipment.id,
        "depth_fsw": diver.depth_fsw,
        "manifold_psig": found.psig,
        "hose_working_psig": int(hose),
    }
    if gauge_psig is not None:
        over = margin_psi(gauge_psig, found.psig)
        state = "over" if over >= 0 else "BELOW THE MINIMUM"
        rows.append(("Margin", f"{over} psi {state}: {show_pressure(gauge_psig)} - {found.psig} psig"))
        data["margin_psi"] = over
    rows.append(("Rounding", "pressures needed up, margins down, to a whole psi or a tenth of a bar"))
    return Sum(tuple(rows), data)


def flow_sum(drawn: Drawn) -> Sum:
    """Return what a flow at depth takes from the surface, for one diver and for all."""
    each = scfm(drawn.acfm, drawn.depth_fsw)
    shown, total = up_to(each, 0.1), up_to(each * drawn.divers, 0.1)
    formula = (
        f"{drawn.acfm:g} acfm x ({drawn.depth_fsw:g} + 33) / 33 = {absolute_ata(drawn.depth_fsw):.3f} ATA"
    )
    enough = drawn.acfm >= HELMET_ACFM
    return Sum(
        (
            ("Each", f"{shown:.1f} scfm: {formula} times the flow; {FLOW_SOURCE}"),
            ("All", f"{total:.1f} scfm for {drawn.divers}, the standby to be counted with them"),
            ("Ventilation", f"{'not under' if enough else 'UNDER'} {HELMET_ACFM} acfm; {CO2_SOURCE}(1)"),
            ("Rounding", "flows up to a tenth of an scfm"),
        ),
        {
            "depth_fsw": drawn.depth_fsw,
            "acfm": drawn.acfm,
            "divers": drawn.divers,
            "scfm_each": shown,
            "scfm_all": total,
            "under_4_5_acfm": not enough,
        },
    )


def bank_sum(supply: Supply, bank: Bank, pressure_psig: float, manifold_psig: float, drawn: Drawn) -> Sum:
    """Return what a bank still gives, by both reckonings, and how long it lasts.

    Raises:
        LookUpError: outside the range of the real-gas factor.

    """
    usable = bank_usable(bank, pressure_psig, manifold_psig, supply.air_temperature)
    demand = scfm(drawn.acfm, drawn.depth_fsw) * drawn.divers
    least, minutes = bank.minimum_psig + manifold_psig, minutes_left(usable.scf, demand)
    size = f"{bank.floodable_cu_ft:g} cu ft"
    volume = f"{size} x {bank.flasks_on_line}"
    ideal, flow = int(down_to(usable.ideal_scf)), up_to(demand, 0.1)
    rows = (
        ("Bank", f"{bank.flasks_on_line} flasks of {size} at {pressure_psig:g} psig"),
        ("Least", f"{both(least)} = {bank.minimum_psig:g} flask minimum + {manifold_psig:g} manifold"),
        ("Ideal gas", f"{ideal} scf = ({pressure_psig:g} - {least:g}) / 14.7 x {volume}; {BANK_SOURCE}"),
        ("Real gas", _real_words(usable, supply.air_temperature, pressure_psig, least, volume)),
        ("Counted", f"{down_to(usable.scf):.0f} scf: {usable.words}"),
        ("Lasts", _lasts(minutes, flow, drawn)),
        ("Rounding", "air and minutes down, flow up to a tenth"),
    )
    data: dict[str, Value] = {
        "pressure_psig": pressure_psig,
        "least_psig": least,
        "ideal_scf": ideal,
        "real_scf": int(down_to(usable.real_scf)),
        "usable_scf": int(down_to(usable.scf)),
        "demand_scfm": flow,
        "minutes": minutes,
    }
    return Sum(rows, data)


def co2_sum(acfm: float, made_slm: float, supply_ppm: float, depth_fsw: float) -> Sum:
    """Return the carbon dioxide a diver inspires in a ventilated helmet, against the limit."""
    found = up_to(inspired_co2_ata(made_slm, acfm, supply_ppm, depth_fsw), 0.0001)
    brought = inspired_co2_ata(0, acfm, supply_ppm, depth_fsw)
    passes, under = ventilation_suffices(acfm), found < HELMET_CO2_ATA
    inspired = (
        f"{found:.4f} ATA = {made_slm:g} slm / ({acfm:g} acfm x 28.317 l) + {brought:.4f} in the air "
        f"supplied ({supply_ppm:g} ppm at {depth_fsw:g} fsw); steady mass balance"
    )
    helmet = (
        f"{'passes' if passes else 'DOES NOT PASS'}: {HELMET_ACFM} acfm at any depth, or under "
        f"{HELMET_CO2_ATA} ATA at {HELMET_CO2_SLM} slm; {CO2_SOURCE}"
    )
    rows = (
        ("Inspired", inspired),
        ("Limit", f"{'under' if under else 'NOT UNDER'} {HELMET_CO2_ATA} ATA; {CO2_SOURCE}(2)"),
        ("Helmet", helmet),
        ("Rounding", "carbon dioxide up to 0.0001 ATA"),
    )
    data: dict[str, Value] = {
        "acfm": acfm,
        "made_slm": made_slm,
        "supply_ppm": supply_ppm,
        "depth_fsw": depth_fsw,
        "inspired_co2_ata": found,
        "under_limit": under,
        "helmet_passes": passes,
    }
    return Sum(rows, data)


def _real_words(
    usable: Usable, air: AirTemperature, pressure_psig: float, least_psig: float, volume: str
) -> str:
    full, left = (
        real_gas_factor((psig + SURFACE_PSIA) * BAR_PER_PSI, air.flask_c)
        for psig in (pressure_psig, least_psig)
    )
    cooled = f"({air.breathed_c:g} + 273.15) / ({air.flask_c:g} + 273.15)"
    return (
        f"{down_to(usable.real_scf):.0f} scf = (({pressure_psig:g} + 14.7) / {full:.4f} - "
        f"({least_psig:g} + 14.7) / {left:.4f}) / 14.7 x {volume} x {cooled}, Z fitted within 0.05 % to the "
        "reference equation of air (Lemmon et al., 2000)"
    )


def _lasts(minutes: int | None, flow_scfm: float, drawn: Drawn) -> str:
    who = f"{drawn.divers} at {drawn.depth_fsw:g} fsw, {drawn.acfm:g} acfm each: {flow_scfm:.1f} scfm"
    return f"nobody draws ({who})" if minutes is None else f"{minutes} min for {who}"
