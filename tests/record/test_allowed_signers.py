"""The list of who may sign as what, held line by line against ssh-keygen."""

import shutil
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.errors import FileError, StorageError
from station.record import disk, keys, signers, sshsig, wire

needs_openssh = pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="ssh-keygen is not installed")

KEY = keys.new_key()
TEXT = wire.public_text(KEY.blob)
NOON = datetime(2026, 5, 4, 12, tzinfo=UTC)
WHO = "mira-holt:supervisor"


def objection(text: str, who: str = WHO, at: datetime = NOON) -> str:
    return signers.parse(text.encode(), "list").objection(KEY.blob, who, at)


def test_a_line_we_write_is_read_back_the_same() -> None:
    line = signers.signer("mira-holt", ("supervisor", "timekeeper"), KEY.blob, NOON, NOON + timedelta(days=1))
    assert line.line() == (
        'mira-holt:supervisor,mira-holt:timekeeper namespaces="dive-records@station.example",'
        f'valid-after="20260504120000Z",valid-before="20260505120000Z" {TEXT}'
    )
    assert signers.parse(line.line().encode(), "list").lines == (line,)
    assert signers.signer("jon-ek", (), KEY.blob).identities == "jon-ek:*"


def test_comments_blank_lines_and_other_keys_are_passed_over() -> None:
    text = f"# who may sign\n\n   \n\t# more\nmira-holt:* {TEXT} her key\njon-ek:* ssh-rsa AAAAB3NzaC1yc2E=\n"
    assert objection(text) == ""


def test_the_dates_are_inclusive_and_judged_to_the_second() -> None:
    """ssh-keygen(1): "at or after" and "at or before"."""
    text = f'mira-holt:* valid-after="20260504120000Z",valid-before="202605041201Z" {TEXT}'
    late = NOON + timedelta(minutes=1, milliseconds=999)
    assert [objection(text, at=at) for at in (NOON, late)] == ["", ""]
    assert "is not valid before 20260504120000Z" in objection(text, at=NOON - timedelta(milliseconds=1))
    assert "is not valid after 20260504120100Z" in objection(text, at=NOON + timedelta(seconds=61))


def test_each_objection_is_said() -> None:
    assert "is not on the list" in signers.AllowedSigners().objection(KEY.blob, WHO, NOON)
    assert "may sign as jon-ek:*, not as mira-holt:supervisor" in objection(f"jon-ek:* {TEXT}")
    assert "may sign for git, not for dive-records@station.example" in objection(
        f'mira-holt:* namespaces="git" {TEXT}'
    )


def test_one_line_that_lets_the_key_sign_is_enough() -> None:
    old = f'mira-holt:tender valid-before="20260101Z" {TEXT}'
    assert objection(f"{old}\nmira-holt:supervisor {TEXT}") == ""
    assert "; " in objection(f"{old}\njon-ek:* {TEXT}")


BAD = {
    "lonely": "needs the identities, then the key",
    "mira-holt:* ssh-ed25519": "needs the identities|no public key",
    "mira-holt:* ssh-ed25519 ####": "no public key",
    "mira-holt:* ssh-ed25519 AAA": "not valid base64",
    "mira-holt:* ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAAXg=": "wrong length",
    f"mira-holt:* {TEXT.replace('ssh-ed25519', 'ssh-rsa')}": "another type",
    f'mira-holt:* valid-after="2026-05-04" {TEXT}': "not a time in UTC",
    f'mira-holt:* valid-after="20260504" {TEXT}': "without the Z",
    f'mira-holt:* valid-after="20261304Z" {TEXT}': "not a time in UTC",
    f'mira-holt:* valid-after="20260504 " {TEXT}': "not a time in UTC",
    f'mira-holt:* valid-after="20260505Z",valid-before="20260504Z" {TEXT}': "must be later than valid-after",
    f'mira-holt:* valid-after="20260504Z",valid-before="20260504Z" {TEXT}': "must be later",
    f'mira-holt:* valid-after="20260504Z", valid-before="20260505Z" {TEXT}': "space outside quotes",
    f"mira-holt:* valid-after=20260504Z {TEXT}": "not of the form",
    f"mira-holt:* namespaces {TEXT}": "stands once",
    f'mira-holt:* namespaces="a",namespaces="b" {TEXT}': "stands once",
    f"mira-holt:* cert-authority {TEXT}": "'cert-authority' is not used here",
    f'mira-holt:* nmaespaces="a" {TEXT}': "'nmaespaces' is not used here",
}


@pytest.mark.parametrize(("line", "why"), BAD.items(), ids=range(len(BAD)))
def test_a_bad_line_is_named_by_its_number(line: str, why: str) -> None:
    with pytest.raises(FileError, match=f"list: line 3: .*({why})"):
        signers.parse(f"# list\nmira-holt:* {TEXT}\n{line}\n".encode(), "list")


def test_all_bad_lines_are_named_at_once() -> None:
    with pytest.raises(FileError) as error:
        signers.parse(b"lonely\n\n# fine\nalso lonely\n", "list")
    assert [key for key, _ in error.value.problems] == ["line 1", "line 4"]
    with pytest.raises(FileError, match="not UTF-8"):
        signers.parse(b"\xff", "list")


@pytest.mark.parametrize(
    ("patterns", "text", "taken"),
    [
        ("mira-holt:supervisor", WHO, True),
        ("mira-holt:*", WHO, True),
        ("*", WHO, True),
        ("mira-h?lt:supervisor", WHO, True),
        ("jon-ek:*,mira-holt:*", WHO, True),
        ("*,!mira-holt:*", WHO, False),
        ("!mira-holt:*,*", WHO, False),
        ("!jon-ek:*", WHO, False),
        ("mira-holt", WHO, False),
        ("mira-holt:supervisor2", WHO, False),
        ("MIRA-HOLT:*", WHO, False),
        ("[m]ira-holt:*", WHO, False),
        ("", WHO, False),
        (",", "", False),
    ],
)
def test_patterns_are_those_of_ssh_config(patterns: str, text: str, *, taken: bool) -> None:
    """ssh_config(5), PATTERNS: * and ?, a list by commas, ! refuses whatever else matches."""
    assert signers.matches(patterns, text) is taken


