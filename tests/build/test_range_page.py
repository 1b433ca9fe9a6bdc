"""The page of the range and of each kit: what they say, where they lead, and that they are made once."""

from __future__ import annotations

import re
from pathlib import Path

import html5lib
import pytest

from kitbuild.documents.wording import languages, wording
from kitbuild.range_page import WORDS
from tests.build.places import change, run, small_shop
from tests.view.browser import CHROMIUM


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = small_shop(tmp_path_factory.mktemp("range"))
    assert run(folder, "build").code == 0
    return folder


def test_every_kit_stands_on_the_page(shop: Path) -> None:
    text = (shop / "build/index.html").read_text(encoding="utf-8")
    for code in ("EMBER", "FERN", "WHIN"):
        assert f'<a href="{code}.html">{code}</a>' in text
        assert (shop / f"build/{code}.html").is_file()
    assert "Gorse-bank coasters" in text


def test_all_links_lead_somewhere(shop: Path) -> None:
    for page in (shop / "build").glob("*.html"):
        for target in re.findall(r'(?:href|src)="([^"#]+)"', page.read_text(encoding="utf-8")):
            assert (page.parent / target).is_file(), (page.name, target)


def test_a_kits_page_has_all_its_files(shop: Path) -> None:
    text = (shop / "build/WHIN.html").read_text(encoding="utf-8")
    files = {path.name for path in (shop / "build/WHIN").iterdir()} - {"manifest.json"}
    assert set(re.findall(r'href="WHIN/([^"]+)"', text)) == files


def test_pages_are_well_formed_and_load_nothing(shop: Path) -> None:
    parser = html5lib.HTMLParser(strict=True)
    for page in (shop / "build").glob("*.html"):
        text = page.read_text(encoding="utf-8")
        parser.parse(text)
        assert "default-src &#39;none&#39;" in text or "default-src 'none'" in text
        assert "http:" not in text
        assert "https:" not in text


def test_nothing_to_do_leaves_the_pages_and_a_missing_one_is_made(shop: Path) -> None:
    index = shop / "build/index.html"
    before = (index.read_bytes(), index.stat().st_mtime_ns)
    assert "nothing to do" in run(shop, "build").out
    assert (index.read_bytes(), index.stat().st_mtime_ns) == before
    index.unlink()
    assert run(shop, "build").code == 0
    assert index.read_bytes() == before[0]


def test_an_edit_is_on_the_page(shop: Path) -> None:
    spec = shop / "kits/whin.yaml"
    kept = spec.read_text(encoding="utf-8")
    change(shop, spec.name, "price: 34.00", "price: 35.50")
    assert run(shop, "build").code == 0
    assert "35.50" in (shop / "build/index.html").read_text(encoding="utf-8")
    spec.write_text(kept, encoding="utf-8")


def test_hostile_titles_are_only_text(tmp_path: Path) -> None:
    folder = small_shop(tmp_path)
    change(folder, "whin.yaml", "title: Gorse-bank coasters", 'title: "<script>x()</script><b>&amp;{{7*7}}"')
    assert run(folder, "build", "WHIN").code == 0
    text = (folder / "build/index.html").read_text(encoding="utf-8")
    assert "<script>x()" not in text
    assert "&lt;script&gt;x()&lt;/script&gt;&lt;b&gt;&amp;amp;{{7*7}}" in text


def test_the_words_are_in_all_languages() -> None:
    for language in languages():
        sentences = wording(language).sentences
        assert {f"range.{word}" for word in WORDS} <= set(sentences)


@pytest.mark.skipif(not CHROMIUM, reason="no chromium on this machine")
def test_the_table_is_sorted_by_its_heads(shop: Path) -> None:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page()
        failed: list[str] = []
        page.on("pageerror", lambda error: failed.append(str(error)))
        page.on("console", lambda told: failed.append(told.text) if told.type == "error" else None)
        page.goto((shop / "build/index.html").as_uri())
        codes = "[...document.querySelectorAll('tbody th')].map(cell => cell.textContent)"
        first = page.evaluate(codes)
        page.focus("thead th:nth-child(1) button")
        page.keyboard.press("Enter")
        page.keyboard.press("Enter")
        assert page.evaluate(codes) == sorted(first, reverse=True)
        page.click("thead th:nth-child(6) button")
        prices = page.evaluate(
            "[...document.querySelectorAll('tbody td:nth-child(6)')].map(cell => Number(cell.dataset.value))"
        )
        assert prices == sorted(prices)
        assert page.get_attribute("thead th:nth-child(6)", "aria-sort") == "ascending"
        assert not failed
        browser.close()


@pytest.mark.skipif(not CHROMIUM, reason="no chromium on this machine")
@pytest.mark.parametrize("name", ["index.html", "WHIN.html"])
@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (390, "dark")])
def test_no_rule_of_access_is_broken(shop: Path, name: str, width: int, scheme: str) -> None:
    from axe_playwright_python.sync_playwright import Axe
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme).new_page()
        page.goto((shop / "build" / name).as_uri())
        found = Axe().run(page)
        assert not found.response["violations"], found.generate_report()
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        browser.close()
