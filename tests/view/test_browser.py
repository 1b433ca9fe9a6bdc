"""The live page in a browser: edits appear, faults stand beside the last good state, keys alone do it."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.build.places import change, workshop
from tests.view.browser import CHROMIUM, served

pytestmark = pytest.mark.skipif(not CHROMIUM, reason="no chromium on this machine")

#: The middle of the chart's first stitch of the line of WHIN, hole (1, 11), in the page's own drawing.
PIXEL = """([x, y]) => {
  const canvas = document.getElementById("finished-picture");
  const [wide, high] = [canvas.width / 26, canvas.height / 27];
  const at = [Math.round((x - 0.2) * wide), Math.round((y - 0.5) * high)];
  return [...canvas.getContext("2d").getImageData(...at, 1, 1).data].join();
}"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return workshop(tmp_path_factory.mktemp("view"))


@pytest.fixture(scope="module")
def address(shop: Path) -> Iterator[str]:
    with served(shop) as found:
        yield found


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield chromium
        chromium.close()


def is_fault(told: Any) -> bool:
    """Whether the page's console tells of a fault; to ask for a kit that has just left the range is none."""
    return told.type == "error" and not told.location["url"].endswith("/kits/GORSE")


@pytest.fixture
def page(browser: Any, address: str) -> Iterator[Any]:
    """WHIN in a page of 1280 px; nothing may be asked of another host, and no script may fail."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    strayed, failed = [], []
    page.on(
        "request",
        lambda request: strayed.append(request.url) if not request.url.startswith(address) else None,
    )
    page.on("pageerror", lambda error: failed.append(str(error)))
    page.on("console", lambda told: failed.append(told.text) if is_fault(told) else None)
    page.goto(f"{address}?WHIN")
    page.wait_for_selector("body[data-ready]")
    yield page
    assert not strayed
    assert not failed
    context.close()


def until(page: Any, expression: str, seconds: float = 20.0) -> None:
    """Wait until an expression is true; the page's own policy forbids the browser to poll it by itself."""
    end = time.monotonic() + seconds
    while not page.evaluate(expression):
        assert time.monotonic() < end, f"not within {seconds} s: {expression}"
        page.wait_for_timeout(20)


def test_an_edit_changes_the_picture(page: Any, shop: Path) -> None:
    before = page.evaluate(PIXEL, [1, 11])
    spec = (shop / "kits" / "whin.yaml").read_text()
    try:
        change(shop, "whin.yaml", "bark:   {thread: wool-0123", "bark:   {thread: wool-0009")
        change(shop, "whin.yaml", "lichen: {thread: wool-0009", "lichen: {thread: wool-0123")
        until(page, f"({PIXEL})([1, 11]) !== '{before}'")
    finally:
        (shop / "kits" / "whin.yaml").write_text(spec)
    until(page, f"({PIXEL})([1, 11]) === '{before}'")


def test_the_kit_made_up_is_shown_and_follows_an_edit(page: Any, shop: Path) -> None:
    """The very picture that a build writes, with its words; a fault leaves the last good one."""
    shown = (
        "document.getElementById('made-up').complete && document.getElementById('made-up').naturalWidth > 0"
    )
    until(page, shown)
    before = page.get_attribute("#made-up", "src")
    assert "in a pile" in page.get_attribute("#made-up", "alt")
    spec = (shop / "kits" / "whin.yaml").read_text()
    try:
        change(shop, "whin.yaml", "over: 4", "over: none")
        page.wait_for_selector("#stale:visible")
        assert page.get_attribute("#made-up", "src") == before
        (shop / "kits" / "whin.yaml").write_text(spec.replace("copies: 4", "copies: 1"))
        until(page, "!document.getElementById('made-up').alt.includes('pile')")
        assert page.get_attribute("#made-up", "src") != before
        until(page, shown)
    finally:
        (shop / "kits" / "whin.yaml").write_text(spec)
    until(page, "document.getElementById('made-up').alt.includes('pile')")