@settings(max_examples=300, derandomize=True, deadline=None)
@given(st.text(max_size=80))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    data = text.encode("utf-8", "surrogatepass")
    for content in (data, b"mira-holt:* " + data, f"mira-holt:* {text} {TEXT}".encode("utf-8", "replace")):
        try:
            signers.parse(content, "list")
        except FileError as error:
            assert all(key.startswith("line ") or not key for key, _ in error.problems)  # noqa: PT017


def test_a_line_is_added_once_and_the_file_made_when_absent(tmp_path: Path) -> None:
    path = tmp_path / "allowed_signers"
    first, second = signers.signer("mira-holt", (), KEY.blob), signers.signer("jon-ek", (), KEY.blob)
    for line in (first, second, first):
        signers.add(path, line)
    assert path.read_text() == f"{first.line()}\n{second.line()}\n"
    assert signers.load(path).lines == (first, second)


def test_a_list_without_a_last_newline_keeps_its_last_line(tmp_path: Path) -> None:
    path = tmp_path / "allowed_signers"
    path.write_text(f"jon-ek:* {TEXT}")
    signers.add(path, signers.signer("mira-holt", (), KEY.blob))
    assert len(signers.load(path).lines) == 2


def test_a_bad_list_is_not_added_to(tmp_path: Path) -> None:
    path = tmp_path / "allowed_signers"
    path.write_text("lonely\n")
    with pytest.raises(FileError, match="line 1"):
        signers.add(path, signers.signer("mira-holt", (), KEY.blob))
    assert path.read_text() == "lonely\n"
    path.unlink()
    with pytest.raises(FileError, match="must be later"):
        signers.add(path, signers.signer("mira-holt", (), KEY.blob, NOON, NOON))
    assert not path.exists()
    with pytest.raises(FileError, match="no such file"):
        signers.load(tmp_path / "absent")


def test_a_file_changed_by_somebody_else_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "allowed_signers"
    path.write_bytes(b"new\n")
    with pytest.raises(StorageError, match="changed by somebody else"):
        disk.replace(path, b"old\n", b"old\nmore\n")
    assert path.read_bytes() == b"new\n"


AGREE = {
    f"mira-holt:supervisor {TEXT}": True,
    f"mira-holt:* {TEXT} a comment": True,
    f'"mira-holt:supervisor" {TEXT}': True,
    f"  mira-holt:*\t{TEXT}": True,
    f"*,!mira-holt:sup* {TEXT}": False,
    f"jon-ek:* {TEXT}": False,
    f'mira-holt:* NAMESPACES="dive-*" {TEXT}': True,
    f'mira-holt:* namespaces="a,dive-records@station.example" {TEXT}': True,
    f'mira-holt:* namespaces="a" {TEXT}': False,
    f'mira-holt:* namespaces="" {TEXT}': False,
    f'mira-holt:* valid-after="20260504Z",valid-before="20260505Z" {TEXT}': True,
    f'mira-holt:* valid-after="20260504120000Z",valid-before="20260504120001Z" {TEXT}': True,
    f'mira-holt:* valid-after="20260504120001Z" {TEXT}': False,
    f'mira-holt:* valid-before="20260504115959Z" {TEXT}': False,
    f'mira-holt:* valid-before="202605041200Z" {TEXT}': True,
    signers.signer(
        "mira-holt", ("supervisor", "timekeeper"), KEY.blob, NOON, NOON + timedelta(seconds=1)
    ).line(): True,
    signers.signer("mira-holt", (), KEY.blob).line(): True,
    signers.signer("mira-holt", ("timekeeper",), KEY.blob).line(): False,
}


@pytest.fixture(scope="module")
def signature(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("sig") / "message.sig"
    path.write_bytes(sshsig.sign(KEY, b"message"))
    return path


def taken_by_ssh_keygen(line: str, signature: Path, tmp_path: Path) -> bool:
    path = tmp_path / "allowed_signers"
    path.write_text(f"# list\n{line}\n")
    words = ["-f", str(path), "-I", WHO, "-n", sshsig.NAMESPACE, "-s", str(signature)]
    at = ["-O", "verify-time=20260504120000Z"]
    done = subprocess.run(
        ["ssh-keygen", "-Y", "verify", *at, *words], input=b"message", capture_output=True, check=False
    )
    return done.returncode == 0


@pytest.mark.openssh
@needs_openssh
@pytest.mark.parametrize(("line", "taken"), AGREE.items(), ids=range(len(AGREE)))
def test_ssh_keygen_judges_each_line_as_we_do(
    line: str, signature: Path, tmp_path: Path, *, taken: bool
) -> None:
    assert (objection(line) == "") is taken
    assert taken_by_ssh_keygen(line, signature, tmp_path) is taken


STRICTER = ("without the Z", "stands once")
"""Reasons for which we refuse what ssh-keygen may take: a time by the machine's zone, a word said twice."""


@pytest.mark.openssh
@needs_openssh
@pytest.mark.parametrize(("line", "why"), BAD.items(), ids=range(len(BAD)))
def test_ssh_keygen_takes_no_line_we_refuse_but_for_local_time(
    line: str, why: str, signature: Path, tmp_path: Path
) -> None:
    assert why in STRICTER or not taken_by_ssh_keygen(line, signature, tmp_path)
