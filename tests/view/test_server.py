"""The live page's server: whom it answers, what it serves, what it says of a range with faults."""

from __future__ import annotations

import asyncio
import gc
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import httpx
import pypdfium2
import pytest

from kitbuild.cli import main
from kitbuild.output.pdf import render_pdf
from kitbuild.view import pages
from kitbuild.view.server import application
from kitbuild.view.shown import Range
from tests.build.places import change, workshop
from tests.documents.demo import made
from tests.spec.ranges import ROOT

HOST = "127.0.0.1:8137"


def asked(shown: Range, *paths: str, host: str = HOST, method: str = "GET") -> list[httpx.Response]:
    """The answers to some requests, one after the other."""

    async def each() -> list[httpx.Response]:
        app = application(shown, frozenset([HOST]), watch=False)
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=True)
        async with httpx.AsyncClient(transport=transport, base_url=f"http://{HOST}") as client:
            return [await client.request(method, path, headers={"host": host}) for path in paths]

    return asyncio.run(each())


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return workshop(tmp_path)


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:8137", "127.0.0.1", "127.0.0.1:80", "localhost.evil.example:8137", ""],
)
def test_another_hosts_name_is_refused(shop: Path, host: str) -> None:
    """A foreign page whose name was made to lead here gets nothing."""
    shown = Range(shop / "kits")
    for path in ("/", "/range", "/kits/WHIN"):
        (answer,) = asked(shown, path, host=host)
        assert answer.status_code == 421
        assert "WHIN" not in answer.text


def test_every_answer_forbids_what_it_does_not_need(shop: Path) -> None:
    paths = (
        "/",
        "/view.js",
        "/draw.js",
        "/view.css",
        "/font.ttf",
        "/range",
        "/kits/WHIN",
        "/kits/NONE",
        "/x",
    )
    for answer in asked(Range(shop / "kits"), *paths):
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert "http" not in policy


@pytest.mark.parametrize(
    "path",
    [
        "/../pyproject.toml",
        "/kits/../../etc/passwd",
        "/%2e%2e/%2e%2e/etc/passwd",
        "/kits/..%2f..%2fkits%2fworkshop.yaml",
        "/kits/WHIN/documents/..%2f..%2fkits%2fwhin.yaml.pdf",
        "/kits/WHIN/documents/none.pdf",
        "/kits/WHIN/documents/instructions/0.png",
        "/kits/WHIN/documents/instructions/999.png",
        "/kits/WHIN/order/coaster/both",
        "/kits/WHIN/order/none/right",
        "/view/server.py",
        "/kits/whin.yaml",
    ],
)
def test_nothing_else_is_served(shop: Path, path: str) -> None:
    (answer,) = asked(Range(shop / "kits"), path)
    assert answer.status_code == 404
    assert b"kind:" not in answer.content
    assert b"root:" not in answer.content


def test_nothing_can_be_sent(shop: Path) -> None:
    for path in ("/", "/range", "/kits/WHIN"):
        assert asked(Range(shop / "kits"), path, method="POST")[0].status_code == 405


def test_a_kit_is_told_as_it_is_built(shop: Path) -> None:
    listed, kit, right, left = (
        answer.json()
        for answer in asked(
            Range(shop / "kits"),
            "/range",
            "/kits/WHIN",
            "/kits/WHIN/order/coaster/right",
            "/kits/WHIN/order/coaster/left",
        )
    )
    assert {"code": "WHIN", "title": "Gorse-bank coasters", "file": "kits/whin.yaml"} in listed["kits"]
    (piece,) = kit["kit"]["pieces"]
    columns = {column.name: column.values for column in _listing("stitches.csv").columns}
    ends = ("x1", "y1", "x2", "y2", "row")
    told, listing = (sorted(zip(*(of[name] for name in ends), strict=True)) for of in (piece, columns))
    assert told == listing
    thread = {column.name: list(column.values) for column in _listing("thread.csv").columns}
    assert [use["needlefuls"] for use in kit["kit"]["thread"]] == thread["needlefuls"]
    for order, name in ((right, "work-order.csv"), (left, "work-order-left.csv")):
        told = {column.name: list(column.values) for column in _listing(name).columns}
        ups = [
            piece["x2" if turned else "x1"][at]
            for at, turned in zip(order["stitch"], order["turned"], strict=True)
        ]
        assert ups == told["up_x"]
        assert order["start"] == told["start"]


def _listing(name: str) -> Any:
    return next(listing for listing in made("WHIN").listings if listing.name == name)


