"""A checker of tagged PDF over pikepdf, for any file: what a reader by ear needs, and what ISO 32000-1 asks.

It knows nothing of blocks. `faults` yields a sentence for each thing that is wrong; none is no claim of a
standard's conformance.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import pikepdf

PAINTING = frozenset(("f", "F", "f*", "B", "B*", "b", "b*", "S", "s", "Do", "sh", "BI", "INLINE IMAGE"))
PAINTING |= {"Tj", "TJ", "'", '"'}
#: The children that an element may have, where that is narrow (ISO 32000-1, 14.8.4).
CHILDREN = {
    "L": {"LI", "Caption"},
    "LI": {"Lbl", "LBody"},
    "Table": {"TR", "THead", "TBody", "TFoot", "Caption"},
    "THead": {"TR"}, "TBody": {"TR"}, "TFoot": {"TR"},
    "TR": {"TH", "TD"},
}  # fmt: skip
#: The parents that an element must have.
PARENTS = {
    "LI": {"L"}, "Lbl": {"LI"}, "LBody": {"LI"}, "TH": {"TR"}, "TD": {"TR"},
    "TR": {"Table", "THead", "TBody", "TFoot"}, "Document": {""},
}  # fmt: skip
LEAVES = frozenset({"H1", "H2", "H3", "H4", "H5", "H6", "P", "Lbl", "Figure", "Caption"})
ROLES = LEAVES | {"Document", "Div", "Sect", "Table", "TR", "TH", "TD", "L", "LI", "LBody", "Span"}
Mark = tuple[tuple[int, int], int]
"""A page's object number, and a mark on it."""


@dataclass(eq=False, slots=True)
class Node:
    """An element with its own marks and children, in order."""

    thing: pikepdf.Object
    role: str
    parent: str = ""
    marks: list[Mark] = field(default_factory=list)
    kids: list[Node] = field(default_factory=list)

    def walk(self) -> Iterator[Node]:
        yield self
        for kid in self.kids:
            yield from kid.walk()


def listed(value: object) -> list:
    if value is None:
        return []
    return list(value) if isinstance(value, pikepdf.Array) else [value]


def read(thing: pikepdf.Object, parent: str = "") -> Node:
    node = Node(thing, str(thing.get("/S", "/"))[1:], parent)
    for kid in listed(thing.get("/K")):
        if isinstance(kid, int):
            node.marks.append((thing.Pg.objgen, kid))
        elif kid.get("/Type") == "/MCR":
            node.marks.append((kid.get("/Pg", thing.get("/Pg")).objgen, int(kid.MCID)))
        else:
            node.kids.append(read(kid, node.role))
    return node


def faults(pdf: pikepdf.Pdf) -> list[str]:
    """Everything that is wrong with the tags of `pdf`."""
    found = [*_file(pdf)]
    if "/StructTreeRoot" not in pdf.Root:
        return [*found, "no structure tree"]
    (top,) = [read(each) for each in listed(pdf.Root.StructTreeRoot.get("/K"))] or [None]
    nodes = list(top.walk())
    found += [*_marks(pdf, nodes), *_nesting(nodes), *_tables(nodes), *_figures(nodes), *_headings(nodes)]
    return [*found, *_lists(nodes)]


def _file(pdf: pikepdf.Pdf) -> Iterator[str]:
    root = pdf.Root
    if not str(root.get("/Lang", "")).strip():
        yield "the document names no language"
    if not root.get("/MarkInfo", {}).get("/Marked"):
        yield "the document is not said to be marked"
    if root.get("/MarkInfo", {}).get("/Suspects"):
        yield "tags are said to be suspect"
    if not root.get("/ViewerPreferences", {}).get("/DisplayDocTitle"):
        yield "a viewer would show the file's name, not its title"
    title = str(pdf.docinfo.get("/Title", ""))
    with pdf.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as metadata:
        told = str(metadata.get("dc:title", ""))
        if not title.strip() or told != title:
            yield f"the title is {title!r}, and {told!r} in the metadata"
        if any("pdfua" in str(name).lower() for name in metadata):
            yield "conformance is claimed"
    for number, page in enumerate(pdf.pages, 1):
        if page.get("/Tabs") != "/S":
            yield f"page {number}: tab order does not follow the structure"
        if "/Annots" in page:
            yield f"page {number}: annotations, which nobody checks here"


