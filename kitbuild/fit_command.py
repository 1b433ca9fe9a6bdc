"""The command `fit`: from words on the command line to a table of sizes, and into the spec."""

from __future__ import annotations

import codecs
import contextlib
import math
import os
import shutil
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from kitbuild.base.problem import Expected, Place, Problem, WriteProblem, errors
from kitbuild.base.units import up
from kitbuild.fit import Answer, answers, changes
from kitbuild.outcome import Outcome
from kitbuild.quantity.fits import Room, round_room, taper_room
from kitbuild.spec.edit import with_values
from kitbuild.spec.folder import KITS, read_range
from kitbuild.spec.formats import read_length, read_length_above_0
from kitbuild.spec.piece import Piece
from kitbuild.spec.records import Kit, Range
from kitbuild.spec.source import Path as Steps

MOST_TAPER_MM = 4.0
"""A sleeve of straight canvas follows a taper of at most so much across (common practice, no source)."""
FLAT_TOLERANCE_MM = 6.0
BOX_CHOICES = 3


class Unfit(Exception):
    """The question cannot be asked like this: wrong usage."""


@dataclass(frozen=True, slots=True)
class Question:
    """What the command line asks: lengths as written, "" where nothing was said."""

    code: str
    piece: str
    canvas: str
    round: str
    circumference: str
    other_end: str
    height: str
    flat: str
    box: str
    ease: str
    tolerance: str
    write: int


def fit(question: Question, tell: Callable[[str], None]) -> Outcome:
    """Answer a question with a table; Unfit for a question that makes no sense."""
    kits, found = read_range(KITS)
    kit, piece = _piece(kits, found, question)
    if question.write < 0 or (question.write and question.box):
        raise Unfit("--write wants the number of a choice in the table, and no --box")
    try:
        if question.box:
            for line in _box_table(piece, _sides(question.box, 3)):
                tell(line)
            return Outcome((), 0)
        across, height = _room(question, piece)
        best = answers(kit, piece, across, height)
        if question.write > len(best):
            choices = "there is only 1 choice" if len(best) == 1 else f"there are only {len(best)} choices"
            raise Unfit(f"--write {question.write}: {choices}")
        for line in _table(piece, best):
            tell(line)
        if question.write:
            path = _write(kit, changes(piece, best[question.write - 1]) | _asked(question, piece))
            tell(f"wrote choice {question.write} into {path}")
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)
    return Outcome((), 0)


def _piece(kits: Range | None, found: Sequence[Problem], question: Question) -> tuple[Kit, Piece]:
    """The piece that is asked about, on the canvas that is asked for."""
    known = {kit.code: kit for kit in kits.kits} if kits else {}
    kit = known.get(question.code)
    if kit is None:
        broken = errors(found)
        why = f"; first mend {broken[0].place}" if broken else f" (the range has {', '.join(known)})"
        raise Unfit(f"no kit with the code {question.code} can be read{why}")
    keys = [piece.key for piece in kit.pieces]
    if question.piece and question.piece not in keys:
        raise Unfit(f"{kit.code} has no piece {question.piece} (it has {', '.join(keys)})")
    if not question.piece and len(keys) > 1:
        raise Unfit(f"say which piece with --piece: {', '.join(keys)}")
    piece = kit.pieces[keys.index(question.piece)] if question.piece else kit.pieces[0]
    if not question.canvas or kits is None:
        return kit, piece
    canvases = kits.materials.canvases
    if question.canvas not in canvases:
        raise Unfit(f"there is no canvas {question.canvas} (the materials have {', '.join(canvases)})")
    return kit, replace(piece, canvas=canvases[question.canvas])


def _room(question: Question, piece: Piece) -> tuple[Room, float | None]:
    """The room across, and the height that must not be passed."""
    height = _length(question.height, "--height") if question.height else None
    if question.flat:
        wide, high = _sides(question.flat, 2)
        tolerance = _spare(question.tolerance, "--tolerance", FLAT_TOLERANCE_MM)
        return Room(wide - tolerance, wide, wide), high
    if piece.finish.kind != "sleeve":
        raise Unfit(f"{piece.key} is no sleeve: ask with --flat or --box")
    around = piece.goes_round
    diameter = _diameter(question, piece)
    ease = _spare(question.ease, "--ease", around.ease_mm if around else 0.0)
    tolerance = _spare(question.tolerance, "--tolerance", around.tolerance_mm if around else 0.0)
    if height is None and around and not (question.round or question.circumference):
        height = around.height_mm
    if not question.other_end:
        return round_room(diameter, ease, tolerance), height
    room = taper_room(diameter, _length(question.other_end, "--other-end"), ease, tolerance, MOST_TAPER_MM)
    if room is None:
        raise Unfit(
            f"the object narrows by more than {MOST_TAPER_MM:g} mm: a straight sleeve would not follow it"
        )
    return room, height


