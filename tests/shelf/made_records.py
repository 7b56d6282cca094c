"""Many distinct records quickly: the body of a played dive with other divers, days and figures, signed anew.

Each one verifies: every time in it, those of its journal too, is moved alike, its journal is made one of a
real dive where that is asked for, and its chain is reckoned again.
"""

import re
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Self

from station.journal.chain import GENESIS, body_digest, link
from station.moments import iso
from station.record import keys, signed, sshsig
from station.record.signed import Statement
from station.record.signers import AllowedSigner, signer

BEGUN = datetime(2030, 1, 1, 8, 0, tzinfo=UTC)
_ENTRY = re.compile(
    r"""(?P<start>    \{ seq = \d+, hash = ")[0-9a-f]{64}"(?P<mid>, (?:body = '(?P<body>.*)'"""
    r"""|body_sha256 = "(?P<digest>[0-9a-f]{64})") \},)"""
)
_TIME = re.compile(r"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z)")
_STARTED = re.compile(r"^started = (.*)$", re.MULTILINE)
LASTS = timedelta(minutes=44, seconds=25)
"""From leaving the surface to reaching it, in the template."""
_LINES = {
    "drill": r"^drill = .*$",
    "place": r"^place = .*$",
    "diver": r"^diver = .*$",
    "diver_name": r"^diver_name = .*$",
    "date": r"^date = .*$",
    "maximum_fsw": r"^maximum_fsw = .*$",
    "designation": r"^designation = .*$",
    "group_after": r"^group_after = .*$",
    "exceptional": r"^exceptional = .*$",
    "delays": r"^delays = (?:\[\]|\[\n(?:    .*\n)*\])$",
    "suspected": r"^suspected = .*$",
    "keep_until": r"^keep_until = .*$",
}


@dataclass(frozen=True)
class Made:
    """What is told apart between records; the rest is the template's."""

    diver: str = "jona-strand"
    diver_name: str = "Jona Strand"
    place: str = "Lake Ossary, gate 2"
    started: datetime = BEGUN
    depth_fsw: float = 59.0
    schedule: str = "60/63"
    group: str = "H"
    delays: tuple[str, ...] = ()
    drill: bool = False
    exceptional: bool = False
    sickness: bool = False
    keep_until: str = "2032-05-05"

    @property
    def finished(self) -> datetime:
        return self.started + LASTS

    @property
    def name(self) -> str:
        return f"{self.started:%Y-%m-%d-%H%M}-{self.diver}.toml"

    def later(self, **change: float) -> Self:
        """Return the same dive so much later."""
        return replace(self, started=self.started + timedelta(**change))


