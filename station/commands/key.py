"""`station key`: make and show signing keys."""

from argparse import Namespace
from pathlib import Path

from station.commands.ask import new_passphrase
from station.errors import KeyFileError
from station.folder import choose_folder, slug
from station.record import keys, signers


def new(options: Namespace) -> int:
    """Make a key for a person and put it on the list of who may sign."""
    if options.person != slug(options.person):
        raise KeyFileError(f"'{options.person}' is no id; write it as '{slug(options.person)}'")
    folder = choose_folder(options.folder).prepare()
    if folder.allowed_signers.exists():
        signers.load(folder.allowed_signers)  # told before the key is made, not after
    made = keys.create(folder.keys / options.person, new_passphrase(), options.person)
    signers.add(folder.allowed_signers, signers.signer(options.person, options.role, made.blob))
    print(f"key       {made.path}")
    print(f"public    {keys.public_path(made.path)}")
    print(f"print     {made.fingerprint}")
    print(f"listed    {folder.allowed_signers} as {', '.join(options.role)}")
    return 0


def show(options: Namespace) -> int:
    """Show one key file, or every key of the folder."""
    folder = choose_folder(options.folder)
    paths = [Path(options.file)] if options.file else sorted(folder.keys.glob("*.pub"))
    if not paths:
        print(f"no keys in {folder.keys}; 'station key new PERSON --role ROLE' makes one")
    for path in paths:
        told = keys.describe(path)
        print(f"{path}\n  {told.fingerprint}  {told.comment}\n  {told.public_line}")
        if told.problem:
            print(f"  not fit to sign: {told.problem}")
    return 0