def test_the_last_good_state_stays_beside_a_fault(shop: Path) -> None:
    """And the fault is told with its place; when it is mended, the page is current again."""
    shown = Range(shop / "kits")
    before = asked(shown, "/kits/WHIN")[0].json()
    assert before["current"]
    kept = (shop / "kits" / "whin.yaml").read_text()
    change(shop, "whin.yaml", "over: 4", "over: four")
    shown.refresh()
    listed, broken = (answer.json() for answer in asked(shown, "/range", "/kits/WHIN"))
    assert not broken["current"]
    assert broken["kit"] == before["kit"]
    (problem,) = (each for each in broken["problems"] if each["severity"] == "error")
    assert problem["file"] == "kits/whin.yaml"
    assert problem["line"] > 1
    assert any(kit["code"] == "WHIN" for kit in listed["kits"])
    (shop / "kits" / "whin.yaml").write_text(kept)
    shown.refresh()
    after = asked(shown, "/kits/WHIN")[0].json()
    assert after == before


def test_a_kit_that_left_the_range_is_forgotten(shop: Path) -> None:
    """But not while another file is broken, since its code may be written there."""
    shown = Range(shop / "kits")
    asked(shown, "/kits/WHIN", "/kits/HEATH")
    heath = (shop / "kits" / "heath.yaml").read_text()
    (shop / "kits" / "heath.yaml").write_text("kind: [")
    shown.refresh()
    assert asked(shown, "/kits/HEATH")[0].json()["kit"]
    (shop / "kits" / "heath.yaml").unlink()
    shown.refresh()
    range_, gone = asked(shown, "/range", "/kits/HEATH")
    assert gone.status_code == 404
    assert "HEATH" not in {kit["code"] for kit in range_.json()["kits"]}
    (shop / "kits" / "heath.yaml").write_text(heath)
    shown.refresh()
    assert asked(shown, "/kits/HEATH")[0].json()["current"]


def test_pages_are_those_of_the_documents(shop: Path) -> None:
    listed, pdf, png = asked(
        Range(shop / "kits"),
        "/kits/WHIN/documents",
        "/kits/WHIN/documents/pick-list.pdf",
        "/kits/WHIN/documents/pick-list/1.png",
    )
    names = {each["name"] for each in listed.json()}
    assert {"chart-booklet", "instructions", "pick-list", "cut-list", "proof", "test-sheet"} == names
    assert pdf.content.startswith(b"%PDF")
    assert png.content.startswith(b"\x89PNG")


def test_the_reader_of_pages_is_used_by_one_thread_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each call into it, those that close what it opened too, is made while the others wait."""
    calls: list[str] = []
    free: list[str] = []

    def watched(name: str, usual: Any) -> Any:
        def call(*given: Any) -> Any:
            calls.append(name)
            if not pages._ONE.locked():
                free.append(name)
            return usual(*given)

        return call

    for name in dir(pypdfium2.raw):
        usual = getattr(pypdfium2.raw, name)
        if name.startswith("FPDF") and callable(usual) and not isinstance(usual, type):
            monkeypatch.setattr(pypdfium2.raw, name, watched(name, usual))
    pages._png.cache_clear()
    assert pages.page_png(made("WHIN"), "instructions", 1).startswith(b"\x89PNG")
    gc.collect()
    assert {"FPDF_CloseDocument", "FPDF_ClosePage", "FPDFBitmap_Destroy"} <= set(calls)
    assert not free


def test_of_several_threads_one_draws_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """The writer's settings and fonts are the whole process's."""
    at_work: list[int] = []
    together: list[int] = []

    def drawn(_document: object) -> bytes:
        at_work.append(1)
        time.sleep(0.01)
        together.append(len(at_work))
        at_work.pop()
        return b""

    monkeypatch.setattr("kitbuild.output.pdf_pages.draw_document", drawn)
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(render_pdf, [made("WHIN").documents[0]] * 8))
    assert together == [1] * 8


def test_wrong_use_is_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["view"]) == 2
    assert "no folder kits/" in capsys.readouterr().err
    monkeypatch.chdir(ROOT)
    assert main(["view", "--port", "99999"]) == 2
    assert "is no port" in capsys.readouterr().err


def test_a_port_in_use_is_told(monkeypatch: pytest.MonkeyPatch, capsys: Any) -> None:
    import socket

    monkeypatch.chdir(ROOT)
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        assert main(["view", "--port", str(taken.getsockname()[1])]) == 2
    line = capsys.readouterr().err
    assert "name another with --port" in line
    assert line.count("\n") == 1
