"""Put a statement and a signature under a record."""

from collections.abc import Sequence
from pathlib import Path

from station.errors import RecordError
from station.files import read_bytes
from station.record import disk, signed, sshsig
from station.record.signed import Addendum, Declaration, Statement
from station.record.signers import identity
from station.record.sshsig import Signer
from station.record.verify import Signed, Status, verify_bytes
from station.record.wire import fingerprint


def add_signature(
    data: bytes,
    declaration: Declaration,
    signer: Signer,
    addenda: Sequence[Addendum] = (),
) -> bytes:
    """Return the record with a statement and its signature, and before them any addenda; `data` comes first.

    `data` is a body, or a record that some have signed already. RecordError when it is not in order, when
    this person has signed it in this role and nothing was added since, or for an addendum to a record that
    nobody has signed.
    """
    verdict = verify_bytes(data)
    if verdict.drill is None or verdict.status not in {Status.SOUND, Status.UNSIGNED}:
        raise RecordError(f"the record cannot be signed: {verdict.problem}")
    if not data.endswith(b"\n") or signed.split(data).rest:
        raise RecordError(
            "the record cannot be signed: its end is unfinished or a statement without signature"
        )
    if addenda and not verdict.signatures:
        raise RecordError("nobody has signed the record yet: correct the journal, and sign after that")
    if not addenda and _signed_already(verdict.signatures, declaration):
        raise RecordError(f"{declaration.person} has signed this record as {declaration.role} already")
    statement = Statement(**dict(declaration), key=fingerprint(signer.blob), drill=verdict.drill)
    covered = data + signed.segment_bytes(statement, addenda)
    return covered + signed.block_bytes(sshsig.sign(signer, covered))


def _signed_already(signatures: Sequence[Signed], declaration: Declaration) -> bool:
    """Return whether this person has signed in this role since the last addendum, if there is one."""
    since = max((one.number for one in signatures if one.addenda), default=0)
    who = identity(declaration.person, declaration.role)
    return any(one.who == who and one.number >= since for one in signatures)


def sign_file(
    path: Path, declaration: Declaration, signer: Signer, addenda: Sequence[Addendum] = ()
) -> bytes:
    """Sign a record's file in one step and return its new bytes.

    FileError when it cannot be read, RecordError when it is not in order, StorageError when it cannot be
    written; then it is left as it was.
    """
    old = read_bytes(path)
    new = add_signature(old, declaration, signer, addenda)
    disk.replace(path, old, new)
    return new
