"""The console in a browser: on this machine, and from its own pages only."""

import asyncio
import contextlib
import os
import signal
import socket
import subprocess
import sys
from collections.abc import AsyncIterator, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from aiohttp import ClientConnectionError, ClientSession, WSMsgType, WSServerHandshakeError

from station.cli import main

STATION = Path(__file__).parents[2] / "demo" / "ossary-dam" / "station.toml"
TRIES = 600


@dataclass
class Served:
    """A server that runs, and where."""

    place: str
    process: "subprocess.Popen[bytes]"


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    words = ["browser", "--new", "--station", str(STATION), "--port", str(port), "--folder", str(tmp_path)]
    process = subprocess.Popen(
        [sys.executable, "-m", "station", *words],
        start_new_session=True,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    yield Served(f"127.0.0.1:{port}", process)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()


@pytest.fixture
async def browser(served: Served) -> AsyncIterator[ClientSession]:
    """Return what asks as a browser does, once the server answers."""
    async with ClientSession() as session:
        for _ in range(TRIES):
            try:
                await session.get(f"http://{served.place}/")
            except ClientConnectionError:
                await asyncio.sleep(0.05)
            else:
                break
        yield session


async def test_the_console_comes_to_a_page_of_its_own(served: Served, browser: ClientSession) -> None:
    page = await browser.get(f"http://{served.place}/")
    assert page.status == 200
    assert "default-src 'self'" in page.headers["Content-Security-Policy"]
    seen = b""
    own = {"Origin": f"http://{served.place}"}
    async with browser.ws_connect(f"http://{served.place}/ws?width=100&height=30", headers=own) as line:
        while b"BEFORE YOU GO ON" not in seen or b"Ossary" not in seen:
            message = await line.receive(timeout=30)
            assert message.type in {WSMsgType.BINARY, WSMsgType.TEXT}
            seen += message.data if isinstance(message.data, bytes) else b""


async def test_a_page_from_elsewhere_is_turned_away(served: Served, browser: ClientSession) -> None:
    for strange in (
        {"Origin": "http://elsewhere.example"},
        {"Host": "elsewhere.example"},
        {"Origin": "null"},
    ):
        answer = await browser.get(f"http://{served.place}/", headers=strange)
        assert answer.status == 403, strange
        with pytest.raises(WSServerHandshakeError):
            await browser.ws_connect(f"http://{served.place}/ws", headers=strange)


async def test_it_ends_when_it_is_interrupted(served: Served, browser: ClientSession) -> None:
    await browser.get(f"http://{served.place}/")
    served.process.send_signal(signal.SIGINT)
    assert await asyncio.to_thread(served.process.wait, 30) in {0, 130}


@pytest.mark.parametrize("port", ["80", "x", "70000", "-1", "8x"])
def test_a_port_that_will_not_do_is_said(
    port: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["browser", f"--port={port}", "--folder", str(tmp_path)]) == 2
    assert "--port takes a number from 1024 to 65535" in capsys.readouterr().err
    assert not list(tmp_path.rglob("*.journal"))
