"""The words of the command, its help, and how every error comes out: one sentence and an exit code."""

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from station import __version__
from station.cli import main, parser
from station.commands import plan
from station.commands.words import COMMANDS, EPILOG
from station.console.app import ENDING
from station.errors import FileError, Refusal, StationError

if TYPE_CHECKING:
    from tests.commands.conftest import Ran

Run = Callable[..., "Ran"]
HEAVY = ("textual", "rich", "pint", "pydantic", "cryptography", "sqlite3", "platformdirs")


def every_error(kind: type[StationError] = StationError) -> list[type[StationError]]:
    return [kind, *(below for child in kind.__subclasses__() for below in every_error(child))]


class TestHelp:
    @pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command[0])
    def test_every_command_says_what_it_does_with_examples(
        self, run: Run, command: tuple[str, str, str, str, object]
    ) -> None:
        words, _, summary, examples, _ = command
        ran = run(*words.split(), "--help")
        assert ran.code == 0
        assert summary[1:] in " ".join(ran.out.split())
        assert "examples:" in ran.out
        assert examples.split("\n", maxsplit=1)[0] in ran.out
        assert "exit codes: see 'station --help'" in ran.out

    @pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command[0])
    def test_every_example_is_one_the_parser_takes(self, command: tuple[str, str, str, str, object]) -> None:
        words, target, _, examples, _ = command
        for example in examples.split("\n"):
            program, *rest = shlex.split(example)
            assert program == "station"
            assert rest[: len(words.split())] == words.split()
            assert parser().parse_args(rest).target == target

    def test_every_file_an_example_names_in_the_demo_is_there(self) -> None:
        named = re.findall(r"\bdemo/\S+", " ".join(command[3] for command in COMMANDS))
        assert named
        for name in named:
            assert (Path(__file__).parents[2] / name).is_file(), name

    def test_every_exit_code_is_told(self, run: Run) -> None:
        told = {int(code) for code in re.findall(r"\b(\d+) [a-z]", EPILOG)}
        assert told == {0} | {128 + number for number in ENDING} | {kind.exit_code for kind in every_error()}
        ran = run("--help")
        assert (ran.code, EPILOG in ran.out) == (0, True)
        for words in COMMANDS:
            assert words[0].split()[0] in ran.out

    def test_help_comes_without_what_the_commands_need(self, process: Run) -> None:
        for words in ("--help", "--version", "plan --help"):
            code = (
                "import sys\nfrom station.cli import main\ntry:\n    main(sys.argv[1:])\n"
                f"except SystemExit:\n    print('LOADED', sorted(set(sys.modules) & set({HEAVY!r})))"
            )
            ran = process(code=code.replace("sys.argv[1:]", repr(words.split())))
            assert ran.out.endswith("LOADED []\n"), words

    def test_version(self, run: Run) -> None:
        assert run("--version").out == f"station {__version__}\n"

    def test_runs_as_a_module(self, process: Run) -> None:
        ran = process("--version")
        assert (ran.code, ran.out) == (0, f"station {__version__}\n")


class TestWrongWords:
    @pytest.mark.parametrize(
        ("words", "said"),
        [
            ("", "the following arguments are required: COMMAND"),
            ("swim", "invalid choice: 'swim'"),
            ("tables", "the following arguments are required: COMMAND"),
            ("tables verify", "invalid choice: 'verify'"),
            ("plan 60", "the following arguments are required: time"),
            ("plan 60 20 30", "unrecognized arguments: 30"),
            ("plan 60 20 --fast", "unrecognized arguments: --fast"),
            ("drill --speed quick", "argument --speed: invalid float value: 'quick'"),
            ("key new mara", "the following arguments are required: --role"),
            ("key new mara --role cook", "invalid choice: 'cook'"),
            ("record verify", "the following arguments are required: files"),
            ("journal check", "the following arguments are required: file"),
        ],
    )
    def test_end_with_2(self, run: Run, words: str, said: str) -> None:
        ran = run(*words.split())
        assert (ran.code, ran.out) == (2, "")
        assert said in ran.err

    @pytest.mark.parametrize(
        "words", ["plan -3 20", "plan 60 -5", "plan -3fsw 20", "plan -.5 20", "drill --speed -3"]
    )
    def test_a_figure_below_zero_is_told_as_one(self, run: Run, words: str) -> None:
        ran = run(*words.split())
        assert ran.code == 2
        assert re.fullmatch(r"station: command: '-[^']*' is below zero: no depth, .*\n", ran.err)


