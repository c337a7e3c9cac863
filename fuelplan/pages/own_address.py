"""Before every request: it names this machine, and a page that sends it is one of ours."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any
from urllib.parse import urlsplit

import streamlit as st

from fuelplan.messages import render, spoken
from fuelplan.pages.texts import common as texts
from fuelplan.units import Reader

NAMES = ("localhost", "127.0.0.1")
"""By which the pages are reached where the settings name no hosts."""
Event = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Event]]
Send = Callable[[Event], Awaitable[None]]
App = Callable[[Event, Receive, Send], Awaitable[None]]


class OwnAddress:
    """Refuses whatever asks for a name other than ours, or comes from a page of another address or port.

    A name that its owner lets point to this machine would otherwise let his web site read ours (DNS
    rebinding), and a page of another program on this machine could do the same. What sends no `Origin` – a
    link, a picture on another site, a program – is let in by its `Host` alone.
    """

    def __init__(self, app: App) -> None:
        """Keep what answers the requests that are let in."""
        self.app = app

    async def __call__(self, scope: Event, receive: Receive, send: Send) -> None:
        """Let one request in, or refuse it with 403."""
        if scope["type"] not in {"http", "websocket"} or _is_ours(scope["headers"]):
            await self.app(scope, receive, send)
        elif scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": 1008})  # before it opens: the server says 403
        else:
            said = _refusal(scope["headers"])
            size = str(len(said)).encode()
            kind = b"text/plain; charset=utf-8"
            plain = [(b"content-type", kind), (b"content-length", size), (b"connection", b"close")]
            await send({"type": "http.response.start", "status": 403, "headers": plain})
            await send({"type": "http.response.body", "body": said})


def _refusal(headers: list[tuple[bytes, bytes]]) -> bytes:
    """Return what is said to who is refused, in the first language that the browser asks for."""
    asked = next((value.decode("latin-1") for name, value in headers if name == b"accept-language"), "")
    first = re.split(r"[,;]", asked)[0].strip()
    return f"{render(texts.REFUSED, Reader(language=spoken(first or None)))}\n".encode()


def _is_ours(headers: list[tuple[bytes, bytes]]) -> bool:
    """Tell whether one `Host` of ours is named, and every `Origin` is that host with its port."""
    hosts = [value.decode("latin-1").strip().lower() for name, value in headers if name == b"host"]
    origins = [value.decode("latin-1").strip().lower() for name, value in headers if name == b"origin"]
    if len(hosts) != 1 or _name_of(hosts[0]) not in _names():
        return False
    return all(origin in {f"http://{hosts[0]}", f"https://{hosts[0]}"} for origin in origins)


def _names() -> set[str]:
    return {str(name).strip().lower() for name in st.get_option("server.allowedHosts") or NAMES}


def _name_of(host: str) -> str | None:
    """Return the name in a `Host`, without its port; None where it is no plain name with a port."""
    try:
        parts = urlsplit(f"//{host}")
        plain = parts.port is None or parts.port > 0
    except ValueError:
        return None
    return parts.hostname if plain and parts.netloc == host and "@" not in host else None
