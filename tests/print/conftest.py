"""The records of every shipped drill, signed; and a printed page read back as words with their places."""

import io
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cache, lru_cache
from itertools import groupby, pairwise
from typing import TYPE_CHECKING, Any, Final

import pytest
import tomli_w
from PIL import ImageFont
from pypdf import PageObject, PdfReader

from station.record import keys, signers, signing
from station.record.content import CONTENT_CHECKS
from station.record.document import build
from station.record.pdf.document import record_pdf
from station.record.pdf.font import font_files
from station.record.signed import Addendum, Declaration
from station.record.verify import Verdict, verify_bytes
from station.shipped import shipped

if TYPE_CHECKING:
    from tests.conftest import PlayedDrills

DEMO: Final = shipped("demo")
RECORDS: Final = tuple(
    f"{path.relative_to(DEMO).with_suffix('')}-{lane}"
    for path in sorted(DEMO.rglob("*.toml"))
    if path.name != "station.toml"
    for lane in ((1, 2) if path.stem in {"together", "second-dive"} else (1,))
)
"""Every dive of every shipped drill: the scenario's name and the lane."""
ROLES: Final = (
    ("tam-belcourt", "timekeeper", keys.new_key()),
    ("ines-oyelaran", "supervisor", keys.new_key()),
)
MM: Final = 72 / 25.4
EDGE: Final = 12.0
FOOT: Final = 15.0
LOWEST: Final = 6.0
SLACK: Final = 0.4
"""Millimetres by which two libraries may differ over the length of a line."""
OF_THE_FOOT: Final = ("SHA-256", "page ", "This print", "DRILL - nobody")

Body = dict[str, Any]
Bodies = Mapping[str, bytes]
Printable = Callable[[str], bytes]
Printer = Callable[[str], "Printed"]
Judge = Callable[[bytes], Verdict]
Write = Callable[[Body], bytes]
Addend = Callable[[bytes, str, str, str], bytes]
Show = Callable[[bytes], "Printed"]


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run a test that takes `record` once for every dive of every shipped drill."""
    if "record" in metafunc.fixturenames:
        metafunc.parametrize("record", RECORDS)


@dataclass(frozen=True)
class Word:
    """A run of letters on a page, in millimetres from its lower left corner."""

    text: str
    x: float
    y: float
    size: float
    upright: bool

    bold: bool

    @property
    def end(self) -> float:
        """Where it ends on the right, measured with the font by another library."""
        return self.x + _length(self.text, self.size, self.bold)


@dataclass(frozen=True)
class Printed:
    """A PDF read back."""

    data: bytes
    verdict: Verdict
    pages: tuple[tuple[Word, ...], ...]
    size: tuple[float, float]

    @property
    def rows(self) -> list[str]:
        """What stands on one height of a page, from left to right, words parted by one blank."""
        return [row for page in self.pages for row in page_rows(page)]

    def misplaced(self) -> list[Word]:
        """Return the words that leave the page's edges, or stand in its foot without belonging there."""
        wide, high = self.size
        return [
            word
            for page in self.pages
            for word in page
            if word.upright
            and (
                not EDGE - SLACK <= word.x <= word.end <= wide - EDGE + SLACK
                or not LOWEST <= word.y <= high - EDGE / 2
                or (word.y < FOOT and not word.text.startswith(OF_THE_FOOT))
            )
        ]

    def collisions(self) -> list[tuple[Word, Word]]:
        """Return the neighbours on one height of a page that run into each other."""
        found: list[tuple[Word, Word]] = []
        for page in self.pages:
            for row in rows_of(page):
                found += [(one, other) for one, other in pairwise(row) if one.end > other.x + SLACK]
        return found

    @property
    def joined(self) -> str:
        """All that is printed, in the order in which it was, without blanks: cell by cell, over its lines."""
        return "".join("".join(word.text.split()) for page in self.pages for word in page)

    def says(self, words: str) -> bool:
        """Whether words stand beside each other on one height of a page."""
        return any(words in row for row in self.rows)


def rows_of(page: tuple[Word, ...]) -> Iterator[list[Word]]:
    """Yield the words of a page height by height, each from left to right."""
    upright = sorted((word for word in page if word.upright), key=lambda word: (-round(word.y, 1), word.x))
    for _, row in groupby(upright, key=lambda word: round(word.y, 1)):
        yield list(row)


