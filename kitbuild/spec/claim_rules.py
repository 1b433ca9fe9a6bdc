"""Rules for what printed texts claim; a claim stands only where all kits that print it accept it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from kitbuild.base.problem import Problem
from kitbuild.spec.check import Checked
from kitbuild.spec.claims import claims_in
from kitbuild.spec.draft import Draft, Sold, pieces, sold
from kitbuild.spec.schema import leaves
from kitbuild.spec.source import Path
from kitbuild.spec.words import listed

CODE: Final = "KB335"
#: Formats of text that is printed, kinds of files whose texts customers read, and keys that they never see.
_PRINTED: Final = ("text", "line", "prose")
_KINDS: Final = ("kit", "materials", "wording", "workshop")
_UNSEEN: Final = ("accept", "bin")


def texts_claim_nothing(draft: Draft) -> Iterator[Problem]:
    """No printed text promises what a kit cannot keep."""
    for file in (file for file in draft.files if file.kind in _KINDS):
        for path, text, schema in leaves(file.data, file.schema, file.schema):
            if schema.get("format") not in _PRINTED or set(_UNSEEN) & set(path):
                continue
            if claims := claims_in(text):
                kits = list(_printing(draft, file, path))
                accepted = bool(kits) and all(_accepts(one) for one in kits)
                message = f"the text claims {listed(claims, 'and')}, which no kit can promise"
                cure = f"say it otherwise, or write the reason below `accept` for {CODE}"
                yield Problem(file.at(*path), CODE, message, cure, warning=accepted)


def _printing(draft: Draft, file: Checked, path: Path) -> Iterator[Sold]:
    """The kits in whose papers a text stands."""
    for kit in draft.kits:
        for one in sold(kit):
            of_kit = file is kit and (path[0] != "colourways" or path[1] == one.code)
            of_materials = file.kind == "materials" and path[1] in _materials(one)
            if file.kind in ("wording", "workshop") or of_kit or of_materials:
                yield one


def _materials(one: Sold) -> set[str]:
    """The keys of all materials of a kit."""
    kit = one.file
    threads = {thread for _, thread in one.values("thread")}
    canvases = {piece["canvas"] for piece, _ in pieces(kit) if "canvas" in piece}
    return threads | canvases | kit.data.get("needles", {}).keys() | kit.data.get("extras", {}).keys()


def _accepts(one: Sold) -> bool:
    return CODE in (one.data.get("accept") or {}) or CODE in (one.file.data.get("accept") or {})


RULES: Final = (texts_claim_nothing,)