def test_a_fault_is_told_with_its_place_and_the_picture_stays(page: Any, shop: Path) -> None:
    before = page.evaluate(PIXEL, [1, 11])
    spec = (shop / "kits" / "whin.yaml").read_text()
    try:
        change(shop, "whin.yaml", "over: 4", "over: <img src=x onerror=alert(1)>")
        page.wait_for_selector("#stale:visible")
        told = page.inner_text("#problem-list")
        assert "kits/whin.yaml, line" in told
        assert "To put it right" in told
        assert page.query_selector("#problem-list img") is None
        assert page.evaluate(PIXEL, [1, 11]) == before
    finally:
        (shop / "kits" / "whin.yaml").write_text(spec)
    page.wait_for_selector("#problems", state="hidden")


def test_hostile_texts_are_only_text(page: Any, shop: Path) -> None:
    spec = (shop / "kits" / "whin.yaml").read_text()
    hostile = "<script>owned()</script><b onclick=x>&amp;{{7*7}}"
    try:
        change(shop, "whin.yaml", "title: Gorse-bank coasters", f'title: "{hostile}"')
        until(page, "document.getElementById('title').textContent.includes('script')")
        assert hostile in page.inner_text("#title")
        assert page.query_selector("#title b, #title script") is None
    finally:
        (shop / "kits" / "whin.yaml").write_text(spec)
    until(page, "!document.getElementById('title').textContent.includes('script')")


def test_the_order_is_walked_with_keys_alone(page: Any) -> None:
    """From the skip link on; front, back and words follow."""
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the kit"
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.id") == "on-one":
            break
    assert page.evaluate("document.activeElement.id") == "on-one"
    for _ in range(4):
        page.keyboard.press("Enter")
    assert page.inner_text("#stitch-words").startswith("Stitch 5 of 182")
    page.keyboard.press("Tab")
    page.keyboard.press("End")
    assert page.inner_text("#stitch-words").startswith("Stitch 182 of 182")
    assert "stitch 182" in page.get_attribute("#walk-back", "aria-label")


def test_the_chart_is_moved_and_enlarged_with_keys(page: Any) -> None:
    page.focus("#chart-picture")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowDown")
    assert page.inner_text("#hole").startswith("Hole (2, 2)")
    drawn = "document.getElementById('chart-picture').toDataURL()"
    before = page.evaluate(drawn)
    page.keyboard.press("+")
    nearer = page.evaluate(drawn)
    page.keyboard.press("0")
    assert before != nearer
    assert page.evaluate(drawn) == before


def test_what_is_said_aloud_is_news(page: Any, shop: Path) -> None:
    """Moving on the chart is told; an edit that leaves the stitch's words alone is not told as a stitch."""
    roles = page.eval_on_selector_all("[role=status]", "all => all.map(each => each.id).sort()")
    assert roles == ["hole", "pages-state", "state", "stitch-words"]
    page.evaluate("""() => {
      window.told = [];
      for (const each of document.querySelectorAll("[role=status]")) {
        const all = { childList: true, characterData: true, subtree: true };
        new MutationObserver(() => window.told.push(each.id)).observe(each, all);
      }
    }""")
    price = "document.getElementById('kit-numbers').textContent"
    spec = (shop / "kits" / "whin.yaml").read_text()
    try:
        change(shop, "whin.yaml", "price: 34.00", "price: 35.00")
        until(page, f"{price}.includes('35.00')")
    finally:
        (shop / "kits" / "whin.yaml").write_text(spec)
    until(page, f"{price}.includes('34.00')")
    assert page.evaluate("window.told") == []
    page.focus("#chart-picture")
    page.keyboard.press("ArrowRight")
    assert page.evaluate("window.told") == ["hole"]
    page.focus("#step")
    page.keyboard.press("ArrowRight")
    until(page, "window.told.length > 1")
    assert page.evaluate("window.told") == ["hole", "stitch-words"]
    assert page.get_attribute("#step", "aria-valuetext") == "2 of 182"


