"""The page of a document: its blocks through the templates of this room, every text escaped."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import Final

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from kitbuild.base.blocks import Block, Caution, Cell, Grid, TickBox
from kitbuild.base.document import Document
from kitbuild.output.html_figure import drawing, swatch
from kitbuild.output.html_outline import contents, leaves
from kitbuild.output.html_style import grid_name, policy, style

#: The safety alert symbol of ANSI Z535.4, in the colour of the words beside it; their panel shows through.
_SIGN: Final = Markup(
    '<svg class="sign" aria-hidden="true" viewBox="0 0 14 12"><path fill-rule="evenodd" '
    'd="M7 0 14 12H0ZM6.1 3.9 6.55 8.4H7.45L7.9 3.9ZM7 9A.9.9 0 1 0 7 10.8.9.9 0 1 0 7 9Z"/></svg>'
)
#: Fewer headings need no list of them.
_FEWEST_HEADINGS: Final = 3


def page(document: Document) -> str:
    """The page as text; ValueError for a document without a guide, which is one for paper."""
    if document.guide is None:
        raise ValueError(f"{document.name} is no document for a screen")
    parts, every = leaves(document.blocks, document.title), tuple(_flat(document.blocks))
    sheet = style(
        (block for block in every if isinstance(block, Grid)),
        (block for block in every if isinstance(block, Caution)),
    )
    listed = contents(parts)
    return (
        environment()
        .get_template("page.html")
        .render(
            document=document,
            guide=document.guide,
            leaves=parts,
            contents=listed if len(listed) >= _FEWEST_HEADINGS else (),
            style=Markup(sheet),
            policy=policy(sheet),
        )
    )


@cache
def environment() -> Environment:
    """The templates with what they call; they are read once a process."""
    folder = Path(__file__).parent / "templates"
    environment = Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.globals.update(
        drawing=drawing, swatch=swatch, sign=_SIGN, grid_name=grid_name, row_header=_row_header
    )
    return environment


def _row_header(cell: Cell) -> bool:
    """Whether the first cell of a row names the row."""
    return bool(cell) and not isinstance(cell, TickBox)


def _flat(blocks: Iterable[Block]) -> Iterator[Block]:
    """All blocks, grids and those within them."""
    for block in blocks:
        yield block
        if isinstance(block, Grid):
            for cell in block.cells:
                yield from _flat(cell)
