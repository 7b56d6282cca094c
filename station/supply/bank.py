"""What a bank or a cylinder of compressed air still gives, in standard cubic feet.

Two published forms differ by one atmosphere: the bank formula divides the usable psi by 14.7 (U.S. Navy
Diving Manual Revision 4, 7-4.1); the emergency-gas example of 15-8.1 adds 14.7 before dividing, so finds
one fill of the cylinder at surface pressure more. The station reckons its banks by the first, the smaller.

Both take air as an ideal gas that is breathed as warm as it lay in the flask. Beside them stands what a real
gas gives at the temperatures of the supply file, and the smaller of the two is what counts.
"""

from dataclasses import dataclass
from typing import Literal

from station.supply.gas import held_scf
from station.supply.model import AirTemperature, Bank
from station.supply.pressure import SURFACE_PSIA
from station.units import down_to, up_to

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


@dataclass(frozen=True)
class Usable:
    """A bank's usable air in scf, unrounded, by both reckonings."""

    ideal_scf: float
    real_scf: float

    @property
    def scf(self) -> float:
        """Return what counts: the smaller."""
        return min(self.ideal_scf, self.real_scf)

    @property
    def words(self) -> str:
        """Return both figures, which leads and by how much."""
        apart = up_to(abs(self.ideal_scf - self.real_scf))
        ideal, real = f"{down_to(self.ideal_scf):.0f}", f"{down_to(self.real_scf):.0f}"
        leads = "real gas" if self.real_scf < self.ideal_scf else "the trade's formula"
        return (
            f"ideal gas {ideal} scf, real gas {real} scf, {apart:.0f} apart; {leads} leads, being the smaller"
        )


def bank_held_scf(bank: Bank, pressure_psig: float, air: AirTemperature) -> float:
    """Return all the air in the flasks on line, as a real gas, at the temperature it is breathed at."""
    volume = bank.floodable_cu_ft * bank.flasks_on_line
    return held_scf(pressure_psig, volume, air.flask_c, air.breathed_c)


def bank_usable(bank: Bank, pressure_psig: float, manifold_psig: float, air: AirTemperature) -> Usable:
    """Return what a bank still gives at a manifold pressure, by the trade's formula and as a real gas."""
    least = bank_least_psig(bank, manifold_psig)
    real = bank_held_scf(bank, pressure_psig, air) - bank_held_scf(bank, least, air)
    return Usable(bank_scf(bank, pressure_psig, manifold_psig), max(0.0, real))


def minutes_left(usable_scf: float, demand_scfm: float) -> int | None:
    """Return for how many whole minutes, rounded down, air meets a demand; None when there is no demand."""
    if demand_scfm <= 0:
        return None
    return int(down_to(usable_scf / demand_scfm))
