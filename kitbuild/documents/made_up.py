"""The finished work as it is used, for the shop: everything of a kit, made up, at one scale."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from kitbuild.base.scene import Scene
from kitbuild.documents.faces import Faces, joined, shelves
from kitbuild.documents.job import Job
from kitbuild.documents.made_box import box, walls_of
from kitbuild.documents.made_look import Look, look
from kitbuild.documents.made_shapes import SHAPES
from kitbuild.pattern.panel import Panel
from kitbuild.spec.piece import Piece
from kitbuild.spec.records import Kit


def made_up(job: Job) -> Scene:
    """Each thing of a kit as it is used: a box of its walls, a pile of what lies flat."""
    faces, width_mm, height_mm = put_up(job.kit, [each.panel for each in job.amounts.pieces])
    return Scene(words(job), job.say.language, width_mm, height_mm, faces.quads, faces.rgb)


def put_up(kit: Kit, panels: Iterable[Panel]) -> tuple[Faces, float, float]:
    """All things of a kit standing on shelves; then width and height of it all in mm."""
    things = list(_things(kit, {panel.piece.key: look(kit, panel) for panel in panels}))
    places, width_mm, height_mm = shelves([thing.size_mm for thing in things])
    faces = joined(thing.at(*place) for thing, place in zip(things, _standing(things, places), strict=True))
    return faces, width_mm, height_mm


def _things(kit: Kit, looks: dict[str, Look]) -> Iterator[Faces]:
    walls = walls_of(kit)
    if walls:
        yield box(looks, walls)
    for key, each in looks.items():
        if walls and key in walls.keys:
            continue
        piece = each.panel.piece
        drawn = SHAPES[piece.finish.kind](each)
        yield from [drawn] * (1 if _in_a_pile(piece) else piece.copies)


def _in_a_pile(piece: Piece) -> bool:
    return piece.finish.kind in ("flat", "box")


def _standing(things: list[Faces], places: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The same places, with what shares a shelf standing on one line."""
    high: dict[float, float] = {}
    for thing, (_, y) in zip(things, places, strict=True):
        high[y] = max(high.get(y, 0.0), thing.size_mm[1])
    return [(x, y + high[y] - thing.size_mm[1]) for thing, (x, y) in zip(things, places, strict=True)]


def words(job: Job) -> str:
    """What the picture shows, thing by thing."""
    walls = walls_of(job.kit)

    def told() -> Iterator[str]:
        if walls:
            front, side = (job.own(piece.title) for piece in (walls.front, walls.side))
            yield job.say("made_up.box", title=job.own(job.kit.title), front=front, side=side)
        for each in job.amounts.pieces:
            piece = each.panel.piece
            if walls and piece.key in walls.keys:
                continue
            around = piece.goes_round.name if piece.goes_round else ""
            kind = "flat" if piece.finish.kind == "box" else piece.finish.kind
            title = job.own(piece.title)
            yield job.say(f"made_up.{kind}", piece=title, copies=piece.copies, object=job.own(around))

    return " ".join(told())
