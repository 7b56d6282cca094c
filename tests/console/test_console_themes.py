"""The looks: every letter stands off by 7:1, no colour is needed, NO_COLOR wins.

The ratio is that of WCAG 2.1, 'contrast ratio' and 'relative luminance'; 7:1 is success criterion 1.4.6.
"""

from typing import TYPE_CHECKING, get_args

import pytest
from rich.color import Color

from station.setup import Theme

if TYPE_CHECKING:
    from textual.screen import Screen

    from tests.console.conftest import Make, Play

LEAST = 7.0
FRAME = "─│╭╮╰╯━┃┏┓┗┛▁▂▃▄▅▆▇█▊▎▔▌▐╸╹╺╻"
"""What only frames: no text (criterion 1.4.11 asks less of it)."""


def luminance(rgb: tuple[int, int, int]) -> float:
    """Return the relative luminance of an sRGB colour, as WCAG 2.1 defines it."""
    parts = [one / 255 for one in rgb]
    linear = [one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: tuple[int, int, int], other: tuple[int, int, int]) -> float:
    """Return the contrast ratio of two colours, 1 to 21."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_the_ratios_that_are_published_with_it() -> None:
    """21:1 for black on white is in the definition; #767676 on white is the well-known 4.54, from memory."""
    assert contrast((0, 0, 0), (255, 255, 255)) == 21
    assert contrast((0x76, 0x76, 0x76), (255, 255, 255)) == pytest.approx(4.54, abs=0.005)


def faint(screen: "Screen[object]") -> dict[str, float]:
    """Return every text on the screen that stands off by less than it must."""
    found: dict[str, float] = {}
    for strip in screen._compositor.render_strips():
        for text, style, _ in strip:
            words = text.strip().strip(FRAME).strip()
            if not words or style is None:
                continue
            inks = [color for color in (style.color, style.bgcolor) if isinstance(color, Color)]
            assert len(inks) == 2, text
            ratio = contrast(*(color.get_truecolor() for color in inks))
            if ratio < LEAST or style.dim:
                found[words] = ratio
    return found


@pytest.mark.parametrize("look", get_args(Theme))
async def test_every_letter_stands_off_by_seven_to_one(make: "Make", keys: "Play", look: Theme) -> None:
    for until, pressed in (
        ("nuts", ("f9",)),
        ("bottom", ("d",)),
        ("bottom", ("f5", "ctrl+p")),
        ("stop", ("f1",)),
    ):
        station = make(until, screen={"theme": look})
        async with station.app.run_test(size=(80, 24)) as pilot:
            await keys(pilot, *pressed)
            assert station.app.theme == f"station-{look}"
            assert not faint(station.app.screen)