def test_a_step_asked_for_while_the_order_is_on_its_way_is_shown_when_it_comes(page: Any) -> None:
    held: list[Any] = []
    page.route("**/order/**", held_back := lambda route: held.append(route))
    page.check("input[name=hand][value=left]")
    page.select_option("#kit", "EMBER")
    until(page, "document.title.startsWith('EMBER')")
    page.focus("#step")
    page.keyboard.press("ArrowRight")
    page.set_viewport_size({"width": 1000, "height": 800})
    for each in held:
        each.continue_()
    page.unroute("**/order/**", held_back)
    until(page, "document.getElementById('stitch-words').textContent.startsWith('Stitch 2 of')")


def test_a_kit_that_was_never_right_shows_its_faults_alone(page: Any, shop: Path) -> None:
    """No picture of another kit stays under its name, and no key does anything to one."""
    spec = (shop / "kits" / "whin.yaml").read_text()
    new = shop / "kits" / "gorse.yaml"
    new.write_text(spec.replace("code: WHIN", "code: GORSE").replace("over: 4", "over: none"))
    try:
        until(page, "[...document.getElementById('kit').options].some(each => each.value === 'GORSE')")
        page.select_option("#kit", "GORSE")
        page.wait_for_selector("#problems:visible")
        until(page, "document.getElementById('title').textContent === 'GORSE'")
        assert page.is_hidden("#chart-picture")
        assert page.is_hidden("#numbers")
        page.set_viewport_size({"width": 1000, "height": 800})
        new.write_text(spec.replace("code: WHIN", "code: GORSE"))
        page.wait_for_selector("#chart-picture:visible")
        until(page, "document.getElementById('stitch-words').textContent.startsWith('Stitch 1 of')")
    finally:
        new.unlink()
    until(page, "![...document.getElementById('kit').options].some(each => each.value === 'GORSE')")


def test_colourways_stand_side_by_side(page: Any) -> None:
    page.select_option("#kit", "EMBER")
    until(page, "document.querySelectorAll('#sister-list canvas').length === 2")
    assert "EMBER" in page.inner_text("#sister-list")
    assert "FERN" in page.inner_text("#sister-list")
    names = page.eval_on_selector_all("#sister-list canvas", "all => all.map(each => each.ariaLabel)")
    assert len(set(names)) == 2


def test_the_pages_of_each_document_are_shown(page: Any) -> None:
    page.click("#show-pages")
    until(page, "document.querySelectorAll('#page-list img').length > 10")
    page.eval_on_selector("#page-list img", "image => image.decode()")
    assert all(page.eval_on_selector_all("#page-list img", "all => all.map(image => image.alt)"))
    large = page.eval_on_selector("#page-list li a", "link => link.href")
    wide = "src => fetch(src).then(got => got.blob()).then(createImageBitmap).then(one => one.width)"
    assert page.evaluate(wide, large) == 900


@pytest.mark.parametrize(
    ("width", "scheme"), [(1280, "light"), (1280, "dark"), (390, "light"), (390, "dark")]
)
def test_no_rule_of_access_is_broken(browser: Any, address: str, width: int, scheme: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)
    page = context.new_page()
    page.goto(f"{address}?EMBER")
    page.wait_for_selector("body[data-ready]")
    page.click("#show-pages")
    page.wait_for_selector("#page-list img", timeout=20000)
    found = Axe().run(page)
    assert not found.response["violations"], found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    context.close()


def test_the_rules_of_access_can_be_broken(browser: Any, address: str) -> None:
    """A picture without a text alternative is found."""
    from axe_playwright_python.sync_playwright import Axe

    page = browser.new_page()
    page.goto(address)
    page.wait_for_selector("body[data-ready]")
    page.evaluate("document.querySelector('main').append(Object.assign(new Image(), {src: '/icon.svg'}))")
    assert any(each["id"] == "image-alt" for each in Axe().run(page).response["violations"])
    page.close()
