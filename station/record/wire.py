"""The byte strings OpenSSH keys and signatures are made of.

A string is its length in four bytes, big-endian, and then its bytes: RFC 4251 section 5. An Ed25519 public
key is two of them, the key type and the 32 bytes of the key: RFC 8709 section 4.
"""

import base64
import binascii
import hashlib
from typing import Final

KEY_TYPE: Final = b"ssh-ed25519"
LENGTH_BYTES: Final = 4
RAW_KEY_BYTES: Final = 32


def string(data: bytes) -> bytes:
    """Return the bytes with their length before them."""
    return len(data).to_bytes(LENGTH_BYTES, "big") + data


def take(data: bytes) -> tuple[bytes, bytes]:
    """Return the first string and what follows it; ValueError when the data end before the string does."""
    end = LENGTH_BYTES + int.from_bytes(data[:LENGTH_BYTES], "big")
    if len(data) < max(end, LENGTH_BYTES):
        raise ValueError("the data end in the middle of a field")
    return data[LENGTH_BYTES:end], data[end:]


def take_all(data: bytes, count: int) -> tuple[bytes, ...]:
    """Return exactly `count` strings; ValueError when the data hold fewer, or anything more."""
    fields: list[bytes] = []
    for _ in range(count):
        field, data = take(data)
        fields.append(field)
    if data:
        raise ValueError("bytes follow the last field")
    return tuple(fields)


def typed(payload: bytes) -> bytes:
    """Return an Ed25519 key or signature in its public form: key type, then payload."""
    return string(KEY_TYPE) + string(payload)


def untyped(blob: bytes) -> bytes:
    """Return the payload of an Ed25519 key or signature; ValueError when it is of another type."""
    kind, rest = take(blob)
    if kind != KEY_TYPE:
        raise ValueError(f"of type {kind.decode('ascii', 'backslashreplace')}, not {KEY_TYPE.decode()}")
    (payload,) = take_all(rest, 1)
    return payload


def fingerprint(blob: bytes) -> str:
    """Return SHA256:... of a public key, as OpenSSH shows it: base64 without padding."""
    digest = base64.b64encode(hashlib.sha256(blob).digest()).decode("ascii")
    return "SHA256:" + digest.rstrip("=")


def public_text(blob: bytes) -> str:
    """Return a public key as two words, type and base64, as they stand in OpenSSH's files."""
    kind, _ = take(blob)
    return f"{kind.decode('ascii')} {base64.b64encode(blob).decode('ascii')}"


def blob_from_text(kind: str, encoded: str) -> bytes:
    """Return the public key of those two words, whatever its type; ValueError when they are not one."""
    try:
        blob = base64.b64decode(encoded, validate=True)
    except (binascii.Error, ValueError):
        raise ValueError("the key is not valid base64") from None
    found, _ = take(blob)
    if found != kind.encode():
        raise ValueError(f"the key says it is of another type than {kind}")
    if found == KEY_TYPE and len(untyped(blob)) != RAW_KEY_BYTES:
        raise ValueError("the key has the wrong length")
    return blob
