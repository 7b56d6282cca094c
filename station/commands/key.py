"""`station key`: make, show, lock anew and retire signing keys."""

from argparse import Namespace
from datetime import datetime
from pathlib import Path

from station.clock import AnchoredClock
from station.commands.ask import new_passphrase, passphrase
from station.commands.when import moment
from station.errors import KeyFileError, UsageError
from station.folder import Folder, choose_folder, person_id, slug
from station.record import keys, signers
from station.record.signers import AllowedSigner, AllowedSigners
from station.record.wire import fingerprint


def new(options: Namespace) -> int:
    """Make a key for a person and put it on the list of who may sign."""
    if options.person != slug(options.person):
        near = person_id(options.person)
        raise KeyFileError(f"'{options.person}' is no id" + (f"; write it as '{near}'" if near else ""))
    after = moment(options.since, "--from") if options.since else None
    before = moment(options.until, "--until", end=True) if options.until else None
    if after and before and after >= before:
        raise UsageError("--until must be later than --from")
    folder = choose_folder(options.folder).prepare()
    _listed(folder)  # told before the key is made, not after
    made = keys.create(folder.keys / options.person, new_passphrase(), options.person)
    line = signers.signer(options.person, options.role, made.blob, after, before)
    signers.add(folder.allowed_signers, line)
    print(f"key       {made.path}")
    print(f"public    {keys.public_path(made.path)}")
    print(f"print     {made.fingerprint}")
    print(f"listed    {folder.allowed_signers} as {', '.join(options.role)}{_dates(line)}")
    return 0


def show(options: Namespace) -> int:
    """Show one key file, or every key of the folder, with what each may sign as."""
    folder = choose_folder(options.folder)
    paths = [Path(options.file)] if options.file else sorted(folder.keys.glob("*.pub"))
    if not paths:
        print(f"no keys in {folder.keys}; 'station key new PERSON --role ROLE' makes one")
        return 0
    listed = _listed(folder)
    for path in paths:
        told = keys.describe(path)
        print(f"{path}\n  {told.fingerprint}  {told.comment}\n  {told.public_line}")
        for line in listed.lines:
            if line.key == told.blob:
                print(f"  may sign as {line.identities}{_dates(line)}")
        if told.problem:
            print(f"  not fit to sign: {told.problem}")
    return 0


def who(options: Namespace) -> int:
    """Show who may sign as what, from when, until when, and whether that is so now."""
    folder = choose_folder(options.folder)
    listed, now = _listed(folder), AnchoredClock.started().now()
    if not listed.lines:
        print(f"nobody is on {folder.allowed_signers}; 'station key new PERSON --role ROLE' lists a new key")
    for line in listed.lines:
        print(f"{line.identities}: {_state(line, now)}{_dates(line)}\n  {fingerprint(line.key)}")
    return 0


def change(options: Namespace) -> int:
    """Lock a person's key by another passphrase; without a terminal, the old and the new on a line each."""
    path = choose_folder(options.folder).keys / options.person
    keys.describe(path)  # no passphrase is asked for where there is no key
    told = keys.change_passphrase(path, passphrase(f"Passphrase of {path}: "), new_passphrase())
    print(f"{path}: locked by the new passphrase; the key is the same: {told.fingerprint}")
    return 0


def retire(options: Namespace) -> int:
    """End what a person may sign; what was signed before stays good."""
    until = moment(options.until, "--until", end=True) if options.until else AnchoredClock.started().now()
    path = choose_folder(options.folder).allowed_signers
    for line in signers.retire(path, options.person, until):
        print(f"{line.identities}: may sign no more{_dates(line)}\n  {fingerprint(line.key)}")
    print(
        "Records signed up to then stay sound. A key that others may have: --until the day it was last safe."
    )
    return 0


def _listed(folder: Folder) -> AllowedSigners:
    path = folder.allowed_signers
    return signers.load(path) if path.exists() else AllowedSigners()


def _dates(line: AllowedSigner) -> str:
    since = f" from {_shown(line.valid_after)}" if line.valid_after else ""
    until = f" until {_shown(line.valid_before)}" if line.valid_before else ""
    return f",{since}{until}" if since or until else ""


def _shown(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M:%S}Z"


def _state(line: AllowedSigner, now: datetime) -> str:
    if line.valid_after and now < line.valid_after:
        return "not yet"
    return "no more" if line.valid_before and now.replace(microsecond=0) > line.valid_before else "may sign"
