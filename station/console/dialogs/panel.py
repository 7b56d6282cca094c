"""Panels with words: a refusal, a question with yes or no, a list to choose from, a text to read."""

from collections.abc import Callable, Sequence
from typing import ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.events import Key
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from station.console.dialogs.ahead import Ahead
from station.console.dialogs.fields import taken_in
from station.console.dialogs.listed import Listed

Kind = Literal["refusal", "loud", "question", "text"]


class Words(VerticalScroll):
    """What a panel says. It keeps letters away from all that lies behind, and knows that some were typed."""

    letters = False

    def on_key(self, event: Key) -> None:
        """Take a letter, and do nothing with it."""
        if event.is_printable:
            self.letters = True
            event.stop()


class Panel(ModalScreen[bool]):
    """Says something, or asks a question that Enter answers with yes and Esc with no.

    An Enter that was typed ahead, or that ends words typed here, answers nothing that anybody has read.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "yes", show=False, priority=True),
        Binding("escape", "no", show=False, priority=True),
        Binding("space", "space", show=False, priority=True),
        Binding("s,S", "keep", show=False, priority=True),
    ]

    def __init__(
        self,
        title: str,
        sentence: str,
        lines: Sequence[str] = (),
        kind: Kind = "refusal",
        keep: Callable[[], str] | None = None,
    ) -> None:
        """Take what is said; `keep` saves a text to a file and tells where, or why not."""
        super().__init__(classes="-loud" if kind == "loud" else None)
        self._title = title
        self._sentence = sentence
        self._lines = tuple(lines)
        self._asks, self._reads = kind == "question", kind == "text"
        self._keep = keep
        self._sign = "" if kind == "text" else "- "
        self._ahead = Ahead()

    @property
    def _keys(self) -> str:
        back = f"Enter or Esc: back{'   s save to a file' if self._keep else ''}"
        return "Enter yes   Esc no" if self._asks else back

    def compose(self) -> ComposeResult:
        """Show title, sentence, lines and keys."""
        with Vertical(classes="dialog"):
            yield Static(self._title, classes="dialog-title", markup=False)
            with Words(classes="dialog-text"):
                yield Static(self._sentence, classes="dialog-sentence", markup=False)
                for line in self._lines:
                    yield Static(f"{self._sign}{line}", classes="dialog-line", markup=False)
            yield Static(self._keys, classes="dialog-keys", markup=False)

    def on_mount(self) -> None:
        """Let the arrows scroll."""
        words = self.query_one(Words)
        self.set_focus(words)
        self._ahead.drop(self.app, words)

    async def action_yes(self) -> None:
        """Say yes, or have read it."""
        words = self.query_one(Words)
        if self._ahead.on_its_way:
            return
        await taken_in(words)
        if words.letters:
            words.letters = False
            self.query_one(".dialog-keys", Static).update(f"What was typed is not taken.   {self._keys}")
            return
        self.dismiss(result=True)

    def action_no(self) -> None:
        """Say no, or have read it."""
        self.dismiss(not self._asks)

    def action_keep(self) -> None:
        """Save the text, and say where."""
        if self._keep is None:
            self.query_one(Words).letters = True
        elif not self._ahead.on_its_way:
            told = self.query_one(".dialog-sentence", Static)
            told.update(f"{self._keep()}\n{self._sentence}")
            self._keep = None

    def action_space(self) -> None:
        """Put away a text that was asked for; anywhere else a blank is typed ahead, as a letter is."""
        if not self._reads:
            self.query_one(Words).letters = True
        elif not self._ahead.on_its_way:
            self.dismiss(result=True)


class Choose(Listed[str]):
    """One of a list; a digit takes it at once, Esc leaves."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(str(digit), f"take({digit})", show=False, priority=True) for digit in range(1, 10)),
    ]

    def __init__(self, title: str, options: Sequence[tuple[str, str]], told: str = "") -> None:
        super().__init__()
        self._told = told
        self._title = title
        self._options = tuple(options)

    def compose(self) -> ComposeResult:
        """Show the list."""
        with Vertical(classes="dialog"):
            yield Static(self._title, classes="dialog-title", markup=False)
            if self._told:
                yield Static(self._told, classes="dialog-told", markup=False)
            lines = [
                Option(f"{number} {words}" if number <= len("123456789") else f"  {words}", id=one)
                for number, (one, words) in enumerate(self._options, start=1)
            ]
            yield OptionList(*lines, markup=False, compact=True, classes="dialog-list")
            yield Static(
                "Up/Down and Enter, or the digit   Esc leave, nothing is entered",
                classes="dialog-keys",
                markup=False,
            )

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Answer with the line that was taken."""
        message.stop()
        self.dismiss(message.option.id)

    def action_enter(self) -> None:
        """Take the line under the cursor."""
        at = self.query_one(OptionList).highlighted
        if at is not None:
            self.dismiss(self._options[at][0])

    def action_take(self, number: int) -> None:
        """Take the line with that digit."""
        if number <= len(self._options):
            self.dismiss(self._options[number - 1][0])
