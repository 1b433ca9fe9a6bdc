"""Rules for test files: they speak of a piece and of colours that their kit has, once."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from kitbuild.base.problem import Place, Problem
from kitbuild.spec.check import Checked
from kitbuild.spec.draft import Draft, Sold, sold
from kitbuild.spec.words import shown, suggestion


def tested_kits_are_known(draft: Draft) -> Iterator[Problem]:
    """A test file names a kit of the range."""
    codes = all_codes(draft)
    for file in draft.tests:
        code = file.data.get("kit")
        if codes is not None and code is not None and code not in codes:
            cure = suggestion(code, codes, "name a kit of the range, or take the file out")
            yield Problem(file.at("kit"), "KB332", f"there is no kit {shown(code)}", cure)


def all_codes(draft: Draft) -> set[str] | None:
    """The codes of all kits; None where some could not be read."""
    known = draft.all_kits and all(_tells_codes(kit) for kit in draft.kits)
    return {one.code for kit in draft.kits for one in sold(kit) if one.code} if known else None


def _tells_codes(kit: Checked) -> bool:
    """Whether the codes of a kit file could be read."""
    if "colourways" in kit.written:
        return kit.names("colourways") == {one.code for one in sold(kit)}
    return bool(kit.data.get("code"))


def tested_pieces_are_known(draft: Draft) -> Iterator[Problem]:
    """The piece and the colours of a test are those of its kit."""
    for file, one in _tested(draft):
        pieces, colours = one.file.names("pieces"), one.colours
        piece = file.data.get("piece")
        if pieces is not None and piece is not None and piece not in pieces:
            cure = suggestion(piece, pieces, "name one of its pieces")
            yield Problem(file.at("piece"), "KB332", f"{one.code} has no piece {shown(piece)}", cure)
        for key in file.data.get("thread", {}):
            if colours is not None and key not in colours:
                cure = suggestion(key, colours, "name colours of its palette")
                yield Problem(
                    file.at.key("thread", key), "KB332", f"{one.code} has no colour {shown(key)}", cure
                )


def a_piece_has_one_test(draft: Draft) -> Iterator[Problem]:
    """Two answers for one piece could not both be true."""
    seen: dict[tuple[str, str], Place] = {}
    for file in draft.tests:
        what = (file.data.get("kit"), file.data.get("piece"))
        if None in what:
            continue
        if what in seen:
            message = f"a second test of piece {shown(what[1])} of {what[0]}, the first is {seen[what]}"
            yield Problem(file.at("piece"), "KB333", message, "keep the one that counts")
        seen.setdefault(what, file.at("piece"))


def _tested(draft: Draft) -> Iterator[tuple[Checked, Sold]]:
    kits = {one.code: one for kit in draft.kits for one in sold(kit)}
    return ((file, kits[file.data["kit"]]) for file in draft.tests if file.data.get("kit") in kits)


RULES: Final[tuple[Callable[[Draft], Iterator[Problem]], ...]] = (
    tested_kits_are_known,
    tested_pieces_are_known,
    a_piece_has_one_test,
)
