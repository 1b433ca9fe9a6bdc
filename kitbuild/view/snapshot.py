"""What the live page shows of one kit, as plain values for JSON: stitches, palette, and its numbers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from kitbuild.base.units import metric_text, money_text
from kitbuild.documents.job import Job
from kitbuild.documents.made_up import words
from kitbuild.pattern.panel import Panel
from kitbuild.quantity.amounts import Amounts, PieceAmounts
from kitbuild.quantity.needle import Work
from kitbuild.quantity.sizes import Size
from kitbuild.spec.records import Kit

Json = dict[str, object]


def snapshot(job: Job) -> Json:
    """A kit's pieces, colours and numbers; lengths in words, money with its currency."""
    kit, amounts, cost = job.kit, job.amounts, job.cost
    currency = kit.house.currency
    return {
        "code": kit.code,
        "title": kit.title,
        "edition": kit.edition,
        "policy": kit.policy,
        "made_up": {"words": words(job), "language": job.say.language},
        "palette": [
            {"key": colour.key, "name": colour.name, "rgb": _hex(colour.rgb), "symbol": colour.symbol}
            for colour in kit.palette
        ],
        "pieces": [_piece(each) for each in amounts.pieces],
        "numbers": {
            "hours": round(amounts.hours, 1),
            "cost": money_text(cost.total_minor, currency),
            "price": money_text(kit.price_minor, currency),
            "margin": money_text(cost.margin_minor, currency),
            "stitches": sum(each.stitches * each.panel.piece.copies for each in amounts.pieces),
        },
        "thread": list(_thread(amounts)),
    }


def picture(kit: Kit, panels: Iterable[Panel]) -> Json:
    """What a picture of a kit needs: its colours and stitches, without order or numbers."""
    return {
        "code": kit.code,
        "title": kit.title,
        "palette": [{"name": colour.name, "rgb": _hex(colour.rgb)} for colour in kit.palette],
        "pieces": [_drawn(panel) for panel in panels],
    }


def walk(work: Work) -> Json:
    """The order of work of one copy, an entry a stitch: its index in the piece, whether it is turned, the
    place of the stitch before it in its start (-1 at a start's first), start and needleful."""
    order = work.order
    return {
        "stitch": order.stitch.tolist(),
        "turned": order.turned.astype(int).tolist(),
        "previous": order.previous.tolist(),
        "start": work.start.tolist(),
        "needleful": work.needleful.tolist(),
    }


def _piece(each: PieceAmounts) -> Json:
    piece, sizes = each.panel.piece, each.sizes
    return _drawn(each.panel) | {
        "copies": piece.copies,
        "canvas": piece.canvas.title,
        "hours": round(each.hours, 1),
        "sizes": {
            "Stitched area": _size(sizes.stitched),
            "Blank": _size(sizes.blank),
            "Trimmed": _size(sizes.trimmed),
            "Finished": _size(sizes.finished),
        },
    }


def _drawn(panel: Panel) -> Json:
    work = panel.stitches
    arrays = {name: getattr(work, name).tolist() for name in ("x1", "y1", "x2", "y2", "colour", "row")}
    line = np.flatnonzero(work.course == work.course.min()) if len(work) else np.zeros(0, dtype=np.int64)
    return {
        "key": panel.piece.key,
        "title": panel.piece.title,
        "columns": panel.cover.columns,
        "rows": panel.cover.rows,
        "repeat": panel.repeat.columns,
        "line": line.tolist(),
        **arrays,
    }


def _thread(amounts: Amounts) -> Iterator[Json]:
    for use, sure in zip(amounts.uses, amounts.sure, strict=True):
        yield {
            "colour": use.colour.name,
            "thread": use.colour.thread.title,
            "needlefuls": use.needlefuls,
            "spare": use.spare,
            "put_ups": use.put_ups,
            "metres": [round(mm / 1000, 2) for mm in (sure.low_mm, use.length_mm, sure.high_mm)],
        }


def _size(size: Size) -> str:
    return f"{size.columns} × {size.rows} holes, {metric_text(size.width_mm)} × {metric_text(size.height_mm)}"


def _hex(rgb: tuple[int, int, int]) -> str:
    return "#{:02x}{:02x}{:02x}".format(*rgb)
