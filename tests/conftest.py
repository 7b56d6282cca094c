"""What every test shares: no settings of the person at the keyboard, no silent skips where none may be.

The shipped drills are played by `station drill` once in a run of the tests, by whichever process asks first.
"""

import fcntl
import gc
import io
import json
import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import closing, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.serialization import Encoding, PrivateFormat

from station.board.fold import fold
from station.board.state import Board
from station.cli import main
from station.drill.scenario import load_scenario
from station.journal.interface import Entry
from station.journal.memory import MemoryJournal
from station.journal.store import SqliteJournal
from station.record import keys
from station.setup import Setup, load_setup
from station.shipped import shipped

for _name in ("STATION_FOLDER", "NO_COLOR", "SSH_AUTH_SOCK", "STATION_TRACEBACK"):
    os.environ.pop(_name, None)
os.environ["TEXTUAL_ANIMATIONS"] = "none"

MEMORY = Path("/dev/shm")  # noqa: S108 - no name is guessed below it: pytest makes a folder for its user alone
MEMORY_BYTES = 2**30


def in_memory() -> bool:
    """Whether files that only pass through a test may stand in memory.

    Every entry of a journal waits for the disk, which takes a shared one most of the time of a test. What a
    test can break is a process, never the power: it finds the same there.
    """
    return (
        MEMORY.is_dir()
        and os.access(MEMORY, os.W_OK)
        and not os.statvfs(MEMORY).f_flag & os.ST_NOEXEC
        and shutil.disk_usage(MEMORY).free >= MEMORY_BYTES
    )


if in_memory():
    os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))


def pytest_collection_finish() -> None:
    """Spare every later look for garbage all that was loaded, which was a fifth of a test of the screen."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item):  # type: ignore[no-untyped-def]  # noqa: ANN201
    """With STATION_NO_SKIPS set, a skipped test is a failed one: nothing may be left untried there."""
    report = yield
    if report.skipped and os.environ.get("STATION_NO_SKIPS") and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid} was skipped where no test may be: {report.longrepr}"
    return report


@pytest.fixture(scope="session", autouse=True)
def _keys_cheap_to_open() -> Iterator[None]:
    """Lock the keys that tests make by one round of derivation, not sixteen, which take a tenth of a second.

    The tests of key files make some as they are made for people.
    """

    def locked(key: keys.SigningKey, passphrase: str) -> bytes:
        cheap = PrivateFormat.OpenSSH.encryption_builder().kdf_rounds(1).build(passphrase.encode())
        return key.private.private_bytes(Encoding.PEM, PrivateFormat.OpenSSH, cheap)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(keys, "_locked", locked)
        yield


@dataclass(frozen=True)
class PlayedDrill:
    """What `station drill --no-screen` of a shipped scenario came to; its folder is not to be written to."""

    code: int
    out: str
    err: str
    folder: Path
    scenario: Path

    @cached_property
    def records(self) -> list[Path]:
        """Return the signed records."""
        return sorted(self.folder.rglob("records/*.toml"))

    @cached_property
    def entries(self) -> list[Entry]:
        """Return the whole journal."""
        (path,) = self.folder.rglob("*.journal")
        with closing(SqliteJournal.open(path, read_only=True)) as journal:
            return journal.read()

    @property
    def setup(self) -> Setup:
        """Return the setup of the scenario's station."""
        return shipped_setup(load_scenario(self.scenario).station_path)

    @cached_property
    def board(self) -> Board:
        """Return the board at the end."""
        return fold(self.setup, [entry.event for entry in self.entries])

    def without_alarms(self) -> list[Entry]:
        """Return the journal as if nobody had noted an alarm, up to the first record."""
        journal = MemoryJournal()
        for entry in self.entries:
            if not entry.event.kind.startswith(("alarm.", "record.")):
                journal.append(entry.event, journal.head()[0])
        return journal.read()


@cache
def shipped_setup(station: Path) -> Setup:
    return load_setup(station)


@dataclass(frozen=True)
class OwnAgent:
    """An ssh-agent of a test's own, found by the path of its socket."""

    socket: str

    def add(self, key: Path, passphrase: str) -> None:
        """Let it hold a copy of a key file."""
        plain = Path(self.socket).with_name(key.name)
        shutil.copy(key, plain)
        plain.chmod(0o600)
        subprocess.run(
            ["ssh-keygen", "-q", "-p", "-P", passphrase, "-N", "", "-f", plain],
            check=True,
            capture_output=True,
        )
        subprocess.run(["ssh-add", "-q", plain], check=True, env=os.environ | {"SSH_AUTH_SOCK": self.socket})


@pytest.fixture
def own_agent(tmp_path_factory: pytest.TempPathFactory) -> Iterator[OwnAgent]:
    """An agent that holds nothing yet, ended with the test."""
    path = str(tmp_path_factory.mktemp("agent") / "socket")
    process = subprocess.Popen(["ssh-agent", "-D", "-a", path], stdout=subprocess.PIPE)
    assert process.stdout is not None
    process.stdout.readline()  # it listens once it has said where
    yield OwnAgent(path)
    process.terminate()
    process.wait(timeout=10)
    process.stdout.close()


PlayedDrills = Callable[[str], PlayedDrill]


@pytest.fixture(scope="session")
def played_drills(tmp_path_factory: pytest.TempPathFactory) -> PlayedDrills:
    """Return a shipped drill played to its end, by its name below `demo`, such as `ossary-dam/early`."""
    base = tmp_path_factory.getbasetemp()
    shared = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "played-drills"
    shared.mkdir(exist_ok=True)

    @cache
    def played(name: str) -> PlayedDrill:
        folder, scenario = shared / name.replace("/", "-"), shipped("demo") / f"{name}.toml"
        told = folder.with_suffix(".json")
        with folder.with_suffix(".lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not told.exists():
                out, err = io.StringIO(), io.StringIO()
                with redirect_stdout(out), redirect_stderr(err):
                    code = main(["drill", str(scenario), "--no-screen", "--folder", str(folder)])
                told.write_text(json.dumps([code, out.getvalue(), err.getvalue()]), encoding="utf-8")
        code, printed, complained = json.loads(told.read_text(encoding="utf-8"))
        return PlayedDrill(code, printed, complained, folder, scenario)

    return played
