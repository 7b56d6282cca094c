"""The SSH signature format, held against RFC 8032, PROTOCOL.sshsig and ssh-keygen."""

import base64
import shutil
import subprocess
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from hypothesis import given, settings
from hypothesis import strategies as st

from station.errors import RecordError
from station.record import keys, sshsig, wire

needs_openssh = pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="ssh-keygen is not installed")

# RFC 8032, 7.1, TEST 2 (second-hand: copied from a published list of the RFC's vectors).
SEED = bytes.fromhex("4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb")
PUBLIC = bytes.fromhex("3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c")
SIGNED = bytes.fromhex(
    "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
    "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
)
MESSAGE = b"Lane 1 left the surface.\n"


def key() -> keys.SigningKey:
    return keys.SigningKey(Ed25519PrivateKey.from_private_bytes(SEED), wire.typed(PUBLIC))


@dataclass(frozen=True)
class Recorder:
    """Stands for a key and keeps what it was asked to sign."""

    blob: bytes
    asked: list[bytes]

    def sign_bytes(self, data: bytes) -> bytes:
        self.asked.append(data)
        return bytes(64)


def ssh_keygen(*words: str, data: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(["ssh-keygen", *words], input=data, capture_output=True, check=False)


def test_the_key_signs_as_rfc_8032_prints() -> None:
    assert key().sign_bytes(b"\x72") == SIGNED


def test_what_is_signed_is_laid_out_as_the_protocol_says() -> None:
    """PROTOCOL.sshsig, "Signed Data": magic, namespace, reserved, hash name, hash of the message."""
    asked: list[bytes] = []
    sshsig.sign(Recorder(key().blob, asked), b"", namespace="file")
    # SHA-512 of nothing: FIPS 180-4's empty-message example (from memory).
    empty = bytes.fromhex(
        "cf83e1357eefb8bdf1542850d66d8007d620e4050b5715dc83f4a921d36ce9ce"
        "47d0d13c5d85f2b0ff8318d2877eec2f63b931bd47417a81a538327af927da3e"
    )
    assert asked == [b"SSHSIG\0\0\0\4file\0\0\0\0\0\0\0\6sha512\0\0\0\x40" + empty]


def test_a_signature_holds_for_its_message_alone() -> None:
    signature = sshsig.read(sshsig.sign(key(), MESSAGE))
    assert sshsig.holds(signature, MESSAGE)
    assert not sshsig.holds(signature, MESSAGE + b"\n")
    assert not sshsig.holds(replace(signature, key=keys.new_key().blob), MESSAGE)
    assert not sshsig.holds(replace(signature, namespace=b"file"), MESSAGE)


def test_our_namespace_leaves_no_spare_bits() -> None:
    """A signature in our namespace fills its base64, so no two texts of it exist."""
    armor = sshsig.sign(key(), MESSAGE)
    assert b"=" not in armor
    assert len(base64.b64decode(b"".join(armor.split(b"\n")[1:-2]))) % 3 == 0


def test_every_other_text_of_a_signature_is_refused() -> None:
    """Each byte changed in each bit: it does not read, or it does not hold."""
    armor = sshsig.sign(key(), MESSAGE)
    for at in range(len(armor)):
        for bit in range(8):
            changed = bytearray(armor)
            changed[at] ^= 1 << bit
            try:
                assert not sshsig.holds(sshsig.read(bytes(changed)), MESSAGE), (at, bit)
            except RecordError:
                continue


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (lambda text: text.replace(b"\n", b"\r\n"), "not valid base64"),
        (lambda text: text + b"\n", "not valid base64"),
        (lambda text: text[:-1], "not valid base64|the one way"),
        (lambda text: text.replace(b"U1NIU0lH", b"U1NIU0l\nH"), "the one way"),
        (lambda text: text.replace(b"BEGIN SSH", b"BEGIN  SSH"), "the one way"),
        (lambda _: b"", "not an SSH signature|the one way"),
    ],
    ids=["crlf", "blank line", "no last newline", "rewrapped", "header", "nothing"],
)
def test_a_text_not_written_as_ssh_keygen_writes_is_refused(change: object, reason: str) -> None:
    assert callable(change)
    with pytest.raises(RecordError, match=reason):
        sshsig.read(change(sshsig.sign(key(), MESSAGE)))


