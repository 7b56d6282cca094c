"""Closing out a dive: its record written, and signed by those who must.

The journal is told of every signature. Where a machine stops between the two, the signature stands in the
file and the journal lacks it; signing again finds that and enters what is missing.
"""

import itertools
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from station.board.state import Lane
from station.errors import KeyFileError, RecordError, Refusal, StorageError
from station.events import RecordSigned, Role, Seat
from station.files import digest, read_bytes
from station.folder import Folder, slug
from station.operation import require_open
from station.record import disk, keys, signers
from station.record.content import CONTENT_CHECKS
from station.record.document import build
from station.record.keys import KeyDescription, SigningKey
from station.record.signed import Declaration, Statement, split
from station.record.signers import AllowedSigners, identity
from station.record.signing import sign_file
from station.record.verify import Verdict, verify_bytes, verify_file
from station.watch import Watch

MEANINGS: Final[dict[Role, str]] = {
    "timekeeper": "I kept the times of this dive; times, depths and pressures stand here as I took them.",
    "supervisor": "I was in charge of this dive and have read this record; as far as I know it is true.",
    "diver": "I made this dive and have read this record; it is true as far as I know.",
    "tender": "I tended this diver; inspection, dressing and undressing stand here as they were done.",
    "standby": "I stood by for this dive and have read this record.",
}
DRILL_MEANING: Final = "DRILL, nobody was in the water: "
_SEATS: Final[dict[Role, Seat]] = {
    "timekeeper": "timekeeper",
    "supervisor": "supervisor",
    "tender": "tender",
    "diver": "tender",
    "standby": "tender",
}


def write_record(watch: Watch, lane: int, folder: Folder) -> Path:
    """Write the record of a closed dive into the folder, unless it stands there already; return its path.

    Raises:
        RecordError: the lane is not closed.
        StorageError: it cannot be written, or the record that was signed no longer is what the journal says.

    """
    watch.poll()
    body = build(watch.entries, lane, watch.board.setup)
    found = watch.board.lanes[lane]
    if found.signatures:
        return _signed_record(folder.records / found.signatures[-1].file, body)
    path = next(path for path in _names(watch, found, folder) if not path.exists() or _has(path, body))
    if not path.exists():
        disk.create(path, body)
    return path


def sign_record(  # noqa: PLR0913, PLR0917 - a signature is all of these
    watch: Watch, lane: int, path: Path, folder: Folder, person: str, role: Role, passphrase: str
) -> Verdict:
    """Sign a record with the person's key, enter that on the journal, and return the verdict on the file.

    Raises:
        Refusal: the lane is not closed, or the person has not got that role.
        KeyFileError: there is no such key, the passphrase is wrong, or the key is not listed to sign as that.
        RecordError: the file is not this lane's record, or the person has signed it in that role already.
        FileError, StorageError: a file cannot be read or written.

    """
    watch.poll()
    drill = require_open(watch).drill
    found = _signable(watch, lane, person, role)
    if not _has(path, build(watch.entries, lane, watch.board.setup)):
        raise RecordError(f"{path} is not what the journal says of lane {lane}; it was not signed")
    listed = _list(folder)
    if not _enter_missing(watch, found, path, listed, identity(person, role)):
        key = keys.load(folder.keys / person, passphrase)
        declaration = Declaration(
            person=person,
            name=watch.board.name(person),
            role=role,
            at=watch.clock.now(),
            meaning=(DRILL_MEANING if drill else "") + MEANINGS[role],
        )
        _must_be_listed(listed, key, declaration, folder)
        sign_file(path, declaration, key)
        _enter_missing(watch, found, path, listed, identity(person, role))
    return verify_file(path, listed, CONTENT_CHECKS)


def make_key(folder: Folder, person: str, roles: Sequence[str], passphrase: str) -> KeyDescription:
    """Make a person's signing key and put it on the list of who may sign; errors as of `keys.create`."""
    made = keys.create(folder.keys / person, passphrase, person)
    signers.add(folder.allowed_signers, signers.signer(person, roles, made.blob))
    return made


def _signed_record(path: Path, body: bytes) -> Path:
    if not _has(path, body):
        raise StorageError(f"{path} was signed, and is no longer what the journal says of that dive")
    return path


def _names(watch: Watch, lane: Lane, folder: Folder) -> Iterator[Path]:
    """Yield the file names a record may have: its own, then with a number where that is taken."""
    left = lane.mark("left_surface")
    day = (left or lane.plan).at
    stem = f"{day:%Y-%m-%d}-{slug(require_open(watch).title)}-lane{lane.number}"
    yield folder.records / f"{stem}.toml"
    yield from (folder.records / f"{stem}-{number}.toml" for number in itertools.count(2))


def _has(path: Path, body: bytes) -> bool:
    """Return whether a file holds this body, and nothing more than statements and signatures."""
    try:
        found = split(read_bytes(path)).body
    except RecordError:
        return False
    return found in {body, body + b"\n"}  # a blank line stands before the first statement


def _signable(watch: Watch, lane: int, person: str, role: Role) -> Lane:
    found = watch.board.lanes.get(lane)
    if found is None or not found.closed:
        raise Refusal(f"lane {lane} is not closed yet; a record is signed after that")
    if not watch.board.has_role(person, role):
        raise Refusal(f"{watch.board.name(person)} is not {role} at this station and cannot sign as that")
    return found


def _list(folder: Folder) -> AllowedSigners:
    path = folder.allowed_signers
    return signers.load(path) if path.exists() else AllowedSigners()


def _must_be_listed(
    listed: AllowedSigners, key: SigningKey, declaration: Declaration, folder: Folder
) -> None:
    """Raise KeyFileError, with the remedy, when the key may not sign as what the person signs as."""
    who = identity(declaration.person, declaration.role)
    if objection := listed.objection(key.blob, who, declaration.at):
        line = signers.signer(declaration.person, (declaration.role,), key.blob).line()
        raise KeyFileError(
            f"{objection}, so {who} cannot sign; "
            f"whoever keeps {folder.allowed_signers} adds this line: {line}"
        )


def _enter_missing(watch: Watch, lane: Lane, path: Path, listed: AllowedSigners, who: str) -> bool:
    """Enter a signature that stands in the file and not on the journal; return whether there was one."""
    if who in {identity(one.person, one.role) for one in lane.signatures}:
        return False
    data = read_bytes(path)
    for one in verify_bytes(data, listed).signatures:
        if one.who == who and one.listed:
            sha256 = digest(data[: split(data).parts[one.number - 1].end])
            _enter(watch, lane.number, path.name, sha256, one.statement)
            return True
    return False


def _enter(watch: Watch, lane: int, file: str, sha256: str, said: Statement) -> None:
    role = next(one for one in MEANINGS if one == said.role)
    watch.enter(
        RecordSigned(
            lane=lane,
            file=file,
            sha256=sha256,
            person=said.person,
            role=role,
            fingerprint=said.key,
            **watch.stamp(said.person, _SEATS[role]),
        )
    )
