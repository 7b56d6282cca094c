"""The command `station drill`, run in this process on a folder of its own."""

import io
import re
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import pytest

from station.cli import main
from station.shipped import shipped

DEMO = shipped("demo") / "ossary-dam"


@dataclass
class Ran:
    """What a command came to."""

    code: int
    out: str
    err: str
    folder: Path

    @property
    def record(self) -> Path:
        """Return the one record that was written."""
        (found,) = self.folder.rglob("records/*.toml")
        return found

    @property
    def journal(self) -> Path:
        """Return the one journal that was written."""
        (found,) = self.folder.rglob("*.journal")
        return found


@dataclass
class Runner:
    """Runs drills of shipped scenarios as they are, or with words replaced."""

    tmp: Path
    options: tuple[str, ...] = ("--no-screen",)
    out: type[io.StringIO] = io.StringIO

    def __call__(self, name: str = "", *swaps: tuple[str, str]) -> Ran:
        return self._run([str(self.written(name, *swaps))] if name else [])

    def at(self, path: Path) -> Ran:
        """Return what a drill of the scenario at a path came to, played from where it stands."""
        return self._run([str(path)])

    def _run(self, scenario: list[str]) -> Ran:
        folder = self.tmp / "station"
        out, err = self.out(), io.StringIO()
        with redirect_stdout(out), redirect_stderr(err):
            code = main(["drill", *scenario, *self.options, "--folder", str(folder)])
        return Ran(code, out.getvalue(), err.getvalue(), folder)

    def written(self, name: str, *swaps: tuple[str, str]) -> Path:
        """Return the path of a scenario with words replaced by pattern, once each."""
        text = (DEMO / name).read_text(encoding="utf-8")
        for old, new in swaps:
            text, count = re.subn(old, new, text, count=1)
            assert count == 1, old
        (self.tmp / "station.toml").write_bytes((DEMO / "station.toml").read_bytes())
        (self.tmp / name).write_text(text, encoding="utf-8")
        return self.tmp / name


@pytest.fixture
def drill(tmp_path: Path) -> Runner:
    return Runner(tmp_path)


@pytest.fixture(scope="session")
def shipped_drill(tmp_path_factory: pytest.TempPathFactory) -> Ran:
    """The shipped drill with no scenario named, run once; not to be written to."""
    return Runner(tmp_path_factory.mktemp("shipped"))()
