"""A text that is painted only when it has changed, in a widget whose size does not depend on it."""

from collections.abc import Iterable

from textual.content import Content
from textual.widgets import Static

Text = str | Content


class Paint(Static):
    """Fixed-size text; markup in it means nothing, because names and notes come from outside."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's name
        super().__init__("", markup=False, id=id, classes=classes)
        self._shown: Text = ""

    def show(self, text: Text) -> None:
        """Paint the text if it differs from what stands there."""
        if text != self._shown:
            self._shown = text
            self.update(text, layout=False)

    @property
    def shown(self) -> str:
        """What stands there, as plain text."""
        return self._shown if isinstance(self._shown, str) else self._shown.plain


def joined(lines: Iterable[Text]) -> Content:
    """Return lines as one text."""
    return Content("\n").join(Content(line) if isinstance(line, str) else line for line in lines)