def test_hash_reserved_field_type_and_version_are_checked() -> None:
    good = sshsig.read(sshsig.sign(key(), MESSAGE))
    with pytest.raises(RecordError, match="a field or a hash"):
        sshsig.read(sshsig.armored(replace(good, hash_name=b"md5")))
    with pytest.raises(RecordError, match="ssh-rsa"):
        sshsig.read(sshsig.armored(replace(good, key=wire.string(b"ssh-rsa") + wire.string(b"x"))))
    with pytest.raises(RecordError, match="bytes follow"):
        sshsig.read(sshsig.armored(replace(good, key=good.key + b"x")))
    fields = (good.key, good.namespace, b"room to hide", good.hash_name, wire.typed(good.value))
    with pytest.raises(RecordError, match="a field or a hash"):
        sshsig.read(sshsig._armor(b"SSHSIG\0\0\0\1" + b"".join(map(wire.string, fields))))
    blob = b"SSHSIG" + (2).to_bytes(4, "big")
    with pytest.raises(RecordError, match="version 1"):
        sshsig.read(sshsig._armor(blob))
    with pytest.raises(RecordError, match="middle of a field"):
        sshsig.read(sshsig._armor(b"SSHSIG" + (1).to_bytes(4, "big") + b"\0\0"))


@settings(max_examples=200, derandomize=True, deadline=None)
@given(st.binary(max_size=120))
def test_any_blob_is_read_or_refused_in_words(blob: bytes) -> None:
    for text in (blob, sshsig._armor(blob), sshsig._armor(b"SSHSIG\0\0\0\1" + blob)):
        with pytest.raises(RecordError):
            sshsig.read(text)


@pytest.fixture(scope="module")
def key_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return an Ed25519 key made by ssh-keygen, without a passphrase."""
    path = tmp_path_factory.mktemp("keys") / "theirs"
    assert ssh_keygen("-q", "-t", "ed25519", "-N", "", "-C", "theirs", "-f", str(path)).returncode == 0
    return path


@pytest.mark.openssh
@needs_openssh
@pytest.mark.parametrize("hash_name", ["sha512", "sha256"])
def test_a_signature_by_ssh_keygen_holds(key_file: Path, hash_name: str) -> None:
    words = ("-q", "-Y", "sign", "-O", f"hashalg={hash_name}", "-f", str(key_file), "-n", sshsig.NAMESPACE)
    armor = ssh_keygen(*words, data=MESSAGE).stdout
    signature = sshsig.read(armor)
    assert signature.hash_name == hash_name.encode()
    assert sshsig.holds(signature, MESSAGE)
    assert not sshsig.holds(signature, MESSAGE[:-1])
    assert sshsig.armored(signature) == armor


@pytest.mark.openssh
@needs_openssh
def test_the_same_key_signs_the_same_bytes_in_both(key_file: Path) -> None:
    """Ed25519 signatures are without chance, so the two texts are the same to the byte."""
    from cryptography.hazmat.primitives.serialization import load_ssh_private_key  # noqa: PLC0415

    private = load_ssh_private_key(key_file.read_bytes(), None)
    assert isinstance(private, Ed25519PrivateKey)
    ours = sshsig.sign(keys._signing_key(private), MESSAGE)
    theirs = ssh_keygen("-q", "-Y", "sign", "-f", str(key_file), "-n", sshsig.NAMESPACE, data=MESSAGE).stdout
    assert ours == theirs


@pytest.mark.openssh
@needs_openssh
def test_ssh_keygen_takes_our_signature_and_refuses_it_for_another_message(tmp_path: Path) -> None:
    text = tmp_path / "ours.sig"
    text.write_bytes(sshsig.sign(key(), MESSAGE))
    words = ("-Y", "check-novalidate", "-n", sshsig.NAMESPACE, "-s", str(text))
    taken = ssh_keygen(*words, data=MESSAGE)
    assert taken.returncode == 0, taken.stderr
    assert wire.fingerprint(key().blob).encode() in taken.stdout
    assert ssh_keygen(*words, data=MESSAGE + b" ").returncode != 0
