"""A ledger as the first version left it, as the statements that make it."""

FIRST = """
CREATE TABLE lots (item TEXT, lot TEXT, bin TEXT NOT NULL, received TEXT NOT NULL, PRIMARY KEY (item, lot));
CREATE TABLE movements (
    number INTEGER PRIMARY KEY, kind TEXT NOT NULL CHECK (kind IN ('count', 'run', 'offcut')),
    run TEXT NOT NULL, item TEXT NOT NULL, lot TEXT NOT NULL, quantity INTEGER NOT NULL CHECK (quantity <> 0),
    FOREIGN KEY (item, lot) REFERENCES lots (item, lot)
);
CREATE TABLE steps (
    number INTEGER PRIMARY KEY, run TEXT NOT NULL, plan TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('reserved', 'posted', 'cancelled'))
);
CREATE TABLE reserved (
    step INTEGER NOT NULL REFERENCES steps (number), item TEXT NOT NULL, lot TEXT NOT NULL,
    quantity INTEGER NOT NULL CHECK (quantity > 0), PRIMARY KEY (step, item, lot)
);
CREATE TRIGGER movements_stay BEFORE UPDATE ON movements BEGIN SELECT RAISE(ABORT, 'movements stay'); END;
CREATE TRIGGER movements_last BEFORE DELETE ON movements BEGIN SELECT RAISE(ABORT, 'movements stay'); END;
CREATE TRIGGER steps_stay BEFORE UPDATE ON steps BEGIN SELECT RAISE(ABORT, 'steps stay'); END;
CREATE TRIGGER steps_last BEFORE DELETE ON steps BEGIN SELECT RAISE(ABORT, 'steps stay'); END;
INSERT INTO lots VALUES ('wool-0123', 'A', 'A-01', '2026-08-01');
INSERT INTO movements VALUES (1, 'count', '', 'wool-0123', 'A', 10);
INSERT INTO movements VALUES (2, 'run', 'old', 'wool-0123', 'A', -3);
INSERT INTO steps VALUES (1, 'old', 'plan', 'reserved'), (2, 'old', 'plan', 'posted');
INSERT INTO steps VALUES (3, 'r', 'p', 'reserved');
INSERT INTO reserved VALUES (1, 'wool-0123', 'A', 3), (3, 'wool-0123', 'A', 2);
PRAGMA application_id = 1262636100;
PRAGMA user_version = 1;
"""
