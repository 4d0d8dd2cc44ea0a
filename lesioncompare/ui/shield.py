"""What the browser is told with every answer: load nothing from elsewhere, show in no frame."""

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

from starlette.middleware import Middleware
from streamlit import net_util

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

POLICY = (
    "default-src 'self'; "
    "img-src 'self' data: blob:; "
    "style-src 'self' 'unsafe-inline'; "
    "script-src 'self' 'unsafe-inline' blob:; "  # components arrive as blobs
    "font-src 'self' data:; "
    "connect-src 'self' blob: data:; "  # the camera hands its picture over as a blob
    "worker-src 'self' blob:; "
    "frame-src 'self' blob:; "
    "media-src 'self' blob:; "
    "frame-ancestors 'none'; "
    "object-src 'none'; "
    "base-uri 'self'; "
    "form-action 'self'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "permissions-policy": "camera=(self), geolocation=(), microphone=(), payment=(), usb=()",
    "cross-origin-opener-policy": "same-origin",
}
PRIVATE = "/media"  # photos: never kept by the browser after the tab is closed
CLOSED = ("/_stcore/metrics",)  # tells how the server fares; nobody needs it from outside


class Shield:
    """Adds the headers to every answer over HTTP; websockets pass untouched."""

    def __init__(self, app: App) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on and dress its answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        path = scope["path"]
        if path.startswith(CLOSED):
            await send({"type": "http.response.start", "status": 404, "headers": []})
            await send({"type": "http.response.body", "body": b""})
            return

        async def dressed(message: MutableMapping[str, Any]) -> None:
            if message["type"] == "http.response.start":
                extra = dict(HEADERS)
                if path.startswith(PRIVATE):
                    extra["cache-control"] = "no-store"
                kept = [(k, v) for k, v in message["headers"] if k.decode().lower() not in extra]
                added = [(k.encode(), v.encode()) for k, v in extra.items()]
                message["headers"] = [*kept, *added]
            await send(message)

        await self.app(scope, receive, dressed)


def ask_nobody() -> None:
    """Keep Streamlit from asking a web service for this computer's outside address.

    It does so when a page from elsewhere knocks, to find out whether that is itself. Such a page
    is refused either way.
    """
    net_util.get_external_ip = _no_address


def _no_address() -> str | None:
    return None


ask_nobody()
SHIELD = [Middleware(Shield)]
