"""The three looks of the screen. Letters stand off by at least 7:1 in each (WCAG 2, criterion 1.4.6).

Colour only helps: every state has its sign or its word as well. With NO_COLOR set nothing is coloured at all.
"""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, get_args

from textual.app import App
from textual.theme import Theme

from station.errors import Refusal
from station.setup import Theme as Look

LOOKS: Final[Mapping[Look, str]] = {
    "dark": "dark: night, a closed cabin",
    "light": "light: by day, in the shade",
    "high-contrast": "high contrast: sun on the screen, tired eyes",
}
"""The looks there are, as they are chosen from."""
assert set(LOOKS) == set(get_args(Look))  # noqa: S101 - a look in the station file without its words


@dataclass(frozen=True)
class Inks:
    """One ink on four papers: behind all, under dialogs and fields, under head and keys, under an alarm."""

    ink: str
    paper: str
    raised: str
    bar: str
    loud: str


def _theme(look: Look, inks: Inks, *, dark: bool) -> Theme:
    ink, paper, bar = inks.ink, inks.paper, inks.bar
    return Theme(
        name=f"station-{look}",
        primary=ink,
        foreground=ink,
        background=paper,
        surface=inks.raised,
        panel=bar,
        error=inks.loud,
        warning=ink,
        success=ink,
        accent=ink,
        dark=dark,
        variables={
            "error-muted": inks.loud,
            "block-cursor-background": ink,
            "block-cursor-foreground": paper,
            "block-cursor-blurred-background": bar,
            "block-cursor-blurred-foreground": ink,
            "block-hover-background": bar,
            "input-cursor-background": ink,
            "input-cursor-foreground": paper,
            "input-selection-background": bar,
            "scrollbar": ink,
            "scrollbar-hover": bar,
            "scrollbar-active": bar,
            "scrollbar-background": paper,
            "border": ink,
            "text-muted": ink,
            "text-disabled": ink,
        },
    )


THEMES: Final[Mapping[Look, Theme]] = {
    "dark": _theme("dark", Inks("#e6ebef", "#11171c", "#1b242b", "#2a363f", "#7a1712"), dark=True),
    "light": _theme("light", Inks("#15191c", "#faf8f2", "#efece2", "#dcd7c8", "#f0b9a8"), dark=False),
    "high-contrast": _theme(
        "high-contrast", Inks("#ffffff", "#000000", "#000000", "#262626", "#5c0000"), dark=True
    ),
}


def use_look(app: App[int], look: Look) -> None:
    """Let the screen look so, unless colour is not wanted at all."""
    if os.environ.get("NO_COLOR"):
        return
    theme = THEMES[look]
    app.register_theme(theme)
    app.theme = theme.name


def begin_look(app: App[int], look: Look) -> None:
    """Let the screen look so before it starts: a look taken later has all styles parsed once more."""
    use_look(app, look)
    app.stylesheet.set_variables(app.get_css_variables())
    for dark, name in ((True, "-dark-mode"), (False, "-light-mode")):
        app.set_class(app.current_theme.dark == dark, name, update=False)


def need_colour() -> None:
    """Return when there are colours to choose; Refusal under NO_COLOR."""
    if os.environ.get("NO_COLOR"):
        raise Refusal("NO_COLOR is set: the screen shows no colours, and no look to choose")


def look_now(app: App[int]) -> str:
    """Return the look in use, "" for none of ours."""
    return next((look for look, theme in THEMES.items() if theme.name == app.theme), "")
