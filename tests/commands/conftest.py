"""Running the command in this process, or in one of its own."""

import io
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from station.cli import main


@dataclass(frozen=True)
class Ran:
    """What a command printed and how it ended."""

    code: int
    out: str
    err: str


class Typed(io.StringIO):
    """A standard input that is no terminal."""

    def isatty(self) -> bool:
        return False


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., Ran]:
    """Return what runs a command in this process, with words on its standard input."""

    def ran(*words: str, typed: str = "") -> Ran:
        monkeypatch.setattr(sys, "stdin", Typed(typed))
        try:
            code = main(words)
        except SystemExit as ended:
            code = int(ended.code or 0)
        said = capsys.readouterr()
        return Ran(code, said.out, said.err)

    return ran


@pytest.fixture
def process(tmp_path: Path) -> Callable[..., Ran]:
    """Return what runs `python -m station` in an empty folder."""

    def ran(*words: str, code: str = "") -> Ran:
        command = [sys.executable, "-c", code] if code else [sys.executable, "-m", "station", *words]
        done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=tmp_path)
        return Ran(done.returncode, done.stdout, done.stderr)

    return ran
