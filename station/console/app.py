"""The application: it switches between seats and pages, ticks, and paints the one on the screen."""

import asyncio
import signal
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import PurePath
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.content import Content
from textual.events import Resize
from textual.widgets import OptionList

from station.board.figures import Figures, LaneFigures, figures
from station.board.state import Board
from station.caution import CAUTION
from station.console.actions import BY_ID, Action
from station.console.before import ask_again
from station.console.desk import Desk
from station.console.dialogs.panel import Panel
from station.console.drill import DrillControl
from station.console.heed import Heed
from station.console.keyboard import key_of
from station.console.keys import line_of_keys, shown_keys
from station.console.marks import watch_script
from station.console.panes.dive import ClockBand
from station.console.panes.journal import JournalPane
from station.console.panes.lines import KeyLine, lanes_line
from station.console.panes.pages import ladder_page, trail_page
from station.console.panes.paint import Paint
from station.console.panes.strip import AlarmStrip
from station.console.panes.supply import SupplyPane
from station.console.seats.names import SeatName
from station.console.seats.supervisor import SupervisorSeat
from station.console.seats.tender import TenderSeat
from station.console.seats.timekeeper import TimekeeperSeat
from station.console.turning import LEAST, Turning
from station.console.words import header
from station.console.words_alarms import standing_lines
from station.console.words_ascent import card_lines, in_chamber
from station.console.words_who import who_acts
from station.dive.text import mmss
from station.errors import Refusal, StationError
from station.folder import Folder
from station.watch import Watch

TICK_S = 0.25
ENDING = (signal.SIGTERM, signal.SIGHUP, signal.SIGINT, signal.SIGQUIT)
"""The signals that ask a console to end."""


