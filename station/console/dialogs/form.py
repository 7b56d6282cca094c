"""A form: one field under the other, Enter goes on, Esc leaves and enters nothing."""

from collections.abc import Mapping, Sequence
from string import ascii_letters, digits
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from station.console.dialogs.fields import Answers, Field, Pick, Widget, fault, taken_in, widget_of

KEYS = "Enter next   Esc leave   Up/Down other line"
PICK_KEYS = f"{KEYS}   Left/Right or digit choose"
KEYED = f"{KEYS}   a key above: choose, go on"


class Form(ModalScreen[Answers | None]):
    """Asks for several things at once; the answer is what stands in each field, by name."""

    AUTO_FOCUS = None
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", show=False, priority=True),
        Binding("escape", "leave", show=False, priority=True),
        Binding("up,shift+tab", "step(-1)", show=False, priority=True),
        Binding("down,tab", "step(1)", show=False, priority=True),
        *(
            Binding(key, f"take('{key.lower()}')", show=False, priority=True)
            for key in digits + ascii_letters
        ),
    ]

    def __init__(
        self,
        title: str,
        fields: Sequence[Field],
        told: str = "",
        kept: Mapping[str, str] | None = None,
        note: str = "",
    ) -> None:
        """Take what to ask, what is told above it, what was typed before, and what is said of that."""
        super().__init__()
        self._title = title
        self._note = note
        self._fields = tuple(fields)
        self._told = told
        kept = kept or {}
        self._widgets: list[Widget] = [
            widget_of(field, kept.get(field.name) or field.value) for field in self._fields
        ]

    @property
    def values(self) -> Answers:
        """What stands in the fields now."""
        return {
            field.name: widget.value.strip() if field.kind != "secret" else widget.value
            for field, widget in zip(self._fields, self._widgets, strict=True)
        }

    @property
    def open_values(self) -> Answers:
        """What stands in the fields that are no secret; offered again when the form was left."""
        secret = {field.name for field in self._fields if field.kind == "secret"}
        return {name: value for name, value in self.values.items() if name not in secret}

    def compose(self) -> ComposeResult:
        """Lay the fields out under one another."""
        with Vertical(classes="dialog"):
            yield Static(self._title, classes="dialog-title", markup=False)
            if self._told:
                yield Static(self._told, classes="dialog-told", markup=False)
            with VerticalScroll(classes="dialog-fields", can_focus=False):
                for field, widget in zip(self._fields, self._widgets, strict=True):
                    with Horizontal(classes="dialog-field"):
                        label = f"{field.label}{' (may stay empty)' if field.optional else ''}"
                        yield Static(label, classes="dialog-label", markup=False)
                        yield widget
            yield Static(self._note, classes="dialog-why", markup=False)
            picks = any(field.kind in ("pick", "ticks") for field in self._fields)
            keyed = any(field.keys for field in self._fields)
            words = KEYED if keyed else PICK_KEYS if picks else KEYS
            yield Static(words, classes="dialog-keys", markup=False)

    def on_mount(self) -> None:
        """Begin with the first field."""
        self.set_focus(self._widgets[0])

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Leave a letter or a digit to the field, but for one that is the key of an option there."""
        if action != "take":
            return super().check_action(action, parameters)
        return isinstance(self.focused, Pick) and self.focused.option_of(str(parameters[0])) is not None

    def action_take(self, key: str) -> None:
        """Choose an option by its key and go on; what is typed next is for the next field, however fast."""
        if isinstance(self.focused, Pick) and not self.focused.ahead.on_its_way:
            self.focused.take(key)
            self.action_step(1)

    def action_step(self, step: int) -> None:
        """Go to another field."""
        self.set_focus(self._widgets[(self._at() + step) % len(self._widgets)])

    def action_leave(self) -> None:
        """Leave without an answer."""
        self.dismiss(None)

    async def action_go_on(self) -> None:
        """Go to the next field, or be done; stay where something is wrong."""
        at = self._at()
        if self._widgets[at].ahead.on_its_way:
            return
        await taken_in(self._widgets[at])
        if self._stays_at(at):
            return
        self._say("")
        if at + 1 < len(self._widgets):
            self.set_focus(self._widgets[at + 1])
            return
        if not any(self._stays_at(number) for number in range(len(self._widgets))):
            self.dismiss(self.values)

    def _at(self) -> int:
        return next((at for at, widget in enumerate(self._widgets) if widget is self.focused), 0)

    def _stays_at(self, number: int) -> bool:
        """Whether a field is wrong: say why, keep what stands there, drop what was typed ahead."""
        field, widget = self._fields[number], self._widgets[number]
        why = self._why(number)
        if isinstance(widget, Pick) and widget.stray:
            why, widget.stray = f"'{widget.stray}' is none of the keys above; first one of them", ""
        if why is None:
            return False
        self._say(f"{field.label}: {why}")
        self.set_focus(widget)
        widget.ahead.drop(self.app, widget)
        return True

    def _why(self, number: int) -> str | None:
        try:
            return fault(self._fields, number, self.values)
        except Exception as error:  # noqa: BLE001 - a check that raises would end the screen with a diver below
            return f"unforeseen fault: {type(error).__name__}: {error}"

    def _say(self, why: str) -> None:
        self.query_one(".dialog-why", Static).update(why)
