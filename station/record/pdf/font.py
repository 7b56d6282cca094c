"""The letters of a printed record: Open Sans, a little narrow, in regular and bold.

The fonts every PDF reader has know Western European letters only, and what a machine has installed is another
thing on every machine. So the font comes with a package of its own, licensed to be shipped, and is written
into the PDF: names in Latin, Greek and Cyrillic letters print as they are, and the page looks the same
anywhere and in thirty years. A letter the font has not got, or that is written from right to left, stands by
its number, as in [U+65E5], and the end of the print says so.
"""

import io
import tempfile
import unicodedata
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache, lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from fontTools.ttLib import TTFont
from fontTools.varLib.instancer import instantiateVariableFont

from station.record.render_page import plain

STYLES: Final[Mapping[str, float]] = {"": 400, "B": 700}
"""Style by the library's letter, with its weight."""
_WIDTH: Final = 82
"""In percent of the normal width: more stands on a line, and still reads well."""
_NAMES: Final[Mapping[str, str]] = {"": "Narrow", "B": "NarrowBold"}
_FOR_JOINING: Final = ("GDEF", "GPOS", "GSUB")
"""Tables of a font that are for letters which change beside each other; here each stands for itself."""
_NAMED: Final = (2, 4, 6)
"""Style, full name and PostScript name in a font's table `name`."""
_WINDOWS_UNICODE_ENGLISH: Final = (3, 1, 0x409)
"""Platform, encoding and language of a font's name: OpenType specification, table `name`."""
_RIGHT_TO_LEFT: Final = frozenset({"R", "AL"})
_PACKAGE: Final = "fontpkg_open_sans"
_FILE: Final = "OpenSans[wdth,wght].ttf"


@contextmanager
def font_files() -> Iterator[Mapping[str, Path]]:
    """Yield a file for each style, for as long as a document is being made."""
    with tempfile.TemporaryDirectory(prefix="station-print-") as folder:
        files = {style: Path(folder) / f"letters-{style or 'R'}.ttf" for style in STYLES}
        for style, file in files.items():
            file.write_bytes(_styled(style))
        yield files


@cache
def _styled(style: str) -> bytes:
    """Return the font cut to one weight and width; half a second's work, done once."""
    with _source() as found:
        for table in _FOR_JOINING:
            del found[table]
        fixed = instantiateVariableFont(found, {"wght": STYLES[style], "wdth": _WIDTH})
        # Each cut goes by a name of its own: printers keep fonts by their names.
        for number in _NAMED:
            fixed["name"].setName(_NAMES[style], number, *_WINDOWS_UNICODE_ENGLISH)
        written = io.BytesIO()
        fixed.save(written)
    return written.getvalue()


@cache
def _codes() -> frozenset[int]:
    with _source() as found:
        return frozenset(found.getBestCmap())


def _source() -> TTFont:
    spec = find_spec(_PACKAGE)
    if spec is None or spec.origin is None:
        raise ModuleNotFoundError(f"{_PACKAGE} is not installed; it comes with this program", name=_PACKAGE)
    return TTFont(Path(spec.origin).parent / "files" / _FILE, recalcTimestamp=False)


@lru_cache(maxsize=50_000)
def width(text: str, style: str) -> float:
    """Return how wide text is, in sizes of the font."""
    known, other = _advances(style)
    return sum(known.get(ord(letter), other) for letter in text) / 1000


@cache
def _advances(style: str) -> tuple[Mapping[int, int], int]:
    """Return the width of every letter in thousandths of its size, as in a PDF; and of an unknown one."""
    with TTFont(io.BytesIO(_styled(style))) as found:
        scale, advances = 1000 / found["head"].unitsPerEm, found["hmtx"]
        known = {code: round(advances[name][0] * scale) for code, name in found.getBestCmap().items()}
        return known, round(advances[".notdef"][0] * scale)


@dataclass
class Letters:
    """What can be printed; remembers whether anything could not."""

    missed: bool = False
    _known: frozenset[int] = field(default_factory=_codes)

    def shown(self, text: str) -> str:
        """Return text as it can be printed, what cannot be by its number."""
        composed = unicodedata.normalize("NFC", text)
        return (
            composed if composed.isascii() and composed.isprintable() else "".join(map(self._one, composed))
        )

    def _one(self, letter: str) -> str:
        if not letter.isprintable():
            return plain(letter)
        if ord(letter) in self._known and unicodedata.bidirectional(letter) not in _RIGHT_TO_LEFT:
            return letter
        self.missed = True
        return f"[U+{ord(letter):04X}]"
