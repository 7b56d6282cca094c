"""How times, stops and marks are written, everywhere alike: on the console, on paper, in the record."""

from collections.abc import Iterable

from station.dive.schedule import Stop
from station.events import Gas, MarkName
from station.tables.written import hmm, mmss

__all__ = ["GAS_WORDS", "MARK_WORDS", "depth_text", "hmm", "mark_text", "mmss", "stops_text", "stops_words"]

GAS_WORDS: dict[Gas, str] = {
    "air": "air",
    "air_oxygen": "air, then oxygen in the water",
    "surface_oxygen": "air, then oxygen in the chamber",
}
MARK_WORDS: dict[MarkName, str] = {
    "left_surface": "left surface",
    "reached_bottom": "reached bottom",
    "left_bottom": "left bottom",
    "reached_stop": "reached stop",
    "left_stop": "left stop",
    "reached_surface": "reached surface",
    "held": "held",
    "moving": "moving",
    "on_oxygen": "on oxygen",
    "off_oxygen": "off oxygen",
    "oxygen_lost": "oxygen lost",
}


def depth_text(depth: float, unit: str) -> str:
    """Return a depth as 40 fsw, with a decimal only where there is one."""
    return f"{round(depth, 2):g} {unit}"


def mark_text(name: MarkName, depth: float | None, unit: str) -> str:
    """Return a mark in the trade's words: reached stop 40 fsw."""
    return MARK_WORDS[name] if depth is None else f"{MARK_WORDS[name]} {depth_text(depth, unit)}"


def stops_text(stops: Iterable[Stop]) -> str:
    """Return stops in one short line, depth and minutes: 30:19 20:116; "no stops" when there are none."""
    return " ".join(f"{stop.depth:g}:{stop.minutes}" for stop in stops) or "no stops"


def stops_words(stops: Iterable[Stop], unit: str) -> str:
    """Return stops for people: 30 fsw 19 min, 20 fsw 116 min; "no stops" when there are none."""
    return ", ".join(f"{depth_text(stop.depth, unit)} {stop.minutes} min" for stop in stops) or "no stops"
