"""`station browser`: the console in a browser on this machine, one console for each page that is opened.

The page is served on 127.0.0.1 alone, and to nothing but pages it served itself: a page from elsewhere, open
in the same browser, could otherwise reach this one and make entries.
"""

import shlex
import socket
import sys
from argparse import Namespace
from collections.abc import Awaitable, Callable
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from station.commands.open import watch_for
from station.errors import TerminalError, UsageError
from station.folder import choose_folder
from station.journal.store import SqliteJournal

if TYPE_CHECKING:
    from aiohttp.web import Application, Request, StreamResponse
    from textual_serve.server import Server

    Handler = Callable[[Request], Awaitable[StreamResponse]]

HOST = "127.0.0.1"
PORTS = range(1024, 65536)
MISSING = "a further package is needed: in the folder of this project, pip install '.[browser]'"
POLICY = (
    "default-src 'self' 'unsafe-inline'; img-src 'self' data:; font-src 'self' data:; "
    "connect-src 'self' ws://{place}; frame-ancestors 'none'"
)
"""What the page may load: nothing from elsewhere, so that it also works where there is no network."""


def run(options: Namespace) -> int:
    """Serve the console until interrupted; the operation is begun, or gone on with, before."""
    port = int(options.port) if options.port.isascii() and options.port.isdecimal() else 0
    if port not in PORTS:
        raise UsageError(f"--port takes a number from {PORTS[0]} to {PORTS[-1]}, not '{options.port[:40]}'")
    _need(port)
    folder = choose_folder(options.folder).prepare()
    watch = watch_for(options, folder)
    watch.journal.close()
    journal = watch.journal.path if isinstance(watch.journal, SqliteJournal) else Path(options.journal)
    words = [sys.executable, "-m", "station", "open", str(journal), "--folder", str(folder.path)]
    print(f"the console stands at http://{HOST}:{port} for everybody on this machine; Ctrl-C ends it,")
    print("and the operation goes on", flush=True)
    server(shlex.join(words), port).serve()
    return 0


def _need(port: int) -> None:
    """Return when a page could be served, so that no operation is begun for nothing.

    Raises:
        TerminalError: the package that serves it is not installed.
        UsageError: something else has the port.

    """
    if find_spec("textual_serve") is None:
        raise TerminalError(MISSING)
    try:
        socket.create_server((HOST, port)).close()
    except OSError as error:
        raise UsageError(f"port {port} of {HOST} cannot be used: {error.strerror}; choose another") from None


def server(command: str, port: int) -> "Server":
    """Return what serves a command on a port of this machine alone."""
    from aiohttp import web  # noqa: PLC0415 - an extra, loaded only where it is asked for
    from textual_serve.server import Server  # noqa: PLC0415 - as above

    place = f"{HOST}:{port}"

    @web.middleware
    async def own_pages_only(request: "Request", handler: "Handler") -> "StreamResponse":
        if request.host != place or request.headers.get("Origin", f"http://{place}") != f"http://{place}":
            raise web.HTTPForbidden(text="only pages of this console, under this very address")
        answer = await handler(request)
        if not answer.prepared:
            answer.headers["Content-Security-Policy"] = POLICY.format(place=place)
        return answer

    class OwnPages(Server):
        """The server, which asks of each request where it comes from."""

        async def _make_app(self) -> "Application":
            made = await super()._make_app()
            made.middlewares.append(own_pages_only)
            return made

        async def on_startup(self, app: "Application") -> None:
            """Say nothing: where the console stands is told already."""

    return OwnPages(command, host=HOST, port=port, title="Dive station console")