class TestErrors:
    """`plan` stands for any command here."""

    def fail(self, monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
        def failing(_options: object) -> int:
            raise error

        monkeypatch.setattr(plan, "run", failing)

    @pytest.mark.parametrize("kind", every_error(), ids=lambda kind: kind.__name__)
    def test_each_ends_with_its_code_and_one_sentence(
        self, run: Run, monkeypatch: pytest.MonkeyPatch, kind: type[StationError]
    ) -> None:
        error = FileError("x.toml", [("", "it is so")]) if kind is FileError else kind("it is so")
        self.fail(monkeypatch, error)
        ran = run("plan", "1", "1")
        assert (ran.code, ran.out) == (kind.exit_code, "")
        assert ran.err == f"station: {kind.title.lower()}: {error.message}\n"

    def test_a_refusal_lists_what_is_missing(self, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
        self.fail(monkeypatch, Refusal("still open:", ["nut 3", "nut 7"]))
        assert run("plan", "1", "1").err == "station: refused: still open:\n  - nut 3\n  - nut 7\n"

    def test_an_unforeseen_one_is_one_sentence_too(self, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
        self.fail(monkeypatch, ZeroDivisionError("division by zero"))
        ran = run("plan", "1", "1")
        assert (ran.code, ran.out) == (1, "")
        assert ran.err.startswith("station: unforeseen fault: ZeroDivisionError: division by zero\n")
        assert "Traceback" not in ran.err

    def test_and_can_be_looked_into(self, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
        self.fail(monkeypatch, ZeroDivisionError("division by zero"))
        monkeypatch.setenv("STATION_TRACEBACK", "1")
        with pytest.raises(ZeroDivisionError):
            run("plan", "1", "1")

    def test_an_interrupt_ends_with_130(self, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
        self.fail(monkeypatch, KeyboardInterrupt())
        ran = run("plan", "1", "1")
        assert (ran.code, ran.err) == (130, "station: interrupted\n")

    def test_a_fault_of_the_disk_is_one_of_storage(self, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
        self.fail(monkeypatch, PermissionError(13, "Permission denied", "/srv/x"))
        ran = run("plan", "1", "1")
        assert (ran.code, ran.err) == (8, "station: storage: /srv/x: Permission denied\n")


class TestOutput:
    @pytest.mark.parametrize("unbuffered", ["", "1"])
    @pytest.mark.parametrize("words", ["--help", "tables check"])
    def test_a_reader_that_has_gone_is_no_fault(self, unbuffered: str, words: str) -> None:
        read, write = os.pipe()
        os.close(read)
        try:
            done = subprocess.run(
                [sys.executable, "-m", "station", *words.split()],
                stdout=write,
                stderr=subprocess.PIPE,
                env={**os.environ, "PYTHONUNBUFFERED": unbuffered},
                check=False,
            )
        finally:
            os.close(write)
        assert (done.returncode, done.stderr) == (0, b"")

    @pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a disk that is always full: /dev/full")
    @pytest.mark.parametrize("unbuffered", ["", "1"])
    def test_a_full_disk_under_the_output_is_told(self, unbuffered: str) -> None:
        with Path("/dev/full").open("wb") as full:
            done = subprocess.run(
                [sys.executable, "-m", "station", "plan", "79", "33"],
                stdout=full,
                stderr=subprocess.PIPE,
                env={**os.environ, "PYTHONUNBUFFERED": unbuffered},
                check=False,
            )
        said = b"station: storage: the output: No space left on device\n"
        assert (done.returncode, done.stderr) == (8, said)

    def test_a_letter_the_terminal_cannot_show_does_not_end_the_command(self, tmp_path: Path) -> None:
        (tmp_path / "süd.toml").write_text("x")
        done = subprocess.run(
            [sys.executable, "-m", "station", "config", "check", "süd.toml"],
            capture_output=True,
            env={**os.environ, "PYTHONIOENCODING": "ascii"},
            cwd=tmp_path,
            check=False,
        )
        assert done.returncode == 3
        assert rb"s\xfcd.toml" in done.stderr


def test_without_words_given_those_of_the_process_are_taken(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["station", "plan", "60", "20"])
    assert main() == 0
    assert "60/63" in capsys.readouterr().out
