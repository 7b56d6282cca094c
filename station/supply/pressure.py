"""Manifold pressure a helmet needs at a depth, in the published forms.

Bottom pressure is 0.445 psi for each fsw (U.S. Navy Diving Manual Revision 4, 8-2.2.3). That figure is
kept apart from the unit fsw itself, an atmosphere / 33 or 0.4453 psi: rules use the published one.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from station.errors import LookUpError
from station.supply.model import Band, BandForm, Equipment, LineForm
from station.units import down_to, up_to

PSI_PER_FSW = 0.445
"""U.S. Navy Diving Manual Revision 4, 8-2.2.3."""

SURFACE_PSIA = 14.7
"""The atmosphere in psi as the air formulas have it: the same manual, 8-2.2.1."""


@dataclass(frozen=True)
class Needed:
    """Manifold pressure needed, in whole psig rounded up, and how it was found."""

    psig: int
    words: str


def bottom_psi(depth_fsw: float, psi_per_fsw: float = PSI_PER_FSW) -> float:
    """Return the water's pressure at a depth in psi, unrounded."""
    return depth_fsw * psi_per_fsw


def bottom_psia(depth_fsw: float, psi_per_fsw: float = PSI_PER_FSW) -> float:
    """Return the absolute pressure at a depth in psi, unrounded: 14.7 + 0.445 x depth."""
    return SURFACE_PSIA + bottom_psi(depth_fsw, psi_per_fsw)


def whole_bottom_psi(depth_fsw: float, psi_per_fsw: float = PSI_PER_FSW) -> int:
    """Return the water's pressure rounded up to a whole psi, as Revision 4, 8-2.2.3 takes it."""
    return int(up_to(bottom_psi(depth_fsw, psi_per_fsw)))


def over_bottom_psig(depth_fsw: float, over_bottom_psi: float, psi_per_fsw: float = PSI_PER_FSW) -> float:
    """Return bottom pressure plus over-bottom pressure in psig, unrounded."""
    return bottom_psi(depth_fsw, psi_per_fsw) + over_bottom_psi


def by_rounded_bottom(depth_fsw: float, over_bottom_psi: float, psi_per_fsw: float = PSI_PER_FSW) -> int:
    """Return the minimum in whole psig, bottom pressure rounded up before the sum (Rev 4, 8-2.2.3)."""
    return int(up_to(whole_bottom_psi(depth_fsw, psi_per_fsw) + over_bottom_psi))


def by_rounded_sum(depth_fsw: float, over_bottom_psi: float, psi_per_fsw: float = PSI_PER_FSW) -> int:
    """Return the minimum in whole psig, only the sum rounded up (the form of 15-8.1)."""
    return int(up_to(over_bottom_psig(depth_fsw, over_bottom_psi, psi_per_fsw)))


def by_hose_line(depth_fsw: float, psi_per_fsw: float, plus_psi: float) -> float:
    """Return depth x a + b in psig, unrounded, as published for one length of hose."""
    return depth_fsw * psi_per_fsw + plus_psi


def band_at(bands: Sequence[Band], depth_fsw: float) -> Band | None:
    """Return the band that holds a depth (its lower end included), None when deeper than all of them."""
    return next((band for band in bands if depth_fsw <= band.down_to_fsw), None)


def needed(equipment: Equipment, depth_fsw: float, psi_per_fsw: float) -> Needed:
    """Return the manifold pressure that equipment needs at a depth of 0 fsw or more.

    Raises:
        LookUpError: deeper than the file has a figure for.

    """
    form = equipment.pressure
    found = (
        _by_bands(form, depth_fsw, psi_per_fsw) if isinstance(form, BandForm) else _by_line(form, depth_fsw)
    )
    if found is None:
        raise LookUpError(
            f"the supply file gives no manifold pressure for {equipment.name} at {depth_fsw:g} fsw; "
            "it is deeper than its last figure"
        )
    return found


def margin_psi(pressure_psig: float, needed_psig: float) -> int:
    """Return how far a pressure stands above what is needed, in whole psi rounded down; negative below."""
    return int(down_to(pressure_psig - needed_psig))


def _by_bands(form: BandForm, depth_fsw: float, psi_per_fsw: float) -> Needed | None:
    band = band_at(form.bands, depth_fsw)
    if band is None:
        return None
    by = by_rounded_bottom if form.rounded == "bottom" else by_rounded_sum
    psig = by(depth_fsw, band.psi, psi_per_fsw)
    shown = (
        f"{whole_bottom_psi(depth_fsw, psi_per_fsw)}"
        if form.rounded == "bottom"
        else f"{bottom_psi(depth_fsw, psi_per_fsw):.1f}"
    )
    return Needed(
        psig,
        f"{psig} psig at {depth_fsw:g} fsw = {shown} psi bottom ({psi_per_fsw:g} psi/fsw, "
        f"{form.rounded} rounded up) + {band.psi:g} psi over bottom; {band.source}",
    )


def _by_line(form: LineForm, depth_fsw: float) -> Needed | None:
    if depth_fsw > form.down_to_fsw:
        return None
    psig = int(up_to(by_hose_line(depth_fsw, form.psi_per_fsw, form.plus_psi)))
    return Needed(
        psig,
        f"{psig} psig at {depth_fsw:g} fsw = depth x {form.psi_per_fsw:g} + {form.plus_psi:g} psi, "
        f"rounded up; {form.source}",
    )
