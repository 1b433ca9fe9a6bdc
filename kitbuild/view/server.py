"""The live page's server: for this machine alone, no file by its path, no outside requests."""

from __future__ import annotations

import asyncio
import contextlib
import socket
from collections.abc import AsyncIterator, Awaitable, Callable
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import Final

from anyio import CapacityLimiter
from anyio.to_thread import run_sync
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from kitbuild.view.pages import document_list, page_png, pdf_bytes
from kitbuild.view.shown import Range, Unknown

LOOPBACK: Final = "127.0.0.1"
SETTLE_MS: Final = 10
"""How long no file may change before the range is read anew: editors write a file in several steps."""
HANDS: Final = 2
"""How many requests are worked on at once: more threads keep more memory, and none is faster."""

_STATIC: Final = {
    "/": ("page.html", "text/html; charset=utf-8"),
    "/view.js": ("view.js", "text/javascript; charset=utf-8"),
    "/draw.js": ("draw.js", "text/javascript; charset=utf-8"),
    "/view.css": ("view.css", "text/css; charset=utf-8"),
    "/icon.svg": ("icon.svg", "image/svg+xml"),
}
_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
_HEADERS: Final = {
    "content-security-policy": _POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cache-control": "no-store",
}


class Guard:
    """Refuses requests that name another host, which a foreign page may send here; adds the headers."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str]) -> None:
        self.app, self.hosts = app, hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on what was asked of this machine by its own name."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        host = dict(scope["headers"]).get(b"host", b"").decode("latin-1").lower()
        if host not in self.hosts:
            await Response("this page is for its own machine alone", 421)(scope, receive, send)
            return

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                own = {name.lower() for name, _ in message["headers"]}
                more = [(name.encode(), text.encode()) for name, text in _HEADERS.items()]
                message["headers"] = [*message["headers"], *(each for each in more if each[0] not in own)]
            await send(message)

        await self.app(scope, receive, guarded)


class Feed:
    """Tells all open pages when the range has changed."""

    def __init__(self) -> None:
        self.count = 0
        self._changed = asyncio.Condition()

    async def tell(self) -> None:
        """The range has been read anew."""
        async with self._changed:
            self.count += 1
            self._changed.notify_all()

    async def follow(self) -> AsyncIterator[str]:
        """An event for each change, and a comment now and then so that a closed page is noticed."""
        seen = self.count
        yield f"retry: 500\nevent: changed\ndata: {seen}\n\n"
        while True:
            try:
                async with asyncio.timeout(15), self._changed:
                    await self._changed.wait_for(lambda seen=seen: self.count != seen)
            except TimeoutError:
                yield ": still here\n\n"
                continue
            seen = self.count
            yield f"event: changed\ndata: {seen}\n\n"


def application(shown: Range, hosts: frozenset[str], *, watch: bool = True) -> ASGIApp:
    """The page over a range; `hosts` are the names with ports under which it may be asked for."""
    feed, hands = Feed(), CapacityLimiter(HANDS)

    @contextlib.asynccontextmanager
    async def life(_app: Starlette) -> AsyncIterator[None]:
        task = asyncio.create_task(_follow_files(shown, feed, hands)) if watch else None
        yield
        if task:
            task.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await task

    routes = [Route(path, _static(*what)) for path, what in _STATIC.items()]
    routes += [Route("/font.ttf", _font), Route("/changes", partial(_changes, feed))]
    routes += [Route(path, _answer(shown, make, hands)) for path, make in _ASKED.items()]
    return Guard(Starlette(routes=routes, lifespan=life), hosts)


async def _follow_files(shown: Range, feed: Feed, hands: CapacityLimiter) -> None:
    from watchfiles import awatch

    async for _ in awatch(shown.folder, debounce=10 * SETTLE_MS, step=SETTLE_MS, recursive=False):
        await run_sync(shown.refresh, limiter=hands)
        await feed.tell()


_Answer = Callable[[Range, dict[str, str]], Response]


def _answer(shown: Range, make: _Answer, hands: CapacityLimiter) -> Callable[[Request], Awaitable[Response]]:
    """A route that answers in a thread; what there is not is 404."""

    async def route(request: Request) -> Response:
        try:
            return await run_sync(make, shown, dict(request.path_params), limiter=hands)
        except Unknown as unknown:
            return JSONResponse({"unknown": str(unknown.args[0])}, 404)

    return route


def _listed(shown: Range, _of: dict[str, str]) -> Response:
    return JSONResponse(shown.listed())


def _kit(shown: Range, of: dict[str, str]) -> Response:
    return Response(shown.kit(of["code"]), media_type="application/json")


def _order(shown: Range, of: dict[str, str]) -> Response:
    if of["hand"] not in ("right", "left"):
        raise Unknown(of["hand"])
    return JSONResponse(shown.order(of["code"], of["piece"], "left" if of["hand"] == "left" else "right"))


def _made_up(shown: Range, of: dict[str, str]) -> Response:
    return Response(shown.made_up(of["code"]), media_type="image/svg+xml")


def _documents(shown: Range, of: dict[str, str]) -> Response:
    return JSONResponse(document_list(shown.made(of["code"])))


def _pdf(shown: Range, of: dict[str, str]) -> Response:
    content = pdf_bytes(shown.made(of["code"]), of["name"])
    name = f"{of['code']} {of['name']}.pdf"
    place = {"content-disposition": f'inline; filename="{name}"'}
    return Response(content, media_type="application/pdf", headers=place)


def _page(shown: Range, of: dict[str, str]) -> Response:
    return Response(page_png(shown.made(of["code"]), of["name"], int(of["number"])), media_type="image/png")


_ASKED: Final[dict[str, _Answer]] = {
    "/range": _listed,
    "/kits/{code}": _kit,
    "/kits/{code}/made-up.svg": _made_up,
    "/kits/{code}/order/{piece}/{hand}": _order,
    "/kits/{code}/documents": _documents,
    "/kits/{code}/documents/{name}.pdf": _pdf,
    "/kits/{code}/documents/{name}/{number:int}.png": _page,
}


async def _changes(feed: Feed, _request: Request) -> Response:
    return StreamingResponse(feed.follow(), media_type="text/event-stream")


async def _font(_request: Request) -> Response:
    font = files("kitbuild.fonts").joinpath("DejaVuSans-subset.ttf").read_bytes()
    return Response(font, media_type="font/ttf", headers={"cache-control": "max-age=3600"})


def _static(name: str, kind: str) -> Callable[[Request], Awaitable[Response]]:
    content = files("kitbuild.view").joinpath("page", name).read_bytes()

    async def route(_request: Request) -> Response:
        return Response(content, headers={"content-type": kind})

    return route


def serve(folder: Path, port: int, tell: Callable[[str], None]) -> None:
    """Serve the page until it is interrupted; OSError where the port cannot be had, 0 takes any."""
    import uvicorn

    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as listening:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((LOOPBACK, port))
        listening.listen()
        port = listening.getsockname()[1]
        hosts = frozenset(f"{name}:{port}" for name in (LOOPBACK, "localhost"))
        tell(f"open http://{LOOPBACK}:{port}/ in a browser of this machine; Ctrl-C ends it")
        app = application(Range(folder), hosts)
        config = uvicorn.Config(app, log_level="warning", timeout_graceful_shutdown=1)
        uvicorn.Server(config).run(sockets=[listening])