class ConsoleApp(Turning):
    """The station on one screen."""

    CSS_PATH: ClassVar[list[str | PurePath]] = ["styles/screen.tcss", "styles/dialogs.tcss"]
    AUTO_FOCUS = None
    TITLE = "dive station console"

    def __init__(  # noqa: PLR0913 - all that a screen is made of
        self,
        watch: Watch,
        folder: Folder,
        drill: DrillControl | None = None,
        *,
        seat: SeatName | None = None,
        notice: bool = True,
        pulse: Callable[[], float] = time.monotonic,
    ) -> None:
        """Take the watch to enter through, the folder for records and keys, and the script of a drill.

        With a `seat` the screen stays there: no mark takes it elsewhere, and Esc leads back to it.
        `pulse` tells seconds between key presses, to leave out the presses of a key that bounces or sticks.
        """
        super().__init__(watch, pulse, seat)
        self.animation_level = "none"
        self.drill = drill
        self.desk = Desk(self, watch, folder)
        self.heed = Heed(self, watch)
        self._notice = notice
        self._fault = ""
        self._painted: tuple[object, ...] = ()

    def compose(self) -> ComposeResult:
        """Lay out the one screen; dialogs come above its lower part."""
        self._header, self._lanes = Paint(id="header"), Paint(id="lanes")
        self._strip, self._clock = AlarmStrip(), ClockBand()
        self._tender, self._timekeeper, self._supervisor = TenderSeat(), TimekeeperSeat(), SupervisorSeat()
        self._supply, self._journal = SupplyPane(), JournalPane()
        self._trail, self._ladder = trail_page(), ladder_page()
        self._said, self._who, self._keys = Paint(id="said"), Paint(id="who"), KeyLine()
        self._small = Paint(id="small")
        with Vertical(id="station"):
            yield self._header
            yield self._lanes
            yield self._strip
            yield self._clock
            with Container(id="body"):
                yield self._tender
                yield self._timekeeper
                yield self._supervisor
                yield self._supply
                yield self._journal
                yield self._trail
                yield self._ladder
            yield self._said
            yield self._who
            yield self._keys
        yield self._small

    def on_mount(self) -> None:
        """Start the tick, the set-up, and a way out for signals that leaves the terminal sane."""
        for number in ENDING:
            asyncio.get_running_loop().add_signal_handler(number, self._signalled, number)
        self.show_view(self.seat)
        self.set_interval(TICK_S, self.beat)
        self.run_worker(self._begin(), group="entry")

    def _signalled(self, number: int) -> None:
        self.exit(128 + number, return_code=128 + number)

    async def _begin(self) -> None:
        if self._notice:
            await self.push_screen_wait(Panel("BEFORE YOU GO ON", CAUTION))
        if self.drill:
            self.drill.begin()
        if not self.desk.board.crew:
            for flow in ("crew", "conditions", "plan"):
                await self._perform(BY_ID[flow], self.watch_.clock.now())
        elif self.drill is None:
            await self._perform(replace(BY_ID["earlier"], flow=ask_again), self.watch_.clock.now())

    def on_resize(self, event: Resize) -> None:
        """Lay out anew for the size there is."""
        self._room = event.size
        self._fit()
        self.call_after_refresh(self.repaint)

    def beat(self) -> None:
        """Take in what has happened, at every tick; paint it when a second has begun or anything is new.

        So every clock on the screen steps together with the station's. Whatever goes wrong is shown, and the
        next tick comes.
        """
        self._fault = self._take_in()
        if self._moment() != self._painted:
            self._paint_all()

    def tick(self) -> None:
        """Take in what has happened and paint it."""
        self._fault = self._take_in()
        self._paint_all()

    def _moment(self) -> tuple[object, ...]:
        """Return all that what is painted depends on, time in whole seconds."""
        watch, state = self.watch_, self.drill.state if self.drill else ""
        second = int(watch.clock.now().timestamp())
        return second, watch.head, watch.unwritten, self._fault, self.desk.said, self.desk.lane, state

    def _paint_all(self) -> None:
        try:
            self._painted = self._moment()
            with self.batch_update():
                self.paint(self.heed.alarms(figures(self.desk.board, self.watch_.clock.now())))
        except Exception as error:  # noqa: BLE001 - a tick that raises would end the screen with a diver below
            self._fault = f"{type(error).__name__}: {error}"
            self._strip.show_fault(self._fault)

    def repaint(self) -> None:
        """Paint now instead of at the next tick."""
        if self.is_running and self.screen_stack:
            self.tick()

    def _take_in(self) -> str:
        """Take in other seats' entries, jumps of the wall clock and the script; return what went wrong."""
        try:
            self.watch_.poll()
            self.watch_.notice_clock()
            self._play()
        except StationError as error:
            return error.message
        except Exception as error:  # noqa: BLE001 - a tick that raises would end the screen with a diver below
            return f"{type(error).__name__}: {error}"
        return ""

    def _play(self) -> None:
        if self.drill is None or self.drill.over:
            return
        for played in self.drill.play_due():
            words = played.due.line.say or ""
            if played.refusal is not None:
                self.desk.said = f"REFUSED as the script expects: {played.refusal.message}"
            elif words:
                self.desk.said = f"script: {words}"
            watch_script(self.desk, played.entry)
        if self.drill.ended():
            self.run_worker(self._played_out(), group="entry")

    async def _played_out(self) -> None:
        lines = list(self.drill.finish()) if self.drill and self.drill.finish else []
        await self.push_screen_wait(
            Panel("THE SCRIPT IS PLAYED OUT", "Every line of it has been entered.", lines, "text")
        )

    def paint(self, now: Figures) -> None:
        """Show the figures of one moment everywhere."""
        board = self.desk.board
        if self.desk.lane not in board.lanes:
            self.desk.lane = min(board.lanes, default=0)
        one = next((lane for lane in now.lanes if lane.lane.number == self.desk.lane), None)
        faults = [fault for fault in (self._fault, self.drill.fault if self.drill else "") if fault]
        self._strip.show_alarms(board, now, faults, card_lines(now))
        self._header.show(header(board, now, self.drill.state if self.drill else None))
        self._clock.show(board, one)
        self._lanes.show(lanes_line(board, now, self.desk.lane))
        self._paint_view(board, now, one)
        self._said.show(self.desk.said)
        self._who.show(who_acts(board, self.desk.lane, self.desk.pens, self._room.width))
        running = self.drill is not None and not self.drill.over
        chamber = one is not None and in_chamber(board, one)
        phase = one.phase if one else None
        actions = line_of_keys(phase, drill=running, lanes=len(now.lanes), chamber=chamber)
        self.now = actions
        self._keys.show_keys(actions, self._room.width)
        self._small.show_lines(self._too_small(now, one))

    def _paint_view(self, board: Board, now: Figures, one: LaneFigures | None) -> None:
        """Show the seat or the page on the screen; the others are painted once they come to the front."""
        match self._view:
            case "tender":
                self._tender.show(board, now, one)
            case "timekeeper":
                wide = self.screen_stack[0].has_class("-wide")
                self._timekeeper.show(board, now, one, side_by_side=wide)
            case "supervisor":
                self._supervisor.show(board, now, one, self.watch_.entries)
            case "supply":
                self._supply.show(board, now)
            case "journal":
                self._journal.show(board, self.watch_.entries)
            case "trail":
                self._trail.show(board, one)
            case "ladder":
                self._ladder.show(board, one)

    def _too_small(self, now: Figures, one: LaneFigures | None) -> list[Content]:
        """Return the clock and the alarms: neither may ever be out of sight."""
        clock = f"{one.clock.caption} {mmss(one.clock.seconds)}" if one else "no dive planned"
        why = f"too small: {self._room.width} x {self._room.height}, needs {LEAST[0]} x {LEAST[1]}"
        return [Content(clock), *standing_lines(self.desk.board, now.alarms, now.now), Content(why)]

    def check_free(self, action: Action) -> None:
        """Refuse an entry by hand while a script makes the entries: the two would trip over one another."""
        if self.drill and not self.drill.over and action.enters:
            raise Refusal("the drill's script is playing", [f"take over first: key {key_of('script.take')}"])

    def row_in_hand(self) -> str | None:
        """The id of the row under the cursor, None while the order is not on the screen."""
        return self._tender.outfit.in_hand if self.shows("tender") else None

    def entry_in_hand(self) -> str | None:
        """The id of the entry under the cursor, None while the journal is not on the screen."""
        return self._journal.in_hand if self.shows("journal") else None

    async def on_option_list_option_selected(self, _message: OptionList.OptionSelected) -> None:
        """A click on a row of the order does it; one on a line of the journal corrects it."""
        await self.action_do("step.row")

    def on_option_list_option_highlighted(self, message: OptionList.OptionHighlighted) -> None:
        """Show what the row under the cursor asks for."""
        if message.option_list.id == "order":
            self._tender.outfit.show_details(self.desk.board)

    async def action_quit(self) -> None:
        """Ask before leaving, whatever key a terminal sends for it."""
        if len(self.screen_stack) == 1:
            await self.action_do("leave")

    def action_help_quit(self) -> None:
        """Say how to leave when somebody presses Ctrl-C."""
        self.desk.say(f"to leave: {shown_keys(BY_ID['leave'])}")
