"""An ssh-agent that signs, and everything that one may answer instead."""

import contextlib
import io
import re
import shutil
import socket
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.errors import (
    AgentError,
    AgentGarbled,
    AgentRefused,
    AgentSilent,
    KeyFileError,
    KeyNotHeld,
    NoAgent,
)
from station.record import agent, keys, sshsig
from station.record.wire import string, typed

if TYPE_CHECKING:
    from tests.conftest import OwnAgent

MIRA, JON = keys.new_key(), keys.new_key()
LIST = b"\x0c\0\0\0\x01" + string(MIRA.blob) + string(b"mira")
Answer = Callable[[bytes], bytes]


def framed(answer: bytes) -> bytes:
    return string(answer)


@pytest.fixture
def answering(tmp_path: Path) -> Iterator[Callable[..., str]]:
    """Return what starts an agent that gives these answers, one per caller, and then hangs up."""
    listeners: list[socket.socket] = []
    threads: list[threading.Thread] = []

    def serve(listener: socket.socket, answers: tuple[bytes, ...]) -> None:
        for answer in answers:
            with listener.accept()[0] as caller:
                caller.recv(1 << 16)
                caller.sendall(answer)

    def start(*answers: bytes) -> str:
        path = str(tmp_path / "agent")
        listener = socket.socket(socket.AF_UNIX)
        listener.bind(path)
        listener.listen()
        listeners.append(listener)
        threads.append(threading.Thread(target=serve, args=(listener, answers)))
        threads[-1].start()
        return path

    yield start
    for thread in threads:
        thread.join(timeout=10)
        assert not thread.is_alive()
    for listener in listeners:
        listener.close()


def signature_answer(key: keys.SigningKey, data: bytes) -> bytes:
    return framed(b"\x0e" + string(typed(key.sign_bytes(data))))


def test_the_keys_an_agent_holds_are_listed_and_the_wanted_one_found(
    answering: Callable[..., str],
) -> None:
    path = answering(framed(LIST), framed(LIST), framed(LIST))
    assert agent.held(path) == (MIRA.blob,)
    assert agent.find([JON.blob, MIRA.blob], path) == agent.AgentKey(path, MIRA.blob)
    with pytest.raises(KeyNotHeld, match=re.escape(JON.fingerprint)):
        agent.find([JON.blob], path)


def test_an_agents_signature_is_that_of_the_key(answering: Callable[..., str]) -> None:
    path = answering(signature_answer(MIRA, b"x"))
    assert agent.AgentKey(path, MIRA.blob).sign_bytes(b"x") == MIRA.sign_bytes(b"x")
    assert agent.AgentKey(path, MIRA.blob).fingerprint == MIRA.fingerprint


WRONG_LISTS: dict[str, tuple[bytes, type[AgentError], str]] = {
    "hangs up": (b"", AgentGarbled, "broke off"),
    "half a length": (b"\0\0", AgentGarbled, "broke off"),
    "half an answer": (framed(LIST)[:-1], AgentGarbled, "broke off"),
    "an empty answer": (framed(b""), AgentGarbled, "an answer of 0 bytes"),
    "a giant": (b"\xff\xff\xff\xff", AgentGarbled, "an answer of 4294967295 bytes"),
    "another kind": (framed(b"\x0e"), AgentGarbled, "kind 14, where 12 was due"),
    "a failure": (framed(b"\x05"), AgentRefused, "refused"),
    "an old failure": (framed(b"\x1e"), AgentRefused, "refused"),
    "no count": (framed(b"\x0c\0"), AgentGarbled, "no list of keys"),
    "too few": (framed(LIST.replace(b"\0\0\0\x01", b"\0\0\0\x02", 1)), AgentGarbled, "no list of keys"),
    "too many": (framed(LIST + b"x"), AgentGarbled, "no list of keys"),
}


@pytest.mark.parametrize("flaw", WRONG_LISTS)
def test_what_is_no_list_is_said(flaw: str, answering: Callable[..., str]) -> None:
    answer, kind, sentence = WRONG_LISTS[flaw]
    with pytest.raises(kind, match=sentence):
        agent.held(answering(answer))


