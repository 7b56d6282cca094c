"""Air that a stay at depth or an ascent takes, and the cylinder pressure that holds it.

Method of the U.S. Navy Diving Manual Revision 4, 8-2.2.1: each part of the dive is charged in whole
minutes rounded up; an ascent is charged at its average depth.
"""

from station.supply.flow import scfm
from station.supply.pressure import PSI_PER_FSW, SURFACE_PSIA
from station.units import up_to

ASCENT_FSW_PER_MIN = 30
"""U.S. Navy Diving Manual Revision 4, 9-11."""


def ascent_seconds(from_fsw: float, to_fsw: float, rate_fsw_per_min: float = ASCENT_FSW_PER_MIN) -> int:
    """Return how long an ascent takes, in seconds rounded up."""
    return int(up_to((from_fsw - to_fsw) * 60 / rate_fsw_per_min))


def ascent_minutes(from_fsw: float, to_fsw: float, rate_fsw_per_min: float = ASCENT_FSW_PER_MIN) -> int:
    """Return the minutes an ascent is charged with, rounded up."""
    return int(up_to((from_fsw - to_fsw) / rate_fsw_per_min))


def average_fsw(from_fsw: float, to_fsw: float) -> float:
    """Return the depth an ascent is charged at."""
    return (from_fsw + to_fsw) / 2


def stay_scf(depth_fsw: float, acfm: float, minutes: float, divers: int = 1) -> float:
    """Return the air a stay takes: at the bottom or at a stop."""
    return scfm(acfm, depth_fsw) * minutes * divers


def ascent_scf(
    from_fsw: float,
    to_fsw: float,
    acfm: float,
    divers: int = 1,
    rate_fsw_per_min: float = ASCENT_FSW_PER_MIN,
) -> float:
    """Return the air an ascent takes: its average depth, its minutes rounded up."""
    minutes = ascent_minutes(from_fsw, to_fsw, rate_fsw_per_min)
    return stay_scf(average_fsw(from_fsw, to_fsw), acfm, minutes, divers)


def cylinder_least_psig(first_stage_psi: float, final_stop_fsw: float) -> float:
    """Return the lowest useful pressure of an emergency cylinder: first stage + 0.445 x final stop."""
    return first_stage_psi + PSI_PER_FSW * final_stop_fsw


def cylinder_needed_psig(scf: float, floodable_cu_ft: float, least_psig: float) -> float:
    """Return the pressure at which one cylinder holds an amount of air above its lowest useful pressure.

    Unrounded; the published example then rounds up to the next 100 psig.
    """
    return scf / floodable_cu_ft * SURFACE_PSIA + least_psig
