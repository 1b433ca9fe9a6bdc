"""What every document is made from: one kit's quantities and production, its paper, language and hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from kitbuild.base.blocks import Block, Ink
from kitbuild.base.colour import greys
from kitbuild.base.document import Document, Guide, Sheet
from kitbuild.base.problem import Problem
from kitbuild.documents.chart_type import ChartType
from kitbuild.documents.edition import USUAL, Edition
from kitbuild.documents.fitting import fitted
from kitbuild.documents.wording import Wording
from kitbuild.production.cautions import Note
from kitbuild.production.cost import Cost
from kitbuild.production.cutting import CutPlan
from kitbuild.production.picks import Pick
from kitbuild.quantity.amounts import Amounts, PieceAmounts
from kitbuild.quantity.needle import Work
from kitbuild.quantity.order import Order
from kitbuild.spec.records import Hand, Kit


@dataclass(frozen=True, slots=True)
class Judgement:
    """What the proof says of a kit: its warnings, and those that its spec accepts, each with the reason."""

    warnings: tuple[Problem, ...]
    accepted: tuple[tuple[Problem, str], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """One kit ready to be printed on one paper in one language, in one edition.

    `sheet` is the page that the edition is laid out for. `fallbacks` is what stands otherwise in the
    customer's documents of each edition that has to be fitted, by the edition's word.
    """

    amounts: Amounts
    picks: tuple[Pick, ...]
    cut_plan: CutPlan
    cost: Cost
    notes: tuple[Note, ...]
    judgement: Judgement
    say: Wording
    sheet: Sheet
    edition: Edition = USUAL
    fallbacks: Mapping[str, Counter[str]] = field(default_factory=dict)

    @property
    def kit(self) -> Kit:
        """The kit as it was written."""
        return self.amounts.kit

    @property
    def inks(self) -> tuple[Ink, ...]:
        """How each palette colour is drawn, in the palette's order: in black alone as a grey of its own."""
        rgbs = tuple(colour.rgb for colour in self.kit.palette)
        rgbs = greys(rgbs) if self.edition.mono else rgbs
        return tuple(Ink(rgb, colour.symbol) for rgb, colour in zip(rgbs, self.kit.palette, strict=True))

    def ink(self, key: str) -> Ink:
        """How one palette colour is drawn."""
        return self.inks[self.kit.colour_index(key)]

    @property
    def hand(self) -> Hand:
        """The hand that it is for."""
        return self.edition.hand

    @property
    def chart_sizes(self) -> ChartType:
        """What the holes and words of its charts measure."""
        return self.edition.chart(self.sheet)

    @property
    def left(self) -> bool:
        """Whether it is for the left hand."""
        return self.hand == "left"

    def own(self, text: str) -> str:
        """A text of the maker's in the job's language."""
        return self.say.own(text)

    def work(self, each: PieceAmounts) -> Work:
        """The work of one copy of a piece with the job's hand."""
        return each.thread.works[self.hand]

    def order(self, each: PieceAmounts) -> Order:
        """The order of that work."""
        return self.work(each).order

    def document(self, name: str, kind: str, blocks: Iterable[Block], suffix: str = "") -> Document:
        """A document of this kit; `kind` is the id of its title sentence."""
        kit, say = self.kit, self.say
        title = say(f"{kind}.title", title=self.own(kit.title))
        on = {"code": kit.code, "edition": kit.edition}
        screen = self.sheet.endless
        fit = fitted(blocks, self.edition, self.sheet)
        return Document(
            name=name + suffix,
            title=title,
            code=kit.code,
            edition=kit.edition,
            language=say.language,
            sheet=self.sheet,
            blocks=fit.blocks,
            footer=say("screen.footer", title=title, **on)
            if screen
            else say("page.footer", title=_braced(title), **on),
            author=kit.house.name,
            date=kit.date,
            press=self.edition.press(self.sheet),
            fallbacks=fit.fallbacks,
            guide=guide(say) if screen else None,
        )


def guide(say: Wording) -> Guide:
    """What a page on a screen says beside its blocks."""
    return Guide(*(say(f"screen.{word}") for word in ("skip", "contents", "scroll")))


def _braced(text: str) -> str:
    """Text whose braces survive the footer's own `{page}` and `{pages}`."""
    return text.replace("{", "{{").replace("}", "}}")
