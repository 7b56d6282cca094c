"""The chain that binds every entry to all entries before it.

    digest(n) = SHA-256(body(n) as UTF-8)
    hash(n)   = SHA-256(hash(n - 1) || digest(n)),   hash(0) = 32 zero bytes

`||` puts the 32 bytes of one after the 32 bytes of the other; SHA-256 is FIPS 180-4. The body enters by its
digest, so a record can prove an entry's place in the chain while showing only its digest. Imports nothing
but the hash: whoever checks a record needs no storage for it.
"""

import hashlib

GENESIS = bytes(32)
"""What the first entry follows."""


def body_digest(body: str) -> bytes:
    """Return the SHA-256 of a body's UTF-8 bytes, 32 bytes."""
    return hashlib.sha256(body.encode("utf-8")).digest()


def link(previous: bytes, digest: bytes) -> bytes:
    """Return the hash of an entry from the hash before it and its own body's digest.

    Raises:
        ValueError: one of the two is not 32 bytes long; lengths are fixed so that no two pairs give one text.
    """
    if len(previous) != len(GENESIS) or len(digest) != len(GENESIS):
        raise ValueError("a chain is made of hashes of 32 bytes")
    return hashlib.sha256(previous + digest).digest()