@dataclass
class Maker:
    """Makes records out of the body of one."""

    template: str
    timekeeper: keys.SigningKey = field(default_factory=keys.new_key)
    supervisor: keys.SigningKey = field(default_factory=keys.new_key)

    @classmethod
    def of(cls, record: bytes) -> Self:
        """Return a maker from a record of a drill."""
        text = signed.split(record).body.decode()
        for name, pattern in _LINES.items():
            text, count = re.subn(pattern, f"{name} = @{name}@", text, count=1, flags=re.MULTILINE)
            assert count == 1, name
        return cls(text)

    def __post_init__(self) -> None:
        started = _STARTED.search(self.template)
        assert started
        self._started = datetime.fromisoformat(started[1])
        self._pieces = _TIME.split(self.template)
        self._times = {one: datetime.fromisoformat(one) for one in self._pieces[1::2]}

    def body(self, made: Made) -> bytes:
        later = made.started - self._started
        moved = {text: iso(at + later) for text, at in self._times.items()}
        text = "".join(moved.get(piece, piece) for piece in self._pieces)
        if not made.drill:
            text = text.replace('"drill":true', '"drill":false', 1)
        text = _rechained(text)
        for name, value in _values(made).items():
            text = text.replace(f"@{name}@", value, 1)
        return text.encode()

    def record(self, made: Made, *, roles: tuple[str, ...] = ("timekeeper", "supervisor")) -> bytes:
        """Return a record that is signed in these roles."""
        data = self.body(made)
        for role in roles:
            data = self.sign(data, role, made)
        return data

    def sign(self, data: bytes, role: str, made: Made, key: keys.SigningKey | None = None) -> bytes:
        key = key or (self.timekeeper if role == "timekeeper" else self.supervisor)
        statement = Statement(
            person=PEOPLE[role],
            name=PEOPLE[role].title(),
            role=role,
            at=made.finished + timedelta(minutes=30),
            meaning="It is as it was.",
            key=key.fingerprint,
            drill=made.drill,
        )
        covered = data + signed.segment_bytes(statement)
        return covered + signed.block_bytes(sshsig.sign(key, covered))

    def put(self, folder: Path, made: Made, name: str = "") -> Path:
        """Write a record into a folder."""
        path = folder / (name or made.name)
        path.write_bytes(self.record(made))
        return path

    def lines(self) -> list[AllowedSigner]:
        """Return the lines that list the two who sign."""
        both = {"timekeeper": self.timekeeper, "supervisor": self.supervisor}
        return [signer(PEOPLE[role], (role,), key.blob) for role, key in both.items()]

    def list_of_signers(self) -> str:
        """Return the text of an `allowed_signers` file."""
        return "".join(f"{one.line()}\n" for one in self.lines())


PEOPLE = {"timekeeper": "tam-belcourt", "supervisor": "ines-oyelaran"}
DIVERS = (("jona-strand", "Jona Strand"), ("wyn-farrow", "Wyn Farrow"), ("edda-lunn", "Edda Lunn"))
PLACES = ("Lake Ossary, gate 2", "Tarn Velloch, outlet works", "Quay 4, Port Sallow")
GROUPS = ("C", "H", "N")
DEPTHS = (42.0, 59.0, 100.5)


def varied(number: int, *, divers: int = 3) -> Made:
    """Return one of endlessly many dives, none at the same time as another of its diver."""
    at = number % divers
    diver, name = DIVERS[at] if at < len(DIVERS) else (f"diver-{at}", f"Diver {at}")
    return Made(
        diver=diver,
        diver_name=name,
        place=PLACES[number % 5 % 3],
        started=BEGUN + timedelta(hours=7 * number, minutes=number % 40),
        depth_fsw=DEPTHS[number % 7 % 3],
        group=GROUPS[number % 7 % 3],
        delays=("before the first stop",) * (number % 4 == 1) + ("to the surface",) * (number % 6 == 1),
        drill=number % 11 == 3,
    )


def _rechained(text: str) -> str:
    """Return a body whose chain holds again."""
    previous = GENESIS

    def entry(found: re.Match[str]) -> str:
        nonlocal previous
        body = found["body"]
        own = body_digest(body) if body is not None else bytes.fromhex(found["digest"])
        previous = link(previous, own)
        return f'{found["start"]}{previous.hex()}"{found["mid"]}'

    text = _ENTRY.sub(entry, text)
    return re.sub(r'^head_hash = ".*"$', f'head_hash = "{previous.hex()}"', text, flags=re.MULTILINE)


def _values(made: Made) -> dict[str, str]:
    rows = "".join(f'    {{ where = "{one}", delay_s = 90 }},\n' for one in made.delays)
    return {
        "drill": str(made.drill).lower(),
        "place": f'"{made.place}"',
        "diver": f'"{made.diver}"',
        "diver_name": f'"{made.diver_name}"',
        "date": f"{made.started:%Y-%m-%d}",
        "maximum_fsw": str(made.depth_fsw),
        "designation": f'"{made.schedule}"',
        "group_after": f'"{made.group}"',
        "exceptional": str(made.exceptional).lower(),
        "delays": f"[\n{rows}]" if rows else "[]",
        "suspected": str(made.sickness).lower(),
        "keep_until": made.keep_until,
    }
