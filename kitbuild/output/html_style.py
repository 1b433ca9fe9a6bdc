"""The style of pages for the screen: one sheet, in light and dark and on paper."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from kitbuild.base.blocks import Caution, Grid
from kitbuild.base.colour import Rgb
from kitbuild.output.html_symbols import hexadecimal
from kitbuild.output.panels import PANELS

#: Name → colour in light and in dark. Words in `text` and `link` stand on `page` and on `shade`.
COLOURS: Final[dict[str, tuple[Rgb, Rgb]]] = {
    "page": ((255, 255, 255), (22, 24, 27)),
    "text": ((26, 26, 26), (236, 236, 234)),
    "link": ((11, 87, 164), (156, 200, 255)),
    "shade": ((243, 243, 240), (38, 41, 46)),
    "rule": ((112, 112, 112), (150, 150, 150)),
}

_SHEET: Final = Path(__file__).parent / "templates" / "page.css"


def style(grids: Iterable[Grid] = (), cautions: Iterable[Caution] = ()) -> str:
    """The sheet, with what the grids and the least letter sizes of one document ask for."""
    light, dark = (
        "".join(f"--{name}:{hexadecimal(pair[at])};" for name, pair in COLOURS.items()) for at in (0, 1)
    )
    rules = [f":root{{{light}}}", f"@media screen and (prefers-color-scheme:dark){{:root{{{dark}}}}}"]
    rules.append(_SHEET.read_text(encoding="utf-8").strip())
    for severity, (fill, ink) in PANELS.items():
        rules.append(f".{severity} .signal{{background:{hexadecimal(fill)};color:{hexadecimal(ink)}}}")
    for widths in dict.fromkeys(grid.widths for grid in grids):
        columns = " ".join(f"minmax(0,{width:g}fr)" for width in widths)
        rules.append(f"@media (min-width:48em){{.{grid_name(widths)}{{grid-template-columns:{columns}}}}}")
    for points in sorted({caution.points for caution in cautions} - {0}):
        rules.append(f".least{points},.least{points} .signal{{font-size:max(1em,{points}pt)}}")
    return "\n".join(rules)


def grid_name(widths: tuple[float, ...]) -> str:
    """The class of grids with these widths."""
    return "g" + "-".join(f"{width * 1000:.0f}" for width in widths)


def policy(style: str) -> str:
    """The content security policy of a page with this style: nothing is loaded, nothing runs."""
    digest = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode("ascii")
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
