"""Diving above sea level: the depth that enters the tables, the depth of the stops, the group on arrival.

Method of USN Rev 4, pages 9-38 to 9-44, with the pressure of the ICAO standard atmosphere (1013.25 hPa x
(1 - 6.87559e-6 h)^5.25588, h in feet, from memory; it gives the tabulated 850 hPa at 4,781 ft).
"""

import math
from dataclasses import dataclass
from datetime import datetime

from station.dive.choices import Gauge
from station.dive.depth import corrected
from station.dive.series import Arrival
from station.errors import LookUpError, Refusal
from station.tables.lookup import NOISE_DIGITS, arrival_at, main_depth
from station.tables.model import Tables
from station.units import from_fsw

SEA_LEVEL_HPA = 1013.25
LAPSE_PER_FT = 6.87559e-6
EXPONENT = 5.25588

NO_CORRECTION_UP_TO_FT = 300
"""USN Rev 4, page 9-38."""

EVERY_DIVE_FROM_FT = 1000
"""From here on every dive is corrected, below it only deep ones; exactly here counts as above."""

DEEP_FSW = 145
"""Deeper than this is corrected from 300 ft on; second-hand."""

HIGHEST_FT = 10_000
"""Above this the medical officer: USN Rev 4, page 9-41."""

STEP_FT = 1000
GAUGE_FSW_PER_STEP = 1
"""A gauge that counts from one fixed atmosphere: USN Rev 4, page 9-44."""


@dataclass(frozen=True)
class Correction:
    """What the altitude does to one depth of dive, in the unit of the tables.

    `equivalent` is the sea-level equivalent, `table_depth` the depth to look schedules up with: the next row
    of the main tables, or the equivalent itself where it is deeper than all of them. Without a correction
    all three are the depth of dive.
    """

    site_ft: float
    used_ft: int
    ratio: float
    step: float
    depth: float
    equivalent: float
    table_depth: float
    words: str

    @property
    def applies(self) -> bool:
        """Whether the depth was corrected."""
        return self.ratio < 1

    def stop_depth(self, table_stop: float) -> float:
        """Return the depth of a water stop: to the nearest foot, or tenth of a metre; a tie to the deeper.

        A chamber stop is not corrected (USN Rev 4, page 9-44).
        """
        if not self.applies:
            return table_stop
        return round(math.floor(table_stop * self.ratio / self.step + 0.5) * self.step, NOISE_DIGITS)


def pressure_hpa(altitude_ft: float) -> float:
    """Return the pressure of the standard atmosphere at an altitude, in hPa."""
    return SEA_LEVEL_HPA * math.pow(1 - LAPSE_PER_FT * altitude_ft, EXPONENT)


def altitude_of(hpa: float) -> float:
    """Return the altitude in feet at which the standard atmosphere has a pressure."""
    return (1 - math.pow(hpa / SEA_LEVEL_HPA, 1 / EXPONENT)) / LAPSE_PER_FT


def equivalent_depth(depth: float, hpa: float, sea_level_hpa: float = SEA_LEVEL_HPA) -> float:
    """Return the depth at sea level that is as deep as this one: depth x sea level / pressure there."""
    return depth * sea_level_hpa / hpa


def used_altitude_ft(site_ft: float) -> int:
    """Return the altitude that is reckoned with: up to the next 1,000 ft, 0 where none is corrected."""
    return 0 if site_ft <= NO_CORRECTION_UP_TO_FT else math.ceil(site_ft / STEP_FT) * STEP_FT


def check_altitude(site_ft: float) -> None:
    """Pass when dives at an altitude can be reckoned.

    Raises:
        Refusal: it is above 10,000 ft.

    """
    if site_ft > HIGHEST_FT:
        raise Refusal(
            f"the site lies at {site_ft:,.0f} ft: above {HIGHEST_FT:,} ft no dive is reckoned here; "
            "ask the medical officer (USN Rev 4, page 9-41)"
        )


def correction(tables: Tables, site_ft: float, depth: float) -> Correction:
    """Return what the altitude of the site does to a corrected depth of dive.

    Raises:
        Refusal: the site is above 10,000 ft.

    """
    check_altitude(site_ft)
    unit, used = tables.unit, used_altitude_ft(site_ft)
    step = 1.0 if unit == "fsw" else 0.1
    deep = depth > round(from_fsw(DEEP_FSW, unit), NOISE_DIGITS)
    if not used or (site_ft < EVERY_DIVE_FROM_FT and not deep):
        words = (
            f"no altitude correction up to {NO_CORRECTION_UP_TO_FT} ft"
            if not used
            else f"no altitude correction below {EVERY_DIVE_FROM_FT:,} ft up to {DEEP_FSW} fsw"
        )
        return Correction(site_ft, used, 1.0, step, depth, depth, depth, f"{words} (USN Rev 4, page 9-38)")
    hpa = pressure_hpa(used)
    equivalent = round(equivalent_depth(depth, hpa), NOISE_DIGITS)
    row = main_depth(tables, equivalent)
    words = (
        f"{depth:g} {unit} at {site_ft:,.0f} ft, taken as {used:,} ft, {hpa:.1f} hPa, is as deep as "
        f"{equivalent:.1f} {unit} at sea level"
    )
    goes = f"goes to {row} {unit}" if row is not None else "deeper than the tables"
    words = f"{words}; {goes} (USN Rev 4, page 9-38)"
    table_depth = equivalent if row is None else float(row)
    return Correction(site_ft, used, hpa / SEA_LEVEL_HPA, step, depth, equivalent, table_depth, words)


def gauge_depth(tables: Tables, reading: float, site_ft: float, gauge: Gauge) -> float:
    """Return the actual depth of a pneumofathometer reading at altitude, in the unit of the tables.

    The reading `read_at_site`, then its own correction, by the band of that (the larger).

    Raises:
        LookUpError: the reading is deeper than the last band of corrections.

    """
    return corrected(tables, read_at_site(reading, site_ft, gauge, tables.unit))


def read_at_site(reading: float, site_ft: float, gauge: Gauge, unit: str) -> float:
    """Return what a gauge zeroed at the site would have read.

    One that counts from one fixed atmosphere reads shallow there: 1 fsw is added per 1,000 ft, the altitude
    going up to the next 1,000.
    """
    steps = used_altitude_ft(site_ft) // STEP_FT if gauge == "fixed one-atmosphere reference" else 0
    added = from_fsw(GAUGE_FSW_PER_STEP * steps, unit) if steps else 0.0
    return round(reading + added, NOISE_DIGITS)


def arrival(tables: Tables, at: datetime, site_ft: float, from_ft: float = 0) -> Arrival | None:
    """Return the group of a diver who came up to the site from an altitude lived at before.

    The rise goes up to the next listed one; a diver who lives between two altitudes enters the difference
    (USN Rev 4, page 9-41). None for one who did not come up, or the site needs no correction.

    Raises:
        LookUpError: the tables print no group for it.

    """
    rise = site_ft - max(0.0, from_ft)
    if site_ft <= NO_CORRECTION_UP_TO_FT or rise <= 0:
        return None
    found, table = arrival_at(tables, rise), tables.file.altitude_arrival
    if found is None or table is None:
        raise LookUpError(
            f"no group is printed for an arrival {rise:,.0f} ft higher; ask the medical officer"
        )
    listed, group = found
    source = f"arrival at {site_ft:,.0f} ft, a rise taken as {listed:,} ft ({table.source})"
    return Arrival(at, group, listed, source)
