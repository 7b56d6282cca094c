"""The list of who may sign as what, and when: OpenSSH's `allowed_signers` file.

The format is that of ssh-keygen(1), "ALLOWED SIGNERS": one line per key with the identities it may sign
under, options, and the public key. An identity here is PERSON:ROLE, such as mira-holt:supervisor, so that
`ssh-keygen -Y verify -I mira-holt:supervisor` checks the role as well. mira-holt:* is any role.

Dates are judged at the time the statement bears, not at the time of looking: a record stays good after its
signer has left. That time is the signer's own word. Whoever holds a key that has run out could write an
earlier time; the statement's time must fit the times in the record, which the other signer vouches for.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from station.errors import FileError, KeyFileError
from station.files import read_bytes
from station.record import disk
from station.record.sshsig import NAMESPACE
from station.record.wire import blob_from_text, fingerprint, public_text

ANY_ROLE: Final = "*"
_DATE: Final = re.compile(r"[0-9]{8}(?:[0-9]{4}(?:[0-9]{2})?)?Z")
_LINE: Final = re.compile(r'(?P<who>"[^"]*"|[^\s"]+)\s+(?P<rest>\S.*)')
_OPTIONS: Final = re.compile(r'(?P<options>(?:[^\s"]|"[^"]*")+)\s+(?P<rest>\S.*)')
_OPTION: Final = re.compile(r'(?P<name>[A-Za-z-]+)(?:="(?P<value>[^"]*)")?(?:,|$)')
_KEY: Final = re.compile(
    r"(?P<kind>(?:ssh|ecdsa|sk-ssh|sk-ecdsa)-[!-~]+)\s+(?P<encoded>[A-Za-z0-9+/=]+)(?:\s.*)?"
)


@dataclass(frozen=True)
class AllowedSigner:
    """One line: the key, the identity patterns it may sign under, and what limits it."""

    identities: str
    key: bytes
    namespaces: str | None = None
    valid_after: datetime | None = None
    valid_before: datetime | None = None

    def objection(self, who: str, at: datetime) -> str:
        """Return why this line does not let its key sign as `who` at that time, "" when it does.

        Both dates are inclusive and judged to the whole second, as ssh-keygen does.
        """
        second = at.replace(microsecond=0)
        if not matches(self.identities, who):
            return f"may sign as {self.identities}, not as {who}"
        if self.namespaces is not None and not matches(self.namespaces, NAMESPACE):
            return f"may sign for {self.namespaces}, not for {NAMESPACE}"
        if self.valid_after is not None and second < self.valid_after:
            return f"is not valid before {_date_text(self.valid_after)}"
        if self.valid_before is not None and second > self.valid_before:
            return f"is not valid after {_date_text(self.valid_before)}"
        return ""

    def line(self) -> str:
        """Return the line as it stands in the file, without its newline."""
        options = [f'namespaces="{self.namespaces}"'] if self.namespaces is not None else []
        if self.valid_after is not None:
            options.append(f'valid-after="{_date_text(self.valid_after)}"')
        if self.valid_before is not None:
            options.append(f'valid-before="{_date_text(self.valid_before)}"')
        who = f'"{self.identities}"' if " " in self.identities else self.identities
        return " ".join([who, *([",".join(options)] if options else []), public_text(self.key)])


@dataclass(frozen=True)
class AllowedSigners:
    """The whole list."""

    lines: tuple[AllowedSigner, ...] = ()

    def objection(self, key: bytes, who: str, at: datetime) -> str:
        """Return why this key may not sign as `who` at that time, "" when some line lets it."""
        own = [line for line in self.lines if line.key == key]
        reasons = [line.objection(who, at) for line in own]
        if not own:
            return f"key {fingerprint(key)} is not on the list of allowed signers"
        return "" if "" in reasons else f"key {fingerprint(key)} {'; '.join(reasons)}"


def identity(person: str, role: str) -> str:
    """Return the name under which a person signs in a role."""
    return f"{person}:{role}"


def matches(patterns: str, text: str) -> bool:
    """Return whether a comma-separated pattern list takes the text: * ? and ! as in ssh_config(5)."""
    found = False
    for pattern in patterns.split(","):
        plain = pattern.removeprefix("!")
        expression = re.escape(plain).replace(r"\*", ".*").replace(r"\?", ".")
        if plain and re.fullmatch(expression, text, re.DOTALL):
            if pattern.startswith("!"):
                return False
            found = True
    return found


def signer(
    person: str,
    roles: Sequence[str],
    key: bytes,
    valid_after: datetime | None = None,
    valid_before: datetime | None = None,
) -> AllowedSigner:
    """Return the line that lets a person sign dive records in these roles, or in any role when none is named.

    `valid_after` and `valid_before` are taken to the whole second.
    """
    identities = ",".join(identity(person, role) for role in roles or (ANY_ROLE,))
    return AllowedSigner(identities, key, NAMESPACE, valid_after, valid_before)


def parse(data: bytes, name: str) -> AllowedSigners:
    """Return the list; FileError names every line that is not right. `name` is shown as the file."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise FileError(name, [("", f"not UTF-8 text (byte {error.start + 1})")]) from None
    lines: list[AllowedSigner] = []
    problems: list[tuple[str, str]] = []
    for number, raw in enumerate(text.split("\n"), start=1):
        line = raw.strip()
        if not line or line.startswith("#"):
            continue
        try:
            lines.append(_parse_line(line))
        except ValueError as error:
            problems.append((f"line {number}", str(error)))
    if problems:
        raise FileError(name, problems)
    return AllowedSigners(tuple(lines))


