"""The shell lines that verify a record without this program, by tools every Unix has and OpenSSH.

The signature is taken from the last nine lines of the file, and only when each of them is written exactly
as signatures are; so no byte of the file, the signature's own lines included, can change unseen. To verify
an earlier signature, cut the file after it first: what is left is a shorter record.
"""

import shlex
from collections.abc import Sequence
from typing import Final

from station.record.signed import BLOCK_LINES
from station.record.sshsig import NAMESPACE
from station.record.verify import Signed

_STEPS: Final = (
    r"1{/^\[\[signature]]$/!q;}",
    '2{/^value = """$/!q;}',
    "3{/^-----BEGIN SSH SIGNATURE-----$/!q;}",
    r"4,6{/^[A-Za-z0-9+/]\{70\}$/!q;}",
    r"7{/^[A-Za-z0-9+/]\{54\}$/!q;}",
    "8{/^-----END SSH SIGNATURE-----$/!q;}",
    '9{/^"""$/!q;}',
    "3,8H",
    r"9{x; s/^\n//; p;}",
)
SHAPE: Final = "; ".join(_STEPS)
"""A sed script: prints lines 3 to 8 when all nine are written as a signature for our namespace is."""


def stock_line(file: str, who: str, signers: str, at: str = "") -> str:
    """Return one shell line that verifies a record's last signature, leaving the signature in FILE.sig.

    `who` is the identity PERSON:ROLE, `signers` the allowed_signers file, `at` (YYYYMMDDHHMMSSZ) the time
    at which the list is judged, without which it is judged at the present time.
    """
    file = f"./{file}" if file.startswith("-") else file
    record, taken = shlex.quote(file), shlex.quote(f"{file}.sig")
    cut = f"tail -n {BLOCK_LINES} {record} | LC_ALL=C sed -n '{SHAPE}' > {taken}"
    signed = f"head -n $(($(wc -l < {record}) - {BLOCK_LINES})) {record}"
    when = f" -O verify-time={at}" if at else ""
    check = (
        f"ssh-keygen -Y verify -f {shlex.quote(signers)} -I {shlex.quote(who)} -n {NAMESPACE} "
        f"-s {taken}{when}"
    )
    return f"{cut}; {signed} | {check}"


def stock_lines(file: str, signatures: Sequence[Signed], signers: str) -> tuple[str, ...]:
    """Return the shell lines that verify every signature of a record, one or two per signature."""
    lines: list[str] = []
    for one in signatures:
        last = one is signatures[-1]
        part = file if last else f"{file}.{one.number}"
        if not last:
            lines.append(f"head -n {one.end_line} {shlex.quote(file)} > {shlex.quote(part)}")
        lines.append(stock_line(part, one.who, signers, one.statement.at.strftime("%Y%m%d%H%M%SZ")))
    return tuple(lines)
