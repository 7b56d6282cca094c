"""The zoo of records: each sound one sound, each bad one told in its own words, and OpenSSH of one mind."""

import os
import re
import shutil
import subprocess
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest
import zoo
from zoo_table import MEANT, REFUSED, TABLE

from station.moments import iso
from station.record import keys, signed, signers, sshsig
from station.record.content import CONTENT_CHECKS
from station.record.stock import stock_line, stock_lines
from station.record.verify import Status, verify_bytes

if TYPE_CHECKING:
    from tests.conftest import OwnAgent

HERE: Final = Path(__file__).parent / "zoo"
LISTED: Final = signers.load(HERE / "allowed_signers")
FILES: Final = sorted(path.name for path in HERE.glob("*.toml"))


def data_of(name: str) -> bytes:
    return (HERE / f"{name}.toml").read_bytes()


def sound_ones() -> list[str]:
    return [name.removesuffix(".toml") for name in FILES if name.startswith("sound")]


def test_the_files_are_those_the_maker_makes() -> None:
    """And so is the list; nothing else stands there."""
    made = zoo.zoo()
    assert sorted(made) == FILES
    for name, data in made.items():
        assert (HERE / name).read_bytes() == data, name
    assert (HERE / "allowed_signers").read_bytes() == zoo.allowed_signers()


def test_the_keys_open_with_their_passphrase_and_are_good_for_nothing_else(tmp_path: Path) -> None:
    for name, key in (("mira-holt", zoo.MIRA), ("jon-ek", zoo.JON), ("ola-quist", zoo.OLA)):
        path = tmp_path / name
        path.write_bytes((HERE / "keys" / name).read_bytes())
        path.chmod(0o600)
        assert keys.load(path, zoo.PASSPHRASE).blob == key.blob
        assert keys.describe(HERE / "keys" / f"{name}.pub").blob == key.blob


def test_every_bad_record_has_its_row() -> None:
    assert sorted(f"{name}.toml" for name in [*TABLE, *sound_ones()]) == FILES


@pytest.mark.parametrize("name", sound_ones())
def test_a_sound_record_is_sound(name: str) -> None:
    verdict = verify_bytes(data_of(name), LISTED, CONTENT_CHECKS)
    assert (verdict.status, verdict.problem, verdict.altered) == (Status.SOUND, "", None)
    assert all(one.listed for one in verdict.signatures)


@pytest.mark.parametrize("name", TABLE)
def test_a_bad_record_is_told_by_its_own_sentence(name: str) -> None:
    status, sentence, _ = TABLE[name]
    verdict = verify_bytes(data_of(name), LISTED, CONTENT_CHECKS)
    assert verdict.status is status, verdict.problem
    assert re.fullmatch(re.sub(r"\{(\w+)\}", lambda word: MEANT[word[1]], sentence), verdict.problem)


def test_the_bytes_that_hold_the_change_are_told_where_a_signature_can_tell() -> None:
    first, last = len(data_of("cut-after-first-signature")), len(data_of("sound"))
    told = {name: verify_bytes(data_of(name), LISTED).altered for name in TABLE}
    assert told["byte-flipped-in-body"] == told["lines-swapped"] == (0, first)
    assert told["byte-flipped-in-statement"] == (first, last)
    assert told["trailing-text"] == (last, last + 17)
    assert told["crlf"] is None


def test_verifying_loads_no_journal_no_screen_and_no_network() -> None:
    names = ("sqlite3", "textual", "station.journal.store", "station.watch")
    code = (
        "import socket, sys; socket.socket = None; from station.cli import main; "
        f"code = main(['record', 'verify', 'sound.toml', '--signers', 'allowed_signers']); "
        f"print([name for name in {names} if name in sys.modules]); sys.exit(code)"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=HERE, capture_output=True, check=False, text=True)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines()[-1] == "[]"


needs_openssh = pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="ssh-keygen is not installed")
needs_agent = pytest.mark.skipif(shutil.which("ssh-agent") is None, reason="ssh-agent is not installed")


