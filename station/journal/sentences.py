"""Sentences that several ways of keeping a journal say alike."""

EVIDENCE = "keep the file as it is and go on with a sound copy or a new journal"
"""What to do about a journal that is no longer what was written."""

LONGEST = 200
"""Characters of what a damaged file holds that a message shows."""


def plain(text: str) -> str:
    """Return text that came out of a file fit for a line on a terminal, whatever it holds."""
    return "".join(one if one.isprintable() else "?" for one in " ".join(text.split()))[:LONGEST]


def moved(source: str, expected: int, found: int) -> str:
    """Say that another process appended first."""
    return (
        f"{source}: another seat wrote first, the last entry is {found} and not {expected}; "
        "nothing was written, read on and enter it again"
    )


def gone(source: str, after: int) -> str:
    """Say that a reader is ahead of the journal."""
    return f"{source}: entry {after} is not there, so the file was changed or replaced; open it anew"


def unattached(source: str, sha256: str) -> str:
    """Say that no attachment is kept under a digest."""
    return f"{source}: no file with SHA-256 {plain(sha256)} is attached"


def altered(source: str, sha256: str) -> str:
    """Say that an attachment is no longer what its digest says."""
    return (
        f"{source}: the attached file with SHA-256 {plain(sha256)} was changed after it was attached; "
        f"{EVIDENCE}"
    )
