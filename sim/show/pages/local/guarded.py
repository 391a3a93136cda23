"""Who may ask the page's server: whoever has its address with the token, from a page of its own, on this machine."""

import hmac
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Send = Callable[[Message], Awaitable[None]]
Receive = Callable[[], Awaitable[Message]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

LOOPBACK = "127.0.0.1"

LARGEST_BYTES = 1_000_000
"""Of a request: a truck that is typed has some thousand."""


def policy(port: int) -> str:
    """Return the page's content security policy: nothing from anywhere but here, nothing written into the page that runs."""
    sockets = f"ws://{LOOPBACK}:{port} ws://localhost:{port}"
    return (
        f"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self' {sockets}; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )


RESULTS = "results"
"""Second step of paths of reports: pages of ours that bring a policy of their own, which allows less than the page's."""


class Guarded:
    """Refuses what does not come from the page itself, and adds to each answer what the browser must not do with it.

    Parameters
    ----------
    app : ASGI application
    token : str
        First step of every path.
    port : int
        On which it is served.
    """

    def __init__(self, app: App, token: str, port: int) -> None:
        self.app, self.token = app, token
        self.hosts = {f"{LOOPBACK}:{port}", f"localhost:{port}"}
        self.headers = [
            (b"content-security-policy", policy(port).encode()), (b"x-content-type-options", b"nosniff"),
            # The address has the token: nobody else gets it.
            (b"referrer-policy", b"no-referrer"), (b"cache-control", b"no-store"),
            (b"cross-origin-opener-policy", b"same-origin"), (b"cross-origin-resource-policy", b"same-origin"),
            (b"x-frame-options", b"DENY"),
        ]  # fmt: skip

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or say why not."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        status, why = self._refused(scope)
        if not status:
            await self.app(scope, receive, self._with_headers(send, scope))
        elif scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": 1008, "reason": why})
        else:
            body = f"{why}\n".encode()
            send = self._with_headers(send)
            kind = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode())]
            await send({"type": "http.response.start", "status": status, "headers": kind})
            await send({"type": "http.response.body", "body": body})

    def _refused(self, scope: Scope) -> tuple[int, str]:
        headers = {key.decode("latin-1"): value.decode("latin-1") for key, value in scope["headers"]}
        # A name that somebody else's server has given this machine's address to is another host.
        if headers.get("host") not in self.hosts:
            return 400, "This page is served to this machine alone, at its own address."
        token = scope["path"].split("/")[1] if "/" in scope["path"] else ""
        if not hmac.compare_digest(token.encode(), self.token.encode()):
            return 404, "There is no such page here. Open the whole address that jounce has printed."
        origin = headers.get("origin")
        changes = scope["type"] == "websocket" or scope["method"] not in ("GET", "HEAD")
        # A browser says from which page a request comes that may change something; without a word it is no browser's page.
        if changes and origin not in {f"http://{host}" for host in self.hosts}:
            return 403, "This was asked for by another page."
        if origin is not None and origin not in {f"http://{host}" for host in self.hosts}:
            return 403, "This was asked for by another page."
        # Without its length nobody knows how much is to come.
        length = headers.get("content-length", "0" if scope.get("method") != "POST" else "")
        if not length.isdigit() or int(length) > LARGEST_BYTES:
            return 413, "That is too much at once."
        return 0, ""

    def _with_headers(self, send: Send, scope: Scope | None = None) -> Send:
        # A report's scripts stand in it, by their hashes.
        of_report = scope is not None and scope["path"].split("/")[2:3] == [RESULTS]
        headers = self.headers[1:] if of_report else self.headers

        async def more(message: Message) -> None:
            if message["type"] == "http.response.start":
                message = {**message, "headers": [*message.get("headers", []), *headers]}
            await send(message)

        return more