def _diameter(question: Question, piece: Piece) -> float:
    if question.circumference:
        return _length(question.circumference, "--circumference") / math.pi
    if question.round:
        return _length(question.round, "--round")
    if piece.goes_round:
        return piece.goes_round.diameter_mm
    raise Unfit("say what it must go round: --round or --circumference")


def _spare(text: str, option: str, otherwise: float) -> float:
    """Ease or tolerance as it was asked for, which may be nothing."""
    return _length(text, option, read_length) if text else otherwise


def _length(text: str, option: str, read: Callable[[str], float] = read_length_above_0) -> float:
    try:
        return read(text.strip())
    except (ValueError, OverflowError):
        raise Unfit(
            f"{option} wants a length with its unit, such as `73 mm` or `2 7/8 in`, not `{text}`"
        ) from None


def _sides(text: str, count: int) -> tuple[float, ...]:
    parts = [part.strip() for part in text.replace("×", "x").split("x")]
    if len(parts) != count:
        example = "10 cm x 10 cm" if count == 2 else "12 cm x 8 cm x 5 cm"
        raise Unfit(f"write {count} lengths with x between them, such as `{example}`, not `{text}`")
    return tuple(_length(part, "each side") for part in parts)


def _table(piece: Piece, best: Sequence[Answer]) -> Iterator[str]:
    """The choices, best first, under a header."""
    across = "inside" if piece.finish.kind == "sleeve" else "width"
    rows = [("", "columns", "rows", "repeats", "ends", "line", across, "slack", "height", "over 1", "seam")]
    for at, answer in enumerate(best, 1):
        choice = answer.choice
        rows.append(
            (
                str(at),
                str(choice.columns),
                str(answer.rows),
                str(choice.repeats),
                f"{choice.left} + {choice.right}",
                f"{answer.groups} down, {answer.groups} up" if answer.groups else "as written",
                f"{choice.size_mm:.1f} mm",
                f"{choice.slack_mm:.1f} mm",
                f"{answer.height_mm:.1f} mm",
                str(answer.over_one),
                choice.meeting if choice.meeting != "open" else "-",
            )
        )
    yield from _aligned(rows)


def _box_table(piece: Piece, sides: tuple[float, ...]) -> Iterator[str]:
    """For each side of a box the fewest holes that go round it, and the next ones."""
    pitch, bar = piece.canvas.pitch_mm, piece.canvas.bar_mm
    rows = [("side", "holes", "inside", "slack")]
    for name, side in zip(("width", "depth", "height"), sides, strict=True):
        fewest = max(2, up((side - bar) / pitch))
        for holes in range(fewest, fewest + BOX_CHOICES):
            size = holes * pitch + bar
            rows.append((name, str(holes), f"{size:.1f} mm", f"{size - side:.1f} mm"))
    yield from _aligned(rows)
    wide, deep, high = (max(2, up((side - bar) / pitch)) for side in sides)
    yield ""
    yield f"front and back {wide} x {high} holes, sides {deep} x {high}, lid and base {wide} x {deep}"


def _aligned(rows: Sequence[Sequence[str]]) -> Iterator[str]:
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    for row in rows:
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()


def _asked(question: Question, piece: Piece) -> dict[Steps, str | None]:
    """What was asked for beside the size: the canvas, and the object that a sleeve goes round."""
    at = ("pieces", piece.key)
    written: dict[Steps, str | None] = {(*at, "canvas"): piece.canvas.key} if question.canvas else {}
    if question.flat or not piece.goes_round:
        return written
    wide = _diameter(question, piece)
    if question.other_end:
        wide = max(wide, _length(question.other_end, "--other-end"))
    if wide != piece.goes_round.diameter_mm:
        written[*at, "goes_round", "diameter"] = f"{wide:.4f}".rstrip("0").rstrip(".") + " mm"
    said = {"height": question.height, "ease": question.ease, "tolerance": question.tolerance}
    return written | {(*at, "goes_round", key): text.strip() for key, text in said.items() if text}


def _write(kit: Kit, changed: Mapping[Steps, str | None]) -> Path:
    """Change these values in the spec's text, and nothing else in it; the file as it is called."""
    shown = KITS / Path(kit.at.source.file).name
    path, content = shown.resolve(), kit.at.source.content
    mark = codecs.BOM_UTF8 if content.startswith(codecs.BOM_UTF8) else b""
    text = with_values(content.decode("utf-8-sig"), changed)
    beside = path.with_name(f".{path.name}.tmp-{os.getpid()}")
    try:
        if not os.access(path, os.W_OK):
            raise PermissionError("it is read-only")
        beside.write_bytes(mark + text.encode("utf-8"))
        shutil.copymode(path, beside)
        beside.replace(path)
    except OSError as error:
        with contextlib.suppress(OSError):
            beside.unlink()
        why = error.strerror or str(error)
        problem = Problem(Place(str(shown)), "KB805", f"cannot be written: {why}", "make the file writable")
        raise WriteProblem([problem]) from error
    return shown
