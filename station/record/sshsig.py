"""One signature in the SSH signature format, with an Ed25519 key.

The format is OpenSSH's PROTOCOL.sshsig. What is signed is not the message itself but its digest, wrapped
with a namespace, so that a signature made for one purpose is worth nothing for another.

Reading is stricter than the format asks: only the one text that `ssh-keygen -Y sign` would have written
for a signature is taken, so no byte of it can change and leave it valid.
"""

import base64
import binascii
import hashlib
from dataclasses import dataclass
from typing import Final, Protocol

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from station.errors import RecordError
from station.record.wire import string, take_all, typed, untyped

NAMESPACE: Final = "dive-records@station.example"
"""What records are signed for: NAME@DOMAIN as PROTOCOL.sshsig advises, in a domain RFC 2606 reserves.

Its length is chosen, too: with 28 characters (any 3n + 1) a signature fills its base64 to the last bit.
Otherwise the last character would have spare bits, and `ssh-keygen` reads past a change in those.
"""

BEGIN: Final = b"-----BEGIN SSH SIGNATURE-----"
END: Final = b"-----END SSH SIGNATURE-----"
LINE_WIDTH: Final = 70
_MAGIC: Final = b"SSHSIG"
_VERSION: Final = (1).to_bytes(4, "big")
_HASH: Final = b"sha512"
_HASHES: Final = (b"sha512", b"sha256")


class Signer(Protocol):
    """Whatever can sign with an Ed25519 key: a key file opened, or a program that holds the key."""

    @property
    def blob(self) -> bytes:
        """The public key."""

    def sign_bytes(self, data: bytes) -> bytes:
        """Return the 64 bytes of the Ed25519 signature of the data."""


@dataclass(frozen=True)
class Signature:
    """A signature, read but not yet held against a message."""

    key: bytes
    namespace: bytes
    hash_name: bytes
    value: bytes


def sign(signer: Signer, message: bytes, namespace: str = NAMESPACE) -> bytes:
    """Return the armored signature of the message, final newline included."""
    space = namespace.encode()
    value = signer.sign_bytes(_to_be_signed(space, _HASH, message))
    return armored(Signature(signer.blob, space, _HASH, value))


class Digests:
    """The digests of a message's beginnings, each byte hashed once per hash however many are asked for."""

    def __init__(self, message: bytes) -> None:
        self._message = memoryview(message)
        self._running: dict[bytes, tuple[hashlib._Hash, int]] = {}

    def up_to(self, end: int, hash_name: bytes) -> bytes:
        """Return the digest of the first `end` bytes; `end` never goes back."""
        running, start = self._running.get(hash_name) or (hashlib.new(hash_name.decode("ascii")), 0)
        running.update(self._message[start:end])
        self._running[hash_name] = running, end
        return running.copy().digest()


def holds(signature: Signature, message: bytes) -> bool:
    """Return whether the signature is that of this message, by the key it names."""
    return holds_for(signature, Digests(message).up_to(len(message), signature.hash_name))


def holds_for(signature: Signature, digest: bytes) -> bool:
    """Return whether the signature is that of the message with this digest, by the key it names."""
    wrapped = _wrapped(signature.namespace, signature.hash_name, digest)
    try:
        Ed25519PublicKey.from_public_bytes(untyped(signature.key)).verify(signature.value, wrapped)
    except (InvalidSignature, ValueError):
        return False
    return True


def armored(signature: Signature) -> bytes:
    """Return the one text of a signature."""
    fields = (signature.key, signature.namespace, b"", signature.hash_name, typed(signature.value))
    blob = _MAGIC + _VERSION + b"".join(string(field) for field in fields)
    return _armor(blob)


def read(text: bytes) -> Signature:
    """Return the signature of an armored text; RecordError when the text is not exactly such a one."""
    blob = _blob(text)
    if not blob.startswith(_MAGIC + _VERSION):
        raise RecordError("is not an SSH signature of version 1")
    try:
        key, namespace, reserved, hash_name, typed_value = take_all(blob[len(_MAGIC + _VERSION) :], 5)
        untyped(key)
        value = untyped(typed_value)
    except ValueError as error:
        raise RecordError(f"is not a plain Ed25519 signature: {error}") from None
    if reserved or hash_name not in _HASHES:
        raise RecordError("uses a field or a hash that SSH signatures of version 1 do not have")
    return Signature(key, namespace, hash_name, value)


def _blob(text: bytes) -> bytes:
    lines = text.split(b"\n")
    try:
        blob = base64.b64decode(b"".join(lines[1:-2]), validate=True)
    except (binascii.Error, ValueError):
        raise RecordError("is not valid base64") from None
    if _armor(blob) != text:
        raise RecordError("is not written the one way signatures are written")
    return blob


def _armor(blob: bytes) -> bytes:
    encoded = base64.b64encode(blob)
    lines = [encoded[at : at + LINE_WIDTH] for at in range(0, len(encoded), LINE_WIDTH)]
    return b"\n".join([BEGIN, *lines, END, b""])


def _to_be_signed(namespace: bytes, hash_name: bytes, message: bytes) -> bytes:
    return _wrapped(namespace, hash_name, hashlib.new(hash_name.decode("ascii"), message).digest())


def _wrapped(namespace: bytes, hash_name: bytes, digest: bytes) -> bytes:
    return _MAGIC + string(namespace) + string(b"") + string(hash_name) + string(digest)
