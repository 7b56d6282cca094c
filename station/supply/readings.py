"""Pressures read by eye: which can be entered, and how old they are."""

from dataclasses import dataclass
from datetime import datetime

from station.supply.model import Bank, Supply

WARMED = 1 / 30
"""What a flask's pressure gains in ten degrees Celsius: 10 in about 300 kelvin, by Charles' law."""


@dataclass(frozen=True)
class Reading:
    """A gauge pressure and the moment it was read."""

    pressure_psig: float
    at: datetime


def impossible(supply: Supply, source: str, pressure_psig: float) -> str | None:
    """Return why a pressure cannot have been read on a gauge of this station; None when it can."""
    gauges = {supply.manifold.id: supply.manifold.gauge_psig}
    gauges |= {bank.id: bank.gauge_psig for bank in supply.banks}
    if source not in gauges:
        return f"there is no gauge '{source}' in the supply file (there are: {', '.join(gauges)})"
    if not 0 <= pressure_psig <= gauges[source]:
        return f"{pressure_psig:g} psig cannot be read on {source}: its gauge shows 0 to {gauges[source]:g}"
    return None


def doubtful(supply: Supply, source: str, pressure_psig: float) -> str | None:
    """Return why a pressure should be read again before it is entered; None when nothing speaks against."""
    bank: Bank | None = next((one for one in supply.banks if one.id == source), None)
    if bank is not None and pressure_psig > bank.working_psig:
        return f"{pressure_psig:g} psig is above the working pressure of {bank.name}, {bank.working_psig:g}"
    return None


def risen(bank: Bank, last: Reading, pressure_psig: float) -> str | None:
    """Return why a bank that was not filled cannot have risen so far since it was read; None when it can.

    Two readings by eye differ a little, and flasks in the sun gain about a thirtieth in ten degrees Celsius;
    what is over both is asked about (station choice).
    """
    if pressure_psig <= last.pressure_psig * (1 + WARMED) + 2 * bank.read_to_psi:
        return None
    return (
        f"{pressure_psig:g} psig on {bank.name} is {pressure_psig - last.pressure_psig:g} over what was read "
        "last, and no filling was entered since"
    )
