"""The stock ledger: an embedded database in which movements are only ever added.

What is in stock is the sum of all movements. A run is reserved, then posted, or cancelled; each step is one
transaction on the disk before the next begins (full synchronisation), so a step that was interrupted at any
moment has not happened, or has.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Final

from kitbuild.base.problem import InputProblems, Problem
from kitbuild.ledger_boxes import (
    Key,
    Posting,
    find_box,
    lots_in_boxes,
    packed,
    packed_kits,
    ranges,
    read_bundles,
    read_spare,
    rest_of,
    write_boxes,
    write_bundle,
    write_spare,
)
from kitbuild.ledger_store import State, Store
from kitbuild.production.bundles import Bundle
from kitbuild.production.packing import PackedColour
from kitbuild.production.spares import Box, Spare
from kitbuild.production.stock import Lot
from kitbuild.run_names import command_of

NOTHING: Final = Posting()
Choose = Callable[[Sequence[tuple[Lot, int]]], Spare]
"""Chooses among lots, each with the needlefuls left of its opened put-up."""


class Ledger(Store):
    """The steps that the ledger takes; each is whole, or has not happened."""

    def count(self, lots: Iterable[Lot], *, all_lots: bool) -> int:
        """Set each lot to what was counted; with `all_lots`, those not among them to 0. How many differed."""
        counted = {(lot.item, lot.lot): lot for lot in lots}
        changed = 0
        with self._step():
            held = self._held()
            for key, lot in counted.items():
                self._know(lot, "UPDATE SET bin = excluded.bin, received = excluded.received")
                changed += self._move("count", "", key, lot.quantity - held.get(key, 0))
            for key in sorted(held.keys() - counted.keys()) if all_lots else ():
                changed += self._move("count", "", key, -held[key])
        return changed

    def reserve(self, run: str, plan: str, taken: Mapping[Key, int], seen: Mapping[Key, int]) -> None:
        """Keep what a plan takes for its run; `seen` is what was free when it was made.

        InputProblems where the run is reserved or posted already, or a lot of the plan has changed.
        """
        with self._step():
            self._must_be(run, ("", "cancelled"))
            held, others = self._held(), self._reserved_by_others(run)
            now = {key: held.get(key, 0) - others.get(key, 0) for key in taken}
            self._must_agree(run, {key: (seen.get(key, 0), now[key]) for key in taken})
            number = self._step_of(run, plan, "reserved")
            rows = [(number, *key, quantity) for key, quantity in sorted(taken.items()) if quantity]
            self._base.executemany("INSERT INTO reserved VALUES (?, ?, ?, ?)", rows)

    def post(self, run: str, plan: str, posting: Posting = NOTHING) -> None:
        """Take what a run has reserved, or was picked, out of stock; book its offcuts in and its boxes.

        InputProblems where it is not reserved, was planned anew, or a lot no longer holds what it takes; or
        with what is wrong with it by the boxes that were packed before.
        """
        with self._step():
            self._must_be(run, ("reserved",))
            number, reserved_plan, _ = self._last(run)
            if plan != reserved_plan:
                cure = f"cancel it, then reserve it again: {command_of(run)} cancel"
                message = f"run {run} has been planned anew since it was reserved"
                raise InputProblems([Problem(self._place, "KB622", message, cure)])
            if told := tuple(posting.against(packed(self._base))):
                raise InputProblems(told)
            kept = self._reserved(number)
            taken = kept if posting.taken is None else posting.taken
            self._must_hold(run, taken, kept)
            for key, quantity in sorted(taken.items()):
                self._move("run", run, key, -quantity)
            for lot in posting.offcuts:
                self._know(lot)
                self._move("offcut", run, (lot.item, lot.lot), lot.quantity)
            write_boxes(self._base, run, posting.kits, posting.boxes)
            self._step_of(run, plan, "posted")

    def _reserved(self, step: int) -> dict[Key, int]:
        rows = self._base.execute("SELECT item, lot, quantity FROM reserved WHERE step = ?", (step,))
        return {(item, lot): quantity for item, lot, quantity in rows}

    def _must_hold(self, run: str, taken: Mapping[Key, int], kept: Mapping[Key, int]) -> None:
        """InputProblems where a lot holds less; beyond what is `kept`, what others keep is theirs."""
        held, others = self._held(), self._reserved_by_others(run)
        over = {}
        for key, many in taken.items():
            has = held.get(key, 0)
            free = has if many <= kept.get(key, 0) else has - others.get(key, 0)
            if free < many:
                over[key] = (many, free)
        self._must_agree(run, over, "holds {1}, the run takes {0}")

    def cancel(self, run: str) -> None:
        """Let go of what a run has reserved; InputProblems where it has nothing reserved."""
        with self._step():
            self._must_be(run, ("reserved",))
            self._step_of(run, self._last(run)[1], "cancelled")

    def packed(self) -> dict[str, int]:
        """How many boxes of each kit were ever packed."""
        with self._explained():
            return packed(self._base)

    def packed_kits(self) -> tuple[tuple[str, str, int, int], ...]:
        """Run, kit, edition and number of boxes of everything that was packed."""
        with self._explained():
            return tuple(packed_kits(self._base))

    def lots_in_boxes(self, item: str) -> tuple[tuple[str, str, str], ...]:
        """Run, kit and lot of a thread in every box that has it."""
        with self._explained():
            return tuple(lots_in_boxes(self._base, item))

    def box(self, name: str) -> Box | None:
        """A packed box by what stands on its label."""
        with self._explained():
            return find_box(self._base, name)

    def box_ranges(self) -> tuple[tuple[str, str, int, int], ...]:
        """Of every run and kit the first and the last box."""
        with self._explained():
            return tuple(ranges(self._base))

    def opened(self, colour: PackedColour) -> list[tuple[Lot, int]]:
        """The free lots of a colour's thread, each with what is left of its put-up opened for spares."""
        with self._explained():
            lots = [lot for lot in self.free() if lot.item == colour.item]
            return [(lot, rest_of(self._base, colour, lot.lot)) for lot in lots]

    def spare(self, number: int) -> tuple[str, str, Spare] | None:
        """What a slip says: box, colour and thread."""
        with self._explained():
            return read_spare(self._base, number)

    def send(self, box: Box, colour: PackedColour, choose: Choose) -> tuple[int, Spare]:
        """Take needlefuls for a box out of stock as `choose` says of the free lots; with the slip's number.

        It is asked within the step, and may raise what it likes: then nothing has been taken.
        """
        with self._step():
            spare = choose(self.opened(colour))
            self._move("spare", box.run, (spare.item, spare.lot), -spare.put_ups)
            return write_spare(self._base, box, colour.colour, spare), spare

    def bundles(self) -> tuple[Bundle, ...]:
        """All lots of bundles that were ever made."""
        with self._explained():
            return read_bundles(self._base)

    def makings(self) -> int:
        """How many times bundles were made."""
        with self._explained():
            asked = "SELECT count(DISTINCT run) FROM movements WHERE kind = 'bundle'"
            return self._base.execute(asked).fetchone()[0]

    def make(
        self, name: str, taken: Mapping[Key, int], seen: Mapping[Key, int], made: Iterable[tuple[Bundle, Lot]]
    ) -> None:
        """Take thread out of stock and book the bundles made of it in; `seen` is what was free for the plan.

        InputProblems where they were booked already, or a lot of the plan has changed.
        """
        with self._step():
            if self._base.execute(
                "SELECT 1 FROM movements WHERE run = ? AND kind = 'bundle'", (name,)
            ).fetchone():
                cure = "plan the next ones"
                raise InputProblems([Problem(self._place, "KB621", f"making {name} is posted already", cure)])
            free = {(lot.item, lot.lot): lot.quantity for lot in self.free()}
            pairs = {key: (seen.get(key, 0), free.get(key, 0)) for key in taken}
            self._must_agree(name, pairs, cure="plan the bundles again")
            for key, quantity in sorted(taken.items()):
                self._move("making", name, key, -quantity)
            for bundle, lot in made:
                self._know(lot)
                write_bundle(self._base, bundle)
                self._move("bundle", name, (lot.item, lot.lot), lot.quantity)

    def write_off(self, key: Key, quantity: int | None, bad: Callable[[Lot | None], Problem]) -> int:
        """Book so much of a lot out, or all of it that is free; how much that was.

        InputProblems with what `bad` makes of the lot as it is free, or of None, where there is not so much.
        """
        with self._step():
            lot = next((each for each in self.free() if (each.item, each.lot) == key), None)
            if lot is None or not lot.quantity or lot.quantity < (quantity or 0):
                raise InputProblems([bad(lot)])
            many = quantity or lot.quantity
            self._move("written off", "", key, -many)
            return many

    def refuse_unless_open(self, run: str) -> None:
        """InputProblems where a run is reserved or posted, so that it cannot be planned."""
        self._must_be(run, ("", "cancelled"))

    def must_be_reserved(self, run: str) -> None:
        """InputProblems where a run has nothing reserved that could be posted."""
        self._must_be(run, ("reserved",))

    def _must_be(self, run: str, wanted: tuple[State, ...]) -> None:
        state = self.state(run)
        if state in wanted:
            return
        told = {"": "is not reserved", "cancelled": "is cancelled"}.get(state, f"is {state} already")
        cures: dict[State, str] = {
            "": f"reserve it first: {command_of(run)} reserve",
            "cancelled": f"reserve it again: {command_of(run)} reserve",
            "reserved": f"post it, or cancel it first: {command_of(run)} cancel",
            "posted": "give the next run a name of its own",
        }
        raise InputProblems([Problem(self._place, "KB621", f"run {run} {told}", cures[state])])
