"""What a bank or a cylinder of compressed air still gives, in standard cubic feet.

Two published forms differ by one atmosphere: the bank formula divides the usable psi by 14.7 (U.S. Navy
Diving Manual Revision 4, 7-4.1); the emergency-gas example of 15-8.1 adds 14.7 before dividing, so finds
one fill of the cylinder at surface pressure more. The station reckons its banks by the first, the smaller.
"""

from typing import Literal

from station.supply.model import Bank
from station.supply.pressure import SURFACE_PSIA
from station.units import down_to

CapacityForm = Literal["gauge", "absolute"]


def cylinder_scf(
    pressure_psig: float,
    least_psig: float,
    floodable_cu_ft: float,
    cylinders: int = 1,
    form: CapacityForm = "gauge",
) -> float:
    """Return usable air between two pressures: (P - least) / 14.7 x V x N; never below 0.

    `form` "absolute" is the one that adds 14.7 psi before dividing; nothing usable stays nothing.
    """
    usable_psi = pressure_psig - least_psig
    if usable_psi <= 0:
        return 0.0
    if form == "absolute":
        usable_psi += SURFACE_PSIA
    return usable_psi / SURFACE_PSIA * floodable_cu_ft * cylinders


def bank_least_psig(bank: Bank, manifold_psig: float) -> float:
    """Return the pressure at which a bank stops being of use: its minimum plus the manifold's.

    From memory: the bank example of the U.S. Navy Diving Manual, 8-2.2.3.
    """
    return bank.minimum_psig + manifold_psig


def bank_scf(bank: Bank, pressure_psig: float, manifold_psig: float) -> float:
    """Return the air a bank still gives at a manifold pressure; only flasks on line count."""
    return cylinder_scf(
        pressure_psig, bank_least_psig(bank, manifold_psig), bank.floodable_cu_ft, bank.flasks_on_line
    )


def minutes_left(usable_scf: float, demand_scfm: float) -> int | None:
    """Return for how many whole minutes, rounded down, air meets a demand; None when there is no demand."""
    if demand_scfm <= 0:
        return None
    return int(down_to(usable_scf / demand_scfm))
