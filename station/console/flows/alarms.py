"""Taking notice of alarms: the one there is at once, one of several from a list, or all of them."""

from datetime import datetime
from typing import Final

from station.board.alarm_states import AlarmState, standing
from station.board.alarms import ORDER
from station.console.desk import Desk
from station.console.dialogs.alarms import ALL, AlarmList
from station.console.duties import Duty
from station.console.words_alarms import state_line
from station.errors import JournalError, Refusal, StorageError
from station.events import AlarmAcknowledged

ACKNOWLEDGE: Final = "alarm.acknowledge"
DUTIES: Final[tuple[Duty, ...]] = ("supervisor", "timekeeper", "tender")


async def acknowledge(desk: Desk, at: datetime) -> None:
    """Take notice of the one alarm that nobody has taken notice of; of several, the one chosen, or all."""
    if desk.watch.unwritten is not None:
        _silence(desk)
        return
    known = _standing(desk)
    open_now = [one for one in known if one.acknowledged is None]
    if len(open_now) == 1:
        _take(desk, open_now[0], at)
        return
    if not known:
        desk.say("no alarm stands")
        return
    while known:
        lines = [(one, state_line(desk.board, one)) for one in known]
        chosen = await desk.app.push_screen_wait(AlarmList(lines))
        if chosen is None:
            return
        for one in _standing(desk):
            if one.acknowledged is None and chosen in (ALL, one.id):
                _take(desk, one, at)
        known, at = _standing(desk), desk.watch.clock.now()
        if all(one.acknowledged for one in known):
            return


def _silence(desk: Desk) -> None:
    """Let everything be silent at this screen, as nobody's notice can be written now."""
    desk.app.heed.silence()
    desk.say("silent at this screen until the journal can be written; write down the alarms on paper")


def _standing(desk: Desk) -> list[AlarmState]:
    """Return what stands by the journal: what nobody has taken notice of first, the most urgent in front."""
    found = standing(desk.board.alarms)
    return sorted(found, key=lambda one: (one.acknowledged is not None, ORDER.index(one.priority)))


def _take(desk: Desk, one: AlarmState, at: datetime) -> None:
    """Enter that notice was taken of an alarm; nothing where somebody else was first or it is over."""
    duty = _duty(desk)
    event = AlarmAcknowledged(lane=one.lane, key=one.key, **desk.stamp(duty, at))
    try:
        desk.enter(event, f"alarm acknowledged: {one.words}")
    except Refusal as refusal:
        desk.say(refusal.message)
    except (StorageError, JournalError):
        _silence(desk)
        raise


def _duty(desk: Desk) -> Duty:
    """Return the duty in which notice is taken: that of the seat on this screen, else one somebody has."""
    for duty in dict.fromkeys((desk.app.seat, *DUTIES)):
        try:
            desk.by(duty)
        except Refusal:
            continue
        return duty
    raise Refusal("nobody has joined the crew who may acknowledge an alarm", [f"one of: {', '.join(DUTIES)}"])
