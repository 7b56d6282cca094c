"""Closing out a dive: its record written, and signed by those who must.

The journal is told of every signature. A signature may stand in the file while the journal lacks it: the
machine stopped between the two, or somebody signed the file by itself. Signing again enters what is missing.
"""

import itertools
from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import Final

from station.board.state import Lane
from station.errors import KeyNotHeld, NoAgent, RecordError, Refusal, StorageError
from station.events import RecordSigned, Role, Seat
from station.files import digest, read_bytes
from station.folder import Folder, slug
from station.operation import require_open
from station.record import disk, keys, prints, signers
from station.record.agent import AgentKey
from station.record.content import CONTENT_CHECKS
from station.record.declare import MEANINGS, agent_key, declaration, must_be_listed
from station.record.document import build
from station.record.keys import KeyDescription, SigningKey
from station.record.signed import Addendum, Declaration, split
from station.record.signers import AllowedSigners, identity
from station.record.signing import sign_file
from station.record.sshsig import Signer
from station.record.verify import Signed, Verdict, verify_bytes, verify_file
from station.watch import Watch

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
        return _signed_record(folder.records / found.signatures[-1].file, body, found.signatures)
    path = next(path for path in _names(watch, found, folder) if not path.exists() or _has(path, body))
    if not path.exists():
        disk.create(path, body)
    return path


def sign_record(  # noqa: PLR0913, PLR0917 - a signature is all of these
    watch: Watch,
    lane: int,
    path: Path,
    folder: Folder,
    person: str,
    role: Role,
    signer: Signer,
    addenda: Sequence[Addendum] = (),
) -> Verdict:
    """Sign a record with the person's key, enter that on the journal, and return the verdict on the file.

    Raises:
        Refusal: the lane is not closed, or the person has not got that role.
        KeyFileError: the key is not listed to sign as that, or does not sign.
        RecordError: the file is not this lane's record, or the person has signed it in that role already.
        FileError, StorageError: a file cannot be read or written.

    """
    said = declare(watch, lane, path, folder, person, role, signer.blob)
    if addenda or identity(person, role) not in enter_signatures(watch, lane, path, folder):
        sign_file(path, said, signer, addenda)
        enter_signatures(watch, lane, path, folder)
    return verdict_on(path, folder)


def declare(  # noqa: PLR0913, PLR0917 - as above
    watch: Watch, lane: int, path: Path, folder: Folder, person: str, role: Role, key: bytes
) -> Declaration:
    """Return what the person says by signing now with that key; errors as of `sign_record`."""
    watch.poll()
    drill = require_open(watch).drill
    _signable(watch, lane, person, role)
    _must_be_of(watch, lane, path)
    said = declaration(person, watch.board.name(person), role, watch.clock.now(), drill=drill)
    must_be_listed(listed(folder), key, said, folder.allowed_signers)
    return said


def enter_signatures(watch: Watch, lane: int, path: Path, folder: Folder) -> tuple[str, ...]:
    """Enter every signature that stands in a lane's record and not on the journal; return whose they are.

    Only those count whose signers are listed and have that role at the station. Errors as of `sign_record`.
    """
    watch.poll()
    data, board = read_bytes(path), watch.board
    known = {one.sha256 for one in board.lanes[lane].signatures}
    digests = _digests(data)
    if known.issuperset(digests):
        return ()
    _must_be_of(watch, lane, path)
    entered: list[str] = []
    for one in verify_bytes(data, listed(folder)).signatures:
        sha256 = digests[one.number - 1]
        role = next((role for role in MEANINGS if role == one.statement.role), None)
        if sha256 not in known and one.listed and role and board.has_role(one.statement.person, role):
            _enter(watch, lane, path.name, sha256, one, role)
            entered.append(one.who)
    return tuple(entered)


def verdict_on(path: Path, folder: Folder) -> Verdict:
    """Return the verdict on a record of the folder; FileError when it cannot be read."""
    return verify_file(path, listed(folder), CONTENT_CHECKS)


def print_record(path: Path, folder: Folder, paper: prints.Paper) -> Path:
    """Print a record of the folder as a PDF beside it, in place of an earlier print; return the PDF's path.

    Raises:
        FileError, StorageError: the record cannot be read, or the PDF cannot be written.

    """
    from station.record.pdf.document import record_pdf  # noqa: PLC0415 - a third of a second to load

    data, place = read_bytes(path), path.with_suffix(".pdf")
    prints.put(place, record_pdf(data, verify_bytes(data, listed(folder), CONTENT_CHECKS), paper), over=True)
    return place


def file_key(folder: Folder, person: str, passphrase: str) -> SigningKey:
    """Return a person's key from its file; errors as of `keys.load`."""
    return keys.load(folder.keys / person, passphrase)


def held_key(folder: Folder, person: str, role: Role, at: datetime) -> AgentKey | None:
    """Return the person's key when a running ssh-agent holds it, None when there is no agent or it does not.

    Raises:
        AgentError: there is an agent, and it refuses or does not answer as agents do.
        FileError: the list of allowed signers is not right.

    """
    try:
        return agent_key(listed(folder), person, role, at)
    except (NoAgent, KeyNotHeld):
        return None


def listed(folder: Folder) -> AllowedSigners:
    """Return the folder's list of who may sign, an empty one when there is none."""
    path = folder.allowed_signers
    return signers.load(path) if path.exists() else AllowedSigners()


def make_key(folder: Folder, person: str, roles: Sequence[str], passphrase: str) -> KeyDescription:
    """Make a person's signing key and put it on the list of who may sign; errors as of `keys.create`."""
    made = keys.create(folder.keys / person, passphrase, person)
    signers.add(folder.allowed_signers, signers.signer(person, roles, made.blob))
    return made


def _signed_record(path: Path, body: bytes, signatures: Sequence[RecordSigned]) -> Path:
    if not _has(path, body):
        raise StorageError(f"{path} was signed, and is no longer what the journal says of that dive")
    standing = _digests(read_bytes(path))
    for one in signatures:
        if one.sha256 not in standing:
            raise StorageError(
                f"{path} lacks the signature of {one.person} as {one.role} that is on the journal; "
                "it was cut short, or put back from an older copy"
            )
    return path


def _digests(data: bytes) -> list[str]:
    """Return the digest of a record up to the end of each signature, as the journal names it."""
    return [digest(data[: part.end]) for part in split(data).parts]


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


def _must_be_of(watch: Watch, lane: int, path: Path) -> None:
    if not _has(path, build(watch.entries, lane, watch.board.setup)):
        raise RecordError(f"{path} is not what the journal says of lane {lane}; it was not signed")


def _signable(watch: Watch, lane: int, person: str, role: Role) -> None:
    found = watch.board.lanes.get(lane)
    if found is None or not found.closed:
        raise Refusal(f"lane {lane} is not closed yet; a record is signed after that")
    if not watch.board.has_role(person, role):
        raise Refusal(f"{watch.board.name(person)} is not {role} at this station and cannot sign as that")


def _enter(watch: Watch, lane: int, file: str, sha256: str, one: Signed, role: Role) -> None:  # noqa: PLR0913, PLR0917 - an entry is all of these
    watch.enter(
        RecordSigned(
            lane=lane,
            file=file,
            sha256=sha256,
            person=one.statement.person,
            role=role,
            fingerprint=one.statement.key,
            addenda=len(one.addenda) or None,
            **watch.stamp(one.statement.person, _SEATS[role]),
        )
    )
