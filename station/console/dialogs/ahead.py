"""Keys typed ahead: what was pressed before people could read an answer is not meant for that answer."""

from textual.app import App
from textual.widget import Widget


class Ahead:
    """Knows whether keys that were pressed before a moment may still be on their way to a widget."""

    def __init__(self) -> None:
        self._waits = 0

    @property
    def on_its_way(self) -> bool:
        """Whether what arrives now was pressed before the moment of the last `drop`."""
        return self._waits > 0

    def drop(self, app: App[int], widget: Widget) -> None:
        """Begin such a moment: it ends once the program, then the widget, has seen every key before it."""
        self._waits += 1
        app.call_later(widget.call_later, self._seen)

    def _seen(self) -> None:
        self._waits -= 1
