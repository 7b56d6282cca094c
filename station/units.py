"""Quantities as people type and read them; inside the rules every figure is a plain float.

Depths are kept in fsw and gauge pressures in psig; what a user types is converted once, where it comes in,
and what is shown is converted once, where it goes out. Every shown figure is rounded to the safe side:

    a depth              up    to a whole fsw or a tenth of an msw
    a pressure there is  down  to a whole psig or a tenth of a bar
    a pressure needed    up    to a whole psig or a tenth of a bar

Foot and metre of seawater are pressures here, not lengths: 1 fsw is an atmosphere / 33, 1 msw is 10 kPa.
The unit library is loaded at the first conversion, never at import: most commands need none.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from station.errors import UsageError

if TYPE_CHECKING:
    from pint import UnitRegistry

DEFINITIONS = (
    "foot_of_seawater = atmosphere / 33 = fsw",
    "meter_of_seawater = 10 * kilopascal = msw",
    "psig = psi; offset: 14.695948775513218",  # one standard atmosphere, 101 325 Pa, in psi
    "standard_cubic_foot = [standard_volume] = scf",  # an amount of gas: never converts to a space by itself
    "actual_cubic_foot = foot ** 3 = acf",
    "scfm = standard_cubic_foot / minute",
    "acfm = actual_cubic_foot / minute",
)

NOISE = 1e-6
"""A figure this close to a step, in steps, is on it: 60.0000000001 fsw shows as 60, not as 61."""

_TYPED = re.compile(r"(?P<number>[+-]?[0-9]{1,6}(?:\.[0-9]{1,3})?) ?(?P<unit>[A-Za-z][A-Za-z0-9/ ]{0,11})?")


@lru_cache(maxsize=1)
def registry() -> "UnitRegistry[float]":
    """Return the registry of units with the trade's own added; built at the first call."""
    from pint import UnitRegistry  # noqa: PLC0415 - keeps `station --help` from loading it

    units: UnitRegistry[float] = UnitRegistry()
    for line in DEFINITIONS:
        units.define(line)
    return units


@dataclass(frozen=True)
class Kind:
    """One kind of quantity: what it is called, what it is kept in, and which words name its units."""

    name: str
    kept_in: str
    units: Mapping[str, str]
    hint: str
    least: float | None = 0.0


_GAUGE_HINT = "pressures are read on gauges, so psi, bar and kPa count from the air around"
DEPTH = Kind(
    "depth",
    "fsw",
    {"fsw": "fsw", "msw": "msw"},
    "a plain foot or metre is a length; write fsw or msw",
)
PRESSURE = Kind(
    "pressure",
    "psi",
    {"psig": "psi", "psi": "psi", "bar": "bar", "barg": "bar", "kpa": "kilopascal"},
    _GAUGE_HINT,
)
VOLUME = Kind(
    "volume",
    "foot ** 3",
    {"cu ft": "foot ** 3", "cuft": "foot ** 3", "ft3": "foot ** 3", "acf": "acf", "l": "liter"},
    "the inner volume of a flask, in cu ft or l; scf is an amount of air, not a space",
)
FLOW = Kind(
    "flow",
    "acfm",
    {"acfm": "acfm", "l/min": "liter / minute"},
    "the flow at the diver's depth, in acfm or l/min; scfm is measured at the surface",
)
TEMPERATURE = Kind(
    "temperature",
    "degC",
    {"c": "degC", "degc": "degC", "f": "degF", "degf": "degF"},
    "write C or F",
    least=None,
)


def parse_depth(text: str, default_unit: str) -> float:
    """Return a typed depth in fsw: '60', '60 fsw', '18.5msw'.

    Raises:
        UsageError: when it is not a plain number with an allowed unit, or is below 0.

    """
    return _parse(text, DEPTH, default_unit)


def parse_pressure(text: str, default_unit: str) -> float:
    """Return a typed gauge pressure in psig: '2800', '2800 psig', '193 bar'.

    A bar, a psi or a kPa typed here is what a gauge shows: the pressure above the air around it.

    Raises:
        UsageError: when it is not a plain number with an allowed unit, or is below 0.

    """
    return _parse(text, PRESSURE, default_unit)


def parse_volume(text: str, default_unit: str) -> float:
    """Return a typed inner volume in cubic feet: '8 cu ft', '227 l'; UsageError as for a depth."""
    return _parse(text, VOLUME, default_unit)


