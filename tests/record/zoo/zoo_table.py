"""What is said of each bad record of the zoo, and whether `ssh-keygen -Y verify` can judge it."""

from typing import Final

from station.record.verify import Status

ALTERED, UNLISTED, UNSIGNED = Status.ALTERED, Status.UNLISTED, Status.UNSIGNED
MEANT: Final = {
    "mira": r"signature 2, mira-holt:supervisor, 2031-\d\d-\d\dT10:05:05.000Z: key SHA256:i5ZM\S+",
    "ola": r"signature 2, mira-holt:supervisor, 2031-09-02T10:05:05.000Z: key SHA256:IX7b\S+",
    "changed": "was changed, or the signature itself, or it was made for another file",
}
REFUSED: Final = ""
"""ssh-keygen refuses it, too. Other words say why it cannot judge: it must find the last signature good."""
BODY_UNREAD: Final = "it reads no record: whatever is signed is signed"
ROLES_UNKNOWN: Final = "it does not know who must sign"

TABLE: Final[dict[str, tuple[Status, str, str]]] = {
    "byte-flipped-in-body": (
        ALTERED,
        "signature 1 does not match: something in lines 1 to 68 {changed}",
        REFUSED,
    ),
    "byte-flipped-in-statement": (
        ALTERED,
        "signature 2 does not match: something in lines 78 to 87 {changed}",
        REFUSED,
    ),
    "byte-flipped-in-signature": (
        ALTERED,
        "signature 1 is not a plain Ed25519 signature: of type ssh-ed25518, not ssh-ed25519",
        REFUSED,
    ),
    "cut-in-body": (
        ALTERED,
        r"the body has no table \[signing\]; it was cut short or never whole",
        REFUSED,
    ),
    "cut-in-statement": (ALTERED, "what follows the last signature, from line 78 on, is not signed", REFUSED),
    "cut-in-signature": (ALTERED, r"signature 2 \(line 88\) is not written as signatures are", REFUSED),
    "cut-before-last-newline": (
        ALTERED,
        r"signature 2 \(line 88\) is not written as signatures are",
        REFUSED,
    ),
    "cut-after-first-signature": (UNSIGNED, "it is not yet signed by: supervisor", ROLES_UNKNOWN),
    "lines-swapped": (ALTERED, "signature 1 does not match: something in lines 1 to 68 {changed}", REFUSED),
    "signature-of-another-record": (
        ALTERED,
        "signature 2 does not match: something in lines 78 to 87 {changed}",
        REFUSED,
    ),
    "signatures-swapped": (
        ALTERED,
        "signature 1 does not match: something in lines 1 to 68 {changed}",
        REFUSED,
    ),
    "signature-twice": (
        ALTERED,
        "signature 3 does not match: something in lines 97 to 106 {changed}",
        REFUSED,
    ),
    "signature-rewrapped": (
        ALTERED,
        "signature 1 is not written the one way signatures are written",
        REFUSED,
    ),
    "crlf": (ALTERED, "line 1 holds a carriage return; records end their lines with LF alone", REFUSED),
    "carriage-return": (ALTERED, "line 47 holds a carriage return; .*", REFUSED),
    "trailing-text": (ALTERED, "what follows the last signature, from line 97 on, is not signed", REFUSED),
    "trailing-line-end": (
        ALTERED,
        "what follows the last signature, from line 97 on, is not signed",
        REFUSED,
    ),
    "trailing-key": (ALTERED, "what follows the last signature, from line 97 on, is not signed", REFUSED),
    "byte-order-mark": (ALTERED, "it begins with a byte order mark; records are plain UTF-8", REFUSED),
    "not-utf-8": (ALTERED, "byte 403 is not UTF-8 text", REFUSED),
    "addendum-unsigned": (
        ALTERED,
        "what follows the last signature, from line 97 on, is not signed",
        REFUSED,
    ),
    "statement-unsigned": (
        ALTERED,
        "what follows the last signature, from line 97 on, is not signed",
        REFUSED,
    ),
    "empty": (Status.NOT_A_RECORD, "it is empty", REFUSED),
    "other-text": (Status.NOT_A_RECORD, r"it does not begin with the lines \[record\] and .*", REFUSED),
    "newer-format": (
        Status.NEWER,
        "it is in format 2, and this program knows formats up to 1; nothing in it was checked",
        REFUSED,
    ),
    "format-zero": (ALTERED, "it says it is in format 0, which never was", REFUSED),
    "wrong-namespace": (
        ALTERED,
        r"signature 2 was made for 'git', not for a dive record \(dive-records@station.example\)",
        REFUSED,
    ),
    "signer-unlisted": (UNLISTED, "{ola} is not on the list of allowed signers", REFUSED),
    "role-unlisted": (
        UNLISTED,
        "signature 2, mira-holt:timekeeper, .* may sign as mira-holt:supervisor, not as mira-holt:timekeeper",
        REFUSED,
    ),
    "key-expired": (UNLISTED, "{mira} is not valid after 20311210100505Z", REFUSED),
    "key-not-yet-valid": (UNLISTED, "{mira} is not valid before 20310526100505Z", REFUSED),
    "statement-names-another-key": (
        ALTERED,
        "statement 2 names key SHA256:i5ZM.*, but SHA256:6dKp.* signed",
        REFUSED,
    ),
    "role-missing": (UNSIGNED, "it is not yet signed by: timekeeper", ROLES_UNKNOWN),
    "not-signed": (UNSIGNED, "it is not yet signed by: timekeeper, supervisor", REFUSED),
    "drill-contradicts": (ALTERED, "the record is of no drill, but statement 2 says otherwise", BODY_UNREAD),
    "dated-before-the-closing": (
        ALTERED,
        "statement 2 is dated .*T09:01:05.000Z, before the dive was closed at 2031-09-02T10:01:05.000Z",
        BODY_UNREAD,
    ),
    "addendum-by-another": (
        ALTERED,
        r"the addendum to conditions.surface is said to be by jon-ek, but mira-holt signed it .*3\)",
        BODY_UNREAD,
    ),
    "addendum-before-signatures": (ALTERED, "an addendum stands before the first signature, .*", BODY_UNREAD),
    "two-statements": (ALTERED, "signature 2 has more than one statement before it", BODY_UNREAD),
    "no-statement": (ALTERED, "signature 2 has no statement of its own before it", REFUSED),
    "chain-broken": (ALTERED, "its journal was changed: the chain breaks at entry 9", BODY_UNREAD),
    "chain-head-wrong": (ALTERED, "the head of its journal is not the hash of its last entry", BODY_UNREAD),
    "entry-altered-signed-by-stranger": (UNLISTED, "{ola} is not on the list of allowed signers", REFUSED),
    "entry-left-out": (
        ALTERED,
        "its journal is not whole: entry 6 stands where entry 5 belongs",
        BODY_UNREAD,
    ),
    "bottom-time-not-of-marks": (
        ALTERED,
        "its bottom time of 24 min is not that of its marks, which give 25 min",
        BODY_UNREAD,
    ),
    "mark-not-in-journal": (ALTERED, "its times.marks are not the marks of its journal", BODY_UNREAD),
    "closing-missing": (ALTERED, "its journal has no closing of lane 1", BODY_UNREAD),
    "drill-called-a-dive": (ALTERED, "its journal is of a drill, the record says a real dive", BODY_UNREAD),
    "field-of-the-law-missing": (
        ALTERED,
        r"it has no conditions.visibility: conditions, 29 CFR 1910.423\(d\)\(1\)\(v\)",
        BODY_UNREAD,
    ),
    "nobody-required": (ALTERED, "the body's signing.required is not right: it names nobody", BODY_UNREAD),
    "not-toml": (ALTERED, r"the body is not valid TOML: .*line 7, column 6\)", BODY_UNREAD),
}
