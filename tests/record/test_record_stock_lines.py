"""Records verified with no software of ours: by the shell lines we print, and OpenSSH."""

import re
import shutil
import subprocess
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from station.record import keys, signed, signers, signing, sshsig, stock
from station.record.signed import Declaration
from station.record.verify import verify_bytes

pytestmark = [
    pytest.mark.openssh,
    pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="ssh-keygen is not installed"),
]

BODY = b'[record]\nformat = 1\ndrill = true\n\n[signing]\nrequired = ["supervisor"]\n'
MIRA, JON = keys.new_key(), keys.new_key()
AT = datetime(2031, 5, 4, 9, 15, 30, tzinfo=UTC)
SUPERVISOR = Declaration(
    person="mira-holt", name="Mira Holt", role="supervisor", at=AT, meaning="It is true."
)
TIMEKEEPER = Declaration(
    person="jon-ek", name="Jon Ek", role="timekeeper", at=AT, meaning="I kept the times."
)
ONE = signing.add_signature(BODY, SUPERVISOR, MIRA)
TWO = signing.add_signature(ONE, TIMEKEEPER, JON)
SIGNERS = signers.AllowedSigners(
    (
        signers.signer("mira-holt", ("supervisor",), MIRA.blob),
        signers.signer("jon-ek", ("timekeeper",), JON.blob),
    )
)
WHO = "mira-holt:supervisor"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "allowed_signers").write_text("".join(f"{line.line()}\n" for line in SIGNERS.lines))
    return tmp_path


