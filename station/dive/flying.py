"""How long to wait before going up a mountain or flying.

USN Rev 7, Table 9-6; which group enters it, USN Rev 4, page 9-45. The 48 h after an exceptional exposure are
from memory: USN Rev 6/7.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from station.dive.series import ASK, EarlierDive, latest, moment_text
from station.moments import clock_time
from station.tables.lookup import heaviest, wait_before_rise
from station.tables.model import Tables
from station.tables.written import hmm

AIRLINER_CABIN_FT = 8000
"""The altitude that an airliner's cabin counts as: USN Rev 4, page 9-45."""

LOOK_BACK = timedelta(hours=24)
EXCEPTIONAL_WAIT = timedelta(hours=48)


@dataclass(frozen=True)
class AltitudeWait:
    """From when a diver may go up: `until` is None without a wait and without a figure; the words say why.

    `group` and `listed_rise_ft` are what entered the table.
    """

    kind: Literal["no wait", "wait", "no figure"]
    until: datetime | None
    words: str
    group: str | None = None
    listed_rise_ft: int | None = None
    wait_min: int | None = None


def airliner_rise_ft(site_ft: float) -> float:
    """Return how far an airliner's cabin lies above the site; 0 when it does not."""
    return max(0.0, AIRLINER_CABIN_FT - site_ft)


def wait_before_altitude(tables: Tables, dives: Sequence[EarlierDive], rise_ft: float) -> AltitudeWait:
    """Return the wait after these dives before a rise of so many feet.

    The heaviest group of the 24 h up to the last surfacing enters the table, not the latest; the wait runs
    from the last surfacing (station choice, the later end). A rise goes up to the next listed one.
    """
    last = latest(dives)
    if last is None or rise_ft <= 0:
        return AltitudeWait(
            "no wait", None, "no wait: no dive is known" if last is None else "no wait: no rise"
        )
    exceptional = [
        dive for dive in dives if dive.exceptional and last.surfaced - dive.surfaced < EXCEPTIONAL_WAIT
    ]
    recent = [dive for dive in dives if last.surfaced - dive.surfaced <= LOOK_BACK]
    by_table = _by_table(
        tables, [dive for dive in recent if dive.group or not dive.exceptional], last, rise_ft
    )
    if by_table is not None and by_table.kind == "no figure":
        return by_table
    return _later(by_table, latest(exceptional))


def _by_table(
    tables: Tables, dives: Sequence[EarlierDive], last: EarlierDive, rise_ft: float
) -> AltitudeWait | None:
    if not dives:
        return None
    missing = next((dive for dive in dives if dive.group is None), None)
    if missing is not None:
        words = f"no group is printed for {missing.source}: the table of waits cannot be used; {ASK}"
        return AltitudeWait("no figure", None, words)
    group = heaviest(tables, [dive.group for dive in dives if dive.group]) or ""
    found = wait_before_rise(tables, group, rise_ft)
    table = tables.file.altitude_wait
    if found is None or table is None:
        words = f"no wait is printed for group {group} and a rise of {rise_ft:,.0f} ft: {ASK}"
        return AltitudeWait("no figure", None, words, group)
    rise, wait = found
    why = f"group {group}, the heaviest of the last 24 h, and a rise of {rise:,} ft ({table.source})"
    if wait == 0:
        return AltitudeWait("no wait", None, f"no wait: {why}", group, rise, 0)
    until = last.surfaced + timedelta(minutes=wait)
    words = f"wait {hmm(wait)} after {clock_time(last.surfaced)}, until {moment_text(until)}: {why}"
    return AltitudeWait("wait", until, words, group, rise, wait)


def _later(by_table: AltitudeWait | None, exceptional: EarlierDive | None) -> AltitudeWait:
    """Return the later of the table's wait and that after an exceptional exposure."""
    until = None if exceptional is None else exceptional.surfaced + EXCEPTIONAL_WAIT
    if exceptional is None or until is None:
        return by_table or AltitudeWait("no wait", None, "no wait: no dive is known")
    if by_table is not None and by_table.until is not None and by_table.until >= until:
        return by_table
    words = (
        f"wait 48:00 after {clock_time(exceptional.surfaced)}, until {moment_text(until)}: "
        f"{exceptional.source} was an exceptional exposure (from memory: USN Rev 6/7)"
    )
    group, rise = (by_table.group, by_table.listed_rise_ft) if by_table else (None, None)
    return AltitudeWait("wait", until, words, group, rise, int(EXCEPTIONAL_WAIT.total_seconds()) // 60)
