"""Signing by a running ssh-agent: the private key stays with the agent, only what is to be signed goes there.

The protocol is that of draft-miller-ssh-agent: over the Unix socket that SSH_AUTH_SOCK names, a request and
an answer, each a length in four bytes, a number for its kind, and its fields. Two requests are needed here,
the list of keys and a signature, and our byte strings are those of `wire`; so no library stands between.
"""

import os
import socket
import time
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from station.errors import AgentGarbled, AgentRefused, AgentSilent, KeyNotHeld, NoAgent
from station.record.wire import LENGTH_BYTES, fingerprint, string, take, take_all, untyped

VARIABLE: Final = "SSH_AUTH_SOCK"
LIST_S: Final = 3.0
"""How long the agent may take to list its keys, in seconds; station choice."""
SIGN_S: Final = 60.0
"""How long it may take to sign: it may be asking its owner first; station choice."""
MAX_ANSWER: Final = 1 << 18
"""Longest answer taken, in bytes: OpenSSH's agent writes none longer."""
_REQUEST_IDENTITIES: Final = b"\x0b"
_IDENTITIES_ANSWER: Final = 12
_SIGN_REQUEST: Final = b"\x0d"
_SIGN_RESPONSE: Final = 14
_FAILURES: Final = (5, 30)
"""The protocol's own, and the one of older agents that was kept for it (draft-miller-ssh-agent, 7.1)."""


@dataclass(frozen=True)
class AgentKey:
    """An Ed25519 key that the agent holds: a `Signer`."""

    socket: str
    blob: bytes
    wait_s: float = SIGN_S

    @property
    def fingerprint(self) -> str:
        """SHA256:... as OpenSSH shows it."""
        return fingerprint(self.blob)

    def sign_bytes(self, data: bytes) -> bytes:
        """Return the Ed25519 signature of the data, checked here; AgentError when the agent gives none."""
        request = _SIGN_REQUEST + string(self.blob) + string(data) + bytes(LENGTH_BYTES)  # no flags
        answer = _ask(self.socket, request, _SIGN_RESPONSE, self.wait_s)
        try:
            (typed,) = take_all(answer, 1)
            value = untyped(typed)
            Ed25519PublicKey.from_public_bytes(untyped(self.blob)).verify(value, data)
        except (ValueError, InvalidSignature):
            raise AgentGarbled(f"the ssh-agent answered with no signature of {self.fingerprint}") from None
        return value


def held(path: str | None = None, wait_s: float = LIST_S) -> tuple[bytes, ...]:
    """Return the public keys of every kind that the agent holds; AgentError when it cannot be asked.

    `path` is that of its socket, of the one SSH_AUTH_SOCK names if not given.
    """
    answer = _ask(_socket(path), _REQUEST_IDENTITIES, _IDENTITIES_ANSWER, wait_s)
    blobs: list[bytes] = []
    try:
        count, rest = int.from_bytes(answer[:LENGTH_BYTES], "big"), answer[LENGTH_BYTES:]
        for _ in range(count):
            blob, rest = take(rest)
            _comment, rest = take(rest)
            blobs.append(blob)
    except ValueError:
        raise AgentGarbled("the ssh-agent answered with no list of keys") from None
    if rest or len(answer) < LENGTH_BYTES:
        raise AgentGarbled("the ssh-agent answered with no list of keys")
    return tuple(blobs)


def find(wanted: Iterable[bytes], path: str | None = None, wait_s: float = LIST_S) -> AgentKey:
    """Return the first of these keys that the agent holds.

    Raises:
        NoAgent, AgentRefused, AgentSilent, AgentGarbled: the agent could not be asked.
        KeyNotHeld: it holds none of them.

    """
    there = held(path, wait_s)
    blobs = list(wanted)
    for blob in blobs:
        if blob in there:
            return AgentKey(_socket(path), blob)
    names = ", ".join(fingerprint(blob) for blob in blobs) or "no key, as none is listed"
    raise KeyNotHeld(
        f"the ssh-agent does not hold the key that is needed ({names}); `ssh-add KEYFILE` gives it one"
    )


def _socket(path: str | None) -> str:
    found = path or os.environ.get(VARIABLE)
    if not found:
        raise NoAgent(f"no ssh-agent is named: {VARIABLE} is not set")
    return found


def _ask(path: str, request: bytes, kind: int, wait_s: float) -> bytes:
    """Return the fields of the agent's answer, which must be of that kind."""
    until = time.monotonic() + wait_s
    try:
        with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as agent:
            agent.settimeout(wait_s)
            agent.connect(path)
            agent.sendall(string(request))
            length = int.from_bytes(_exactly(agent, LENGTH_BYTES, until), "big")
            if not 0 < length <= MAX_ANSWER:
                raise AgentGarbled(f"the ssh-agent announced an answer of {length} bytes")
            answer = _exactly(agent, length, until)
    except TimeoutError:
        raise AgentSilent(f"the ssh-agent at {path} did not answer within {wait_s:.0f} s") from None
    except OSError as error:
        raise NoAgent(f"no ssh-agent answers at {path}: {error.strerror or error}") from None
    if answer[0] in _FAILURES:
        raise AgentRefused("the ssh-agent refused: it may be locked, or its owner said no")
    if answer[0] != kind:
        raise AgentGarbled(f"the ssh-agent gave an answer of kind {answer[0]}, where {kind} was due")
    return answer[1:]


def _exactly(agent: socket.socket, count: int, until: float) -> bytes:
    data = b""
    while len(data) < count:
        left = until - time.monotonic()
        if left <= 0:
            raise TimeoutError
        agent.settimeout(left)
        more = agent.recv(count - len(data))
        if not more:
            raise AgentGarbled("the ssh-agent broke off in the middle of an answer")
        data += more
    return data
