"""Which alarm is to be heard now: three patterns of bells, told apart by their number. Pure.

Only the most urgent priority that nobody has taken notice of sounds; a less urgent one is heard once that is
acknowledged or gone. An alarm that returns, or rises, is a new raise and is heard anew.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Final

from station.board.alarm_states import AlarmId, AlarmState, AlarmStates
from station.board.alarms import ORDER, Alarm
from station.events import Priority
from station.setup import Sounds

Raise = tuple[AlarmId, datetime]
"""One raise of one alarm: what is heard once."""


@dataclass(frozen=True)
class Pattern:
    """So many bells, again after so long while nobody has taken notice; None for once only."""

    bells: int
    again: timedelta | None = None


PATTERNS: Final[Mapping[Priority, Pattern]] = {
    "high": Pattern(3, timedelta(seconds=10)),
    "medium": Pattern(2, timedelta(seconds=30)),
    "low": Pattern(1),
}
"""Station choice: more bells and sooner again, the more urgent it is."""


def patterns_of(sounds: Sounds) -> Mapping[Priority, Pattern]:
    """Return the patterns with the pauses that the station file gives them."""
    again = {"high": sounds.high_repeat_s, "medium": sounds.medium_repeat_s}
    return {
        priority: replace(one, again=timedelta(seconds=again[priority])) if priority in again else one
        for priority, one in PATTERNS.items()
    }


@dataclass(frozen=True)
class Heard:
    """What has sounded at one screen: when each priority did last, and which raises it told."""

    last: Mapping[Priority, datetime] = field(default_factory=dict)
    raises: frozenset[Raise] = frozenset()


def states_now(known: AlarmStates, stand: Sequence[Alarm], since: datetime) -> tuple[AlarmState, ...]:
    """Return the alarms that stand with what the journal knows of each, in the order given.

    One that the journal does not know to stand, because it cannot be written, counts as raised at `since`
    and as acknowledged by nobody.
    """
    return tuple(_state(known, one, since) for one in stand)


def _state(known: AlarmStates, one: Alarm, since: datetime) -> AlarmState:
    state = known.get((one.lane, one.key))
    if state is not None and state.standing and state.priority == one.priority:
        return state
    times = 1 if state is None else state.times + 1
    return AlarmState(one.lane, one.key, one.priority, one.words, since, times)


def bells_due(
    states: Sequence[AlarmState],
    heard: Heard,
    now: datetime,
    patterns: Mapping[Priority, Pattern] = PATTERNS,
) -> tuple[int, Heard]:
    """Return how many bells are due now, 0 for none, and what has been heard once they have rung."""
    quiet = [one for one in states if one.standing and one.acknowledged is None]
    kept = Heard(heard.last, heard.raises & {(one.id, one.raised_at) for one in quiet})
    if not quiet:
        return 0, kept
    worst = min((one.priority for one in quiet), key=ORDER.index)
    told = frozenset((one.id, one.raised_at) for one in quiet if one.priority == worst)
    last, pattern = heard.last.get(worst), patterns[worst]
    again = last is not None and pattern.again is not None and now - last >= pattern.again
    if told <= heard.raises and not again:
        return 0, kept
    return pattern.bells, Heard({**heard.last, worst: now}, kept.raises | told)
