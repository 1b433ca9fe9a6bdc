"""The tables of the stock ledger, and how an older ledger becomes one of today, in one transaction.

Rows are only ever added: triggers refuse to change or remove any.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from typing import Final

APPLICATION: Final = 0x4B42_4C44
VERSION: Final = 2
FIRST: Final = 1
"""The first version, which is brought up to date when it is opened."""

_KINDS: Final = "'count', 'run', 'offcut', 'spare', 'written off', 'making', 'bundle'"
_MOVEMENTS: Final = f"""
CREATE TABLE movements (
    number INTEGER PRIMARY KEY, kind TEXT NOT NULL CHECK (kind IN ({_KINDS})),
    run TEXT NOT NULL, item TEXT NOT NULL, lot TEXT NOT NULL, quantity INTEGER NOT NULL CHECK (quantity <> 0),
    FOREIGN KEY (item, lot) REFERENCES lots (item, lot)
);
"""
_STOCK: Final = """
CREATE TABLE lots (item TEXT, lot TEXT, bin TEXT NOT NULL, received TEXT NOT NULL, PRIMARY KEY (item, lot));
CREATE TABLE steps (
    number INTEGER PRIMARY KEY, run TEXT NOT NULL, plan TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('reserved', 'posted', 'cancelled'))
);
CREATE TABLE reserved (
    step INTEGER NOT NULL REFERENCES steps (number), item TEXT NOT NULL, lot TEXT NOT NULL,
    quantity INTEGER NOT NULL CHECK (quantity > 0), PRIMARY KEY (step, item, lot)
);
"""
_BOXES: Final = """
CREATE TABLE packed_kits (
    number INTEGER PRIMARY KEY, run TEXT NOT NULL, kit TEXT NOT NULL, edition INTEGER NOT NULL,
    title TEXT NOT NULL, UNIQUE (run, kit)
);
CREATE TABLE packed_colours (
    packed INTEGER NOT NULL REFERENCES packed_kits (number), place INTEGER NOT NULL, colour TEXT NOT NULL,
    name TEXT NOT NULL, symbol TEXT NOT NULL, rgb TEXT NOT NULL, item TEXT NOT NULL, title TEXT NOT NULL,
    needlefuls INTEGER NOT NULL, needleful INTEGER NOT NULL, in_put_up INTEGER NOT NULL,
    PRIMARY KEY (packed, colour)
);
CREATE TABLE boxes (
    number INTEGER PRIMARY KEY, packed INTEGER NOT NULL REFERENCES packed_kits (number),
    "order" TEXT NOT NULL, first INTEGER NOT NULL CHECK (first > 0), last INTEGER NOT NULL,
    CHECK (last >= first), UNIQUE (packed, first)
);
CREATE TABLE box_lots (
    boxes INTEGER NOT NULL REFERENCES boxes (number), colour TEXT NOT NULL, lot TEXT NOT NULL,
    PRIMARY KEY (boxes, colour)
);
CREATE TABLE spares (
    number INTEGER PRIMARY KEY, packed INTEGER NOT NULL, colour TEXT NOT NULL, box INTEGER NOT NULL,
    day TEXT NOT NULL, item TEXT NOT NULL, lot TEXT NOT NULL, bin TEXT NOT NULL, box_lot TEXT NOT NULL,
    needlefuls INTEGER NOT NULL CHECK (needlefuls > 0), put_ups INTEGER NOT NULL CHECK (put_ups >= 0),
    rest INTEGER NOT NULL CHECK (rest >= 0),
    FOREIGN KEY (packed, colour) REFERENCES packed_colours (packed, colour)
);
CREATE TABLE bundles (
    number INTEGER PRIMARY KEY, item TEXT NOT NULL, lot TEXT NOT NULL, kit TEXT NOT NULL,
    edition INTEGER NOT NULL, made_of TEXT NOT NULL, UNIQUE (item, lot)
);
CREATE TABLE bundle_lots (
    bundle INTEGER NOT NULL REFERENCES bundles (number), colour TEXT NOT NULL, lot TEXT NOT NULL,
    PRIMARY KEY (bundle, colour)
);
"""
_KEPT: Final = ("packed_kits", "packed_colours", "boxes", "box_lots", "spares", "bundles", "bundle_lots")


def set_up(base: sqlite3.Connection) -> None:
    """Make the tables of a new ledger, or what an older one lacks; within a transaction of the caller's.

    A base of another program, or of a later version, is left as it is.
    """
    version = base.execute("PRAGMA user_version").fetchone()[0]
    if version == 0 and not base.execute("SELECT 1 FROM sqlite_schema").fetchone():
        _run(base, _STOCK + _MOVEMENTS + _stay("steps"))
        base.execute(f"PRAGMA application_id = {APPLICATION}")
    elif not is_ledger(base, FIRST):
        return
    else:
        _run(base, "ALTER TABLE movements RENAME TO older;\n" + _MOVEMENTS)
        base.execute("INSERT INTO movements SELECT * FROM older ORDER BY number")
        base.execute("DROP TABLE older")
    _run(base, _stay("movements") + _BOXES + "".join(map(_stay, _KEPT)))
    base.execute(f"PRAGMA user_version = {VERSION}")


def is_ledger(base: sqlite3.Connection, version: int = VERSION) -> bool:
    """Whether a base is a ledger of this version."""
    told = [base.execute(f"PRAGMA {name}").fetchone()[0] for name in ("application_id", "user_version")]
    return told == [APPLICATION, version]


def _stay(table: str) -> str:
    """Triggers that refuse to change or remove rows of a table."""
    told = f"SELECT RAISE(ABORT, '{table} stay')"
    return (
        f"CREATE TRIGGER {table}_stay BEFORE UPDATE ON {table} BEGIN {told}; END;\n"
        f"CREATE TRIGGER {table}_last BEFORE DELETE ON {table} BEGIN {told}; END;\n"
    )


def _run(base: sqlite3.Connection, script: str) -> None:
    for statement in _statements(script):
        base.execute(statement)


def _statements(script: str) -> Iterator[str]:
    """The statements of a script one by one: a script run as a whole would end the transaction."""
    statement = ""
    for line in script.strip().splitlines():
        statement += line + "\n"
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""
