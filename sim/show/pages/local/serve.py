"""Serves the page on the loopback address of this machine, at an address that holds a random token."""

import secrets
import socket
from collections.abc import Callable

import uvicorn

from sim.errors import OutputError
from sim.show.pages.local.guarded import LOOPBACK
from sim.show.pages.local.scenarios import Opened
from sim.show.pages.local.server import application

TOKEN_BYTES = 24
"""Of randomness in the address: nobody guesses it."""


def served(opened: Opened, port: int, told: Callable[[str], object]) -> None:
    """Serve the page until the process is interrupted.

    Parameters
    ----------
    opened : Opened
        What it is opened on.
    port : int
        Port of the loopback address; 0: one that is free.
    told : callable
        Told the page's whole address when it can be opened.

    Raises
    ------
    OutputError
        If the port is taken.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as listening:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((LOOPBACK, port))
        except (OSError, OverflowError) as error:
            raise OutputError(
                f"The page cannot be served on port {port}: {getattr(error, 'strerror', None) or error}. Leave --port out: a free one is taken."
            ) from None
        listening.listen()
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