def shell(line: str, folder: Path, **env: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["sh", "-c", line], cwd=folder, capture_output=True, check=False, text=True, env=os.environ | env
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copy(HERE / "allowed_signers", tmp_path)
    for name in ("mira-holt", "jon-ek"):
        shutil.copy(HERE / "keys" / name, tmp_path)
        (tmp_path / name).chmod(0o600)
    return tmp_path


def last_said(data: bytes) -> tuple[str, str]:
    """Return as whom, and when, the last statement says that it was signed; as it stands in the text."""
    found = {
        key: re.findall(
            rb"^%s = \"?([^\"\r\n]+)" % key.encode(), data[data.rfind(b"[[statement]]") :], re.MULTILINE
        )
        for key in ("person", "role", "at")
    }
    if not all(found.values()):
        return "mira-holt:supervisor", iso(zoo.AT)
    return b":".join([found["person"][-1], found["role"][-1]]).decode(), found["at"][-1].decode()


@pytest.mark.openssh
@needs_openssh
def test_ssh_keygen_finds_every_signature_of_every_sound_record_good(folder: Path) -> None:
    for name in sound_ones():
        (folder / "r.toml").write_bytes(data_of(name))
        verdict = verify_bytes(data_of(name), LISTED, CONTENT_CHECKS)
        lines = stock_lines("r.toml", verdict.signatures, "allowed_signers")
        good = [shell(line, folder).stdout.count("Good ") for line in lines]
        assert sum(good) == len(verdict.signatures), name


@pytest.mark.openssh
@needs_openssh
@pytest.mark.parametrize("name", TABLE)
def test_ssh_keygen_refuses_every_bad_record_that_it_can_judge(name: str, folder: Path) -> None:
    """By the line of the README for the last signature, which covers everything before it."""
    data = data_of(name)
    (folder / "r.toml").write_bytes(data)
    who, at = last_said(data)
    moment = datetime.fromisoformat(at).strftime("%Y%m%d%H%M%SZ")
    done = shell(stock_line("r.toml", who, "allowed_signers", moment), folder)
    assert ("Good " in done.stdout) is (TABLE[name][2] != REFUSED), (who, done.stdout, done.stderr)


def covered(role: str, person: str, key: keys.SigningKey) -> bytes:
    said = {"person": person, "name": "As signed elsewhere", "role": role, "meaning": "It is so."}
    statement = signed.Statement(**said, at=zoo.AT, key=key.fingerprint, drill=False)
    data = data_of("not-signed") if role == "timekeeper" else data_of("cut-after-first-signature")
    return data + signed.segment_bytes(statement)


@pytest.mark.openssh
@needs_openssh
def test_a_record_signed_by_ssh_keygen_with_a_key_file_is_sound(folder: Path) -> None:
    """The passphrase is given by SSH_ASKPASS, as there is no terminal."""
    ask = folder / "ask"
    ask.write_text(f"#!/bin/sh\necho '{zoo.PASSPHRASE}'\n")
    ask.chmod(0o700)
    data = covered("supervisor", "mira-holt", zoo.MIRA)
    (folder / "part").write_bytes(data)
    line = f"ssh-keygen -Y sign -f mira-holt -n {sshsig.NAMESPACE} part"
    done = shell(line, folder, SSH_ASKPASS=str(ask), SSH_ASKPASS_REQUIRE="force", DISPLAY=":0")
    assert done.returncode == 0, done.stderr
    record = data + signed.block_bytes((folder / "part.sig").read_bytes())
    assert verify_bytes(record, LISTED, CONTENT_CHECKS).sound


@pytest.mark.openssh
@needs_openssh
@needs_agent
def test_a_record_signed_by_ssh_keygen_through_an_agent_is_sound(folder: Path, own_agent: "OwnAgent") -> None:
    data = covered("timekeeper", "jon-ek", zoo.JON)
    (folder / "part").write_bytes(data)
    own_agent.add(folder / "jon-ek", zoo.PASSPHRASE)
    (folder / "jon-ek").unlink()
    shutil.copy(HERE / "keys" / "jon-ek.pub", folder)
    line = f"ssh-keygen -Y sign -f jon-ek.pub -n {sshsig.NAMESPACE} part"
    done = shell(line, folder, SSH_AUTH_SOCK=own_agent.socket)
    assert done.returncode == 0, done.stderr
    record = data + signed.block_bytes((folder / "part.sig").read_bytes())
    record = zoo.under(record, "supervisor")
    assert verify_bytes(record, LISTED, CONTENT_CHECKS).sound