def parse_flow(text: str, default_unit: str) -> float:
    """Return a typed flow at depth in acfm: '4.5', '127 l/min'; UsageError as for a depth."""
    return _parse(text, FLOW, default_unit)


def parse_temperature(text: str, default_unit: str) -> float:
    """Return a typed temperature in degrees Celsius: '12', '-1 C', '54 F'; UsageError when unreadable."""
    return _parse(text, TEMPERATURE, default_unit)


def from_fsw(depth_fsw: float, unit: str) -> float:
    """Return a depth in the unit of a table file, fsw or msw, without the noise of the conversion.

    A typed 18 msw, kept as fsw, must come back as 18 and not as the hair more that would enter a deeper row.
    """
    return depth_fsw if unit == "fsw" else round(_converted(depth_fsw, "fsw", DEPTH.units[unit]), 6)


def to_fsw(depth: float, unit: str) -> float:
    """Return a depth in the unit of a table file as fsw."""
    return depth if unit == "fsw" else _converted(depth, DEPTH.units[unit], "fsw")


def show_depth(depth_fsw: float, unit: str = "fsw") -> str:
    """Return a depth fit to be shown, rounded up: '61 fsw' or '18.5 msw'."""
    step = 0.1 if unit == "msw" else 1.0
    return _shown(up_to(_converted(depth_fsw, "fsw", DEPTH.units[unit]), step), step, unit)


def show_pressure(pressure_psig: float, unit: str = "psig") -> str:
    """Return a pressure that is there, rounded down: '2799 psig' or '193.0 bar'."""
    value, step = _in_gauge_unit(pressure_psig, unit)
    return _shown(down_to(value, step), step, unit)


def show_needed_pressure(pressure_psig: float, unit: str = "psig") -> str:
    """Return a pressure that must be there, rounded up: '91 psig' or '6.3 bar'."""
    value, step = _in_gauge_unit(pressure_psig, unit)
    return _shown(up_to(value, step), step, unit)


def show_margin(margin_psi: float, unit: str = "psig") -> str:
    """Return how far a pressure stands above its minimum, rounded down: '12 psi', '-0.4 bar'."""
    value, step = _in_gauge_unit(margin_psi, unit)
    return _shown(down_to(value, step), step, "psi" if unit == "psig" else unit)


def pressure_in(psi: float, unit: str) -> float:
    """Return a gauge pressure in the unit it is shown in, not rounded: to be drawn, never to be read."""
    return _in_gauge_unit(psi, unit)[0]


def up_to(value: float, step: float = 1.0) -> float:
    """Return the value rounded up to a whole number of steps."""
    return _steps(math.ceil(value / step - NOISE), step)


def down_to(value: float, step: float = 1.0) -> float:
    """Return the value rounded down to a whole number of steps."""
    return _steps(math.floor(value / step + NOISE), step)


def _steps(count: int, step: float) -> float:
    # 224 x 0.1 is 22.400000000000002 in binary; nothing is shown finer than the sixth decimal.
    return round(count * step, 6)


def _parse(text: str, kind: Kind, default_unit: str) -> float:
    match = _TYPED.fullmatch(text.strip())
    if match is None:
        raise UsageError(
            f"'{text[:40]}' is not a {kind.name} the station can read; "
            "write digits with at most three decimals, such as 60 or 18.5, and a unit if you like"
        )
    unit = " ".join((match["unit"] or default_unit).lower().split())
    if unit not in kind.units:
        known = ", ".join(kind.units)
        raise UsageError(f"'{unit}' is not a unit of {kind.name} here (known: {known}): {kind.hint}")
    number = float(match["number"])
    if kind.least is not None and number < kind.least:
        raise UsageError(f"a {kind.name} of {match['number']} {unit} is below {kind.least:g}")
    # The sum turns a typed -0 into 0.
    return _converted(number, kind.units[unit], kind.kept_in) + 0.0


def _converted(value: float, unit: str, wanted: str) -> float:
    if unit == wanted:
        return value
    return float(registry().Quantity(value, unit).m_as(wanted))


def _in_gauge_unit(psi: float, unit: str) -> tuple[float, float]:
    """Return a pressure in the unit to be shown, and the step it is shown in."""
    return _converted(psi, "psi", PRESSURE.units[unit]), 1.0 if unit == "psig" else 0.1


def _shown(value: float, step: float, unit: str) -> str:
    return f"{value:.{0 if step >= 1 else 1}f} {unit}"
