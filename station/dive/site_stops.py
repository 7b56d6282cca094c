"""Water stops above sea level: the depth the table prints, the depth at the site, what the gauge shows there.

USN Rev 4, pages 9-38 and 9-44: stops lie shallower at altitude, and a gauge that counts from one fixed
atmosphere reads shallow. Three figures for one stop; each is named wherever it is told.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from station.dive.altitude import Correction, gauge_depth
from station.dive.choices import Gauge
from station.dive.schedule import Stop
from station.dive.text import depth_text, stops_words
from station.errors import LookUpError
from station.tables.lookup import NOISE_DIGITS
from station.tables.model import Tables


@dataclass(frozen=True)
class SiteStop:
    """One stop in the unit of the tables: as printed, as deep as it lies here, as the gauge reads it.

    `gauge` is None where the tables print no correction for such a reading.
    """

    printed: float
    here: float
    gauge: float | None

    def words(self, unit: str) -> str:
        """Return all three, each by its name."""
        gauge = "" if self.gauge is None else f", {depth_text(self.gauge, unit)} on the gauge"
        return f"the table's {depth_text(self.printed, unit)} is {depth_text(self.here, unit)} here{gauge}"


def site_stops(
    tables: Tables, site: Correction, printed: Iterable[float], gauge: Gauge
) -> tuple[SiteStop, ...]:
    """Return printed stop depths as they are at a site; nothing where the altitude changes none."""
    if not site.applies:
        return ()
    stops = ((depth, site.stop_depth(depth)) for depth in printed)
    return tuple(SiteStop(depth, here, reading_at(tables, site, here, gauge)) for depth, here in stops)


def site_stop(tables: Tables, site: Correction, here: float, gauge: Gauge) -> SiteStop | None:
    """Return the stop that lies at a depth of the site; None for none, or where the altitude changes none."""
    rules = tables.file.stops
    listed = range(rules.last, int(site.equivalent) + rules.spacing, rules.spacing)
    return next(
        (one for one in site_stops(tables, site, map(float, listed), gauge) if one.here == here), None
    )


def reading_at(tables: Tables, site: Correction, depth: float, gauge: Gauge) -> float | None:
    """Return what the gauge reads at a depth of the site: the least whole step that is no shallower.

    A whole fsw, or a tenth of an msw. None where the tables print no correction for such a reading.
    """
    try:
        added = gauge_depth(tables, depth, site.site_ft, gauge) - depth
        reading = round(max(0.0, depth - added), NOISE_DIGITS)
        while gauge_depth(tables, reading, site.site_ft, gauge) < depth:
            reading = round(reading + site.step, NOISE_DIGITS)
    except LookUpError:
        return None
    return reading


def stops_here(site: Correction, printed: Iterable[Stop], unit: str) -> str:
    """Return the stops of a schedule for people: as deep as they lie here, and as the table has them."""
    stops = tuple(printed)
    if not site.applies or not stops:
        return stops_words(stops, unit)
    here = (Stop(site.stop_depth(stop.depth), stop.minutes) for stop in stops)
    depths = ", ".join(depth_text(stop.depth, unit) for stop in stops)
    return f"{stops_words(here, unit)} here (table: {depths})"
