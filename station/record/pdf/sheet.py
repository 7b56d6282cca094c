"""The page of a printed record: its edges, its head and foot, and the marks of a drill."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final, Literal

from fpdf import FPDF
from fpdf.fonts import TTFFont

from station.record.pdf.font import Letters, width
from station.record.prints import Paper

Align = Literal["left", "right", "centre"]

EDGE: Final = 12.0
"""Millimetres kept free at either side and at the top."""
_FOOT: Final = 15.0
"""Millimetres at the bottom that belong to the foot."""
_SIZE: Final = 8.2
_FOOT_SIZE: Final = 6.8
_MM_PER_POINT: Final = 25.4 / 72
_LEADING: Final = 1.27
_PALE: Final = 226
"""Grey of the word across a drill's page, of 255: seen on paper, and lighter than every figure over it."""
DRILL_LINE: Final = "DRILL - nobody was in the water - DRILL"


@dataclass(frozen=True)
class Furniture:
    """What stands on every page."""

    title: str
    sha256: str
    drill: bool
    unsound: str
    """"" for a sound record, else its verdict."""
    made: datetime
    """When the dive was closed: the date of the PDF, so that it comes out the same every time."""
    program: str


class Sheet(FPDF):
    """A document with a cursor that goes down the page; everything is placed by `put` and `rule`."""

    def __init__(
        self, paper: Paper, fonts: Mapping[str, Path], furniture: Furniture, scale: float, total: int
    ) -> None:
        super().__init__(orientation="portrait", unit="mm", format=paper)
        self.furniture, self.letters, self.total = furniture, Letters(), total
        self.set_auto_page_break(auto=False)
        self.set_creation_date(furniture.made)
        self.set_title(self.letters.shown(furniture.title))
        self.set_creator(self.letters.shown(furniture.program))
        self.set_lang("en")
        for style, file in fonts.items():
            self.add_font("letters", style, file)
        self.size = _SIZE * scale
        self.start = 0.0
        self.add_page()

    @property
    def left(self) -> float:
        """The left edge of what is printed."""
        return EDGE

    @property
    def right(self) -> float:
        """The right edge of what is printed."""
        return float(self.w) - EDGE

    @property
    def width(self) -> float:
        """The width between the edges."""
        return self.right - self.left

    @property
    def bottom(self) -> float:
        """Where what is printed ends and the foot begins."""
        return float(self.h) - _FOOT

    @property
    def line_height(self) -> float:
        """From one line of text to the next."""
        return self.size * _MM_PER_POINT * _LEADING

    @property
    def fresh(self) -> bool:
        """Whether nothing stands on this page yet."""
        return float(self.y) <= self.start

    def release(self) -> None:
        """Close the font's files, which the library reads from until the document is written."""
        for font in self.fonts.values():
            if isinstance(font, TTFFont):
                font.ttfont.close()

    def room(self, height: float) -> bool:
        """Go to a new page when so much does not fit on this one any more; return whether that was done."""
        if self.y + height <= self.bottom:
            return False
        self.add_page()
        return True

    def down(self, height: float) -> None:
        """Move the cursor down."""
        self.y = float(self.y) + height

    def text_width(self, text: str, size: float = 0, *, bold: bool = False) -> float:
        """Return how wide words come out."""
        return width(text, "B" if bold else "") * (size or self.size) * _MM_PER_POINT

    def put(  # noqa: PLR0913 - words, their place and their looks
        self, x: float, top: float, words: str, size: float = 0, *, bold: bool = False, align: Align = "left"
    ) -> None:
        """Print one line of words, its top at a height, from x to the right, up to x, or around it."""
        size = size or self.size
        wide = 0.0 if align == "left" else self.text_width(words, size, bold=bold)
        self.set_font("letters", "B" if bold else "", size)
        at = x - (wide if align == "right" else wide / 2)
        self.text(at, top + size * _MM_PER_POINT, words)

    def rule(self, top: float, thick: float = 0.1, *, left: float = 0, right: float = 0) -> None:
        """Draw a line across."""
        self.set_line_width(thick)
        self.set_draw_color(0)
        self.line(left or self.left, top, right or self.right, top)

    def header(self) -> None:
        """Mark a drill, and from the second page on say whose record this is."""
        if self.furniture.drill:
            self._across()
        self.y = self.start = EDGE - 4
        if self.page == 1:
            return
        words = self.letters.shown(self.furniture.title)
        if self.furniture.unsound:
            words = f"{self.furniture.unsound.upper()} - {words}"
        self.put(self.left, self.y, self.shortened(words, self.width), bold=True)
        self.rule(self.y + self.line_height + 0.4, 0.3)
        self.down(self.line_height + 0.8)
        self.start = float(self.y)

    def footer(self) -> None:
        """Print the digest of the record's file and the number of the page."""
        top = self.bottom + 2.2
        self.rule(top, 0.3)
        digest = f"SHA-256 of the record's file: {self.furniture.sha256}"
        self.put(self.left, top + 1, digest, _FOOT_SIZE)
        self.put(self.right, top + 1, f"page {self.page} of {self.total}", _FOOT_SIZE, align="right")
        told = "This print is for reading; the record's file is what was signed. All times are UTC."
        self.put(self.left, top + 4.2, told, _FOOT_SIZE)
        if self.furniture.drill:
            self.put(self.right, top + 4.2, DRILL_LINE, _FOOT_SIZE, bold=True, align="right")

    def shortened(self, words: str, width: float) -> str:
        """Return words cut to a width, with dots where something was left out."""
        if self.text_width(words, bold=True) <= width:
            return words
        while words and self.text_width(f"{words}...", bold=True) > width:
            words = words[:-1]
        return f"{words}..."

    def _across(self) -> None:
        """Write DRILL from corner to corner, under everything that is printed later."""
        size = 150.0
        x, y = float(self.w) / 2, float(self.h) / 2
        self.set_text_color(_PALE)
        with self.rotation(54, x, y):
            self.put(x, y - size * _MM_PER_POINT / 2, "DRILL", size, bold=True, align="centre")
        self.set_text_color(0)
