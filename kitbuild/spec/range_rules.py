"""Rules for materials and for the range as a whole."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from kitbuild.base.problem import Place, Problem
from kitbuild.base.units import MM_PER_INCH, down, minor_digits, money_minor
from kitbuild.spec.check import Checked
from kitbuild.spec.draft import SECTIONS, Draft, sold
from kitbuild.spec.formats import read_length
from kitbuild.spec.schema import leaves
from kitbuild.spec.source import Path
from kitbuild.spec.words import shown, suggestion


def range_has_its_files(draft: Draft) -> Iterator[Problem]:
    """One workshop file, and materials; files that could not be read may have been these."""
    for file in draft.workshops[1:]:
        message = f"a second workshop file beside {draft.workshops[0].source.file}"
        yield Problem(file.at("kind"), "KB301", message, "keep one of the two")
    if not draft.complete:
        return
    whole = Place(draft.folder)
    if not draft.workshops:
        yield Problem(whole, "KB301", "there is no workshop file", "add one with `kind: workshop`")
    if not draft.materials:
        yield Problem(whole, "KB301", "there is no materials file", "add one with `kind: materials`")


def kit_codes_differ(draft: Draft) -> Iterator[Problem]:
    """A code names one kit."""
    seen: dict[str, Place] = {}
    for one in (one for kit in draft.kits for one in sold(kit) if one.code):
        place = one.code_at.key() if one.code_at.path[0] == "colourways" else one.code_at()
        if one.code in seen:
            message = f"the code {shown(one.code)} is taken, first at {seen[one.code]}"
            yield Problem(place, "KB302", message, "give each kit a code of its own")
        seen.setdefault(one.code, place)


def material_keys_differ(draft: Draft) -> Iterator[Problem]:
    """A key stands for one material, and for one line of the stock list."""
    seen: dict[str, Place] = {}
    for key, place in _material_keys(draft):
        if key in seen:
            message = f"the key {shown(key)} is taken, first at {seen[key]}"
            yield Problem(place, "KB306", message, "give each material a key of its own")
        seen.setdefault(key, place)


def _material_keys(draft: Draft) -> Iterator[tuple[str, Place]]:
    for file in draft.materials:
        for section in SECTIONS:
            for key, material in file.data.get(section, {}).items():
                yield key, file.at.key(section, key)
                for stock in material.get("stock", {}):
                    yield stock, file.at.key(section, key, "stock", stock)


def suppliers_are_known(draft: Draft) -> Iterator[Problem]:
    """A material's supplier is one of the range."""
    known = {key for file in draft.materials for key in file.data.get("suppliers", {})}
    for file in draft.materials if draft.complete else ():
        for path, supplier in _suppliers_named(file):
            if supplier not in known:
                cure = suggestion(supplier, known, "write it under `suppliers`")
                message = f"there is no supplier {shown(supplier)}"
                yield Problem(file.at(*path), "KB338", message, cure)


def _suppliers_named(file: Checked) -> Iterator[tuple[Path, str]]:
    """Every supplier that a material names, with the way to it."""
    for section in SECTIONS:
        for key, material in file.data.get(section, {}).items():
            for path, part in (
                ((section, key), material),
                *(((section, key, "stock", name), each) for name, each in material.get("stock", {}).items()),
            ):
                if part.get("supplier"):
                    yield (*path, "supplier"), part["supplier"]


def canvas_fits_its_weave(draft: Draft) -> Iterator[Problem]:
    """A plastic canvas has `plastic` in its key and loses a row at each cut; a woven one has not."""
    for key, canvas, at in draft.parts("canvases"):
        weave = canvas.get("weave")
        if weave == "plastic" and "plastic" not in key:
            cure = f"call it `plastic-{key[:23]}` or the like"
            yield Problem(at.key(), "KB313", "a plastic canvas's key contains `plastic`", cure)
        elif weave == "woven" and "plastic" in key:
            cure = "write `weave: plastic`, or call it otherwise"
            yield Problem(at.key(), "KB313", f"{shown(key)} is woven, its key says plastic", cure)
        if weave == "plastic" and canvas.get("kerf", 1) < 1:
            message = "plastic canvas loses a row of holes at each cut"
            yield Problem(at("kerf"), "KB314", message, "write `kerf: 1` or more")


def rolls_hold_a_hole(draft: Draft) -> Iterator[Problem]:
    """A roll is wide and long enough for one hole."""
    for file in draft.materials:
        for key, canvas in file.data.get("canvases", {}).items():
            pitch_mm = _pitch_mm(file, key)
            for stock, entry in canvas.get("stock", {}).items() if pitch_mm else ():
                for name in ("roll", "length"):
                    if name in entry and down(read_length(entry[name]) / pitch_mm) < 1:
                        place = file.at("canvases", key, "stock", stock, name)
                        message = f"{shown(entry[name])} is narrower than one hole of the canvas"
                        yield Problem(place, "KB321", message, "check the number and its unit")


def _pitch_mm(file: Checked, key: str) -> float:
    """The pitch of a canvas, 0 when it is not told without fault."""
    canvas, path = file.data["canvases"][key], ("canvases", key)
    if "measured_pitch" in canvas:
        return read_length(canvas["measured_pitch"])
    if (*path, "measured_pitch") in file.marks.bad or not file.told(*path) or "count" not in canvas:
        return 0
    return MM_PER_INCH / float(canvas["count"])


def money_fits_the_currency(draft: Draft) -> Iterator[Problem]:
    """No amount has more digits after the point than the workshop's currency has."""
    currency = draft.workshops[0].data.get("currency") if len(draft.workshops) == 1 else None
    for file in draft.files if currency else ():
        for path, value, schema in leaves(file.data, file.schema, file.schema):
            if schema.get("format") != "money":
                continue
            try:
                money_minor(str(value), currency)
            except ValueError:
                digits = minor_digits(currency)
                message = f"{shown(value)} has more than the {digits} digits of {currency} after the point"
                yield Problem(file.at(*path), "KB315", message, f"write {value:.{digits}f} or what you mean")


def a_language_has_one_file(draft: Draft) -> Iterator[Problem]:
    """The workshop's words of one language stand in one file."""
    seen: dict[str, Place] = {}
    for file in draft.wordings:
        language = file.data.get("language")
        if language in seen:
            message = f"a second wording file for {shown(language)}, the first is {seen[language]}"
            yield Problem(file.at("language"), "KB334", message, "put all its words into one file")
        elif language is not None:
            seen[language] = file.at("language")


RULES: Final = (
    a_language_has_one_file,
    range_has_its_files,
    kit_codes_differ,
    material_keys_differ,
    suppliers_are_known,
    canvas_fits_its_weave,
    rolls_hold_a_hole,
    money_fits_the_currency,
)
