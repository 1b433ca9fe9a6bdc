"""Where a section breaks into pages: none is nearly empty where another arrangement has no such page.

Pages are filled one after the other. Where a page would have a white foot, its pieces stand closer if that
makes room for one more. A drawing may leave the words that lead to it where it would leave a fifth of their
page empty, but not a heading with a paragraph alone; a table that a page can hold is cut only where it
would leave a third. What is left of a piece that was cut has no page to itself. When a section's last page
is nearly empty, its pieces stand closer, which may save that page; else its pages end sooner, and share the
white. Lengths are points.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from kitbuild.output.pdf_cells import Cells
from kitbuild.output.pdf_flow import HAIR, Content, Kept, Piece, gap, stack_height

EMPTY: Final = 0.33
"""Share of a page that is too much to leave empty, and too little for a last page to hold."""
FOOT: Final = 0.2
"""Share of a page that is too much to leave white below words whose drawing does not fit."""
AIRS: Final = (0.85, 0.7, 0.55)
"""What pieces get of the usual space between them, in order of trial, to save a page or its foot."""
AIMS: Final = (0.6, 0.65, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95)
"""How much of each page is filled, in order of trial, when the last page is to get more."""


@dataclass(frozen=True, slots=True)
class Page:
    """The room for blocks, how much of its height is to be filled, and what pieces get of the usual space."""

    width: float
    height: float
    aim: float = 1.0
    air: float = 1.0


class TooHigh(ValueError):
    """A piece that no page can hold, however torn."""

    def __init__(self, piece: Piece) -> None:
        super().__init__(piece)
        self.piece = piece


def paged(content: Content, page: Page) -> list[Content]:
    """The pages of one section; TooHigh when that cannot be."""
    plain = list(_filled(content, page))
    if len(plain) == 1 or _share(plain[-1], page) >= EMPTY:
        return plain
    for air in AIRS:
        closer = list(_filled(_breathing(content, air), replace(page, air=air)))
        if len(closer) < len(plain):
            return closer
    _breathing(content, 1.0)
    evener = (list(_filled(content, replace(page, aim=aim))) for aim in AIMS)
    found = next((pages for pages in evener if len(pages) == len(plain)), None)
    return found or list(_filled(_breathing(content, 1.0), page))


def _breathing(content: Content, air: float) -> Content:
    for piece in content:
        piece.breathe(air)
    return content


def _share(content: Content, page: Page) -> float:
    return stack_height(content, page.width) / page.height


def _filled(content: Content, page: Page) -> Iterator[Content]:
    while content:
        filled, rest = _closer(content, page)
        if rest and _is_left_over(content, filled, rest, page):
            filled, rest = content[: len(filled) - 1], content[len(filled) - 1 :]
        yield filled
        content = rest


def _closer(content: Content, page: Page) -> tuple[Content, Content]:
    """What stands on a page, and the rest; closer where one more piece then fits into a foot left white."""
    filled, rest = _cut(content, page)
    if not rest or page.aim < 1.0 or _share(filled, page) > 1 - FOOT:
        return filled, rest
    for air in (air for air in AIRS if air < page.air):
        filled_closer, rest_closer = _cut(_breathing(content, air), page)
        if len(rest_closer) < len(rest):
            return filled_closer, _breathing(rest_closer, page.air)
    _breathing(content, page.air)
    return filled, rest


def _is_left_over(content: Content, filled: Content, rest: Content, page: Page) -> bool:
    """Whether the rest of a piece that was cut would stand on a page that is nearly empty, before others."""
    if len(filled) < 2 or filled[-1] is content[len(filled) - 1] or len(rest) < 2:
        return False
    after = _cut(rest, page)[0]
    return len(after) == 1 and _share(after, page) < FOOT


def _cut(content: Content, page: Page) -> tuple[Content, Content]:
    """What stands on a page, and the rest."""
    room = page.aim * page.height
    above = None
    for index, piece in enumerate(content):
        room -= gap(above, piece)
        if (needed := piece.wrap(page.width, 1e6)[1]) > room + HAIR:
            parts = _later(piece, needed, room, page) if index else _first(piece, needed, room, page)
            rest = parts[1:] or [piece] * bool(index)
            return [*content[:index], *parts[:1]], [*rest, *content[index + 1 :]]
        room -= needed
        above = piece
    return content, []


def _first(piece: Piece, needed: float, room: float, page: Page) -> Content:
    """Parts of what stands alone at the top of a page; itself where only the aim is too low for it."""
    if needed <= page.height + HAIR:
        return (piece.split(page.width, room) if page.aim < 1.0 else []) or [piece]
    parts = piece.split(page.width, room) or piece.tear(page.width, page.height)
    if not parts:
        raise TooHigh(piece)
    return parts


def _later(piece: Piece, needed: float, room: float, page: Page) -> Content:
    """Parts of what does not fit below other pieces; nothing where all of it goes to the next page."""
    holds = needed <= page.height + HAIR
    if holds and room <= EMPTY * page.height and _is_table(piece):
        return []
    loose = not holds or (room > FOOT * page.height and not piece.titled)
    return piece.split(page.width, room) or (piece.loosened(page.width, room) if loose else [])


def _is_table(piece: Piece) -> bool:
    """Whether a piece is rows under a header, with or without what stays with it."""
    last = piece.content[-1] if isinstance(piece, Kept) else piece
    return isinstance(last, Cells) if last is piece else _is_table(last)
