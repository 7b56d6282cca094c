"""What a screen does about alarms at every tick: it has them noted on the journal, and lets them be heard."""

from dataclasses import replace
from typing import TYPE_CHECKING

from station.board.alarm_sound import Heard, bells_due, patterns_of, states_now
from station.board.alarm_states import AlarmId
from station.board.figures import Figures

if TYPE_CHECKING:
    from textual.app import App

    from station.watch import Watch

APART_S = 0.25
"""Seconds between the bells of one pattern, so that they can be counted by ear; station choice."""


class Heed:
    """One screen's ear: what has sounded there."""

    def __init__(self, app: "App[int]", watch: "Watch") -> None:
        self._app = app
        self._watch = watch
        self._heard = Heard()
        self._stand: frozenset[AlarmId] = frozenset()
        self._silenced = self._stand

    def alarms(self, now: Figures) -> Figures:
        """Have the alarms noted and heard; return the figures, with an alarm for a journal not writable."""
        self._watch.notice_alarms(now.alarms, now.now)
        failed = self._watch.unwritten
        stand = (failed.alarm, *now.alarms) if failed else now.alarms
        shown = replace(now, alarms=stand)
        self._stand = frozenset((one.lane, one.key) for one in stand)
        self._silenced = self._silenced & self._stand if failed else frozenset()
        self._ring(shown)
        return shown

    def silence(self) -> None:
        """Let the alarms there are be silent at this screen while notice of them cannot be written."""
        self._silenced = self._stand

    def _ring(self, now: Figures) -> None:
        settings, failed = self._watch.board.setup.station.alarms, self._watch.unwritten
        if settings.sound == "off":
            return
        stand = [one for one in now.alarms if (one.lane, one.key) not in self._silenced]
        states = states_now(self._watch.board.alarms, stand, failed.since if failed else now.now)
        bells, self._heard = bells_due(states, self._heard, now.now, patterns_of(settings))
        for one in range(bells):
            self._app.set_timer(one * APART_S or 0.001, self._app.bell)