def shell(line: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(["sh", "-c", line], cwd=folder, capture_output=True, check=False, text=True)


def holds(data: bytes, folder: Path, who: str = WHO) -> bool:
    (folder / "record.toml").write_bytes(data)
    return shell(stock.stock_line("record.toml", who, "allowed_signers"), folder).returncode == 0


def test_the_line_verifies_a_record_and_names_its_signer(folder: Path) -> None:
    (folder / "record.toml").write_bytes(ONE)
    done = shell(stock.stock_line("record.toml", WHO, "allowed_signers"), folder)
    assert done.returncode == 0, done.stderr
    assert done.stdout == (
        f'Good "{sshsig.NAMESPACE}" signature for mira-holt:supervisor with ED25519 key {MIRA.fingerprint}\n'
    )


def test_the_line_verifies_the_last_signature_and_with_it_every_byte_before(folder: Path) -> None:
    assert holds(TWO, folder, "jon-ek:timekeeper")
    assert not holds(TWO, folder)
    assert not holds(TWO.replace(b"It is true", b"It is trua"), folder, "jon-ek:timekeeper")


def test_the_lines_printed_for_a_record_verify_every_signature(folder: Path) -> None:
    addendum = signed.Addendum(
        corrects="line 2", text="Bank 2, not bank 3.", reason="Misread.", by="mira-holt", at=AT
    )
    data = signing.add_signature(TWO, SUPERVISOR, MIRA, [addendum])
    name = "a drill's record.toml"
    (folder / name).write_bytes(data)
    lines = stock.stock_lines(name, verify_bytes(data).signatures, "allowed_signers")
    done = [shell(line, folder) for line in lines]
    assert [one.returncode for one in done] == [0] * 5, done
    said = [re.findall(r"signature for (\S+)", one.stdout) for one in done]
    assert said == [[], [WHO], [], ["jon-ek:timekeeper"], [WHO]]


def test_the_lines_judge_the_list_at_the_statements_time(folder: Path) -> None:
    gone = signers.signer("mira-holt", (), MIRA.blob, AT.replace(month=1), AT)
    (folder / "allowed_signers").write_text(gone.line() + "\n")
    (folder / "record.toml").write_bytes(ONE)
    (line,) = stock.stock_lines("record.toml", verify_bytes(ONE).signatures, "allowed_signers")
    assert shell(line, folder).returncode == 0
    assert shell(line.replace("20310504091530Z", "20310504091531Z"), folder).returncode != 0


def test_a_file_name_that_looks_like_an_option_is_a_file_name(folder: Path) -> None:
    (folder / "-n.toml").write_bytes(ONE)
    assert shell(stock.stock_line("-n.toml", WHO, "allowed_signers"), folder).returncode == 0


def other_bytes(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Yield every byte changed once, in turn in each of its bits; more often where no signature covers it."""
    uncovered = data.index(b"[[signature]]") - 1
    for at, byte in enumerate(data):
        values = {byte ^ 1 << at % 8}
        if at >= uncovered:
            values.add(byte ^ 0x20)  # the other case of a letter
            values |= {*b" \t\v\f\r"} if byte == ord("\n") else set()
        for value in sorted(values):
            yield at, data[:at] + bytes([value]) + data[at + 1 :]


def borders(data: bytes) -> set[int]:
    """Return where lines end and begin, and the first and the last byte."""
    ends = {at for at, byte in enumerate(data) if byte == ord("\n")}
    return {0, len(data) - 1} | ends | {at + 1 for at in ends if at + 1 < len(data)}


@pytest.mark.parametrize("every", [7, pytest.param(1, marks=pytest.mark.soak)])
def test_with_any_single_byte_changed_neither_the_line_nor_we_verify_it(folder: Path, every: int) -> None:
    """Every byte of a complete record under soak, else every seventh and those beside the end of a line.

    The untouched record goes along to show that the line can succeed. Each round starts OpenSSH.
    """
    line = stock.stock_line("record.toml", WHO, "../allowed_signers")
    taken = {*range(0, len(ONE), every)} | borders(ONE)
    changed = [(at, data) for at, data in other_bytes(ONE) if at in taken]
    assert {at for at, _ in changed} == taken
    for number, data in enumerate([ONE, *(data for _, data in changed)]):
        (folder / f"{number:05}").mkdir()
        (folder / f"{number:05}" / "record.toml").write_bytes(data)
    each = f"for d in */; do cd $d; if {{ {line}; }} >/dev/null 2>&1; then echo $d; fi; cd ..; done"
    assert verify_bytes(ONE, SIGNERS).sound
    good = shell(each, folder).stdout.split()
    assert good == ["00000/"], [changed[int(name[:-1]) - 1][0] for name in good[1:]]
    assert not any(verify_bytes(data, SIGNERS).sound for _, data in changed)


def test_trailing_text_crlf_cuts_and_blanks_do_not_verify(folder: Path) -> None:
    assert holds(ONE, folder)
    for data in (ONE + b"\n", ONE + b"x", ONE + b"x = 1\n", ONE.replace(b"\n", b"\r\n"), BODY, b""):
        assert not holds(data, folder)
    for length in range(len(ONE) - 400, len(ONE), 7):
        assert not holds(ONE[:length], folder)
    assert not holds(ONE[:-1], folder)
    for word in (b"U1NIU0lH", b"-----END", b'"""\n'):
        at = ONE.rindex(word)
        assert not holds(ONE[:at] + b" " + ONE[at:], folder), word


def test_a_record_signed_by_ssh_keygen_alone_is_accepted_by_us(folder: Path) -> None:
    """A statement written by hand, signed by the stock tool, put in its table by the shell."""
    key = folder / "key"
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", str(key)], check=True)
    described = keys.describe(key)
    statement = signed.Statement(**dict(SUPERVISOR), key=described.fingerprint, drill=True)
    (folder / "record.toml").write_bytes(BODY + signed.segment_bytes(statement))
    script = (
        f"ssh-keygen -q -Y sign -f key -n {sshsig.NAMESPACE} < record.toml > s.sig && "
        '{ printf \'[[signature]]\\nvalue = """\\n\'; cat s.sig; printf \'"""\\n\'; } >> record.toml'
    )
    assert shell(script, folder).returncode == 0
    listed = signers.AllowedSigners((signers.signer("mira-holt", (), described.blob),))
    verdict = verify_bytes((folder / "record.toml").read_bytes(), listed)
    assert verdict.sound, verdict.problem
