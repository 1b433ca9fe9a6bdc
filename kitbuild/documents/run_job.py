"""What a run's documents are made from: the run, each of its kits' jobs, paper and language."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from kitbuild.base.blocks import Block, Cell
from kitbuild.base.document import Document, Sheet
from kitbuild.documents.job import Job
from kitbuild.documents.wording import Wording
from kitbuild.documents.words import patch, pick_description, pick_unit
from kitbuild.production.buying import SupplierOrder
from kitbuild.production.picks import Pick
from kitbuild.production.run_cost import KitCost
from kitbuild.production.run_records import PickLine, Run
from kitbuild.production.stock import PRINTED, Item
from kitbuild.spec.house import House
from kitbuild.spec.materials import Stock


@dataclass(frozen=True, slots=True, eq=False)
class RunJob:
    """One run ready to be printed on one paper in the workshop's first language."""

    run: Run
    house: House
    jobs: Mapping[str, Job]
    items: Mapping[str, Item]
    orders: tuple[SupplierOrder, ...]
    costs: tuple[KitCost, ...]
    say: Wording
    sheet: Sheet

    def own(self, text: str) -> str:
        """A text of the workshop's in the language."""
        return self.say.own(text)

    def what(self, kit: str, pick: Pick) -> str:
        """What a pick line says beside its item."""
        return pick_description(self.jobs[kit], pick)

    def lot(self, line: PickLine) -> str:
        """The lot of a pick line in words: what is not printed yet says so."""
        return self.say("run.to_print") if line.lot is None and line.pick.kind in PRINTED else lot_text(line)

    def unit(self, kit: str, pick: Pick, number: int = 1) -> str:
        """The unit of a pick line for so many."""
        return pick_unit(self.jobs[kit], pick, number)

    def colour(self, kit: str, pick: Pick) -> Cell:
        """The patch of a thread's colour with the symbol of its kit's key."""
        return patch(self.jobs[kit], pick.colour.key) if pick.colour else ""

    def measured(self, item: Item, amount: int) -> str:
        """An amount of stock with its unit: a roll's in metres."""
        if item.kind == "roll":
            return self.say("run.metres", metres=amount / 100)
        return self.say("run.pieces", pieces=amount)

    def document(self, name: str, kind: str, blocks: Iterable[Block], *, wide: bool = False) -> Document:
        """A document of this run; `kind` is the id of its title, `wide` turns the paper on its side."""
        title = self.say(f"run.{kind}.title", run=self.run.name)
        sheet = self.sheet
        if wide:
            sheet = replace(sheet, width_mm=sheet.height_mm, height_mm=sheet.width_mm)
        return Document(
            name=name,
            title=title,
            code=self.run.name,
            edition=0,
            language=self.say.language,
            sheet=sheet,
            blocks=tuple(blocks),
            footer=self.say("run.footer", title=title),
            author=self.house.name,
        )


def item_title(item: Item) -> str:
    """What the materials call an item; a stock says its canvas too."""
    if isinstance(item.source, Stock) and item.canvas:
        return f"{item.canvas.title}: {item.source.title}"
    return item.source.title


def lot_text(line: PickLine) -> str:
    """The lot of a pick line, "" where there is none."""
    return line.lot.lot if line.lot else ""
