"""Finding an action by a word of its name or of what it does."""

import difflib
from collections.abc import Sequence
from dataclasses import dataclass

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from station.console.dialogs.fields import Field, Line, taken_in
from station.console.dialogs.listed import Listed


@dataclass(frozen=True)
class Found:
    """One thing to be found: its id, its name, its keys, what it does."""

    id: str
    name: str
    keys: str
    help: str

    @property
    def words(self) -> str:
        """What is looked through."""
        return f"{self.name} {self.keys} {self.id} {self.help}".lower()


def matching(things: Sequence[Found], typed: str) -> list[Found]:
    """Return what has every word typed, names that begin so first; else what is spelt most alike."""
    wanted = typed.lower().split()
    found = [one for one in things if all(word in one.words for word in wanted)]
    if not found:
        near = difflib.get_close_matches(typed.lower(), [one.name for one in things], n=3)
        return [one for name in near for one in things if one.name == name]
    return sorted(found, key=lambda one: not (wanted and one.name.startswith(wanted[0])))


class Find(Listed[str]):
    """A line to type in, and under it what it finds; the answer is an id."""

    AUTO_FOCUS = None
    BEGINS = Line

    def __init__(self, title: str, things: Sequence[Found]) -> None:
        super().__init__()
        self._title = title
        self._things = tuple(things)
        self._found: list[Found] = []

    def compose(self) -> ComposeResult:
        """Show the line and everything there is."""
        with Vertical(classes="dialog -tall"):
            yield Static(self._title, classes="dialog-title", markup=False)
            yield Line(Field("find", "Find"), "")
            yield OptionList(markup=False, compact=True, classes="dialog-list")
            keys = "type a word   Up/Down and Enter do it   Esc leave"
            yield Static(keys, classes="dialog-keys", markup=False)

    def on_mount(self) -> None:
        """Begin with everything there is."""
        self._show("")

    def on_input_changed(self, message: Input.Changed) -> None:
        """Find anew."""
        self._show(message.value)

    def _show(self, typed: str) -> None:
        self._found = matching(self._things, typed)
        lines = self.query_one(OptionList)
        lines.clear_options()
        lines.add_options(Option(f"{one.name:<13}{one.keys:<12}{one.help}", id=one.id) for one in self._found)
        lines.highlighted = 0 if self._found else None

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Answer with the line that was clicked."""
        message.stop()
        self.dismiss(message.option.id)

    async def action_enter(self) -> None:
        """Answer with the line under the cursor."""
        line, lines = self.query_one(Line), self.query_one(OptionList)
        shown = [one.id for one in self._found]
        await taken_in(line)
        fresh = [one.id for one in matching(self._things, line.value)]
        at = (lines.highlighted or 0) if fresh == shown else 0
        if fresh:
            self.dismiss(fresh[at])
