"""A general checker of pages for the screen: it knows HTML and its rules for access, and nothing of kits.

`faults(page)` returns every broken rule as a sentence; an empty list is a page that keeps them.
"""

from __future__ import annotations

import base64
import hashlib
import itertools
import re
from collections import Counter
from collections.abc import Iterator
from xml.etree.ElementTree import Element

import html5lib

SVG = "{http://www.w3.org/2000/svg}"
_NAMES = ("aria-labelledby", "aria-describedby")


def parsed(page: bytes) -> Element:
    """The page's tree; html5lib's ParseError where it is not well formed."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    return parser.parse(page.decode("utf-8"))


def faults(page: bytes) -> list[str]:
    try:
        root = parsed(page)
    except html5lib.html5parser.ParseError as error:
        return [f"not well formed: {error}"]
    rules = (_head, _ids, _headings, _landmarks, _tables, _drawings, _fields, _lists, _regions, _closed)
    return [fault for rule in rules for fault in rule(root)]


def text_of(element: Element) -> str:
    """All text and the alternatives of drawings, with spaces brought to one."""
    return " ".join("".join(_words(element)).split())


def _words(element: Element) -> Iterator[str]:
    if element.get("role") == "img":
        yield element.get("aria-label", "")
    yield element.text or ""
    for child in element:
        yield from _words(child)
        yield child.tail or ""


def tag(element: Element) -> str:
    return str(element.tag).removeprefix(SVG)


def _head(root: Element) -> Iterator[str]:
    if not re.fullmatch(r"[a-z]{2}", root.get("lang", "")):
        yield "the page has no language"
    if not text_of(root.find("head/title")):
        yield "the page has no title"
    first = root.findall("head/meta")[:2]
    if [each.get("charset") or each.get("http-equiv") for each in first] != [
        "utf-8",
        "Content-Security-Policy",
    ]:
        yield "charset and policy do not come first"


def _ids(root: Element) -> Iterator[str]:
    ids = Counter(each.get("id") for each in root.iter() if each.get("id"))
    yield from (f"id {id} stands {count} times" for id, count in ids.items() if count > 1)
    for each in root.iter():
        wanted = [word for name in _NAMES for word in each.get(name, "").split()]
        wanted += re.findall(r"url\(#([^)]*)\)", " ".join(map(str, each.attrib.values())))
        href = each.get("href", "")
        wanted += [href[1:]] if href.startswith("#") else []
        yield from (f"<{tag(each)}> points to {id!r}, which is not there" for id in wanted if id not in ids)


def _headings(root: Element) -> Iterator[str]:
    levels = [int(each.tag[1]) for each in root.iter() if re.fullmatch(r"h[1-6]", str(each.tag))]
    if levels[:1] != [1] or levels.count(1) != 1:
        yield "there is not one heading of level 1, first of all"
    for before, after in itertools.pairwise(levels):
        if after > before + 1:
            yield f"a heading of level {after} follows one of level {before}"
    yield from (
        f"an empty <{each.tag}>"
        for each in root.iter()
        if tag(each) in ("h1", "h2", "h3") and not text_of(each)
    )


def _landmarks(root: Element) -> Iterator[str]:
    mains = root.findall("body/main")
    if len(mains) != 1:
        yield f"{len(mains)} main landmarks"
    link = root.find("body")[0]
    if link.tag != "a" or not mains or link.get("href") != f"#{mains[0].get('id')}" or not text_of(link):
        yield "no skip link to main comes first"
    yield from ("an unnamed <nav>" for each in root.iter("nav") if not each.get("aria-label"))


def _tables(root: Element) -> Iterator[str]:
    for table in root.iter("table"):
        caption = table.find("caption")
        if not (table.get("aria-labelledby") or (caption is not None and text_of(caption))):
            yield "a table without a caption or name"
        if len(table.findall("thead/tr")) != 1 or not table.findall("thead/tr/th"):
            yield "a table without header cells"
        wide = {len(row) for row in table.iter("tr")}
        if len(wide) != 1:
            yield f"a table with rows of {sorted(wide)} cells"
        for cell in table.iter("th"):
            if cell.get("scope") not in ("col", "row"):
                yield "a header cell without a scope"
            if not text_of(cell):
                yield "an empty header cell"


def _drawings(root: Element) -> Iterator[str]:
    for drawing in root.iter(f"{SVG}svg"):
        if drawing.get("aria-hidden") == "true":
            if text_of(drawing):
                yield "words in a drawing that is hidden"
            continue
        if drawing.get("role") != "img" or not (drawing.get("aria-label") or "").strip():
            yield "a drawing without an alternative"
        if any(part.get("aria-hidden") != "true" for part in drawing):
            yield "a drawing whose marks are heard"
    yield from (
        "a <figure> without a drawing" for each in root.iter("figure") if each.find(f".//{SVG}svg") is None
    )


def _fields(root: Element) -> Iterator[str]:
    labelled = {field for label in root.iter("label") if text_of(label) for field in label.iter("input")}
    for field in root.iter("input"):
        if field not in labelled and not field.get("aria-labelledby"):
            yield "a field without a label"


def _lists(root: Element) -> Iterator[str]:
    for each in root.iter():
        if each.tag in ("ul", "ol") and ({child.tag for child in each} != {"li"}):
            yield f"a list that is not made of items: {[child.tag for child in each]}"


def _regions(root: Element) -> Iterator[str]:
    names = Counter()
    by_id = {each.get("id"): each for each in root.iter() if each.get("id")}
    for each in root.iter():
        if "scroll" in each.get("class", "").split() and (each.get("role"), each.get("tabindex")) != (
            "region",
            "0",
        ):
            yield "what moves sideways cannot be reached with the keyboard"
        if each.get("role") == "region":
            named = " ".join(
                text_of(by_id[id]) for id in each.get("aria-labelledby", "").split() if id in by_id
            )
            names[each.get("aria-label") or named] += 1
        if each.get("role") == "note" and not text_of(each):
            yield "an empty note"
    yield from (
        f"{count} regions are named {name!r}" for name, count in names.items() if count > 1 or not name
    )


def _closed(root: Element) -> Iterator[str]:
    """Nothing is loaded and nothing runs."""
    style = "".join(root.find("head/style").itertext())
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = root.find("head/meta[@http-equiv]").get("content")
    wanted = f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    if policy != wanted:
        yield f"the policy is {policy}"
    if len(list(root.iter("style"))) != 1 or re.search(r"url\(|@import|expression", style):
        yield "the style loads something"
    for each in root.iter():
        if tag(each) in (
            "script",
            "iframe",
            "object",
            "embed",
            "link",
            "base",
            "img",
            "form",
            "image",
            "use",
        ):
            yield f"<{tag(each)}> is not for these pages"
        for name, value in each.attrib.items():
            if str(name).startswith("on") or name in ("style", "src", "srcset", "data", "action"):
                yield f"attribute {name} is not for these pages"
            if str(name).endswith("href") and not value.startswith("#"):
                yield f"a link leads out of the page: {value}"
