"""What every step of the stock ledger stands on: the file, what it holds, and writing that is whole."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Final, Literal

from kitbuild.base.problem import InputProblems, Place, Problem, WriteProblem
from kitbuild.ledger_boxes import Key
from kitbuild.ledger_tables import is_ledger, set_up
from kitbuild.production.stock import Lot, oldest_first
from kitbuild.run_names import command_of

State = Literal["", "reserved", "posted", "cancelled"]
_HELD: Final = "SELECT item, lot, sum(quantity) FROM movements GROUP BY item, lot"
_LAST: Final = "SELECT number, plan, state FROM steps WHERE run = ? ORDER BY number DESC LIMIT 1"
_OPEN: Final = """
SELECT item, lot, sum(quantity) FROM reserved JOIN steps ON steps.number = reserved.step
WHERE steps.number = (SELECT max(number) FROM steps AS later WHERE later.run = steps.run)
AND steps.state = 'reserved' AND steps.run <> ? GROUP BY item, lot
"""


class Store:
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
        with self._explained():
            return self._lots(self._held())

    def free(self, run: str = "") -> tuple[Lot, ...]:
        """What no other run than `run` has reserved."""
        with self._explained():
            held = self._held()
            for key, quantity in self._reserved_by_others(run).items():
                held[key] = max(0, held.get(key, 0) - quantity)
            return self._lots(held)

    def state(self, run: str) -> State:
        """How far a run has come."""
        with self._explained():
            return self._last(run)[2]

    def _must_agree(
        self,
        run: str,
        pairs: Mapping[Key, tuple[int, int]],
        words: str = "was {}, is {}",
        cure: str = "",
    ) -> None:
        """InputProblems that name each lot whose figure has changed."""
        told = [
            Problem(
                self._place,
                "KB623",
                f"stock has overtaken run {run}: {item}{f' lot {lot}' if lot else ''} "
                f"{words.format(then, now)}",
                cure or f"plan it again: {command_of(run)}",
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
