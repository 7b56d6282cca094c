"""`station record sign` and `record addendum`: signing a record's file by itself, away from the console.

The journal is told when the console next signs that record, or looks at who has.
"""

from argparse import Namespace
from datetime import datetime
from pathlib import Path

from pydantic import ValidationError

from station.clock import AnchoredClock
from station.closeout import file_key, listed, verdict_on
from station.commands.ask import passphrase
from station.errors import UsageError
from station.events import Role
from station.files import read_bytes
from station.folder import Folder, choose_folder
from station.record.declare import MEANINGS, agent_key, declaration_for, must_be_listed
from station.record.places import what_stands
from station.record.report import report
from station.record.signed import Addendum, Declaration
from station.record.signing import sign_file
from station.record.sshsig import Signer


def sign(options: Namespace) -> int:
    """Put a person's statement and signature under a record."""
    return _signed(options, _declared(options))


def addend(options: Namespace) -> int:
    """Put a correction under a signed record, signed by who makes it; what was signed before stays."""
    said = _declared(options)
    stands = what_stands(read_bytes(Path(options.file)), options.corrects)
    addendum = _addendum(options, said)
    print(f"{options.corrects} stands as: {stands}")
    return _signed(options, said, addendum)


def _addendum(options: Namespace, said: Declaration) -> Addendum:
    words = {"corrects": options.corrects, "text": options.text, "reason": options.reason}
    try:
        return Addendum(**words, by=said.person, at=said.at)
    except ValidationError as error:
        first = error.errors()[0]
        key = str(first["loc"][0])
        raise UsageError(f"--{key} cannot stand so: {first['msg'].removeprefix('Value error, ')}") from None


def _declared(options: Namespace) -> Declaration:
    person, role = _who(options.who)
    return declaration_for(read_bytes(Path(options.file)), person, role, _now())


def _signed(options: Namespace, said: Declaration, *addenda: Addendum) -> int:
    path = Path(options.file)
    folder = _folder(options, path)
    signer = _signer(options, folder, said)
    must_be_listed(listed(folder), signer.blob, said, folder.allowed_signers)
    sign_file(path, said, signer, addenda)
    print(report(verdict_on(path, folder), str(path)))
    print("The journal is told when the console next opens the signing of this dive (key g).")
    return 0


def _signer(options: Namespace, folder: Folder, said: Declaration) -> Signer:
    if options.agent:
        return agent_key(listed(folder), said.person, said.role, said.at)
    return file_key(folder, said.person, passphrase(f"Passphrase of {folder.keys / said.person}: "))


def _who(text: str) -> tuple[str, Role]:
    person, _, word = text.partition(":")
    role = next((one for one in MEANINGS if one == word), None)
    if not person or role is None:
        raise UsageError(f"--as '{text}' is not PERSON:ROLE; roles: {', '.join(MEANINGS)}")
    return person, role


def _folder(options: Namespace, record: Path) -> Folder:
    """Return the folder named, else the one that the record stands in, else the one of the commands."""
    above = Folder(record.absolute().parent.parent)
    if not options.folder and above.allowed_signers.is_file():
        return above
    return choose_folder(options.folder)


def _now() -> datetime:
    return AnchoredClock.started().now()
