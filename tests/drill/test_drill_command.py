"""`station drill` from the command line to the signed record, and every way in which it may end otherwise."""

import io
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import station.console.run
from station.commands.drill import PROGRAM, scenario_path
from station.console.drill import DrillControl
from station.errors import StorageError
from station.events import OperationOpened
from station.folder import Folder
from station.journal.store import SqliteJournal
from station.operation import setup_of
from station.record import signers
from station.record.content import CONTENT_CHECKS
from station.record.document import build
from station.record.signed import split
from station.record.verify import verify_file
from station.shipped import shipped
from station.watch import Watch

if TYPE_CHECKING:
    from tests.drill.conftest import Ran, Runner

SURVEY = "gate-survey.toml"
LOOK_OVER = "rack-look-over.toml"


def sound(record: Path) -> bool:
    listed = signers.load(record.parent.parent / "allowed_signers")
    return verify_file(record, listed, CONTENT_CHECKS).sound


def test_the_shipped_drill_ends_with_a_sound_record_of_a_drill(shipped_drill: "Ran") -> None:
    """With no scenario named: figures worked out by hand from USN Rev 7, Table 9-9, in the scenario."""
    ran = shipped_drill
    assert (ran.code, ran.err) == (0, "")
    assert sound(ran.record)
    for line in (
        "  bottom time          34 min",
        "  schedule             110/35",
        "  stops                20 fsw 27 min, as the table prints them",
        "  owed                 20 fsw 27 min",
        "  group                M",
        "  total decompression  30:40",
        "  deviations           0",
        f"Record of lane 1: {ran.record}",
        f"{ran.record.name} (DRILL): sound",
        "The drill ended as its scenario says it must.",
    ):
        assert line in ran.out.splitlines()


def test_the_account_is_in_the_trades_words(shipped_drill: "Ran") -> None:
    out = shipped_drill.out
    assert out.startswith("DRILL: Gate survey, Ossary Dam\n")
    assert (
        "\nEverything is looked at.\n06:35:08  Rua Kessing      lane 1: passed Dress: fabric all over\n"
        in out
    )
    assert "refused: Weighted belt on: waiting for nuts not yet tried: 1, 2, 3" in out
    assert "refused: Faceplate closed: waiting for Diver reports ready: not yet done" in out
    assert "07:30:00  Tam Belcourt     lane 1: left surface\n" in out
    account = out[: out.index("Record of lane 1")]
    assert max(map(len, account.splitlines())) <= 100


