"""What somebody with other tools does to a journal is refused, or found and named."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from station.errors import JournalError, StationError
from station.events import FileUse
from station.files import digest
from station.journal.chain import GENESIS, body_digest, link
from station.journal.schema import STATEMENTS
from station.journal.store import SqliteJournal
from station.journal.verify import Report, check
from tests.journal.conftest import note, opening

STATION_FILE = b'name = "Ostrel"\n'
LENGTH = 12
FLIPS = (700, pytest.param(3000, marks=pytest.mark.soak))
"""Bytes changed one at a time, besides every byte of the header."""


def write(path: Path, length: int = LENGTH) -> None:
    opened = opening(
        FileUse(role="station", name="ostrel.toml", sha256=digest(STATION_FILE)),
        FileUse(role="outfit", name="deep-sea.toml", sha256=digest(b"")),
    )
    with closing(SqliteJournal.create(path)) as journal:
        journal.attach("ostrel.toml", STATION_FILE)
        journal.append(opened, 0)
        for seq in range(1, length):
            journal.append(note(f"note {seq}"), seq)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "weir.journal"
    write(path)
    return path


@pytest.fixture
def raw(path: Path) -> Iterator[sqlite3.Connection]:
    """Return SQLite's own way into the file, with the station's guards in force."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        yield connection


class Unguarded:
    """A way past the guards: they are dropped, the file changed, and the guards put back as they were."""

    def __init__(self, path: Path) -> None:
        self._connection = sqlite3.connect(path, isolation_level=None)

    def __enter__(self) -> sqlite3.Connection:
        for name, statement in STATEMENTS.items():
            if statement.startswith("CREATE TRIGGER"):
                self._connection.execute(f"DROP TRIGGER {name}")
        return self._connection

    def __exit__(self, *_: object) -> None:
        for statement in STATEMENTS.values():
            if statement.startswith("CREATE TRIGGER"):
                self._connection.execute(statement)
        self._connection.close()


def wrong(path: Path, words: str) -> None:
    """The check finds it, and so does the next seat that reads."""
    for attempt in (lambda: check(path), lambda: read(path)):
        with pytest.raises(JournalError) as caught:
            attempt()
        assert words in str(caught.value)


def read(path: Path) -> list[str]:
    with closing(SqliteJournal.open(path, read_only=True)) as journal:
        for (sha256,) in journal._connection.execute("SELECT sha256 FROM attachment").fetchall():
            journal.attachment(str(sha256))
        return [entry.body for entry in journal.read()]


def test_a_sound_journal_passes(path: Path) -> None:
    steps: list[tuple[int, int]] = []
    report = check(path, lambda done, total: steps.append((done, total)))
    with closing(SqliteJournal.open(path)) as journal:
        assert report == Report(LENGTH, journal.head()[1], 1, ("deep-sea.toml",))
    assert steps[-1] == (LENGTH, LENGTH)


def test_a_long_journal_is_checked_in_steps(tmp_path: Path) -> None:
    path = tmp_path / "weir.journal"
    write(path, 1)
    with Unguarded(path) as connection:
        connection.execute("BEGIN")
        last = connection.execute("SELECT hash FROM entry").fetchone()[0]
        for seq in range(2, 1203):
            body = note(str(seq)).model_dump_json(exclude_none=True)
            row = (seq, body, last, link(last, body_digest(body)))
            connection.execute("INSERT INTO entry(seq, body, prev, hash) VALUES (?, ?, ?, ?)", row)
            last = row[3]
        connection.execute("COMMIT")
    steps: list[tuple[int, int]] = []
    assert check(path, lambda done, total: steps.append((done, total))).entries == 1202
    assert steps == [(500, 1202), (1000, 1202), (1202, 1202)]


