"""What the divers on the hoses need now: manifold pressure and flow, each and all together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from station.errors import LookUpError
from station.supply.flow import scfm
from station.supply.model import Equipment, Supply
from station.supply.pressure import needed

NOBODY = "nobody on a hose"


@dataclass(frozen=True)
class OnHose:
    """One diver who draws from the manifold, at the present depth.

    Equipment, work rate and hose are ids of the supply file; None means those the file plans with. A hose
    brings its equipment with it, unless equipment is named as well.
    """

    lane: int
    depth_fsw: float
    equipment: str | None = None
    work_rate: str | None = None
    hose: str | None = None
    planned_fsw: float | None = None


@dataclass(frozen=True)
class Need:
    """Manifold pressure in whole psig, rounded up, and flow in scfm, unrounded, each with its words.

    `psig` is None where the supply file gives no figure so deep; the words say so. `divers_scfm` is the flow
    of those on the hoses alone, without what is charged for the standby.
    """

    psig: int | None
    scfm: float
    pressure_words: str
    flow_words: str
    divers_scfm: float = 0.0


def equipment_of(supply: Supply, diver: OnHose) -> Equipment:
    """Return what a diver wears: as named, as it is on the hose, or the equipment in use."""
    if diver.equipment is None and diver.hose is not None:
        return supply.equipment_of(supply.hose_of(diver.hose).equipment)
    return supply.equipment_of(diver.equipment)


def deepest(diver: OnHose) -> OnHose:
    """Return the diver at the planned depth, or at the present one where that is deeper."""
    return replace(diver, depth_fsw=max(diver.depth_fsw, diver.planned_fsw or 0))


def need_of(supply: Supply, diver: OnHose) -> Need:
    """Return what one diver needs."""
    rate = supply.work_rate_of(diver.work_rate)
    flow = scfm(rate.acfm, diver.depth_fsw)
    flow_words = f"{rate.acfm:g} acfm ({rate.name}) x ({diver.depth_fsw:g} + 33) / 33; {rate.source}"
    try:
        pressure = needed(equipment_of(supply, diver), diver.depth_fsw, supply.depth.psi_per_fsw)
    except LookUpError as error:
        return Need(None, flow, error.message, flow_words)
    return Need(pressure.psig, flow, pressure.words, flow_words)


def need_of_all(supply: Supply, divers: Sequence[OnHose]) -> Need:
    """Return what all divers need of one manifold, with the standby diver where the file charges one.

    The pressure is the highest that any of them needs. The standby is charged like the diver who draws
    most: gone down to that diver, doing the same work.
    """
    if not divers:
        at_surface = need_of(supply, OnHose(0, 0))
        return Need(at_surface.psig, 0.0, f"{NOBODY}: {at_surface.pressure_words}", NOBODY)
    needs = [need_of(supply, diver) for diver in divers]
    flow = alone = sum(need.scfm for need in needs)
    flow_words = f"{len(needs)} on hoses"
    if supply.consumption.charge_standby:
        flow += max(need.scfm for need in needs)
        flow_words += f" and the standby, charged like the greatest of them; {supply.consumption.source}"
    # A diver without a figure leads: what is unknown for one is unknown for the manifold.
    leads = max(needs, key=lambda need: float("inf") if need.psig is None else need.psig)
    return Need(leads.psig, flow, leads.pressure_words, flow_words, alone)
