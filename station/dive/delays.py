"""Delays on the way up: when one counts, for how many minutes, and in which column of the rule.

USN Rev 7, air: a delay of up to a minute is let pass; a longer one counts in minutes rounded up. At 50 fsw
and deeper it is added to the bottom time, above that to the first stop, or to nothing (second-hand: notes
on Rev 6; the rest from memory). The figures stand in the table file; a file without them gets those of the
U.S. Navy (station choice). Times are whole milliseconds.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import takewhile
from typing import Literal

from station.dive.choice_words import PLACE_UNKNOWN, SEVERAL_PLACES
from station.dive.choices import USUAL, DelayChoices
from station.dive.times import MS_PER_MIN, MS_PER_S, minutes_up
from station.tables.model import DelayRules, Tables
from station.units import from_fsw

Column = Literal["deeper", "shallower"]
USN_DEEPER_FROM_FSW = 50
USN_IGNORED_S = 60


@dataclass(frozen=True)
class Place:
    """Where a diver is known to have been on the way up: held there, or moving on from there."""

    at_ms: int
    depth: float
    held: bool


def delay_rules(tables: Tables) -> DelayRules:
    """Return the figures of the table file, or those of the U.S. Navy in its unit."""
    return tables.file.delays or _usual(tables.unit)


@lru_cache(maxsize=2)
def _usual(unit: str) -> DelayRules:
    return DelayRules(
        source="second-hand: notes on U.S. Navy Revision 6; the table file has no delays of its own",
        ignored_up_to_s=USN_IGNORED_S,
        deeper_from=from_fsw(USN_DEEPER_FROM_FSW, unit),
    )


def counted_minutes(rules: DelayRules, delay_ms: int) -> int:
    """Return the minutes a delay counts for: 0 while it is let pass, else rounded up (3:25 is 4)."""
    return minutes_up(delay_ms) if delay_ms > rules.ignored_up_to_s * MS_PER_S else 0


def next_step(rules: DelayRules, due_ms: int, minutes: int, from_ms: int) -> tuple[int, int]:
    """Return what a delay that counts for `minutes` at a moment counts for next, and from when."""
    let_pass = rules.ignored_up_to_s * MS_PER_S
    at = max(from_ms, due_ms + max(let_pass, minutes * MS_PER_MIN) + 1)
    return counted_minutes(rules, at - due_ms), at


def steps(rules: DelayRules, due_ms: int, until_ms: int) -> Iterator[tuple[int, int]]:
    """Yield each number of minutes that a delay comes to count for, and the moment from which it does."""
    minutes, at = next_step(rules, due_ms, 0, due_ms)
    while at <= until_ms:
        yield minutes, at
        minutes, at = next_step(rules, due_ms, minutes, at)


def column_at(rules: DelayRules, depth: float) -> Column:
    """Return the column of a depth; exactly 50 fsw is the deeper one (station choice)."""
    return "deeper" if depth >= rules.deeper_from else "shallower"


def column_before_first(  # noqa: PLR0913 - where the diver came from and was held, by whose rules
    tables: Tables,
    rules: DelayRules,
    departure: float,
    places: Sequence[Place],
    at_ms: int,
    *,
    choices: DelayChoices = USUAL,
) -> tuple[Column, str]:
    """Return the column of a delay before the first stop, by where the diver was held up to that moment.

    With it the words of the choice that decided, "" when none did: held in several places, and held in none.
    A delay that had grown too long to be let pass before the diver was known to be held happened in a place
    unknown.
    """
    held = [place for place in places if place.held and place.at_ms <= at_ms]
    columns = {column_at(rules, place.depth) for place in held}
    words = SEVERAL_PLACES[choices.delay_in_several_places] if len(columns) > 1 else ""
    if choices.delay_in_several_places == "deeper if any was" and "deeper" in columns:
        return "deeper", words
    in_time = list(takewhile(lambda place: not _late(tables, rules, departure, place), held))
    if in_time:
        return column_at(rules, in_time[-1].depth), words
    always = choices.delay_place_unknown == "deeper column"
    return "deeper" if always else column_at(rules, departure), PLACE_UNKNOWN[choices.delay_place_unknown]


def _late(tables: Tables, rules: DelayRules, departure: float, place: Place) -> bool:
    """Return whether a delay too long to be let pass lay before a place was reached."""
    travel_ms = tables.file.ascent.travel_s(departure, place.depth) * MS_PER_S
    return counted_minutes(rules, place.at_ms - travel_ms) > 0
