"""A record's bytes read once: the verdict on them, and the body as TOML."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Self

from station.errors import FileError, RecordError
from station.files import digest, parse_toml
from station.record.content import CONTENT_CHECKS
from station.record.recorded import RecordedDive, dive_of_body
from station.record.signed import split
from station.record.signers import AllowedSigners
from station.record.verify import Verdict, verify_bytes


@dataclass(frozen=True)
class Reading:
    """The verdict on a record's bytes and its body, {} where it cannot be read as one."""

    verdict: Verdict
    body: Mapping[str, Any]
    body_sha256: str

    @classmethod
    def of(cls, data: bytes, listed: AllowedSigners | None = None) -> Self:
        """Read a record with all checks of its content; what is read as TOML is read once."""
        seen: list[Mapping[str, Any]] = []

        def keep(body: Mapping[str, Any]) -> None:
            seen.append(body)

        verdict = verify_bytes(data, listed, (keep, *CONTENT_CHECKS))
        part = _body_bytes(data)
        body = seen[0] if seen else _as_it_stands(part)
        return cls(verdict, body, digest(part))

    def dive(self, name: str) -> RecordedDive:
        """Return the dive as it counts for the next; RecordError when there is no finished one."""
        return dive_of_body(self.body, name, self.body_sha256)


def _body_bytes(data: bytes) -> bytes:
    try:
        return split(data).body
    except RecordError:
        return data


def _as_it_stands(part: bytes) -> Mapping[str, Any]:
    """Return the body of a record that is not sound, so that it can be found by what it says."""
    try:
        return parse_toml(part, "record")
    except FileError:
        return {}