def _marks(pdf: pikepdf.Pdf, nodes: list[Node]) -> Iterator[str]:
    owners: dict[Mark, list[pikepdf.Object]] = {}
    for node in nodes:
        for mark in node.marks:
            owners.setdefault(mark, []).append(node.thing)
    yield from (f"mark {mark} has {len(each)} elements" for mark, each in owners.items() if len(each) > 1)
    numbers = pdf.Root.StructTreeRoot.ParentTree.Nums
    rows = {int(numbers[at]): numbers[at + 1] for at in range(0, len(numbers), 2)}
    drawn: set[Mark] = set()
    for number, page in enumerate(pdf.pages, 1):
        row = rows.get(int(page.get("/StructParents", -1)), [])
        for mark, wrong in _drawn(page):
            if wrong:
                yield f"page {number}: {wrong}"
                continue
            key = (page.objgen, mark)
            if key in drawn:
                yield f"page {number}: mark {mark} stands twice"
            drawn.add(key)
            owner = owners.get(key, [None])[0]
            if owner is None or mark >= len(row) or row[mark].objgen != owner.objgen:
                yield f"page {number}: mark {mark} is not in the parent tree as in the structure"
    yield from (f"mark {mark} of the structure is not drawn" for mark in owners if mark not in drawn)


def _drawn(page: pikepdf.Page) -> Iterator[tuple[int, str]]:
    """(mark, "") for each mark of a page, (0, what is wrong) for what is drawn or nested badly."""
    stack: list[str] = []
    for operands, operator in pikepdf.parse_content_stream(page):
        word = str(operator)
        if word in ("BDC", "BMC"):
            tags = operands[1] if len(operands) > 1 else {}
            kind = "mark" if "/MCID" in tags else str(operands[0])
            if kind in ("mark", "/Artifact") and {"mark", "/Artifact"} & set(stack):
                yield 0, f"{kind} within {stack[-1]}"
            stack.append(kind)
            if kind == "mark":
                yield int(tags["/MCID"]), ""
        elif word == "EMC":
            if not stack:
                yield 0, "marked content ends that never began"
            stack = stack[:-1]
        elif word in PAINTING and not {"mark", "/Artifact"} & set(stack):
            yield 0, f"{word} outside of marked content"
    if stack:
        yield 0, "marked content does not end"


def _nesting(nodes: list[Node]) -> Iterator[str]:
    for node in nodes:
        wrong = {kid.role for kid in node.kids} - CHILDREN.get(node.role, ROLES - {"Document"})
        if node.role in LEAVES - {"Figure", "Caption"}:
            wrong = {kid.role for kid in node.kids} - {"Span"}
        yield from (f"<{role}> within <{node.role}>" for role in sorted(wrong))
        if node.role not in ROLES | CHILDREN.keys():
            yield f"<{node.role}> is no standard role"
        if node.role in PARENTS and node.parent not in PARENTS[node.role]:
            yield f"<{node.role}> within <{node.parent}>"
        if node.role in CHILDREN and node.marks:
            yield f"<{node.role}> holds content of its own"
        if node.role in LEAVES and not node.marks and not node.kids:
            yield f"an empty <{node.role}>"
        if any(kid.thing.P.objgen != node.thing.objgen for kid in node.kids):
            yield f"a child of <{node.role}> names another parent"


def _attribute(node: Node, name: str) -> object:
    return next((each[name] for each in listed(node.thing.get("/A")) if name in each), None)


def _tables(nodes: list[Node]) -> Iterator[str]:
    for table in (node for node in nodes if node.role == "Table"):
        rows = [node for node in table.walk() if node.role == "TR"]
        if len({len(row.kids) for row in rows}) != 1 or len(rows) < 2:
            yield f"a table with rows of {[len(row.kids) for row in rows]} cells"
        if rows and any(cell.role != "TH" for cell in rows[0].kids):
            yield "a cell of a table's first row is no header cell"
        for cell in (node for node in table.walk() if node.role == "TH"):
            if str(_attribute(cell, "/Scope")) not in ("/Column", "/Row", "/Both"):
                yield "a header cell without a scope"
            if not cell.marks and not cell.kids:
                yield "an empty header cell"


def _figures(nodes: list[Node]) -> Iterator[str]:
    for figure in (node for node in nodes if node.role == "Figure"):
        if not str(figure.thing.get("/Alt", "")).strip():
            yield "a figure without an alternative"
        box = _attribute(figure, "/BBox")
        if box is None or not (box[0] < box[2] and box[1] < box[3]):
            yield "a figure without its box"


def _headings(nodes: list[Node]) -> Iterator[str]:
    before = 0
    for level in [int(node.role[1]) for node in nodes if node.role in LEAVES and node.role[1:].isdigit()]:
        if level > before + 1:
            yield f"a heading of level {level} follows one of level {before}"
        before = level


def _lists(nodes: list[Node]) -> Iterator[str]:
    for node in nodes:
        if node.role == "L" and _attribute(node, "/ListNumbering") is None:
            yield "a list that does not say how it is numbered"
        if node.role == "LI" and [kid.role for kid in node.kids] not in (["Lbl", "LBody"], ["LBody"]):
            yield f"a list item of {[kid.role for kid in node.kids]}"
