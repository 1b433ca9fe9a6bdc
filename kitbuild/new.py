"""`kitbuild new`: a commented range to begin with, and one more kit for a range that there is."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from kitbuild.base.problem import Expected, Place, Problem, errors
from kitbuild.outcome import Outcome
from kitbuild.spec.folder import KITS, codes, read_range
from kitbuild.spec.house import House
from kitbuild.spec.materials import Canvas, Materials, Needle, Thread
from kitbuild.spec.records import Range
from kitbuild.spec.schema import KINDS, schema_folder

Tell = Callable[[str], None]

START: Final = Path(__file__).parent / "start"
FIRST: Final = "FIRST"
"""The code of a new range's kit."""
_CODE: Final = re.compile(r"[A-Z][A-Z0-9]{1,11}")
_SIZE: Final = (26, 29)
"""Columns and rows of canvas that the piece of a new kit takes, without border and allowance."""
_MOST_COLOURS: Final = 4


class Refused(Exception):
    """Nothing was written, for the reason that it says."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """What a new kit is made of."""

    canvas: Canvas
    threads: tuple[Thread, ...]
    needle: Needle


def new_range(folder: Path, tell: Tell) -> Outcome:
    """Write a workshop, materials, a kit and the schemas below `folder`; Refused if there are kits."""
    kits = folder / KITS
    if kits.exists() or kits.is_symlink():
        raise Refused(
            f"{kits} is there already (name another folder, or `kitbuild new kit CODE` in this one)"
        )
    try:
        for name in ("workshop", "materials", "wording"):
            _write(kits / f"{name}.yaml", (START / f"{name}.yaml").read_text(encoding="utf-8"), tell)
        for kind in KINDS:
            path = folder / "schemas" / f"{kind}.schema.json"
            if not path.exists():
                _write(path, (schema_folder() / path.name).read_text(encoding="utf-8"), tell)
    except OSError as error:
        return _not_written(kits, error)
    return new_kit(FIRST, tell, kits)


def new_kit(code: str, tell: Tell, kits: Path = KITS) -> Outcome:
    """Write one kit of the range in `kits`; Refused when its code is taken or cannot be one."""
    if not _CODE.fullmatch(code):
        raise Refused(f"`{code}` cannot be a code (use 2 to 12 capital letters and digits, a letter first)")
    path = kits / f"{code.lower()}.yaml"
    if kits.is_dir() and code in codes(kits):
        raise Refused(f"a kit has the code {code} already (choose another)")
    if path.exists() or path.is_symlink():
        raise Refused(f"{path} is there already (choose another code, or move that file away)")
    found, problems = read_range(kits)
    if found is None:
        return Outcome(errors(problems), 1)
    try:
        text = _text(code, found)
        _write(path, text.replace("<price>", "0"), lambda _: None)
        path.write_text(text.replace("<price>", _price(kits, code)), encoding="utf-8")
    except OSError as error:
        return _not_written(path, error)
    tell(f"{path.as_posix()} written")
    return Outcome((), 0)


def _write(path: Path, text: str, tell: Tell) -> None:
    """Write a file that must not be there yet."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("x", encoding="utf-8", newline="\n") as file:
        file.write(text)
    tell(f"{path.as_posix()} written")


def _not_written(path: Path, error: OSError) -> Outcome:
    place = Place((error.filename and str(error.filename)) or path.as_posix())
    message = f"could not be written: {(error.strerror or str(error)).lower()}"
    return Outcome((Problem(place, "KB806", message, "see to the folder and its disk, then try again"),), 3)


def _text(code: str, found: Range) -> str:
    """The kit's file, all filled in but its price."""
    parts = _parts(_chosen(found.materials), found.house)
    parts |= {"code": code, "date": datetime.date.today().isoformat()}
    text = (START / "kit.yaml").read_text(encoding="utf-8")
    for name, part in parts.items():
        text = text.replace(f"<{name}>", part)
    return text.replace("\n\n\n", "\n\n")


def _chosen(materials: Materials) -> Chosen:
    """The first canvas that holds the piece, threads that suit it and differ, and a needle for it."""
    canvas = next(filter(_holds, materials.canvases.values()), None)
    if canvas is None:
        raise Refused(
            "no canvas of the materials holds a piece of 26 x 29 holes (add one to a materials file)"
        )
    if not materials.threads or not materials.needles:
        lacking = "needle" if materials.threads else "thread"
        raise Refused(f"the materials have no {lacking} (add one to a materials file)")
    return Chosen(canvas, _threads(materials.threads, canvas), _needle(materials.needles, canvas))


