"""Pages for the screen, read back: every block in its order, every rule of access, nothing from outside."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from xml.etree.ElementTree import Element

import numpy as np
import pytest

from kitbuild.base.blocks import (
    Block,
    Caution,
    Figure,
    Grid,
    Heading,
    Ink,
    PageBreak,
    Paragraph,
    Patch,
    Steps,
    Table,
    TextMark,
    TickBox,
)
from kitbuild.base.colour import contrast
from kitbuild.base.document import SCREEN, Guide
from kitbuild.base.glyphs import SYMBOLS
from kitbuild.output.html import render_html
from kitbuild.output.html_numbers import short, track
from kitbuild.output.html_outline import leaves
from kitbuild.output.html_style import COLOURS
from kitbuild.output.html_symbols import outlines
from kitbuild.output.panels import PANELS
from tests.output.page_check import SVG, faults, parsed, tag, text_of
from tests.output.sample import INKS, chart, document, every_block, stitches

GUIDE = Guide("Skip to the text", "On this page", "Move sideways: {drawing}")
HOSTILE = (
    "<b>bold</b>",
    "{{ 7 * 7 }} {% raw %}",
    "a & b &amp; &#60;",
    "x | safe | upper",
    "\u200fright\u200e \u202eleft\u202c",
    "</style><script>alert(1)</script>",
    "]]> <![CDATA[ <!-- -->",
    '" onload="alert(1)" \'',
    "</title></svg></textarea>",
    "two\nlines",
)


def page_of(blocks: tuple | None = None, **changes: object) -> bytes:
    return render_html(document(blocks, sheet=SCREEN, guide=GUIDE, **changes))


def squeezed(text: str) -> str:
    return "".join(text.split())


def words_in_order(blocks: tuple[Block, ...]) -> Iterator[str]:
    """What the blocks say, one after the other."""
    for block in blocks:
        match block:
            case Heading() | Paragraph():
                yield block.text
            case Steps():
                yield from block.items
            case Table():
                yield block.caption
                yield from block.header
                yield from (
                    cell.text if isinstance(cell, Patch | TickBox) else cell
                    for row in block.rows
                    for cell in row
                )
            case Caution():
                yield block.signal
                yield block.text
            case Figure():
                yield block.alt
                words = (mark.text for mark in block.marks if isinstance(mark, TextMark))
                yield from (text for text in words if text not in outlines())
                yield block.caption
            case Grid():
                for cell in block.cells:
                    yield from words_in_order(cell)
            case PageBreak():
                pass


def main_of(page: bytes) -> Element:
    found = parsed(page).find("body/main")
    assert found is not None
    return found


def test_every_block_keeps_every_rule() -> None:
    assert faults(page_of()) == []


def test_the_page_says_what_the_blocks_say_in_their_order() -> None:
    assert squeezed(text_of(main_of(page_of()))) == squeezed("".join(words_in_order(every_block())))


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_texts_stay_texts(text: str) -> None:
    ink = Ink((200, 30, 30), text)
    blocks: tuple[Block, ...] = (
        Heading(1, text),
        Paragraph(text),
        Steps((text,), "tick"),
        Steps((text,), first=3),
        Table((text, text), ((Patch(ink, text), text), (TickBox(text), TickBox())), (0.5, 0.5), "lr", text),
        Caution(text, text, "warning", 12, language="en"),
        Figure(text, 30, 20, (TextMark(3, 3, text), TextMark(3, 9, text, turned=True)), text),
        Figure(text, 200, 20, (), ""),
        Grid((1,), ((Paragraph(text),),)),
    )
    page = page_of(blocks, title=text, author=text, footer=text)
    assert faults(page) == []
    assert squeezed(text_of(main_of(page))) == squeezed("".join(words_in_order(blocks)))
    root = parsed(page)
    assert squeezed(text_of(root.find("head/title"))) == squeezed(text)
    assert squeezed(text_of(root.find("body/footer"))) == squeezed(text)
    assert {tag(each) for each in root.iter()} <= {tag(each) for each in parsed(page_of()).iter()} | {"g"}


BROKEN = {
    "a drawing without an alternative": (r'(role="img") aria-label="[^"]*"', r"\1"),
    "a drawing whose marks are heard": (r'<g aria-hidden="true">', "<g>"),
    "a header cell without a scope": (r' scope="col"', ""),
    "a table without a caption or name": (r"<caption .*?</caption>", ""),
    "a heading of level 3 follows one of level 1": (r"<h2(.*?)</h2>", r"<h3\1</h3>"),
    "there is not one heading of level 1": (r"<h2(.*?)</h2>", r"<h1\1</h1>"),
    "0 main landmarks": (r"(</?)main", r"\1article"),
    "no skip link to main": (r'<a class="skip".*?</a>', ""),
    "the page has no language": (r' lang="en"', ""),
    "id b1 stands 2 times": (r'id="b4"', 'id="b1"'),
    "points to 'b4'": (r'id="b4"', 'id="q4"'),
    "the policy is": (r"margin:0", "margin:1px"),
    "the style loads something": (r"body\{", "body{background:url(x.png);"),
    "<script> is not": (r"</main>", "<script>1</script></main>"),
    "attribute style is not": (r"<p>", '<p style="color:red">'),
    "a link leads out": (r'href="#b4"', 'href="https://example.com"'),
    "a field without a label": (r"<label>(.*?)</label>", r"\1"),
    "what moves sideways cannot be reached": (r' role="region" tabindex="0"', ""),
    "not well formed": (r"</p>", "</b>"),
    "a list that is not made of items": (r"<li>(Left hand: mirror all.)</li>", r"<p>\1</p>"),
}


@pytest.mark.parametrize("fault", BROKEN)
def test_the_checker_sees_what_is_broken(fault: str) -> None:
    pattern, other = BROKEN[fault]
    text, count = re.subn(pattern, other, page_of().decode(), flags=re.DOTALL)
    assert count
    assert any(found.startswith(fault) or fault in found for found in faults(text.encode()))


def test_a_figure_without_an_alternative_is_caught() -> None:
    assert faults(page_of((Heading(1, "One"), replace(chart(), alt="")))) == [
        "a drawing without an alternative"
    ]


def test_headings_go_down_step_by_step_under_one_title() -> None:
    levels = (1, 3, 2, 1, 2, 3, 1, 3)
    blocks = tuple(Heading(level, f"{at}") for at, level in enumerate(levels))
    parts = leaves(blocks, "Title")
    assert [node.level for node in parts[0]] == [1, 2, 2, 2, 3, 4, 2, 3]
    assert faults(page_of(blocks)) == []


def test_a_document_that_begins_without_a_title_is_headed_by_its_own() -> None:
    main = main_of(page_of((Heading(2, "Two"), Paragraph("Words."))))
    assert [text_of(each) for each in main.iter() if re.fullmatch("h[1-6]", str(each.tag))] == [
        "Larch band: everything",
        "Two",
    ]


def test_a_document_for_paper_has_no_page() -> None:
    with pytest.raises(ValueError, match="sample is no document for a screen"):
        render_html(document())


def test_equal_bytes_and_no_clock() -> None:
    assert page_of() == page_of()
    script = (
        "import hashlib; from tests.output.test_html import page_of; "
        "print(hashlib.sha256(page_of()).hexdigest())"
    )
    digests = {
        subprocess.run(
            [sys.executable, "-c", script],
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(Path(__file__).parents[2]), "LC_ALL": "C"},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(digests) == 1


def test_jinja_and_templates_wait_for_the_first_page() -> None:
    script = "import sys, kitbuild.output.html; print('jinja2' in sys.modules, 'reportlab' in sys.modules)"
    ran = subprocess.run(
        [sys.executable, "-c", script],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=True,
    )
    assert ran.stdout == "False False\n"


@pytest.mark.parametrize("at", [0, 1], ids=["light", "dark"])
def test_words_can_be_read_on_every_ground(at: int) -> None:
    """WCAG 2.2: 4.5 for words (success criterion 1.4.3), 3 for lines that carry meaning (1.4.11)."""
    shown = {name: pair[at] for name, pair in COLOURS.items()}
    for ground in ("page", "shade"):
        assert contrast(shown["text"], shown[ground]) >= 7
        assert contrast(shown["link"], shown[ground]) >= 4.5
        assert contrast(shown["rule"], shown[ground]) >= 3
    assert all(contrast(*pair) >= 4.5 for pair in PANELS.values())


def test_a_chart_of_thirty_thousand_stitches_is_small() -> None:
    marks = stitches(200, 150, 4.0)
    assert len(marks.x1) == 30_000
    page = page_of((Heading(1, "Large"), Figure("A large chart", 820, 2420, (marks,))))
    assert len(page) < 12 * 30_000
    assert len(list(parsed(page).iter())) < 200


def points_of(path: str) -> list[tuple[float, float]]:
    """The points that a path of `track` visits."""
    numbers = list(map(float, re.findall(r"-?\d*\.?\d+", path.removesuffix("h0"))))
    steps = np.array(numbers).reshape(-1, 2).cumsum(axis=0).round(3)
    return [(x, y) for x, y in steps.tolist()]


def test_every_stitch_has_its_bar_and_its_symbol() -> None:
    marks = stitches(40, 6, 4.0)
    svg = main_of(page_of((Heading(1, "Chart"), Figure("A chart", 170, 120, (marks,))))).find(f".//{SVG}svg")
    found: dict[str, list[tuple[float, float]]] = {}
    for path in svg.iter(f"{SVG}path"):
        if path.get("marker-start"):
            marker = re.search(r"#b\d+m0([bs]\d+)", path.get("marker-start"))[1]
            found.setdefault(marker, []).extend(points_of(path.get("d")))
    for index in range(len(INKS)):
        mine = marks.colour == index
        bars = list(zip(marks.x1[mine].tolist(), marks.y1[mine].tolist(), strict=True))
        middles = list(zip(marks.x1[mine].tolist(), (marks.y1[mine] + 2).tolist(), strict=True))
        assert sorted(found[f"b{index}"]) == sorted(bars)
        assert sorted(found[f"s{index}"]) == sorted(middles)


def test_symbols_that_cannot_be_seen_are_not_drawn() -> None:
    x = np.array([1.0, 2.0, 3.0])
    seen = np.array([1.0, np.nan, 3.0])
    marks = replace(stitches(3, 1, 4.0), symbol_x=seen, symbol_y=x)
    page = page_of((Heading(1, "Chart"), Figure("A chart", 30, 30, (marks,))))
    assert b"nan" not in page


def test_stitches_of_a_diagram_lie_over_each_other_in_their_own_order() -> None:
    marks = replace(stitches(4, 1, 4.0), colour=np.array([0, 1, 0, 1]), symbols=False)
    svg = main_of(page_of((Heading(1, "Chart"), Figure("A chart", 30, 30, (marks,))))).find(f".//{SVG}svg")
    names = [path.get("marker-start") for path in svg.iter(f"{SVG}path") if path.get("marker-start")]
    assert [name[-2] for name in names] == ["0", "1", "0", "1"]


def test_numbers_are_short_and_tracks_return() -> None:
    assert [short(value) for value in (1.0, -0.0, 0.1239, 12.5, -3.25, 1e-9)] == [
        "1",
        "0",
        "0.124",
        "12.5",
        "-3.25",
        "0",
    ]
    x, y = np.array([3.0, 3.0, 4.5, 1.0]), np.array([9.0, 5.0, 5.25, 5.25])
    assert track(x, y) == "m3 9 0-4 1.5 0.25 -3.5 0"
    assert points_of(track(x, y)) == list(zip(x.tolist(), y.tolist(), strict=True))
    assert track(x[:0], y[:0]) == ""


def test_the_symbols_are_those_of_the_face_that_ships() -> None:
    from kitbuild.fonts import symbols

    path = Path(symbols.__file__).parent / "symbols.txt"
    assert path.read_text(encoding="ascii") == symbols.text()
    assert set(outlines()) == set(SYMBOLS.values())


def test_the_contents_lead_to_the_headings() -> None:
    root = parsed(page_of())
    by_id = {each.get("id"): each for each in root.iter() if each.get("id")}
    links = list(root.find("body/nav").iter("a"))
    assert [text_of(by_id[link.get("href")[1:]]) for link in links] == [text_of(link) for link in links]
    wanted = [text_of(each) for each in root.iter() if each.tag in ("h2", "h3")]
    assert [text_of(link) for link in links] == wanted


def test_words_of_another_language_and_least_letters_are_told() -> None:
    blocks = (Heading(1, "One"), Caution("WARNING", "Words.", "warning", 24, bold=True, language="fr"))
    page = page_of(blocks)
    note = next(each for each in main_of(page).iter() if each.get("role") == "note")
    assert note.get("class") == "note warning least24"
    assert note[1].attrib == {"class": "bold", "lang": "fr"}
    assert "font-size:max(1em,24pt)" in page.decode()


def test_what_moves_sideways_is_named_by_a_sentence_with_what_it_shows() -> None:
    page = page_of((Heading(1, "One"), Figure("Many columns {drawing}.", 900.0, 20.0, ())))
    (region,) = (each for each in parsed(page).iter() if each.get("role") == "region")
    assert region.get("aria-label") == "Move sideways: Many columns {drawing}."