@pytest.mark.openssh
@pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="ssh-keygen is not installed")
def test_the_line_printed_verifies_the_record_by_openssh_alone(shipped_drill: "Ran") -> None:
    (line,) = [line.strip() for line in shipped_drill.out.splitlines() if "ssh-keygen -Y verify" in line]
    done = subprocess.run(["sh", "-c", line], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith('Good "dive-records@station.example" signature for ines-oyelaran:')
    sound_bytes = shipped_drill.record.read_bytes()
    try:
        shipped_drill.record.write_bytes(sound_bytes.replace(b"minutes = 27", b"minutes = 26", 1))
        assert subprocess.run(["sh", "-c", line], capture_output=True, check=False).returncode != 0
    finally:
        shipped_drill.record.write_bytes(sound_bytes)


def test_the_record_is_built_again_from_the_drills_own_journal_byte_for_byte(shipped_drill: "Ran") -> None:
    """With the rules that are attached to the journal, not those on the disk."""
    journal = SqliteJournal.open(shipped_drill.journal)
    entries = journal.read()
    opened = entries[0].event
    assert isinstance(opened, OperationOpened)
    again = build(entries, 1, setup_of(journal, opened, shipped_drill.journal))
    assert split(shipped_drill.record.read_bytes()).body == again + b"\n"
    scenario = next(use for use in opened.files if use.role == "scenario")
    assert (scenario.name, opened.program) == (SURVEY, PROGRAM)
    shipped_scenario = shipped("demo") / "ossary-dam" / SURVEY
    assert journal.attachment(scenario.sha256) == shipped_scenario.read_bytes()
    journal.close()


def test_without_a_terminal_it_plays_without_a_screen_in_a_folder_of_its_own_each_time(
    drill: "Runner",
) -> None:
    first = drill(LOOK_OVER)
    drill.options = ()
    second = drill(LOOK_OVER)
    assert (first.code, second.code) == (0, 0)
    records = sorted(first.folder.rglob("records/*.toml"))
    assert [sound(path) for path in records] == [True, True]
    assert "  schedule             60/63" in first.out, "group H, within 63 min: USN Rev 7, Table 9-7"
    assert "  stops                no stops" in first.out
    assert len(list((first.folder / "drills").iterdir())) == 2
    assert [path.name for path in first.folder.iterdir()] == ["drills"]


def test_a_figure_that_differs_ends_it_with_each_difference(drill: "Runner") -> None:
    ran = drill(
        SURVEY,
        ('group = "M"', 'group = "L"'),
        ("bottom_time_min = 34", "bottom_time_min = 33\ndeviations = 1"),
    )
    assert ran.code == 10
    why = "worked out by hand: 107 fsw corrected goes to 110"
    assert "station: drill: the drill did not end as " in ran.err
    assert f"\n  lane 1: bottom time: expected 33 min, found 34 min ({why}" in ran.err
    assert f"\n  lane 1: group: expected L, found M ({why}" in ran.err
    assert f"\n  lane 1: deviations: expected 1, found 0 ({why}" in ran.err
    assert "schedule: expected" not in ran.err
    assert sound(ran.record), "the record is signed all the same, and can be read"


def test_a_dive_that_is_expected_and_was_not_made_is_a_difference(drill: "Runner") -> None:
    ran = drill(LOOK_OVER, (r"\[\[expected\]\]\nlane = 1", "[[expected]]\nlane = 2"))
    assert ran.code == 10
    assert "lane 2: schedule: expected 60/63, found no such dive" in ran.err


def test_an_entry_that_must_be_refused_and_is_not_ends_it_with_file_key_and_reason(drill: "Runner") -> None:
    ran = drill(LOOK_OVER, (r'(fields = \{ mark = "left_surface" \})', r'\1\nrefused = "not yet"'))
    assert ran.code == 3
    assert ran.err.startswith(f"station: file: {ran.folder.parent / LOOK_OVER}: line[")
    assert "].refused: was taken, but must be refused with 'not yet'" in ran.err
    assert ran.journal.exists()


def test_an_entry_that_is_refused_and_must_not_be_ends_it_with_the_reason(drill: "Runner") -> None:
    ran = drill(LOOK_OVER, (r'refused = "Diver reports ready"\n', ""))
    assert ran.code == 3
    assert "refused: Faceplate closed: waiting for Diver reports ready: not yet done" in ran.err


def test_a_record_that_not_all_have_signed_is_not_sound(drill: "Runner") -> None:
    ran = drill(LOOK_OVER, (r'\[\[signature\]\]\nlane = 1\nby = "ines-oyelaran"\nrole = "supervisor"\n', ""))
    assert ran.code == 6
    assert "is not sound: it is not yet signed by: supervisor" in ran.err


def test_a_signature_in_a_role_not_held_is_refused(drill: "Runner") -> None:
    ran = drill(LOOK_OVER, ('role = "timekeeper"', 'role = "diver"'))
    assert ran.code == 5
    assert "Tam Belcourt is not diver at this station" in ran.err


def test_a_lane_left_open_has_no_record_and_what_it_came_to_is_said(drill: "Runner") -> None:
    """The scenario ends before the closing."""
    ran = drill(LOOK_OVER, (r'\[\[line\]\]\nafter = "8:00"\n(.*\n)*', ""))
    assert ran.code == 10
    assert "\n  lane 1: not closed, so it has no record\n" in ran.err
    assert list(ran.folder.rglob("records/*.toml")) == []


@pytest.mark.parametrize("speed", ["0", "nan", "inf", "121"])
def test_a_speed_at_which_nothing_can_be_played_is_refused(speed: str, drill: "Runner") -> None:
    drill.options = ("--no-screen", "--speed", speed)
    ran = drill(LOOK_OVER)
    assert (ran.code, ran.out) == (2, "")
    assert "--speed is how many drill seconds pass in a second" in ran.err
    assert not ran.folder.exists()


def test_a_scenario_with_a_mistake_begins_nothing(drill: "Runner") -> None:
    ran = drill(LOOK_OVER, ('play = "pieces"', 'play = "peices"'))
    assert (ran.code, ran.out) == (3, "")
    assert "line[10].play" in ran.err
    assert not ran.folder.exists()


def test_a_folder_that_cannot_be_written_is_a_storage_error(drill: "Runner", tmp_path: Path) -> None:
    (tmp_path / "station").write_text("a file")
    assert drill(LOOK_OVER).code == StorageError.exit_code


class Screen(io.StringIO):
    """A stream that takes itself for a terminal."""

    def isatty(self) -> bool:
        return True


Console = Callable[[Watch, Folder, DrillControl], int]


@pytest.fixture
def on_screen(drill: "Runner", monkeypatch: pytest.MonkeyPatch) -> Callable[[Console], "Ran"]:
    """Run a drill as at a terminal, with a stand-in for the console."""

    def run(console: Console) -> "Ran":
        def run_console(watch: Watch, folder: Folder, drill: DrillControl) -> int:
            return console(watch, folder, drill)

        monkeypatch.setattr(station.console.run, "run_console", run_console)
        monkeypatch.setattr("sys.stdin", Screen())
        drill.options, drill.out = ("--speed", "120"), Screen
        return drill(LOOK_OVER)

    return run


def play_out(control: DrillControl) -> None:
    while not control.player.finished:
        control.step()


def test_on_a_screen_the_script_played_out_ends_like_one_without(
    on_screen: Callable[[Console], "Ran"],
) -> None:
    def console(_watch: Watch, _folder: Folder, control: DrillControl) -> int:
        assert control.clock.rate == 0, "it stands still until the notice on the screen is read"
        control.begin()
        assert control.clock.rate == 120
        play_out(control)
        assert control.finish is not None
        assert any("sound" in line for line in control.finish())
        return 0

    ran = on_screen(console)
    assert ran.code == 0
    assert sound(ran.record)
    assert "The drill ended as its scenario says it must." in ran.out


def test_on_a_screen_left_before_the_end_says_what_was_left(on_screen: Callable[[Console], "Ran"]) -> None:
    def console(_watch: Watch, _folder: Folder, control: DrillControl) -> int:
        for _ in range(9):
            control.step()
        return 0

    ran = on_screen(console)
    assert ran.code == 0
    assert "The drill was left before its script was played out" in ran.out
    assert "Next in the script: line 10, 11:42:00." in ran.out
    assert "Not closed, so without a record: lane 1." in ran.out
    assert list(ran.folder.rglob("records/*.toml")) == []


def test_on_a_screen_a_script_that_went_wrong_ends_with_its_reason(
    on_screen: Callable[[Console], "Ran"],
) -> None:
    def console(_watch: Watch, _folder: Folder, control: DrillControl) -> int:
        control.stopped = StorageError("no space left")
        return 0

    ran = on_screen(console)
    assert (ran.code, ran.err) == (8, "station: storage: no space left\n")


def test_a_console_that_failed_ends_with_its_code(on_screen: Callable[[Console], "Ran"]) -> None:
    assert on_screen(lambda _watch, _folder, _control: 1).code == 1


@pytest.mark.parametrize(
    "named", ["ossary-dam/rack-look-over.toml", "ossary-dam/rack-look-over", "rack-look-over", LOOK_OVER]
)
def test_a_shipped_drill_is_found_by_its_name_from_any_folder(
    named: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert scenario_path(named) == shipped("demo") / "ossary-dam" / LOOK_OVER
    own = tmp_path / "own.toml"
    own.write_text("", encoding="utf-8")
    assert scenario_path("own.toml") == Path("own.toml")
    assert scenario_path("nowhere.toml") == Path("nowhere.toml")
