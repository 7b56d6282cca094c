"""The desk: what every action works with. It asks, it enters, it says what was taken; it knows no rule."""

from collections.abc import Callable, Sequence
from contextvars import ContextVar
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from station.board.figures import LaneFigures, lane_figures
from station.board.state import Board, Lane
from station.console.dialogs.fields import Answers, Field
from station.console.dialogs.form import Form
from station.console.dialogs.panel import Choose, Panel
from station.console.duties import SEATS, Duty, holder
from station.console.keyboard import key_of
from station.console.page_text import page_text
from station.console.panes.paint import Paint
from station.console.typed import impossible
from station.errors import Refusal, StorageError
from station.events import Event
from station.folder import Folder
from station.moments import clock_time
from station.watch import Watch

if TYPE_CHECKING:
    from station.console.app import ConsoleApp

_ASKED: ContextVar[str] = ContextVar("asked", default="")
"""The form that the action at work has asked; every action runs in a context of its own."""


class Desk:
    """One screen's hold on the watch: the lane in view, who holds which pen, what was said last."""

    def __init__(self, app: "ConsoleApp", watch: Watch, folder: Folder) -> None:
        self.app = app
        self.watch = watch
        self.folder = folder
        self.lane = min(watch.board.lanes, default=0)
        self.pens: dict[tuple[Duty, int], str] = {}
        self.said = stand_in_words(watch.board)
        self.offered: set[tuple[int, float]] = set()
        self._drafts: dict[str, tuple[Answers, datetime]] = {}

    @property
    def board(self) -> Board:
        """The board as it stands."""
        return self.watch.board

    def lane_in_hand(self) -> Lane:
        """Return the lane in view; Refusal when no dive is planned."""
        if self.lane not in self.board.lanes:
            raise Refusal("no dive is planned yet", [f"a dive to begin: key {key_of('plan')}"])
        return self.board.lanes[self.lane]

    def lane_now(self) -> LaneFigures:
        """Return the figures of the lane in view; Refusal when no dive is planned."""
        return self.figures_of(self.lane_in_hand().number)

    def figures_of(self, lane: int) -> LaneFigures:
        """Return the figures of a lane that is planned."""
        return lane_figures(self.board, self.board.lanes[lane], self.watch.clock.now())

    def by(self, duty: Duty) -> str:
        """Return who acts; Refusal when nobody has that duty."""
        return holder(self.board, duty, self.lane, self.pens)

    def stamp(self, duty: Duty, at: datetime, by: str | None = None) -> dict[str, Any]:
        """Return the fields that every event needs, with the time of the key press."""
        return self.watch.stamp(by or self.by(duty), SEATS[duty], at=at)

    def enter(self, event: Event, words: str) -> None:
        """Enter an event; it is on the disk once the desk says that it is taken."""
        self.watch.enter(event)
        self._drafts.pop(_ASKED.get(), None)
        self.say(f"TAKEN {clock_time(event.at)} {words} - {self.board.name(event.by)}")

    def why_not(self, build: Callable[[], Event]) -> str | None:
        """Return why the rules would refuse an event, to be told at the field it is about; None if not."""
        try:
            self.watch.check(build())
        except Refusal as refusal:
            return "; ".join((refusal.message, *refusal.missing))
        except ValidationError as error:
            return impossible(error)
        return None

    def say(self, words: str) -> None:
        """Show a line that stays until the next one; the figures follow once it is on the screen.

        Whoever pressed a key waits for this line, and working out every figure anew takes far longer.
        """
        self.said = words
        if self.app.is_running:
            self.app.screen_stack[0].query_one("#said", Paint).show(words)
            self.app.call_after_refresh(self.app.repaint)

    async def ask(self, form: str, title: str, fields: Sequence[Field], told: str = "") -> Answers | None:
        """Ask for several things; what was typed stays on offer until this action enters it.

        It is offered with the time at which it was left: an old reading is none of now.
        """
        kept, left = self._drafts.get(form, ({}, None))
        typed = any(kept.get(field.name) not in (None, "", field.value) for field in fields)
        note = f"kept from {clock_time(left)}, not entered yet" if left and typed else ""
        screen = Form(title, fields, told, kept, note)
        answers: Answers | None = await self.app.push_screen_wait(screen)
        same = screen.open_values == kept and left is not None
        self._drafts[form] = screen.open_values, left if same and left else self.watch.clock.now()
        _ASKED.set(form)
        if answers is None:
            self.say(f"{title}: left, nothing entered")
        return answers

    async def choose(self, title: str, options: Sequence[tuple[str, str]], told: str = "") -> str | None:
        """Ask for one of a list."""
        chosen: str | None = await self.app.push_screen_wait(Choose(title, options, told))
        if chosen is None:
            self.say(f"{title}: left, nothing entered")
        return chosen

    async def sure(self, title: str, sentence: str, lines: Sequence[str] = ()) -> bool:
        """Ask a question that Enter answers with yes."""
        yes: bool = await self.app.push_screen_wait(Panel(title, sentence, lines, "question"))
        return yes

    async def tell(self, title: str, sentence: str, lines: Sequence[str] = ()) -> None:
        """Show something to be read."""
        text = [title, sentence, *lines]
        await self.app.push_screen_wait(
            Panel(title, sentence, lines, "text", lambda: self._kept(title, text))
        )

    def save_page(self, name: str, lines: Sequence[str]) -> Path:
        """Write lines to a new file among the station's pages; StorageError when that cannot be done."""
        now = self.watch.clock.now()
        return self.folder.save_page(name, now, page_text(name, now, lines))

    def _kept(self, title: str, lines: Sequence[str]) -> str:
        try:
            return f"SAVED {self.save_page(title, lines)}"
        except StorageError as error:
            return f"NOT SAVED: {error.message}"


def stand_in_words(board: Board) -> str:
    """Return which shipped files stand in for ones that the journal does not name; "" for none."""
    names = ", ".join(f"{use.name} ({use.role})" for use in board.setup.stand_ins)
    return (
        f"this journal is older than some files of the program; in use as shipped: {names}" if names else ""
    )
