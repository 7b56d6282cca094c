"""An emergency card: its clocks run on the screen above its published steps and what was decided."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

TICK_S = 0.25
CardAnswer = Literal["decide", "close"]


@dataclass(frozen=True)
class CardWords:
    """A card in words: its title and what it is for, its clocks, its steps, what was decided."""

    title: str
    when: str
    clocks: Sequence[str]
    lines: Sequence[str]


class CardScreen(ModalScreen[CardAnswer | None]):
    """Shows a card that is open; Esc goes back and leaves it open."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "answer('')", show=False, priority=True),
        Binding("d,D", "answer('decide')", show=False, priority=True),
        Binding("c,C", "answer('close')", show=False, priority=True),
    ]

    def __init__(self, words: Callable[[], CardWords | None]) -> None:
        super().__init__()
        self._words = words
        self._clocks = ""

    def compose(self) -> ComposeResult:
        """Show title, clocks, steps and keys."""
        words = self._words()
        with Vertical(classes="dialog -tall"):
            yield Static(words.title if words else "CARD", classes="dialog-title", markup=False)
            yield Static(words.when if words else "", classes="dialog-told", markup=False)
            yield Static("", classes="dialog-clocks", markup=False)
            with VerticalScroll(classes="dialog-text"):
                for line in words.lines if words else ():
                    yield Static(line, classes="dialog-line", markup=False)
            keys = "d decided   c close the card   Esc back, stays open   Up/Down scroll"
            yield Static(keys, classes="dialog-keys", markup=False)

    def on_mount(self) -> None:
        """Let the arrows scroll, and the clocks run."""
        self.set_focus(self.query_one(VerticalScroll))
        self._run()
        self.set_interval(TICK_S, self._run)

    def _run(self) -> None:
        """Paint the clocks; leave when the card was closed at another seat."""
        try:
            words = self._words()
        except Exception as error:  # noqa: BLE001 - a tick that raises would end the screen with a diver below
            self._show(f"unforeseen fault: {type(error).__name__}: {error}")
            return
        if words is not None:
            self._show("\n".join(words.clocks))
        elif self.is_current:
            self.dismiss(None)

    def _show(self, text: str) -> None:
        if text != self._clocks:
            self._clocks = text
            self.query_one(".dialog-clocks", Static).update(text)

    def action_answer(self, answer: str) -> None:
        """Go back with what is to be done."""
        self.dismiss("decide" if answer == "decide" else "close" if answer == "close" else None)
