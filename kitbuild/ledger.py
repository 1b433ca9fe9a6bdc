"""The stock ledger: an embedded database in which movements are only ever added.

What is in stock is the sum of all movements. A run is reserved, then posted, or cancelled; each step is one
transaction on the disk before the next begins (full synchronisation), so a step that was interrupted at any
moment has not happened, or has.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Final, Literal

from kitbuild.base.problem import InputProblems, Place, Problem, WriteProblem
from kitbuild.ledger_boxes import (
    Key,
    Posting,
    find_box,
    lots_in_boxes,
    packed,
    packed_kits,
    ranges,
    read_spare,
    rest_of,
    write_boxes,
    write_spare,
)
from kitbuild.ledger_tables import is_ledger, set_up
from kitbuild.production.packing import PackedColour
from kitbuild.production.spares import Box, Spare
from kitbuild.production.stock import Lot, oldest_first
from kitbuild.run_names import command_of

State = Literal["", "reserved", "posted", "cancelled"]


NOTHING: Final = Posting()
Choose = Callable[[Sequence[tuple[Lot, int]]], Spare]
"""Chooses among lots, each with the needlefuls left of its opened put-up."""
_HELD: Final = "SELECT item, lot, sum(quantity) FROM movements GROUP BY item, lot"
_LAST: Final = "SELECT number, plan, state FROM steps WHERE run = ? ORDER BY number DESC LIMIT 1"
_OPEN: Final = """
SELECT item, lot, sum(quantity) FROM reserved JOIN steps ON steps.number = reserved.step
WHERE steps.number = (SELECT max(number) FROM steps AS later WHERE later.run = steps.run)
AND steps.state = 'reserved' AND steps.run <> ? GROUP BY item, lot
"""


class Ledger:
    """A ledger in a file; it is begun where the file is not there. WriteProblem where it cannot be used."""

    def __init__(self, path: Path) -> None:
        self.path = path
        with self._explained():
            self._base = sqlite3.connect(path, isolation_level=None, timeout=10)
            self._base.execute("PRAGMA synchronous = FULL")
            self._base.execute("PRAGMA foreign_keys = ON")
            self._begin()

    def _begin(self) -> None:
        with self._step():
            set_up(self._base)
        if not is_ledger(self._base):
            cure = "move the file away, or use the version of kitbuild that it is from"
            raise WriteProblem([Problem(self._place, "KB810", "the file is no ledger of this version", cure)])

    def close(self) -> None:
        """Let go of the file."""
        self._base.close()

    @property
    def begun(self) -> bool:
        """Whether anything was ever counted in."""
        with self._explained():
            return self._base.execute("SELECT 1 FROM lots").fetchone() is not None

    def lots(self) -> tuple[Lot, ...]:
        """Everything in stock, reserved or not; of each item the oldest lot first."""
        return self._lots(self._held())

    def free(self, run: str = "") -> tuple[Lot, ...]:
        """What no other run than `run` has reserved."""
        held = self._held()
        for key, quantity in self._reserved_by_others(run).items():
            held[key] = max(0, held.get(key, 0) - quantity)
        return self._lots(held)

    def state(self, run: str) -> State:
        """How far a run has come."""
        return self._last(run)[2]

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

        InputProblems where it is not reserved, was planned anew, or a lot no longer holds what it takes.
        """
        with self._step():
            self._must_be(run, ("reserved",))
            number, reserved_plan, _ = self._last(run)
            if plan != reserved_plan:
                cure = f"cancel it, then reserve it again: {command_of(run)} cancel"
                message = f"run {run} has been planned anew since it was reserved"
                raise InputProblems([Problem(self._place, "KB622", message, cure)])
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

    def _must_agree(
        self, run: str, pairs: Mapping[Key, tuple[int, int]], words: str = "was {}, is {}"
    ) -> None:
        """InputProblems that name each lot whose figure has changed."""
        told = [
            Problem(
                self._place,
                "KB623",
                f"stock has overtaken run {run}: {item}{f' lot {lot}' if lot else ''} "
                f"{words.format(then, now)}",
                f"plan it again: {command_of(run)}",
            )
            for (item, lot), (then, now) in sorted(pairs.items())
            if then != now
        ]
        if told:
            raise InputProblems(told)

    def _held(self) -> dict[Key, int]:
        return {(item, lot): quantity for item, lot, quantity in self._base.execute(_HELD)}

    def _reserved_by_others(self, run: str) -> dict[Key, int]:
        return {(item, lot): quantity for item, lot, quantity in self._base.execute(_OPEN, (run,))}

    def _lots(self, held: Mapping[Key, int]) -> tuple[Lot, ...]:
        rows = self._base.execute("SELECT item, lot, bin, received FROM lots")
        return oldest_first(
            [Lot(item, lot, place, held.get((item, lot), 0), day) for item, lot, place, day in rows]
        )

    def _know(self, lot: Lot, otherwise: str = "NOTHING") -> None:
        row = (lot.item, lot.lot, lot.bin, lot.received)
        self._base.execute(f"INSERT INTO lots VALUES (?, ?, ?, ?) ON CONFLICT DO {otherwise}", row)

    def _last(self, run: str) -> tuple[int, str, State]:
        return self._base.execute(_LAST, (run,)).fetchone() or (0, "", "")

    def _step_of(self, run: str, plan: str, state: State) -> int:
        row = self._base.execute("INSERT INTO steps (run, plan, state) VALUES (?, ?, ?)", (run, plan, state))
        return row.lastrowid or 0

    def _move(self, kind: str, run: str, key: Key, quantity: int) -> bool:
        if quantity:
            self._base.execute(
                "INSERT INTO movements (kind, run, item, lot, quantity) VALUES (?, ?, ?, ?, ?)",
                (kind, run, *key, quantity),
            )
        return bool(quantity)

    @property
    def _place(self) -> Place:
        return Place(f"{self.path.parent.name}/{self.path.name}")

    @contextmanager
    def _step(self) -> Iterator[None]:
        """All of it or nothing: what is read within is what is written upon."""
        with self._explained():
            self._base.execute("BEGIN IMMEDIATE")
            try:
                yield
            except BaseException:
                self._base.execute("ROLLBACK")
                raise
            self._base.execute("COMMIT")

    @contextmanager
    def _explained(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.OperationalError as error:
            cure = "let the other run end, or see to the disk and the file's permissions"
            raise WriteProblem([Problem(self._place, "KB809", f"the ledger: {error}", cure)]) from error
        except sqlite3.DatabaseError as error:
            cure = "put a copy of the ledger in its place, or begin one anew with a count"
            raise WriteProblem(
                [Problem(self._place, "KB810", f"the ledger is damaged: {error}", cure)]
            ) from error
