"""What each colour takes: a row of thread.csv. Lengths are needle length in mm; only put-ups know strands."""

from __future__ import annotations

from dataclasses import dataclass

from kitbuild.base.units import up
from kitbuild.quantity.finishing import FinishStitch, runs
from kitbuild.quantity.needle import Work, finishing_needlefuls, needlefuls_in_put_up
from kitbuild.quantity.order import HANDS, Hand
from kitbuild.spec.records import Colour, Kit


@dataclass(frozen=True, slots=True)
class Use:
    """Thread of one colour in the whole kit, all copies, for the hand that takes more.

    `stitch_mm + finish_mm + tails_mm = needlefuls * needleful_mm`; `spare` is the allowance in whole
    needlefuls; `put_ups` holds needlefuls and spare.
    """

    colour: Colour
    stitches: int
    stitch_mm: float
    finish_mm: float
    tails_mm: float
    needleful_mm: float
    needlefuls: int
    finish_needlefuls: int
    spare: int
    in_put_up: int
    put_ups: int

    @property
    def length_mm(self) -> float:
        """Thread in stitches, edges and seams."""
        return self.stitch_mm + self.finish_mm

    @property
    def packed(self) -> int:
        """Needlefuls in the box: those cut for it, or all that its put-ups hold."""
        cut = self.colour.thread.packed == "needlefuls"
        return self.needlefuls + self.spare if cut else self.put_ups * self.in_put_up


@dataclass(frozen=True, slots=True)
class PieceThread:
    """One copy of a piece at work: an order with its needlefuls for each hand, and its finishing."""

    works: dict[Hand, Work]
    finish: tuple[FinishStitch, ...]
    copies: int


def uses(
    kit: Kit,
    pieces: tuple[PieceThread, ...],
    joins: tuple[FinishStitch, ...] = (),
    hands: tuple[Hand, ...] = HANDS,
) -> tuple[Use, ...]:
    """One row for each colour of the palette that is worked with, in the palette's order.

    It holds enough for each of `hands`.
    """
    rows = (_use(kit, index, pieces, joins, hands) for index in range(len(kit.palette)))
    return tuple(row for row in rows if row.needlefuls)


def _use(
    kit: Kit,
    index: int,
    pieces: tuple[PieceThread, ...],
    joins: tuple[FinishStitch, ...],
    hands: tuple[Hand, ...],
) -> Use:
    rules, colour = kit.house.thread, kit.palette[index]
    by_hand = [[_of_work(piece, piece.works[hand], index) for piece in pieces] for hand in hands]
    stitches = sum(count for count, _, _ in by_hand[0])
    length = max(sum(hundredths for _, hundredths, _ in rows) for rows in by_hand)
    stitch_needlefuls = max(sum(names for _, _, names in rows) for rows in by_hand)
    finish, finish_needlefuls = _of_finish(kit, colour.key, pieces, joins)
    needlefuls = stitch_needlefuls + finish_needlefuls
    spare = up(needlefuls * rules.spare_share)
    in_put_up = needlefuls_in_put_up(colour.thread, rules.needleful_mm)
    total = round(rules.needleful_mm * 100) * needlefuls
    return Use(
        colour=colour,
        stitches=stitches,
        stitch_mm=length / 100,
        finish_mm=finish / 100,
        tails_mm=(total - length - finish) / 100,
        needleful_mm=rules.needleful_mm,
        needlefuls=needlefuls,
        finish_needlefuls=finish_needlefuls,
        spare=spare,
        in_put_up=in_put_up,
        put_ups=up((needlefuls + spare) / in_put_up) if in_put_up else 0,
    )


def _of_work(piece: PieceThread, work: Work, index: int) -> tuple[int, int, int]:
    """Stitches, hundredths of a mm and needlefuls of one colour in all copies of a piece."""
    mine = work.order.panel.stitches.colour[work.order.stitch] == index
    length = int((work.front + work.back + work.through)[mine].sum())
    names = len(set(work.needleful[mine].tolist()))
    return piece.copies * int(mine.sum()), piece.copies * length, piece.copies * names


def _of_finish(
    kit: Kit, key: str, pieces: tuple[PieceThread, ...], joins: tuple[FinishStitch, ...]
) -> tuple[int, int]:
    """Hundredths of a mm and needlefuls of one colour's seams and edges in all copies, and of its joins."""
    length = needlefuls = 0
    parts = [(piece.copies, runs(piece.finish, key)) for piece in pieces] + [(1, runs(joins, key))]
    for copies, mine in parts:
        length += copies * sum(map(sum, mine))
        needlefuls += copies * finishing_needlefuls(mine, kit.house.thread)
    return length, needlefuls
