"""Taking keys: the moment of a press, one action at a time, and one place where what went wrong is shown."""

import asyncio
import os
import time
from abc import abstractmethod
from collections.abc import Callable
from datetime import datetime

from pydantic import ValidationError
from textual.app import App
from textual.events import Event, Key
from textual.worker import Worker

from station.console.actions import BY_ID, Action
from station.console.desk import Desk
from station.console.dialogs.panel import Panel
from station.console.typed import impossible
from station.errors import JournalError, Refusal, StationError, StorageError
from station.watch import Watch

NEVER = float("inf")
DOUBLE_S = 0.25
"""A second Enter as soon as this is the same press by a stiff or a cold hand: station choice."""
AFTERWARDS_S = 0.6
"""An Enter as soon as this after one that a dialog took does not go to the row behind it: station choice."""
READY_S, READY_TURNS = 0.005, 200
"""How often, and how many times, it is looked whether a dialog is ready for the next key."""


def waited_s(key: Key) -> float:
    """Return the seconds since a key was read from the terminal; it waits while an entry is written."""
    return max(0.0, time.monotonic() - key.time)


class Taking(App[int]):
    """What every screen of the station does with keys."""

    desk: Desk

    def __init__(self, watch: Watch, pulse: Callable[[], float]) -> None:
        """Take the watch to enter through, and what tells seconds between key presses."""
        super().__init__(ansi_color=True if os.environ.get("NO_COLOR") else None)
        self.watch_ = watch
        self._pulse = pulse
        self._last_key = ("", 0.0)
        self._waited: Callable[[Key], float] = waited_s
        self._late_s = 0.0
        self._gap_s = NEVER
        self._dialog_enter = -NEVER
        self._work: Worker[None] | None = None
        self._typing = False

    @abstractmethod
    def shows(self, view: str) -> bool:
        """Whether a view is on the screen now."""

    @abstractmethod
    def check_free(self, action: Action) -> None:
        """Raise Refusal when an action is not for people to take now."""

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Leave keys to an open dialog, but for the function key that takes a mark."""
        if action != "do" or len(self.screen_stack) == 1:
            return super().check_action(action, parameters)
        return BY_ID[str(parameters[0])].urgent and not self._typing

    async def on_event(self, event: Event) -> None:
        """Note of a key whether it types, and how soon it came after itself, before it is looked up.

        A key counts from when it was pressed, not from when its turn came: else a bounce that waited for a
        slow disk would be a second press.
        """
        self._late_s = self._waited(event) if isinstance(event, Key) else 0.0
        if isinstance(event, Key):
            key, pulse = self._last_key, self._pulse() - self._late_s
            self._typing = event.is_printable
            self._gap_s = pulse - key[1] if key[0] == event.key else NEVER
            self._last_key = (event.key, pulse)
            if self._bounced(event.key, pulse):
                return
        await super().on_event(event)

    def _bounced(self, key: str, pulse: float) -> bool:
        """Whether this is an Enter too many: it would answer what nobody has read, or do the row behind."""
        if key != "enter":
            return False
        if len(self.screen_stack) == 1:
            late = pulse - self._dialog_enter < AFTERWARDS_S
            if late:
                self.desk.say("Enter pressed again at once: taken for one press")
            return late
        self._dialog_enter = pulse
        return self._gap_s < DOUBLE_S and isinstance(self.screen, Panel)

    async def action_do(self, name: str) -> None:
        """Do what a key stands for; the moment of the press is taken here, before anything is asked.

        Returns once the entry is made or its dialog is ready for typing, so that no key pressed meanwhile is
        lost or overtakes another.
        """
        name = "correct" if name == "step.row" and self.shows("journal") else name
        action, at, gap_s = BY_ID[name], self.watch_.clock.ago(self._late_s), self._gap_s
        self._gap_s, self._late_s = NEVER, 0.0
        if gap_s < action.pause_s:
            self.desk.say(f"'{action.short}' pressed again at once: taken for one press")
            return
        if not action.urgent:
            await self._until(
                lambda: self._work is None or self._work.is_finished or len(self.screen_stack) > 1
            )
            if len(self.screen_stack) > 1:
                return
        self._work = self.run_worker(self._perform(action, at), group="entry")
        work, depth = self._work, len(self.screen_stack)
        await self._until(
            lambda: work.is_finished or (len(self.screen_stack) > depth and self.screen.focused is not None)
        )

    async def _until(self, reached: Callable[[], bool]) -> None:
        """Wait a moment for something that is on its way."""
        for _ in range(READY_TURNS):
            if reached():
                return
            await asyncio.sleep(READY_S)

    async def _perform(self, action: Action, at: datetime) -> None:
        try:
            self.check_free(action)
            await action.flow(self.desk, at)
        except Refusal as refusal:
            await self._told(Panel("REFUSED", refusal.message, refusal.missing), refusal.message)
        except (StorageError, JournalError) as error:
            words = "Nothing was entered. Write it down on paper with its time, and enter it again."
            await self._told(Panel("NOT TAKEN", error.message, [words], "loud"), error.message)
        except StationError as error:
            await self._told(Panel(f"NOT TAKEN: {error.title.upper()}", error.message), error.message)
        except ValidationError as error:
            words = impossible(error)
            await self._told(Panel("REFUSED", words), words)
        except Exception as error:  # noqa: BLE001 - shown loudly; the clocks and the journal go on
            words = f"unforeseen fault: {type(error).__name__}: {error}"
            await self._told(Panel("NOT TAKEN", words, kind="loud"), words)

    async def _told(self, panel: Panel, words: str) -> None:
        self.bell()
        self.desk.say(f"NOT TAKEN: {words}")
        await self.push_screen_wait(panel)
