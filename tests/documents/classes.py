"""Classes of the demo range ready to be printed: between them their papers say everything."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from kitbuild.base.document import SHEETS, WALLS, Document
from kitbuild.documents.class_job import ClassJob
from kitbuild.documents.class_packing import packing_list
from kitbuild.documents.class_times import teacher_sheet
from kitbuild.documents.class_wall import wall_chart
from kitbuild.documents.edition import LARGE_FOOT_MM
from kitbuild.documents.wording import Wording
from kitbuild.production.class_box import class_lines
from kitbuild.production.stock import Lot
from kitbuild.spec.lessons import Lesson
from tests.documents.runs import kit_job
from tests.production.lessons import LESSON
from tests.production.stores import boxed, plenty


def class_job(lesson: Lesson, lots: tuple[Lot, ...], say: Wording) -> ClassJob:
    return ClassJob(
        lesson, kit_job(lesson.kit, say), class_lines(boxed()[lesson.kit], lesson, lots), "class:x"
    )


def papers(made: ClassJob) -> tuple[Document, ...]:
    tiled = replace(SHEETS["A4"], foot_mm=LARGE_FOOT_MM)
    wall = made.on(WALLS.get(made.lesson.wall_chart, tiled), wall=True)
    return (packing_list(made), teacher_sheet(made), wall_chart(wall))


def every_class_in(say: Wording) -> Iterator[tuple[Document, ...]]:
    """The papers of classes that say every sentence there is for classes."""
    few = tuple(lot for lot in plenty() if lot.item not in ("wool-0123", "needle-16"))
    yield papers(class_job(LESSON, plenty(), say))
    yield papers(class_job(replace(LESSON, teachers=0, stitches_per_hour=0, wall_chart="tiled"), few, say))
    yield papers(class_job(replace(LESSON, kit="HEATH", wall_chart="A3"), plenty(), say))
