"""What the papers of a class are made from: the class, the kit's job, its box, its times."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from kitbuild.base.blocks import Block
from kitbuild.base.document import Document, Press, Sheet
from kitbuild.documents.edition import Edition
from kitbuild.documents.job import Job
from kitbuild.documents.order_table import Turn, turns
from kitbuild.documents.wording import Wording
from kitbuild.production.class_box import ClassLine
from kitbuild.production.timetable import Timetable, timetable
from kitbuild.quantity.amounts import PieceAmounts
from kitbuild.spec.lessons import Lesson


@dataclass(frozen=True, slots=True, eq=False)
class ClassJob:
    """One class ready to be printed on one paper in one language.

    `job` is its kit, for the right hand; `run` names what is reserved and posted for it.
    """

    lesson: Lesson
    job: Job
    lines: tuple[ClassLine, ...]
    run: str

    @property
    def piece(self) -> PieceAmounts:
        """The piece that is begun in class."""
        pieces = self.job.amounts.pieces
        return next((each for each in pieces if each.panel.piece.key == self.lesson.piece), pieces[0])

    @property
    def pace(self) -> float:
        """Stitches an hour of a learner."""
        return float(self.lesson.stitches_per_hour or self.job.kit.house.stitches_per_hour)

    @property
    def turns(self) -> tuple[Turn, ...]:
        """The turns of the order of work."""
        return turns(self.job.work(self.piece))

    @property
    def times(self) -> Timetable:
        """When what is done."""
        return timetable(self.lesson, [turn.stitches for turn in self.turns], self.pace)

    def on(self, sheet: Sheet, say: Wording | None = None, *, wall: bool = False) -> ClassJob:
        """The same on another sheet, or on one for the wall; in another language where one is named."""
        job = replace(self.job, sheet=sheet, say=say or self.job.say, edition=Edition(wall=wall))
        return replace(self, job=job)

    def document(self, name: str, blocks: Iterable[Block]) -> Document:
        """A paper of this class; its title is the sentence `class.<name>.title`."""
        job, lesson = self.job, self.lesson
        title = job.say(f"class.{name}.title", title=job.own(lesson.title))
        on = {"code": job.kit.code, "edition": job.kit.edition}
        return Document(
            name=name,
            title=title,
            code=job.kit.code,
            edition=job.kit.edition,
            language=job.say.language,
            sheet=job.sheet,
            blocks=tuple(blocks),
            footer=job.say("page.footer", title=title.replace("{", "{{").replace("}", "}}"), **on),
            author=job.kit.house.name,
            date=lesson.date,
            press=Press(large=job.edition.wall),
        )


def clock(minute: int) -> str:
    """A time of day by the 24-hour clock: `14:05`, past midnight from `00:00` on."""
    return f"{minute // 60 % 24:02d}:{minute % 60:02d}"
