"""Serves the page on the loopback address of this machine, at an address that holds a random token."""

import hashlib
import secrets
import socket
from collections.abc import Callable
from contextlib import suppress

import uvicorn

from sim.errors import OutputError
from sim.show.pages.local.guarded import LOOPBACK
from sim.show.pages.local.scenarios import Opened
from sim.show.pages.local.server import application

TOKEN_BYTES = 24
"""Of randomness in the address: nobody guesses it."""

OWN_PORTS = range(20_000, 30_000)
"""Ports that a truck's page is served on: below those that systems give out by themselves."""


def own_port(opened: Opened) -> int:
    """Return the port on which a truck's page is served each time: a browser's tab keeps what was typed by the page's host and port."""
    file = (opened.vehicle or opened.folder).resolve()
    number = int.from_bytes(hashlib.sha256(str(file).encode("utf-8", "surrogateescape")).digest()[:8], "big")
    return OWN_PORTS[number % len(OWN_PORTS)]


def _bound(listening: socket.socket, opened: Opened, port: int) -> None:
    """Bind to a port that was asked for, to the truck's own, or where that is taken to one that is free."""
    # Elsewhere than here that option lets two servers listen on one port.
    if not hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    if not port:
        with suppress(OSError):
            listening.bind((LOOPBACK, own_port(opened)))
            return
    listening.bind((LOOPBACK, port))


def served(opened: Opened, port: int, told: Callable[[str], object]) -> None:
    """Serve the page until the process is interrupted.

    Parameters
    ----------
    opened : Opened
        What it is opened on.
    port : int
        Port of the loopback address; 0: the truck's own, or one that is free where that is taken.
    told : callable
        Told the page's whole address when it can be opened.

    Raises
    ------
    OutputError
        If the port is taken.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as listening:
        try:
            _bound(listening, opened, port)
            listening.listen()
        except (OSError, OverflowError) as error:
            raise OutputError(
                f"The page cannot be served on port {port}: {getattr(error, 'strerror', None) or error}. Leave --port out: a free one is taken."
            ) from None
        own = int(listening.getsockname()[1])
        token = secrets.token_urlsafe(TOKEN_BYTES)
        app = application(opened, token, own)
        # Its own log would print the address with its token at every request. Nothing is packed smaller on its way through this machine:
        # that takes longer than a whole run.
        config = uvicorn.Config(
            app, log_level="error", access_log=False, lifespan="off", ws_max_size=1_000_000, server_header=False,
            ws_per_message_deflate=False,
        )  # fmt: skip
        told(f"http://{LOOPBACK}:{own}/{token}/")
        uvicorn.Server(config).run(sockets=[listening])
