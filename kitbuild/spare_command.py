"""`spare`: thread sent after a packed box, from the lot that lies in it where that is still there."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Final

from kitbuild.base.document import Document
from kitbuild.base.problem import Expected, InputProblems, Place, Problem, errors
from kitbuild.documents.spare_slip import Slip, spare_listing, spare_slip
from kitbuild.ledger import Ledger
from kitbuild.outcome import Outcome
from kitbuild.production.packing import PackedColour, box_number
from kitbuild.production.spares import Box, Spare, spare_from
from kitbuild.production.stock import Lot
from kitbuild.run_inputs import LEDGER, SHORT, begun_ledger
from kitbuild.spec.folder import KITS, read_range
from kitbuild.spec.house import House
from kitbuild.spec.words import listed, nearest, shown
from kitbuild.variants import Variant, for_all, for_the_house, printed

FOLDER: Final = "spare"
_ASKED: Final = Place("spare")
Tell = Callable[[str], None]


class Short(InputProblems):
    """No lot holds what is asked for: exit code 4."""

    exit_code = SHORT


def send(name: str, colour: str, needlefuls: int, out: Path, tell: Tell) -> Outcome:
    """Book so many needlefuls of a colour out of stock for a packed box, and write the slip."""
    try:
        house = _house()
        with closing(begun_ledger()) as ledger:
            box = _box(ledger, name)
            chosen = _colour(box, colour)
            today = datetime.date.today().isoformat()
            trial = _chosen(box, chosen, needlefuls, today, ledger.opened(chosen))
            _files(_slip(house, 0, box, chosen, trial))
            number, spare = ledger.send(
                box, chosen, lambda lots: _chosen(box, chosen, needlefuls, today, lots)
            )
        tell(f"{box.name}: {needlefuls} of {chosen.colour}, lot {spare.lot}, from bin {spare.bin or '-'}")
        return _write(_slip(house, number, box, chosen, spare), out, tell)
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)


def print_again(number: int, out: Path, tell: Tell) -> Outcome:
    """Write the slip of what was booked before."""
    try:
        house = _house()
        with closing(begun_ledger()) as ledger:
            found = ledger.spare(number)
            if found is None:
                cure = "the number is in the slip's file name"
                raise InputProblems([Problem(_ASKED, "KB629", f"there is no slip {number}", cure)])
            name, colour, spare = found
            box = _box(ledger, name)
        return _write(_slip(house, number, box, _colour(box, colour), spare), out, tell)
    except Expected as expected:
        return Outcome(expected.problems, expected.exit_code)


def _house() -> House:
    """The workshop, which says in which languages and on which papers slips are printed."""
    kits, found = read_range(KITS)
    if kits is None:
        raise InputProblems(errors(found))
    return kits.house


def _box(ledger: Ledger, name: str) -> Box:
    """A packed box by its number, or by what its code reads; InputProblems with the nearest where none is."""
    name = name.rpartition("box=")[2]
    if box := ledger.box(name):
        return box
    packed = ledger.box_ranges()
    known = {box_number(run, kit, at): (run, kit, last) for run, kit, _, last in packed for at in (1, last)}
    cure = "the number is on the box's label; boxes are known once their run is posted"
    run, _, number = name.rpartition("-")
    of = {f"{run}-{kit}": last for run, kit, _, last in packed}
    if run in of and number.isascii() and number.isdigit():
        cure = f"its boxes are {run}-001 to {run}-{of[run]:03}"
    elif close := nearest(name, known):
        cure = f"did you mean {shown(close)}?"
    raise InputProblems([Problem(_ASKED, "KB625", f"no box {shown(name)} was packed", cure)])


def _colour(box: Box, asked: str) -> PackedColour:
    """A colour of a box by its key, name, symbol or thread; InputProblems with those that it has."""
    for each in box.kit.colours:
        if (
            asked.lower() in (each.colour.lower(), each.name.lower(), each.item.lower())
            or asked == each.symbol
        ):
            return each
    keys = [each.colour for each in box.kit.colours]
    close = nearest(asked, keys)
    cure = f"did you mean {shown(close)}?" if close else f"it has {listed(keys, 'and')}"
    raise InputProblems([Problem(_ASKED, "KB626", f"{box.name} holds no colour {shown(asked)}", cure)])


def _chosen(
    box: Box, colour: PackedColour, needlefuls: int, day: str, lots: Sequence[tuple[Lot, int]]
) -> Spare:
    """The lot to take from; Short where none holds so much."""
    spare = spare_from(colour, box.lots[colour.colour], lots, needlefuls, day)
    if spare:
        return spare
    most = max((rest + lot.quantity * colour.in_put_up for lot, rest in lots), default=0)
    message = f"no lot of {colour.item} holds {needlefuls} needlefuls: the fullest holds {most}"
    cure = "send fewer, or order it and count it in"
    raise Short([Problem(Place(LEDGER.as_posix()), "KB628", message, cure)])


def _slip(house: House, number: int, box: Box, colour: PackedColour, spare: Spare) -> Slip:
    first = for_the_house(house)[0]
    return Slip(number, box, colour, spare, house, first.say, first.sheet)


def _files(slip: Slip) -> dict[str, bytes]:
    from kitbuild.output.csv_text import render_csv
    from kitbuild.output.pdf import render_pdf

    def on(each: Variant) -> Document:
        return spare_slip(replace(slip, say=each.say, sheet=each.sheet))

    files = {f"{paper.name}.pdf": render_pdf(paper) for paper in printed(for_all(slip.house), on)}
    listing = spare_listing(slip)
    return files | {listing.name: render_csv(listing)}


def _write(slip: Slip, out: Path, tell: Tell) -> Outcome:
    """Write a slip that is booked; where that fails, the cure says how to write it again."""
    from kitbuild.output.files import explained, replace_file

    folder = out / FOLDER
    try:
        with explained(folder):
            folder.mkdir(parents=True, exist_ok=True)
        for name, content in _files(slip).items():
            replace_file(folder / name, content)
    except Expected as expected:
        tell(f"slip {slip.number} is booked; write it again with: kitbuild spare --again {slip.number}")
        return Outcome(expected.problems, expected.exit_code)
    tell((folder / f"{slip.name}.pdf").as_posix())
    return Outcome(tuple(_warnings(slip)), 0)


def _warnings(slip: Slip) -> Iterator[Problem]:
    spare = slip.spare
    if not spare.same:
        sent = f"lot {spare.lot} of {spare.item} is sent, the box holds lot {spare.box_lot}"
        cure = "the slip says to use it for a whole area"
        yield Problem(_ASKED, "KB627", f"{sent}: the colour may differ", cure, warning=True)