def _holds(canvas: Canvas) -> bool:
    around = 0 if canvas.weave == "plastic" else int(150 / canvas.pitch_mm)
    columns, rows = (size + around for size in _SIZE)
    return any(stock.columns >= columns and stock.rows >= rows for stock in canvas.stock)


def _threads(threads: Mapping[str, Thread], canvas: Canvas) -> tuple[Thread, ...]:
    """The first threads that suit the canvas and can be told apart by all eyes."""
    from kitbuild.quantity.rules import THICKNESS_SHARE

    low, high = (share * canvas.pitch_mm for share in THICKNESS_SHARE)
    suited = [thread for thread in threads.values() if low <= thread.thickness_mm <= high]
    chosen: list[Thread] = []
    for thread in suited or list(threads.values()):
        if len(chosen) < _MOST_COLOURS and all(_differ(thread, other) for other in chosen):
            chosen.append(thread)
    return tuple(chosen)


def _differ(one: Thread, other: Thread) -> bool:
    from kitbuild.base.likeness import SIGHTS, difference
    from kitbuild.pattern.rules import LEAST_DIFFERENCE

    if one.colour_name.casefold() == other.colour_name.casefold():
        return False
    return all(difference(one.rgb, other.rgb, sight) >= LEAST_DIFFERENCE for sight in (None, *SIGHTS))


def _needle(needles: Mapping[str, Needle], canvas: Canvas) -> Needle:
    from kitbuild.quantity.rules import usual_needles

    usual = usual_needles(canvas.count)
    return next((each for each in needles.values() if each.size in usual), next(iter(needles.values())))


def _parts(chosen: Chosen, house: House) -> dict[str, str]:
    """What stands in the places of the template, by their names."""
    plastic = chosen.canvas.weave == "plastic"
    use = "coaster" if plastic else "cushion"
    colours = _colour_keys(chosen.threads)
    long = 4 * chosen.canvas.pitch_mm <= house.longest_stitch_mm[use]
    finish = (
        f"{{kind: flat, edge: {colours[0]}}}" if plastic else "{kind: cushion, border: 2 in, allowance: 2 cm}"
    )
    return {
        "title": "New coasters" if plastic else "New pincushion front",
        "piece": "coaster" if plastic else "front",
        "piece-title": "Coaster" if plastic else "Pincushion front",
        "copies": "4" if plastic else "1",
        "use": use,
        "canvas": chosen.canvas.key,
        "over": "4" if long else "2",
        "rows": "27" if long else "29",
        "finish": finish,
        "colours": ", ".join(colours),
        "palette": "".join(
            f"  {key}: {{thread: {each.key}}}\n" for key, each in zip(colours, chosen.threads, strict=True)
        ),
        "needle": chosen.needle.key,
        "needleful": _needleful(chosen.canvas, house),
    }


def _colour_keys(threads: tuple[Thread, ...]) -> list[str]:
    """A palette key for each thread, from its colour's name where that makes one."""
    keys: list[str] = []
    for number, thread in enumerate(threads, 1):
        key = re.sub(r"[^a-z0-9]+", "-", thread.colour_name.lower()).strip("-")
        keys.append(key if re.fullmatch(r"[a-z][a-z0-9-]*", key) and key not in keys else f"colour-{number}")
    return keys


def _needleful(canvas: Canvas, house: House) -> str:
    """A needleful of the kit's own where the workshop's is unusual for the canvas."""
    from kitbuild.quantity.rules import NEEDLEFUL_MM

    least, fine, coarse = NEEDLEFUL_MM
    usual = least <= house.thread.needleful_mm <= (fine if canvas.count >= 10 else coarse)
    return "" if usual else "needleful: 50 cm  # the workshop's own is unusual for this canvas\n"


def _price(kits: Path, code: str) -> str:
    """Twice the cost of the kit as it stands, in whole units of the currency."""
    from kitbuild.base.units import minor_digits
    from kitbuild.build import amounts_of
    from kitbuild.production.cost import cost
    from kitbuild.production.picks import picks

    found, _ = read_range(kits)
    kit = next((kit for kit in found.kits if kit.code == code), None) if found else None
    try:
        total = cost(kit, picks(amounts_of(replace(kit, price_minor=0))[0])).total_minor if kit else 0
    except Expected:
        total = 0
    digits = minor_digits(found.house.currency) if found else 2
    return f"{-(-2 * total // 10**digits) or 1:.{digits}f}"