def load(path: Path) -> AllowedSigners:
    """Return the list of a file; FileError when it cannot be read or a line is not right."""
    return parse(read_bytes(path), str(path))


def with_line(data: bytes, line: AllowedSigner) -> bytes:
    """Return the file's bytes with one more line; unchanged when that very line stands there already."""
    added = line.line().encode()
    if added in data.split(b"\n"):
        return data
    gap = b"\n" if data and not data.endswith(b"\n") else b""
    return data + gap + added + b"\n"


def add(path: Path, line: AllowedSigner) -> None:
    """Add a line to a file, making the file when there is none.

    FileError when the file or the new line is not right, StorageError when it cannot be written; then it is
    left as it was.
    """
    old = read_bytes(path) if path.exists() else None
    new = with_line(old or b"", line)
    parse(new, str(path))
    if old is None:
        disk.create(path, new)
    else:
        disk.replace(path, old, new)


def retired(data: bytes, person: str, until: datetime, name: str) -> tuple[bytes, tuple[AllowedSigner, ...]]:
    """Return the file's bytes with every line of a person that is still open ended, and those lines.

    `until` is the last second, taken whole, at which the person may still sign; what was signed by then stays
    good. Every other line is kept as it is. KeyFileError when there is nothing to end, or a line cannot be
    ended for this person alone; FileError as of `parse`.
    """
    parse(data, name)
    until = until.replace(microsecond=0)
    lines = data.decode().split("\n")
    ended: list[AllowedSigner] = []
    for number, raw in enumerate(lines):
        text = raw.strip()
        line = _parse_line(text) if text and not text.startswith("#") else None
        if line is None or not _is_of(line, person) or (line.valid_before and line.valid_before <= until):
            continue
        _may_end(line, person, until, f"{name}: line {number + 1}")
        ended.append(replace(line, valid_before=until))
        comment = text.partition(public_text(line.key).split(" ")[1])[2]
        lines[number] = ended[-1].line() + comment
    if not ended:
        raise KeyFileError(f"{name} has no line by which {person} may still sign after {_date_text(until)}")
    return "\n".join(lines).encode(), tuple(ended)


def retire(path: Path, person: str, until: datetime) -> tuple[AllowedSigner, ...]:
    """End a person's lines in a file, in one step; errors as of `retired`, and StorageError."""
    old = read_bytes(path)
    new, ended = retired(old, person, until, str(path))
    disk.replace(path, old, new)
    return ended


def _is_of(line: AllowedSigner, person: str) -> bool:
    """Return whether a line may let a person sign, alone or among others."""
    return any(matches(one.partition(":")[0], person) for one in line.identities.split(","))


def _may_end(line: AllowedSigner, person: str, until: datetime, where: str) -> None:
    if any(one.partition(":")[0] != person for one in line.identities.split(",")):
        raise KeyFileError(
            f"{where} lets others sign as well ({line.identities}); give {person} a line of their own first"
        )
    if line.valid_after and line.valid_after >= until:
        raise KeyFileError(
            f"{where} is valid from {_date_text(line.valid_after)} on, so it cannot end at "
            f"{_date_text(until)}; take the line out by hand"
        )


def _parse_line(line: str) -> AllowedSigner:
    parts = _LINE.fullmatch(line)
    if parts is None:
        raise ValueError("needs the identities, then the key: PERSON:ROLE ssh-ed25519 AAAA...")
    options: dict[str, str] = {}
    key = _KEY.fullmatch(parts["rest"])
    if key is None:
        further = _OPTIONS.fullmatch(parts["rest"])
        key = _KEY.fullmatch(further["rest"]) if further else None
        if further is None or key is None:
            raise ValueError("holds no public key, or an option with a space outside quotes")
        options = dict(_options(further["options"]))
    after, before = _date(options.get("valid-after")), _date(options.get("valid-before"))
    if after and before and after >= before:
        raise ValueError("valid-before must be later than valid-after")
    return AllowedSigner(
        identities=parts["who"].strip('"'),
        key=blob_from_text(key["kind"], key["encoded"]),
        namespaces=options.get("namespaces"),
        valid_after=after,
        valid_before=before,
    )


def _options(text: str) -> Iterator[tuple[str, str]]:
    seen: set[str] = set()
    at = 0
    while at < len(text):
        found = _OPTION.match(text, at)
        if found is None:
            raise ValueError(f'the options are not of the form name="value",...: {text}')
        name, value = found["name"].lower(), found["value"]
        if name not in {"namespaces", "valid-after", "valid-before"}:
            raise ValueError(
                f"option '{name}' is not used here; known: namespaces, valid-after, valid-before"
            )
        if value is None or name in seen:
            raise ValueError(f"option '{name}' stands once, as {name}=\"...\"")
        seen.add(name)
        yield name, value
        at = found.end()


def _date(text: str | None) -> datetime | None:
    if text is None:
        return None
    try:
        if not _DATE.fullmatch(text):
            raise ValueError  # noqa: TRY301 - one sentence for both ways to be wrong
        return datetime.strptime(text[:-1].ljust(14, "0"), "%Y%m%d%H%M%S").replace(tzinfo=UTC)
    except ValueError:
        raise ValueError(
            f"'{text}' is not a time in UTC: write YYYYMMDDZ or YYYYMMDDHHMMSSZ; without the Z it would "
            "be another moment on every machine"
        ) from None


def _date_text(moment: datetime) -> str:
    return moment.astimezone(UTC).strftime("%Y%m%d%H%M%SZ")
