"""The fields of a form: typed lines, one of several, some of several."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, Literal

from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Input, Static

Check = Callable[[str], str | None]
"""Takes what was typed, returns what is wrong with it or None."""


@dataclass(frozen=True)
class Field:
    """One thing asked for.

    kind: a typed line, a secret line, 'pick' for one of the options, 'ticks' for some of them (their ids
    joined by commas). check: why the value cannot stand. doubt: why it is asked for once more; the same
    value given again is taken.
    """

    name: str
    label: str
    value: str = ""
    kind: Literal["text", "secret", "pick", "ticks"] = "text"
    options: tuple[tuple[str, str], ...] = ()
    optional: bool = False
    check: Check | None = None
    doubt: Check | None = None
    length: int = 200

    def fault(self, value: str) -> str | None:
        """Return why a value cannot stand in this field."""
        if not value.strip():
            return None if self.optional else f"{self.label}: something must stand here"
        return self.check(value) if self.check else None


class Line(Input):
    """A typed line."""

    def __init__(self, field: Field, value: str) -> None:
        super().__init__(
            value,
            password=field.kind == "secret",
            max_length=field.length,
            compact=True,
            select_on_focus=True,
            id=f"field-{field.name}",
        )


class Pick(Static, can_focus=True):
    """One of several: the arrows left and right, or a digit, choose."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "move(-1)", show=False),
        Binding("right,space", "move(1)", show=False),
        *(Binding(str(digit), f"choose({digit})", show=False) for digit in range(1, 10)),
    ]

    def __init__(self, field: Field, value: str) -> None:
        super().__init__(markup=False, id=f"field-{field.name}")
        self._options = field.options
        ids = [one for one, _ in field.options]
        self._at = ids.index(value) if value in ids else 0

    @property
    def value(self) -> str:
        """The id of the option chosen."""
        return self._options[self._at][0] if self._options else ""

    def on_mount(self) -> None:
        """Show the choice."""
        self._show()

    def action_move(self, step: int) -> None:
        """Go to the next option, or the one before."""
        if self._options:
            self._at = (self._at + step) % len(self._options)
            self._show()

    def action_choose(self, number: int) -> None:
        """Take the option with that number."""
        if number <= len(self._options):
            self._at = number - 1
            self._show()

    def _show(self) -> None:
        if not self._options:
            self.update("(nobody and nothing to choose from)")
            return
        self.update(f"< {self._options[self._at][1]} >  {self._at + 1} of {len(self._options)}")


class Ticks(Static, can_focus=True):
    """Some of several: a digit, or the arrows and the space bar, tick and untick."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "move(-1)", show=False),
        Binding("right", "move(1)", show=False),
        Binding("space", "tick(0)", show=False),
        *(Binding(str(digit), f"tick({digit})", show=False) for digit in range(1, 10)),
    ]

    def __init__(self, field: Field, value: str) -> None:
        super().__init__(markup=False, id=f"field-{field.name}")
        self._options = field.options
        self._ticked = {one for one in value.split(",") if one}
        self._at = 0

    @property
    def value(self) -> str:
        """The ids ticked, joined by commas, in the order of the options."""
        return ",".join(one for one, _ in self._options if one in self._ticked)

    def on_mount(self) -> None:
        """Show the choice."""
        self._show()

    def action_move(self, step: int) -> None:
        """Go to the next option, or the one before."""
        if self._options:
            self._at = (self._at + step) % len(self._options)
            self._show()

    def action_tick(self, number: int) -> None:
        """Tick or untick the option with that number; 0 is the one the cursor is on."""
        if number <= len(self._options):
            self._at = number - 1 if number else self._at
            self._ticked ^= {self._options[self._at][0]}
            self._show()

    def _show(self) -> None:
        parts: list[tuple[str, str]] = []
        for number, (one, said) in enumerate(self._options, start=1):
            tick = "x" if one in self._ticked else " "
            # A space that does not break keeps the tick and its word on one line.
            words = f"{number}[{tick}] {said}".replace(" ", "\N{NO-BREAK SPACE}")
            parts.append((words, "bold underline" if number - 1 == self._at else ""))
            parts.append(("  ", ""))
        self.update(Content.assemble(*parts))


Widget = Line | Pick | Ticks


def widget_of(field: Field, value: str) -> Widget:
    """Return the widget a field is asked with."""
    if field.kind == "pick":
        return Pick(field, value)
    if field.kind == "ticks":
        return Ticks(field, value)
    return Line(field, value)
