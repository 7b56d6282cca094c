"""The fields of a form: typed lines, one of several, some of several."""

import asyncio
import contextlib
from abc import abstractmethod
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from textual.content import Content
from textual.events import Key, Paste
from textual.widget import Widget as AnyWidget
from textual.widgets import Input, Static

from station.console.dialogs.ahead import Ahead

Check = Callable[[str], str | None]
"""Takes what was typed, returns what is wrong with it or None."""
Answers = dict[str, str]
Rule = Callable[[Answers], str | None]
"""Takes what stands in the fields, returns why this one cannot stand beside those before it, or None."""


@dataclass(frozen=True)
class Field:
    """One thing asked for.

    kind: a typed line, a secret line, 'pick' for one of the options, 'ticks' for some of them (their ids
    joined by commas). check: why the value cannot stand. rule: why it cannot stand beside those above it.
    keys: for a pick, the letter of each option; it chooses the option and goes on to the next field at once.
    """

    name: str
    label: str
    value: str = ""
    kind: Literal["text", "secret", "pick", "ticks"] = "text"
    options: tuple[tuple[str, str], ...] = ()
    keys: tuple[str, ...] = ()
    optional: bool = False
    check: Check | None = None
    rule: Rule | None = None
    length: int = 200

    def wrong(self, values: Answers) -> str | None:
        """Return why what stands in this field cannot stand there, whatever stands in the others."""
        value = values[self.name]
        if not value.strip():
            return None if self.optional else "something must stand here"
        return self.check(value) if self.check else None


def fault(fields: Sequence[Field], number: int, values: Answers) -> str | None:
    """Return why what stands in a field cannot stand there.

    Its rule is asked only once the fields above it are right; what is wrong further down is empty to it.
    """
    field = fields[number]
    why = field.wrong(values)
    if why or field.rule is None or not values[field.name].strip():
        return why
    wrong = [one.name for one in fields if one.wrong(values)]
    if {one.name for one in fields[:number]}.intersection(wrong):
        return None
    return field.rule(values | dict.fromkeys(wrong, ""))


TYPED_S = 1.0
"""Longest wait for letters that are on their way into a field."""


async def taken_in(widget: AnyWidget) -> None:
    """Wait until a field has taken in the letters typed before Enter: Enter must not overtake a digit."""
    done = asyncio.Event()
    widget.call_later(done.set)
    with contextlib.suppress(TimeoutError):
        await asyncio.wait_for(done.wait(), TYPED_S)


EDITING: Mapping[str, Callable[[Input], None]] = {
    "backspace": Input.action_delete_left,
    "delete": Input.action_delete_right,
    "left": Input.action_cursor_left,
    "right": Input.action_cursor_right,
    "home": Input.action_home,
    "end": Input.action_end,
    "ctrl+u": Input.action_delete_left_all,
}


class Line(Input):
    """A typed line. Editing keys are taken here, so that none is overtaken by the one after it."""

    def __init__(self, field: Field, value: str) -> None:
        super().__init__(
            value,
            password=field.kind == "secret",
            max_length=field.length,
            compact=True,
            select_on_focus=True,
            id=f"field-{field.name}",
        )
        self.ahead = Ahead()

    def on_key(self, event: Key) -> None:
        """Edit; what was typed ahead of a fault is dropped: it was meant for the fields to come."""
        if self.ahead.on_its_way:
            event.prevent_default()
            event.stop()
        elif event.key in EDITING:
            EDITING[event.key](self)
            event.stop()

    def on_paste(self, event: Paste) -> None:
        """Take several pasted lines as one, so that none is lost unseen."""
        event.prevent_default()
        event.stop()
        self.replace(" ".join(event.text.splitlines()), *self.selection)


class Options(Static, can_focus=True):
    """Options under keys: arrows move the cursor, digits go to an option."""

    def __init__(self, field: Field, value: str) -> None:
        super().__init__(markup=False, id=f"field-{field.name}")
        self._options = field.options
        self._keys = field.keys
        self.stray = ""
        """What was typed here and chooses nothing, where options have keys of their own."""
        self.ahead = Ahead()
        self._at = 0
        self._begin([one for one in value.split(",") if one in dict(field.options)])

    @property
    @abstractmethod
    def value(self) -> str:
        """What is chosen."""

    @abstractmethod
    def _begin(self, chosen: list[str]) -> None:
        """Start with these chosen."""

    @abstractmethod
    def _press(self, at: int) -> None:
        """Choose the option with that place, by its digit or the space bar."""

    @abstractmethod
    def _look(self) -> Content:
        """Return the options as they are shown now."""

    def on_mount(self) -> None:
        """Show the choice."""
        self.update(self._look())

    def on_key(self, event: Key) -> None:
        """Move and choose; taken here and not as bindings, so that Enter never overtakes them."""
        if self.ahead.on_its_way or not self._options:
            return
        if self._keys and event.is_printable and event.character:
            self.stray += event.character
        if event.key not in ("left", "right", "space", *"123456789"):
            return
        event.stop()
        if event.key in ("left", "right"):
            self._at = (self._at + (1 if event.key == "right" else -1)) % len(self._options)
        elif event.key == "space":
            self._press(self._at)
        elif int(event.key) <= len(self._options) and not self._keys:
            self._press(int(event.key) - 1)
        self.update(self._look())


class Pick(Options):
    """One of several: the one the cursor is on."""

    @property
    def value(self) -> str:
        """The id of the option chosen."""
        return self._options[self._at][0] if self._options else ""

    def option_of(self, key: str) -> int | None:
        """Return the place of the option that a key of its own chooses."""
        return next((at for at, keys in enumerate(self._keys) if key in keys), None)

    def take(self, key: str) -> None:
        """Choose an option by its key."""
        self._at, self.stray = self.option_of(key) or 0, ""
        self.update(self._look())

    def _begin(self, chosen: list[str]) -> None:
        self._at = [one for one, _ in self._options].index(chosen[0]) if chosen else 0

    def _press(self, at: int) -> None:
        self._at = at

    def _look(self) -> Content:
        if not self._options:
            return Content("(nobody and nothing to choose from)")
        return Content(f"< {self._options[self._at][1]} >  {self._at + 1} of {len(self._options)}")


class Ticks(Options):
    """Some of several: a digit, or the space bar under the cursor, ticks and unticks."""

    @property
    def value(self) -> str:
        """The ids ticked, joined by commas, in the order of the options."""
        return ",".join(one for one, _ in self._options if one in self._ticked)

    def _begin(self, chosen: list[str]) -> None:
        self._ticked = set(chosen)

    def _press(self, at: int) -> None:
        self._at = at
        self._ticked ^= {self._options[at][0]}

    def _look(self) -> Content:
        lines = []
        for at, (one, words) in enumerate(self._options):
            line = f"{at + 1}[{'x' if one in self._ticked else ' '}] {words}"
            lines.append(Content.styled(line, "bold underline" if at == self._at else ""))
        return Content("\n").join(lines)


Widget = Line | Pick | Ticks


def widget_of(field: Field, value: str) -> Widget:
    """Return the widget a field is asked with."""
    if field.kind == "pick":
        return Pick(field, value)
    if field.kind == "ticks":
        return Ticks(field, value)
    return Line(field, value)