ATTACKS = [
    "UPDATE entry SET body = 'x'",
    "UPDATE entry SET seq = 99 WHERE seq = 5",
    "UPDATE entry SET rowid = 99 WHERE seq = 5",
    "UPDATE OR REPLACE entry SET seq = 4 WHERE seq = 5",
    "UPDATE OR IGNORE entry SET hash = zeroblob(32)",
    "DELETE FROM entry",
    "DELETE FROM entry WHERE seq = 12",
    "INSERT OR REPLACE INTO entry SELECT * FROM entry WHERE seq = 5",
    "INSERT OR REPLACE INTO entry SELECT 5, 'x', prev, hash FROM entry WHERE seq = 5",
    "INSERT OR REPLACE INTO entry(rowid, body, prev, hash) SELECT 12, 'x', prev, hash FROM entry LIMIT 1",
    "REPLACE INTO entry SELECT 12, 'x', prev, hash FROM entry WHERE seq = 12",
    "INSERT INTO entry SELECT * FROM entry WHERE seq = 5 ON CONFLICT DO UPDATE SET body = 'x'",
    "INSERT INTO entry SELECT 14, 'x', hash, hash FROM entry WHERE seq = 12",
    "INSERT INTO entry SELECT 13, 'x', prev, hash FROM entry WHERE seq = 12",
    "INSERT INTO entry SELECT 0, 'x', zeroblob(32), hash FROM entry WHERE seq = 12",
    "INSERT INTO entry SELECT -1, 'x', zeroblob(32), hash FROM entry WHERE seq = 12",
    "INSERT INTO entry SELECT NULL, 'x', hash, hash FROM entry WHERE seq = 12",
    "INSERT INTO entry SELECT 13, 'x', hash, x'00' FROM entry WHERE seq = 12",
    "INSERT INTO entry SELECT 13, NULL, hash, hash FROM entry WHERE seq = 12",
    "INSERT INTO entry SELECT 13, x'00', hash, hash FROM entry WHERE seq = 12",
    "UPDATE attachment SET content = x'00'",
    "UPDATE attachment SET name = 'other.toml'",
    "DELETE FROM attachment",
    "INSERT OR REPLACE INTO attachment SELECT sha256, name, x'00' FROM attachment",
    "INSERT INTO attachment SELECT * FROM attachment WHERE true ON CONFLICT DO UPDATE SET name = 'x'",
    "INSERT INTO attachment VALUES ('short', 'x', x'00')",
]


@pytest.mark.parametrize("recursive", ["OFF", "ON"])
@pytest.mark.parametrize("attack", ATTACKS)
def test_the_past_is_closed_to_every_program(
    path: Path, raw: sqlite3.Connection, attack: str, recursive: str
) -> None:
    before = read(path)
    raw.execute(f"PRAGMA recursive_triggers = {recursive}")
    with pytest.raises(sqlite3.IntegrityError):
        raw.execute(attack)
    assert read(path) == before
    assert check(path).entries == LENGTH


def test_an_attack_that_keeps_the_rules_is_an_append(path: Path, raw: sqlite3.Connection) -> None:
    """The list above tries the guards and not its own spelling: the right values do go in."""
    body = note("by hand").model_dump_json(exclude_none=True)
    seq, head = raw.execute("SELECT seq, hash FROM entry ORDER BY seq DESC").fetchone()
    raw.execute("INSERT INTO entry VALUES (?, ?, ?, ?)", (seq + 1, body, head, link(head, body_digest(body))))
    assert check(path).entries == LENGTH + 1


@pytest.mark.parametrize("name", [name for name in STATEMENTS if name not in {"entry", "attachment"}])
def test_a_missing_guard_is_named(path: Path, raw: sqlite3.Connection, name: str) -> None:
    raw.execute(f"DROP TRIGGER {name}")
    wrong(path, f"tables or guards are not as the station makes them ('{name}')")


def test_a_weaker_guard_or_an_added_one_is_named(path: Path, raw: sqlite3.Connection) -> None:
    raw.execute("CREATE TRIGGER quiet BEFORE INSERT ON entry BEGIN SELECT RAISE(IGNORE); END")
    wrong(path, "('quiet')")
    raw.execute("DROP TRIGGER quiet")
    raw.execute("DROP TRIGGER entry_never_changed")
    raw.execute("CREATE TRIGGER entry_never_changed BEFORE UPDATE OF seq ON entry BEGIN SELECT 1; END")
    wrong(path, "('entry_never_changed')")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("UPDATE entry SET body = replace(body, 'note 4', 'note 5') WHERE seq = 5", "entry 5 was changed"),
        ("UPDATE entry SET hash = zeroblob(32) WHERE seq = 5", "entry 5 was changed"),
        ("UPDATE entry SET prev = zeroblob(32) WHERE seq = 5", "entry 5 does not follow from entry 4"),
        ("UPDATE entry SET body = CAST(x'ff' AS TEXT) WHERE seq = 5", "entry 5 was changed"),
        ("UPDATE entry SET body = body || char(0) WHERE seq = 5", "entry 5 was changed"),
        ("DELETE FROM entry WHERE seq = 5", "entry 5 is missing"),
        ("DELETE FROM entry WHERE seq = 1", "entry 1 is missing"),
        ("DELETE FROM entry WHERE seq > 1 AND seq < 12", "entry 2 is missing"),
        ("UPDATE entry SET seq = -seq WHERE seq = 12; UPDATE entry SET seq = 12 WHERE seq = 11", "entry 11"),
        ("UPDATE attachment SET content = x'00'", f"SHA-256 {digest(STATION_FILE)} was changed"),
        ("UPDATE attachment SET sha256 = replace(sha256, '1', '2')", "was changed after it was attached"),
    ],
)
def test_a_change_behind_the_guards_is_found_and_named(path: Path, change: str, words: str) -> None:
    with Unguarded(path) as connection:
        connection.executescript(change)
    wrong(path, words)


def test_two_entries_swapped_are_found(path: Path) -> None:
    with Unguarded(path) as connection:
        connection.executescript(
            "UPDATE entry SET seq = 99 WHERE seq = 5; UPDATE entry SET seq = 5 WHERE seq = 6;"
            "UPDATE entry SET seq = 6 WHERE seq = 99"
        )
    wrong(path, "entry 5 does not follow from entry 4")


