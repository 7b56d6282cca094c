"""A drill's script on the console: it plays by the drill's clock until people stop it or take over."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from station.clock import DrillClock
from station.drill.player import Played, Player
from station.errors import FileError, StationError

SPEEDS = (1.0, 2.0, 5.0, 10.0, 30.0, 60.0, 120.0)
"""Drill seconds in a second that the keys step through."""
AT_ONCE = 50
"""Most entries played in one tick, so that the screen is painted between them."""


@dataclass
class DrillControl:
    """The hold that people have on a script: pause, step, speed, take over.

    `finish` is called once when the script has been played out; its lines are shown. `over` tells that the
    script plays no more, `state` why. `waits_with` is the speed that the clock, standing still until then,
    takes on once people have read the notice on the screen.
    """

    player: Player
    clock: DrillClock
    finish: Callable[[], Sequence[str]] | None = None
    over: bool = False
    stopped: StationError | None = None
    waits_with: float | None = None
    _rate_before: float = 1.0

    @property
    def state(self) -> str:
        """Say what the script is doing, in a few words."""
        if self.stopped:
            return "script stopped"
        if self.over:
            return "script played out" if self.player.finished else "taken over"
        return "standing still" if self.clock.rate == 0 else f"x{self.clock.rate:g}"

    @property
    def fault(self) -> str:
        """Say what stopped the script, "" while nothing has; the scenario's path is left out for room."""
        if self.stopped is None:
            return ""
        problems = self.stopped.problems if isinstance(self.stopped, FileError) else ()
        return f"script stopped: {'; '.join(': '.join(one) for one in problems) or self.stopped.message}"

    def play_due(self) -> list[Played]:
        """Enter everything that is due by the drill's clock; StationError when the script goes wrong."""
        played: list[Played] = []
        while not self.over and self.waits_with is None and len(played) < AT_ONCE:
            due = self.player.due
            if due is None or due.moment > self.clock.now():
                break
            played.append(self._play())
        return played

    def begin(self) -> None:
        """Let the clock run, now that the notice before it has been read."""
        if self.waits_with is not None:
            self.clock.set_rate(self.waits_with)
            self.waits_with = None

    def ended(self) -> bool:
        """Whether the script has just been played out; true once."""
        if self.over or not self.player.finished:
            return False
        self.over = True
        self.clock.set_rate(1.0)
        return True

    def pause(self) -> str:
        """Stand still, or go on at the rate from before."""
        if self.clock.rate:
            self._rate_before = self.clock.rate
            self.clock.set_rate(0)
            return "the drill stands still"
        self.clock.set_rate(self._rate_before)
        return f"the drill goes on at x{self._rate_before:g}"

    def step(self) -> Played:
        """Go to the next entry of the script and enter it."""
        return self._play()

    def faster(self) -> str:
        """Run at the next higher speed."""
        return self._run_at(next((speed for speed in SPEEDS if speed > self.clock.rate), SPEEDS[-1]))

    def slower(self) -> str:
        """Run at the next lower speed; what stands still goes on doing so."""
        if not self.clock.rate:
            return "the drill stands still"
        return self._run_at(next((speed for speed in reversed(SPEEDS) if speed < self.clock.rate), SPEEDS[0]))

    def take_over(self) -> str:
        """End the script; the clock goes on in real time."""
        self.over = True
        self.clock.set_rate(1.0)
        return "taken over: every further entry is yours"

    def _run_at(self, rate: float) -> str:
        self.clock.set_rate(rate)
        return f"the drill runs at x{rate:g}"

    def _play(self) -> Played:
        try:
            return self.player.play_next(self.clock)
        except StationError as error:
            self.over, self.stopped = True, error
            self.clock.set_rate(1.0)
            raise