def page_rows(page: tuple[Word, ...]) -> list[str]:
    return [" ".join(word.text for word in row) for row in rows_of(page)]


def read(data: bytes, verdict: Verdict) -> Printed:
    """Read a PDF back."""
    pages = PdfReader(io.BytesIO(data)).pages
    box = pages[0].mediabox
    size = (float(box.width) / MM, float(box.height) / MM)
    return Printed(data, verdict, tuple(_words(page) for page in pages), size)


def _words(page: PageObject) -> tuple[Word, ...]:
    found: list[Word] = []

    def take(text: str, cm: list[float], tm: list[float], font: dict[str, str], size: float) -> None:
        if text.strip():
            heavy = font["/BaseFont"].endswith("Bold")
            found.append(Word(text.strip(), tm[4] / MM, tm[5] / MM, size, upright=cm[1] == 0, bold=heavy))

    page.extract_text(visitor_text=take)
    return tuple(found)


@cache
def _font(*, bold: bool) -> ImageFont.FreeTypeFont:
    with font_files() as files:
        return ImageFont.truetype(io.BytesIO(files["B" if bold else ""].read_bytes()), 1000)


@lru_cache(maxsize=100_000)
def _length(text: str, size: float, bold: bool) -> float:  # noqa: FBT001 - a key of the cache
    return _font(bold=bold).getlength(text) / 1000 * size / MM


def sign(body: bytes) -> bytes:
    """Return a body signed by everybody who must."""
    at: datetime = tomllib.loads(body.decode())["after"]["closed"]
    for person, role, key in ROLES:
        said = Declaration(person=person, name=person.title(), role=role, at=at, meaning="It is so.")
        body = signing.add_signature(body, said, key)
    return body


def verdict_on(data: bytes) -> Verdict:
    """Return the verdict by the list on which both signers stand."""
    listed = signers.AllowedSigners(
        tuple(signers.signer(person, (role,), key.blob) for person, role, key in ROLES)
    )
    return verify_bytes(data, listed, CONTENT_CHECKS)


def written(body: Body) -> bytes:
    """Return a body as a record's text, signed."""
    return sign(tomli_w.dumps(body).encode())


class _Bodies(dict[str, bytes]):
    """The unsigned record of every dive of every shipped drill without noted alarms, made when asked for."""

    def __init__(self, played: "PlayedDrills") -> None:
        super().__init__()
        self.played = played

    def __missing__(self, name: str) -> bytes:
        drill, _, lane = name.rpartition("-")
        played = self.played(drill)
        self[name] = build(played.without_alarms(), int(lane), played.setup)
        return self[name]


@pytest.fixture(scope="session")
def bodies(played_drills: "PlayedDrills") -> Bodies:
    """The unsigned records, by name and lane."""
    return _Bodies(played_drills)


@pytest.fixture(scope="session")
def signed(bodies: Bodies) -> Printable:
    """Return a drill's record, signed, by its name."""
    return cache(lambda name: sign(bodies[name]))


@pytest.fixture(scope="session")
def addend() -> Addend:
    """Return a signed record with a correction after it, signed by the supervisor."""

    def added(data: bytes, place: str, text: str, reason: str) -> bytes:
        person, role, key = ROLES[1]
        at = verdict_on(data).signatures[-1].statement.at
        said = Declaration(person=person, name=person.title(), role=role, at=at, meaning="It is so.")
        addendum = Addendum(corrects=place, text=text, reason=reason, by=person, at=at)
        return signing.add_signature(data, said, key, (addendum,))

    return added


@pytest.fixture(scope="session")
def judge() -> Judge:
    """Return the verdict by the list on which both signers stand."""
    return verdict_on


@pytest.fixture(scope="session")
def write() -> Write:
    """Return a body as a record's text, signed by everybody who must."""
    return written


@pytest.fixture(scope="session")
def show() -> Show:
    """Print a record's bytes on A4 and read the PDF back."""

    def shown(data: bytes) -> Printed:
        verdict = verdict_on(data)
        return read(record_pdf(data, verdict), verdict)

    return shown


@pytest.fixture(scope="session")
def printer(signed: Printable, show: Show) -> Printer:
    """Print a drill's record by its name, once."""
    return cache(lambda name: show(signed(name)))