@pytest.mark.parametrize(
    "answer",
    [
        signature_answer(MIRA, b"y"),
        signature_answer(JON, b"x"),
        framed(b"\x0e" + string(string(b"ssh-rsa") + string(bytes(64)))),
        framed(b"\x0e" + string(typed(bytes(63)))),
        framed(b"\x0e"),
        framed(b"\x0e" + bytes(83)),
    ],
    ids=["of other data", "of another key", "of another kind", "short", "none", "zeros"],
)
def test_what_is_no_signature_of_the_key_is_never_taken(answer: bytes, answering: Callable[..., str]) -> None:
    with pytest.raises(AgentGarbled, match="no signature of SHA256:"):
        agent.AgentKey(answering(answer), MIRA.blob).sign_bytes(b"x")


def test_an_agent_that_is_not_there_is_said(tmp_path: Path) -> None:
    """The tests run without SSH_AUTH_SOCK."""
    with pytest.raises(NoAgent, match="SSH_AUTH_SOCK is not set"):
        agent.held()
    with pytest.raises(NoAgent, match=r"no ssh-agent answers at .*: No such file"):
        agent.held(str(tmp_path / "nowhere"))
    with pytest.raises(NoAgent, match="too long"):
        agent.held("x" * 200)
    with pytest.raises(KeyFileError):
        agent.held()


@pytest.mark.parametrize("begun", [b"", b"\0\0\0\x09\x0c"], ids=["says nothing", "stops in the middle"])
def test_an_agent_that_hangs_is_left(begun: bytes, tmp_path: Path) -> None:
    path = str(tmp_path / "agent")
    with socket.socket(socket.AF_UNIX) as listener:
        listener.bind(path)
        listener.listen()
        callers: list[socket.socket] = []

        def accept() -> None:
            callers.append(listener.accept()[0])
            callers[0].sendall(begun)

        thread = threading.Thread(target=accept)
        thread.start()
        with pytest.raises(AgentSilent, match="did not answer"):
            agent.held(path, wait_s=0.1)
        thread.join(timeout=10)
        callers[0].close()


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.binary(max_size=120))
def test_any_answer_is_a_list_or_said_in_words(answer: bytes) -> None:
    class Made(io.BytesIO):
        """A socket that is connected already, and holds the answer."""

        def settimeout(self, _: float) -> None: ...

        def connect(self, _: str) -> None: ...

        def sendall(self, _: bytes) -> None: ...

        def recv(self, count: int) -> bytes:
            return self.read(count)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("station.record.agent.socket.socket", lambda *_: Made(answer))
        with contextlib.suppress(AgentError):
            assert isinstance(agent.held("x", wait_s=1), tuple)


needs_agent = pytest.mark.skipif(
    shutil.which("ssh-agent") is None or shutil.which("ssh-add") is None, reason="ssh-agent is not installed"
)


@pytest.mark.openssh
@needs_agent
def test_opensshs_agent_lists_signs_and_refuses_once_locked(own_agent: "OwnAgent", tmp_path: Path) -> None:
    made = keys.create(tmp_path / "mira", "eight brass nuts", "mira")
    own_agent.add(made.path, "eight brass nuts")
    running = own_agent.socket
    key = agent.find([made.blob], running)
    text = sshsig.sign(key, b"a record")
    assert text == sshsig.sign(keys.load(made.path, "eight brass nuts"), b"a record")
    with pytest.raises(KeyNotHeld):
        agent.find([JON.blob], running)
    with socket.socket(socket.AF_UNIX) as locking:  # SSH_AGENTC_LOCK, draft-miller-ssh-agent 5.7
        locking.connect(running)
        locking.sendall(string(b"\x16" + string(b"away")))
        assert locking.recv(5) == b"\0\0\0\x01\x06"
    with pytest.raises(AgentRefused):
        key.sign_bytes(b"x")
