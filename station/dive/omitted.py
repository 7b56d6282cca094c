"""Omitted decompression: the published first steps by the deepest stop missed, the interval and the chamber.

Second-hand: study notes on USN Rev 6, Table 9-3, but where a line says from memory. Nothing here decides.
"""

from dataclasses import dataclass

from station.dive.cards import ENDS, CardStep
from station.dive.surface import TABLE_5_PERIODS

WATCH_MIN = 60
BACK_UNDER_S = 60
SURFACE_UP_TO_S = 420
SHALLOW_FSW = 30
TO_165_DEEPER_THAN_FSW = 50

TABLE = "second-hand: notes on USN Rev 6, Table 9-3"
MEMORY = "from memory: USN Rev 6/7"
TIMES = "30 and 20 fsw stop times x 1.5"


@dataclass(frozen=True)
class Advice:
    """The published steps for one case.

    `holds_s` is for how long they hold, rounded down, None when time changes nothing. `watch_min` is how long
    the diver is watched at the surface, where that is the step.
    """

    case: str
    steps: tuple[CardStep, ...]
    holds_s: int | None = None
    watch_min: int | None = None

    @property
    def lines(self) -> tuple[str, ...]:
        """The steps in words, each with its source, ending with the supervisor and the medical officer."""
        return *(f"{step.words} ({step.source})" for step in self.steps), ENDS


def omitted(deepest_missed: float, interval_ms: int, *, chamber: bool, periods: float) -> Advice:
    """Return the published steps for a diver without symptoms.

    `deepest_missed` is the deepest stop left early or missed, in fsw, 0 on a no-stop dive that came up too
    fast; `interval_ms` runs from reaching the surface; `periods` are the chamber periods of the schedule.
    """
    if deepest_missed <= 0:
        words = f"Watch the diver at the surface for {WATCH_MIN} min."
        return Advice(
            "no stop missed, ascent too fast", (CardStep(words=words, source=TABLE),), watch_min=WATCH_MIN
        )
    if deepest_missed > SHALLOW_FSW:
        return _deep(deepest_missed, chamber=chamber)
    return _shallow(interval_ms, chamber=chamber, periods=periods)


def _shallow(interval_ms: int, *, chamber: bool, periods: float) -> Advice:
    if interval_ms < BACK_UNDER_S * 1000:
        words = "Return to the stop, add 1 min there, and go on."
        step = CardStep(words=words, source=MEMORY)
        return Advice("20 or 30 fsw missed, under 1:00", (step,), _left_s(BACK_UNDER_S, interval_ms))
    over = interval_ms > SURFACE_UP_TO_S * 1000
    case = f"20 or 30 fsw missed, {'over 7:00' if over else '1:00 to 7:00'}"
    holds = None if over else _left_s(SURFACE_UP_TO_S, interval_ms)
    if not chamber:
        words = f"No chamber: return to the stop; {TIMES}."
        return Advice(f"{case}, no chamber", (CardStep(words=words, source=TABLE),), holds)
    if not over:
        words = "Surface decompression on oxygen."
        return Advice(case, (CardStep(words=words, source=TABLE),), holds)
    table = "5" if periods <= TABLE_5_PERIODS else "6"
    words = f"Published step: treatment table {table}; the schedule needs {periods:g} chamber periods."
    return Advice(case, (CardStep(words=words, source=TABLE),))


def _deep(deepest_missed: float, *, chamber: bool) -> Advice:
    case = f"{deepest_missed:g} fsw missed"
    if not chamber:
        words = f"No chamber: down to the first stop, by schedule to 30 fsw, oxygen if there is any; {TIMES}."
        return Advice(f"{case}, no chamber", (CardStep(words=words, source=TABLE),))
    steps = [CardStep(words="Published step: treatment table 6.", source=TABLE)]
    if deepest_missed > TO_165_DEEPER_THAN_FSW:
        words = "Missed deeper than 50 fsw: to 165 fsw, treatment table 6A."
        steps.append(CardStep(words=words, source=TABLE))
    return Advice(case, tuple(steps))


def _left_s(limit_s: int, interval_ms: int) -> int:
    return (limit_s * 1000 - interval_ms) // 1000