def test_an_entry_made_anew_with_a_right_hash_breaks_the_next(path: Path) -> None:
    body = note("nothing happened").model_dump_json(exclude_none=True)
    with Unguarded(path) as connection:
        last = connection.execute("SELECT hash FROM entry WHERE seq = 4").fetchone()[0]
        connection.execute(
            "UPDATE entry SET body = ?, hash = ? WHERE seq = 5", (body, link(last, body_digest(body)))
        )
    wrong(path, "entry 6 does not follow from entry 5")


def rechained(path: Path, change: str) -> None:
    """Change entries and make the whole chain anew, as only somebody with this very program could."""
    with Unguarded(path) as connection:
        connection.executescript(change)
        bodies = connection.execute("SELECT seq, body FROM entry ORDER BY seq").fetchall()
        connection.execute("DELETE FROM entry")
        last = GENESIS
        for seq, (_, body) in enumerate(bodies, start=1):
            row = (seq, body, last, link(last, body_digest(body)))
            connection.execute("INSERT INTO entry VALUES (?, ?, ?, ?)", row)
            last = row[3]


def test_a_chain_made_anew_shows_by_its_head_alone(path: Path) -> None:
    """Why the head stands in every signed record: the file alone cannot tell."""
    before = check(path)
    rechained(path, "UPDATE entry SET body = replace(body, 'note 4', 'all well') WHERE seq = 5")
    after = check(path)
    assert (after.entries, after.head != before.head) == (before.entries, True)


def test_a_beginning_cut_off_is_named(path: Path) -> None:
    rechained(path, "DELETE FROM entry WHERE seq = 1")
    with pytest.raises(JournalError, match=r"entry 1 is note.made and not operation.opened"):
        check(path)


def test_an_entry_doubled_is_named(path: Path) -> None:
    rechained(path, "INSERT INTO entry SELECT 13, body, prev, hash FROM entry WHERE seq = 5")
    with pytest.raises(JournalError, match="entry 13 is entry 5 once more"):
        check(path)


def outcome(path: Path) -> tuple[Report, list[str]] | None:
    """Return what the file gives as sound, None when it is refused in the station's own words."""
    try:
        return check(path), read(path)
    except StationError as error:
        words = str(error)
    assert words.startswith(str(path))
    assert words.isprintable()
    return None


@pytest.mark.parametrize("flips", FLIPS)
def test_no_changed_byte_changes_what_is_read(path: Path, flips: int) -> None:
    """Either the file is refused, or the byte was one that holds nothing of the journal."""
    sound, whole = outcome(path), path.read_bytes()
    chosen = Random(1903)  # noqa: S311 - a kept seed
    refused = 0
    for place in [*range(100), *(chosen.randrange(100, len(whole)) for _ in range(flips))]:
        changed = bytearray(whole)
        changed[place] ^= 1 << chosen.randrange(8)
        path.write_bytes(changed)
        found = outcome(path)
        refused += found is None
        assert found in (None, sound), f"byte {place}"
    assert refused > flips // 10
    path.write_bytes(whole)
    assert outcome(path) == sound


def test_every_changed_byte_of_an_entry_is_found(path: Path) -> None:
    """Each byte of a body, of its digest chain and of the attachment, one bit at a time."""
    whole = path.read_bytes()
    with closing(SqliteJournal.open(path)) as journal:
        entry = journal.read()[4]
    pieces = (entry.body.encode(), entry.hash, STATION_FILE, digest(STATION_FILE).encode())
    chosen = Random(1903)  # noqa: S311 - a kept seed
    for piece in pieces:
        start = whole.index(piece)
        for place in range(start, start + len(piece)):
            changed = bytearray(whole)
            changed[place] ^= 1 << chosen.randrange(8)
            path.write_bytes(changed)
            with pytest.raises(JournalError):
                check(path)


def test_a_file_cut_short_is_refused(path: Path) -> None:
    """At every 128th byte: refused, by the check and by the next seat that reads."""
    whole = path.read_bytes()
    for length in range(0, len(whole), 128):
        path.write_bytes(whole[:length])
        for attempt in (lambda: check(path), lambda: read(path)):
            with pytest.raises(JournalError):
                attempt()


@given(st.binary(max_size=64), st.floats(0, 1, exclude_max=True))
@settings(
    derandomize=True,
    deadline=None,
    max_examples=150,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_no_bytes_written_over_it_bring_anything_but_a_sentence(
    path: Path, noise: bytes, where: float
) -> None:
    whole = path.read_bytes()
    place = int(where * len(whole))
    try:
        sound = outcome(path)
        path.write_bytes(whole[:place] + noise + whole[place + len(noise) :])
        assert outcome(path) in (None, sound)
    finally:
        path.write_bytes(whole)
