"""Classes for tests: one of WHIN, for twelve learners and a teacher."""

from __future__ import annotations

from kitbuild.spec.lessons import Lesson, Times
from kitbuild.spec.source import At, Source

LESSON = Lesson(
    name="afternoon",
    title="An afternoon",
    kit="WHIN",
    piece="",
    date="2027-02-13",
    begins=14 * 60,
    minutes=180,
    learners=12,
    teachers=1,
    stitches_per_hour=150,
    spare_thread=0.15,
    spare_needles=0.2,
    times=Times(welcome=10, threading=15, start=10, pause=15, end=10),
    wall_chart="A2",
    at=At(Source("kits/afternoon.yaml", b"", {}, {})),
)
