"""What must be printed for a run: which file, how many copies, on how many sheets, folded or flat."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from kitbuild.base.blocks import Block, Heading, Paragraph, Steps, Table, TickBox
from kitbuild.base.document import Column, Document, Listing, Sheet
from kitbuild.documents.wording import Wording
from kitbuild.spec.house import House


@dataclass(frozen=True, slots=True)
class Print:
    """So many copies of one file: `sides` are printed for each, on both sides of its sheets.

    A `folded` file carries two pages a side; its sheets are folded once, together.
    """

    item: str
    title: str
    edition: int
    file: str
    paper: str
    sides: int
    folded: bool
    copies: int

    @property
    def sheets(self) -> int:
        """Sheets of paper in one copy."""
        return -(-self.sides // 2)

    @property
    def paper_needed(self) -> int:
        """Sheets of paper for all copies."""
        return self.sheets * self.copies


@dataclass(frozen=True, slots=True, eq=False)
class PrintJob:
    """The print order of a run in the workshop's language."""

    run: str
    prints: Sequence[Print]
    house: House
    say: Wording
    sheet: Sheet


def print_order(job: PrintJob) -> Document:
    """The print order as a sheet to work from."""
    title = job.say("print.title", run=job.run)
    return Document(
        name="print-order",
        title=title,
        code=job.run,
        edition=0,
        language=job.say.language,
        sheet=replace(job.sheet, width_mm=job.sheet.height_mm, height_mm=job.sheet.width_mm),
        blocks=tuple(_blocks(job)),
        footer=job.say("run.footer", title=title),
        author=job.house.name,
    )


def _blocks(job: PrintJob) -> Iterator[Block]:
    say = job.say
    yield Heading(1, say("print.heading", run=job.run))
    if not job.prints:
        yield Paragraph(say("print.nothing"), "lead")
        return
    papers: dict[str, int] = {}
    for each in job.prints:
        papers[each.paper] = papers.get(each.paper, 0) + each.paper_needed
    needed = [say("print.paper", sheets=many, paper=paper) for paper, many in papers.items()]
    copies = sum(each.copies for each in job.prints)
    yield Paragraph(say("print.lead", copies=copies, papers=say("list.joiner").join(needed)), "lead")
    names = ("done", "what", "edition", "file", "copies", "sides", "sheets", "all", "fold")
    header = tuple(say(f"print.column.{name}") for name in names)
    rows = tuple(_row(job, each) for each in job.prints)
    yield Table(
        header, rows, (0.065, 0.225, 0.05, 0.26, 0.075, 0.065, 0.085, 0.085, 0.09), "llrlrrrrl", "", "big"
    )
    fold = [say("print.fold")] if any(each.folded for each in job.prints) else []
    yield Steps((say("print.both"), *fold, say("print.check")), "dot")


def _row(job: PrintJob, each: Print) -> tuple[str | TickBox, ...]:
    say = job.say
    return (
        TickBox(),
        f"{say.own(each.title)} ({each.item})",
        str(each.edition),
        each.file,
        str(each.copies),
        str(each.sides),
        str(each.sheets),
        str(each.paper_needed),
        say("print.folded" if each.folded else "print.flat"),
    )


def print_listing(job: PrintJob) -> Listing:
    """The print order, one row a file; `sheets` is for all copies."""
    prints = job.prints
    return Listing(
        "print-order.csv",
        (
            Column("run", [job.run] * len(prints)),
            Column("item", [each.item for each in prints]),
            Column("edition", [each.edition for each in prints]),
            Column("file", [each.file for each in prints]),
            Column("paper", [each.paper for each in prints]),
            Column("folding", ["folded" if each.folded else "flat" for each in prints]),
            Column("copies", [each.copies for each in prints]),
            Column("sides", [each.sides for each in prints]),
            Column("sheets_per_copy", [each.sheets for each in prints]),
            Column("sheets", [each.paper_needed for each in prints]),
        ),
    )
