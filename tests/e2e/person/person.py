"""Somebody at the console who knows nothing of it: looks, and presses only keys that stand on the screen."""

import re
import time
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.e2e.conftest import Terminal

NAMED = {"Esc": "Escape", "PgDn": "PageDown"}
SAME_KEY_S, ENTER_S = 0.16, 0.27
"""No finger is faster on the same key: presses 0.15 s apart count as one, an Enter in a panel 0.25 s."""
HIDDEN = "•"
HELP = "KEYS AND WHAT STANDS HERE"
DIALOG = re.compile(r"^╭─+╮\n│ (\S[^│]*?) *│", re.MULTILINE)


def shown(screen: str, label: str) -> str | None:
    """Return the key beside a label: in the dialog if one is open, else in the last line or by the alarms."""
    lines, words = screen.rstrip("\n").splitlines(), re.escape(label)
    box = [line.strip("│ ") for line in lines if line.startswith("│")]
    if not any(line.startswith("╰") for line in lines):
        lasts = (line.rstrip() for line in (lines[-1], *lines[2:4]))
        found = next(filter(None, (re.search(rf"(?:^| )(\S+) {words}(?=  |$)", one) for one in lasts)), None)
        return found[1] if found else None
    if "digit" in box[-1] or "a key above" in box[-1]:
        for line in box[:-1]:
            numbered = rf"(?:^| {{3}})(\d)(?:\[.\] | ).*{words}"
            named = rf"(?:^| {{3}})(\w)(?: or \w)? {words}(?= {{3}}|$)"
            if own := re.search(named, line) or re.search(numbered, line):
                return own[1]
    found = re.search(rf"(?:^| {{3}})(?:\S+[/,] ?)*([^/\s:]+)(?: or \S+)?:? {words}", box[-1])
    return found[1] if found else None


def box(screen: str) -> list[str]:
    """Return what stands in the open dialog, none without one."""
    return [line for line in screen.splitlines() if line.startswith("│")]


def whole(screen: str) -> bool:
    """Whether no dialog is half open or half gone."""
    tops, ends = (re.findall(f"^{corner}─", screen, re.MULTILINE) for corner in "╭╰")
    return len(tops) == len(ends)


def without_dialog(screen: str) -> bool:
    """Whether no dialog is open and the line of keys stands there."""
    return not box(screen) and shown(screen, "keys") is not None


def another_dialog(title: str, screen: str) -> bool:
    """Whether a dialog with another title is open."""
    found = DIALOG.search(screen)
    return found is not None and found[1] != title


def another_page(before: list[str], screen: str) -> bool:
    """Whether the help is open and has scrolled."""
    return HELP in screen and box(screen) != before


Look = str | Callable[[str], object]
"""What is looked for on a screen: a pattern, or what says whether it is there."""


class Person:
    """Looks until the screen is painted to its end, and presses only what stands there.

    Each press says what must come of it, and nothing else is done before that stands on the screen.
    """

    def __init__(self, terminal: "Terminal") -> None:
        self.terminal = terminal
        self.seen = ""
        self._seen_at = 0.0
        self._last = ("", 0.0)

    def see(self, what: Look) -> str:
        """Look until something stands on a finished screen; decide by that screen from then on."""

        def there(screen: str) -> bool:
            found = re.search(what, screen, re.MULTILINE) if isinstance(what, str) else what(screen)
            return bool(found) and whole(screen)

        def found() -> bool:
            if not there(self.terminal.screen()):
                return False
            self.seen = self.terminal.still()
            return there(self.seen)

        self.terminal.until(found, f"not seen: {what}")
        self._seen_at = time.monotonic()
        return self.seen

    def press(self, label: str, then: Look) -> str:
        """Press the key beside a label, or the one that F1 names for it, and see what comes of it."""
        key = shown(self.seen, label)
        if key is None:
            self._hit(shown(self.seen, "keys"))
            key = self._in_help(label)
            self.press("back", without_dialog)
        self._hit(key)
        return self.see(then)

    def fill(self, then: Look, **typed: str) -> str:
        """Type into the fields of a dialog, each under its caption, reading each before going on."""
        for caption, words in typed.items():
            if words:
                self.terminal.type(words)
                self._last = ("", 0.0)
                either = f"(?:{re.escape(words)}|{HIDDEN * len(words)})"
                self.see(rf"^│ {caption.replace('_', ' ')}.* {either} ")
            self._hit(shown(self.seen, "next"))
        return self.see(then)

    def choose(self, label: str, option: str, then: Look) -> str:
        """Press a key and, in the dialog that it opens, the key of one of its options."""
        self.press(label, rf"^│.*{re.escape(option)}")
        return self.press(option, then)

    def pause(self) -> None:
        """Let go of the key: whatever was pressed before, it was pressed no later than now."""
        self._last = (self._last[0], time.monotonic())

    def _in_help(self, label: str) -> str:
        """Read F1, page by page, until a label stands there."""
        screen = self.see(HELP)
        while not (found := re.search(rf"^│ (\S+)(?: \S+)? +{re.escape(label)}: ", screen, re.MULTILINE)):
            screen = self.press("scroll", partial(another_page, box(screen)))
        return found[1]

    def _hit(self, key: str | None) -> None:
        assert key, self.seen
        same, since = key == self._last[0], self._last[1]
        if key == "Enter":  # what the last one did is seen: it was taken before that
            since = max(since, self._seen_at)
        least = ENTER_S if key == "Enter" else SAME_KEY_S
        time.sleep(max(0.0, since + least - time.monotonic()) if same else 0.0)
        self.terminal.keys(NAMED.get(key, key.replace("Ctrl-", "C-")))
        self._last = (key, time.monotonic())
