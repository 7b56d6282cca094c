"""Records signed away from the console, by key file or agent; and the journal told after."""

import shutil
import socket
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from station.closeout import (
    enter_signatures,
    file_key,
    held_key,
    make_key,
    sign_record,
    verdict_on,
    write_record,
)
from station.errors import AgentError, AgentSilent, RecordError
from station.events import RecordSigned, Role
from station.folder import Folder
from station.record import agent, signers
from station.record.declare import agent_key
from station.record.document import build
from station.record.verify import Status

if TYPE_CHECKING:
    from tests.conftest import OwnAgent
    from tests.record_document.conftest import Begin, Drill, Say

SECRET = "correct horse"
PEOPLE: tuple[tuple[str, Role], ...] = (
    ("tam-belcourt", "timekeeper"),
    ("ines-oyelaran", "supervisor"),
    ("jona-strand", "diver"),
)
LATER = datetime(2031, 5, 6, 8, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path: Path, keyed: Folder) -> Folder:
    return Folder(shutil.copytree(keyed.path, tmp_path / "station"))


@pytest.fixture
def closed(surveyed: "Drill") -> "Drill":
    return surveyed.play()


@pytest.fixture
def record(closed: "Drill", folder: Folder) -> Path:
    return write_record(closed.watch, 1, folder)


def sign_all(drill: "Drill", path: Path, folder: Folder) -> None:
    for person, role in PEOPLE[:2]:
        sign_record(drill.watch, 1, path, folder, person, role, file_key(folder, person, SECRET))


def entered(drill: "Drill") -> list[tuple[str, str, int | None]]:
    events = [entry.event for entry in drill.watch.entries]
    return [(one.person, one.role, one.addenda) for one in events if isinstance(one, RecordSigned)]


class TestSigning:
    def test_a_record_signed_by_command_is_sound_and_the_journal_is_told_when_it_is_seen(
        self, closed: "Drill", record: Path, folder: Folder, say: "Say"
    ) -> None:
        for (person, role), count in zip(PEOPLE[1::-1], (1, 2), strict=True):
            code, out, err = say("record", "sign", str(record), "--as", f"{person}:{role}")
            assert (code, err) == (0, "")
            assert out.count("on the list") == count
        assert entered(closed) == []
        assert verdict_on(record, folder).sound
        told = enter_signatures(closed.watch, 1, record, folder)
        assert told == ("ines-oyelaran:supervisor", "tam-belcourt:timekeeper")
        assert entered(closed) == [
            ("ines-oyelaran", "supervisor", None),
            ("tam-belcourt", "timekeeper", None),
        ]
        assert write_record(closed.watch, 1, folder) == record

    def test_a_drill_is_dated_by_its_own_clock(self, record: Path, folder: Folder, say: "Say") -> None:
        say("record", "sign", str(record), "--as", "tam-belcourt:timekeeper")
        (one,) = verdict_on(record, folder).signatures
        assert one.statement.at == datetime(2031, 5, 4, 8, 48, 40, tzinfo=UTC)
        assert one.statement.meaning.startswith("DRILL, nobody was in the water: ")
        assert one.statement.name == "Tam Belcourt"

    def test_a_dive_that_was_closed_later_than_now_is_not_signed(
        self, begin: "Begin", folder: Folder, say: "Say"
    ) -> None:
        """The scenario's year has yet to come."""
        drill = begin("gate-survey.toml", drill=False).play()
        path = write_record(drill.watch, 1, folder)
        code, _, err = say("record", "sign", str(path), "--as", "tam-belcourt:timekeeper")
        assert code == RecordError.exit_code
        assert "the dive was closed at 2031-05-04T08:48:40.000Z: set the clock" in err

    @pytest.mark.parametrize(
        ("who", "typed", "code", "said"),
        [
            ("tam-belcourt:supervisor", SECRET, 5, "tam-belcourt is not supervisor in this record"),
            ("nobody:timekeeper", SECRET, 5, "nobody is not timekeeper in this record"),
            ("tam-belcourt:timekeeper", "another", 7, "the passphrase is wrong"),
            ("tam-belcourt", SECRET, 2, "--as 'tam-belcourt' is not PERSON:ROLE"),
            ("tam-belcourt:cook", SECRET, 2, "is not PERSON:ROLE; roles: timekeeper, supervisor"),
            ("rua-kessing:tender", SECRET, 7, "rua-kessing: no such key file"),
        ],
    )
    def test_who_may_not_sign_changes_nothing(  # noqa: PLR0917 - one case
        self, record: Path, say: "Say", who: str, typed: str, code: int, said: str
    ) -> None:
        before = record.read_bytes()
        found, _, err = say("record", "sign", str(record), "--as", who, typed=f"{typed}\n")
        assert (found, record.read_bytes()) == (code, before)
        assert said in err

    def test_nobody_signs_twice_and_no_one_unlisted(self, record: Path, folder: Folder, say: "Say") -> None:
        say("record", "sign", str(record), "--as", "tam-belcourt:timekeeper")
        code, _, err = say("record", "sign", str(record), "--as", "tam-belcourt:timekeeper")
        assert (code, "has signed this record as timekeeper already" in err) == (6, True)
        signers.retire(folder.allowed_signers, "ines-oyelaran", datetime(2031, 5, 1, tzinfo=UTC))
        code, _, err = say("record", "sign", str(record), "--as", "ines-oyelaran:supervisor")
        assert (code, "is not valid after 20310501000000Z, so ines-oyelaran:super" in err) == (7, True)

    def test_an_altered_record_is_not_signed(self, record: Path, say: "Say") -> None:
        record.write_bytes(record.read_bytes().replace(b"bottom_time_min = 34", b"bottom_time_min = 33"))
        code, _, err = say("record", "sign", str(record), "--as", "tam-belcourt:timekeeper")
        assert (code, "the record cannot be signed: its bottom time of 33 min" in err) == (6, True)

    def test_a_signature_of_somebody_who_has_not_that_role_is_not_entered(
        self, closed: "Drill", record: Path, folder: Folder
    ) -> None:
        """The file may hold more than the journal takes: a role that nobody has at this station."""
        from station.record.declare import declaration  # noqa: PLC0415 - only here
        from station.record.signing import sign_file  # noqa: PLC0415 - only here

        made = make_key(folder, "mikko-alder", ("diver",), SECRET)
        said = declaration("mikko-alder", "Mikko Alder", "diver", closed.clock.now(), drill=True)
        sign_file(record, said, file_key(folder, "mikko-alder", SECRET))
        assert verdict_on(record, folder).signatures[0].key == made.blob
        assert enter_signatures(closed.watch, 1, record, folder) == ()


class TestRequired:
    """The station file says who must sign; the diver may where the diver need not."""

    @pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0)])
    def test_the_diver_too_where_the_station_says_so(
        self, closed: "Drill", folder: Folder, say: "Say", order: tuple[int, ...]
    ) -> None:
        setup = closed.watch.board.setup
        signing = setup.station.signing.model_copy(update={"required": tuple(role for _, role in PEOPLE)})
        station = setup.station.model_copy(update={"signing": signing})
        path = folder.records / "x.toml"
        path.write_bytes(build(closed.watch.entries, 1, replace(setup, station=station)))
        for count, number in enumerate(order):
            missing = [role for at, (_, role) in enumerate(PEOPLE) if at not in order[:count]]
            verdict = verdict_on(path, folder)
            assert (verdict.status, list(verdict.missing)) == (Status.UNSIGNED, missing)
            assert verdict.problem == f"it is not yet signed by: {', '.join(missing)}"
            person, role = PEOPLE[number]
            assert say("record", "sign", str(path), "--as", f"{person}:{role}")[0] == 0
        assert verdict_on(path, folder).sound

    def test_the_diver_may_sign_where_it_is_not_asked(
        self, closed: "Drill", record: Path, folder: Folder
    ) -> None:
        key = file_key(folder, "jona-strand", SECRET)
        assert sign_record(closed.watch, 1, record, folder, "jona-strand", "diver", key).missing == (
            "timekeeper",
            "supervisor",
        )
        sign_all(closed, record, folder)
        assert verdict_on(record, folder).sound
        assert [one[1] for one in entered(closed)] == ["diver", "timekeeper", "supervisor"]


@pytest.fixture
def running(own_agent: "OwnAgent", folder: Folder, monkeypatch: pytest.MonkeyPatch) -> str:
    """The path of an ssh-agent that holds the timekeeper's key and is the one in use."""
    monkeypatch.setenv("SSH_AUTH_SOCK", own_agent.socket)
    own_agent.add(folder.keys / "tam-belcourt", SECRET)
    return own_agent.socket


needs_agent = pytest.mark.skipif(shutil.which("ssh-agent") is None, reason="ssh-agent is not installed")


@pytest.mark.openssh
@needs_agent
class TestAgent:
    def test_signs_for_whose_key_it_holds_with_no_passphrase(
        self, closed: "Drill", record: Path, folder: Folder, say: "Say", running: str
    ) -> None:
        assert running
        words = ("record", "sign", str(record), "--agent", "--as")
        assert say(*words, "tam-belcourt:timekeeper", typed="")[0] == 0
        assert verdict_on(record, folder).signatures[0].listed
        code, _, err = say(*words, "ines-oyelaran:supervisor", typed="")
        assert (code, "the ssh-agent does not hold the key that is needed" in err) == (7, True)
        assert enter_signatures(closed.watch, 1, record, folder) == ("tam-belcourt:timekeeper",)

    def test_is_offered_only_while_the_list_lets_the_key_sign(
        self, closed: "Drill", folder: Folder, running: str
    ) -> None:
        now = closed.clock.now()
        held = held_key(folder, "tam-belcourt", "timekeeper", now)
        assert held == agent.AgentKey(running, file_key(folder, "tam-belcourt", SECRET).blob)
        assert held_key(folder, "tam-belcourt", "supervisor", now) is None
        signers.retire(folder.allowed_signers, "tam-belcourt", now)
        assert held_key(folder, "tam-belcourt", "timekeeper", now + timedelta(seconds=1)) is None


def test_no_agent_is_none_and_one_that_hangs_is_said(
    folder: Folder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert held_key(folder, "tam-belcourt", "timekeeper", LATER) is None
    monkeypatch.setenv("SSH_AUTH_SOCK", str(tmp_path / "silent"))
    monkeypatch.setattr(agent.held, "__defaults__", (None, 0.1))
    monkeypatch.setattr(agent.find, "__defaults__", (None, 0.1))
    with socket.socket(socket.AF_UNIX) as listener:
        listener.bind(str(tmp_path / "silent"))
        listener.listen()
        with pytest.raises(AgentSilent):
            held_key(folder, "tam-belcourt", "timekeeper", LATER)
    with pytest.raises(AgentError):
        agent_key(signers.load(folder.allowed_signers), "tam-belcourt", "timekeeper", LATER)
