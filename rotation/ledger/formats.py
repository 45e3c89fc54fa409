"""The formats of the ledger's file, from the first to the newest."""

from __future__ import annotations

from collections.abc import Sequence

APPLICATION = 0x42524F54
"""SQLite's application id: this database is a bread ledger and nobody else's."""

Migration = Sequence[str]

MIGRATIONS: Sequence[Migration] = (
    (
        f"PRAGMA application_id = {APPLICATION}",
        """CREATE TABLE lot (
            id TEXT PRIMARY KEY, letter TEXT NOT NULL, bread TEXT NOT NULL, form TEXT NOT NULL,
            bagged TEXT NOT NULL, through TEXT NOT NULL, eat_first TEXT NOT NULL, toast_after TEXT NOT NULL,
            strict_until TEXT)""",
        """CREATE TABLE movement (
            seq INTEGER PRIMARY KEY AUTOINCREMENT, id TEXT NOT NULL UNIQUE,
            kind TEXT NOT NULL CHECK (kind IN ('baked', 'added', 'taken', 'discarded', 'counted', 'undone')),
            at TEXT NOT NULL, noted TEXT NOT NULL, reason TEXT NOT NULL, undoes TEXT UNIQUE REFERENCES movement (id),
            CHECK ((kind = 'undone') = (undoes IS NOT NULL)))""",
        """CREATE TABLE share (
            movement INTEGER NOT NULL REFERENCES movement (seq), lot TEXT NOT NULL REFERENCES lot (id),
            units INTEGER NOT NULL CHECK (typeof(units) = 'integer' AND units <> 0),
            PRIMARY KEY (movement, lot)) WITHOUT ROWID""",
        "CREATE INDEX share_by_lot ON share (lot, units)",
        """CREATE TRIGGER never_negative AFTER INSERT ON share
            WHEN (SELECT SUM(units) FROM share WHERE lot = NEW.lot) < 0
            BEGIN SELECT RAISE(ABORT, 'a lot below nothing'); END""",
        *(
            f"CREATE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table} BEGIN SELECT RAISE(ABORT, 'append-only'); END"
            for table in ("lot", "movement", "share")
            for verb in ("UPDATE", "DELETE")
        ),
        "CREATE TABLE kept (name TEXT PRIMARY KEY, json TEXT NOT NULL, at TEXT NOT NULL)",
    ),
    (
        """CREATE TABLE publication (
            seq INTEGER PRIMARY KEY AUTOINCREMENT, plan TEXT NOT NULL, meant TEXT NOT NULL, at TEXT NOT NULL)""",
        """CREATE TABLE thing (
            id TEXT PRIMARY KEY, kind TEXT NOT NULL CHECK (kind IN ('bake', 'thaw', 'finish', 'stay')),
            publication INTEGER NOT NULL REFERENCES publication (seq))""",
        """CREATE TABLE life (
            seq INTEGER PRIMARY KEY AUTOINCREMENT, thing TEXT NOT NULL REFERENCES thing (id), state TEXT NOT NULL,
            at TEXT NOT NULL, noted TEXT NOT NULL)""",
        "CREATE INDEX life_by_thing ON life (thing, seq)",
        """CREATE TABLE entry (
            seq INTEGER PRIMARY KEY AUTOINCREMENT, calendar TEXT NOT NULL, uid TEXT NOT NULL,
            what TEXT NOT NULL CHECK (what IN ('meant', 'written', 'gone', 'dropped')), resource TEXT NOT NULL,
            etag TEXT, data BLOB, ours BLOB, at TEXT NOT NULL)""",
        "CREATE INDEX entry_by_uid ON entry (calendar, uid, seq)",
        """CREATE TABLE wish (
            seq INTEGER PRIMARY KEY AUTOINCREMENT, id TEXT NOT NULL, thing TEXT NOT NULL REFERENCES thing (id),
            belongs TEXT NOT NULL, kind TEXT NOT NULL, bread TEXT NOT NULL, step TEXT NOT NULL,
            since TEXT NOT NULL, until TEXT NOT NULL,
            said TEXT NOT NULL, over TEXT NOT NULL, at TEXT NOT NULL,
            publication INTEGER NOT NULL REFERENCES publication (seq))""",
        *(
            f"CREATE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table} BEGIN SELECT RAISE(ABORT, 'append-only'); END"
            for table in ("publication", "thing", "life", "entry", "wish")
            for verb in ("UPDATE", "DELETE")
        ),
    ),
    (
        """CREATE TABLE happened (
            seq INTEGER PRIMARY KEY AUTOINCREMENT, id TEXT NOT NULL UNIQUE, what_id TEXT NOT NULL, thing TEXT NOT NULL,
            step TEXT NOT NULL, what TEXT NOT NULL, name TEXT NOT NULL, start TEXT, until TEXT,
            count INTEGER CHECK (count >= 0), planned TEXT NOT NULL, movements TEXT NOT NULL, said TEXT NOT NULL,
            sure INTEGER NOT NULL, noted TEXT NOT NULL, undoes TEXT UNIQUE REFERENCES happened (id))""",
        "CREATE INDEX happened_by_what ON happened (what_id)",
        *(
            f"CREATE TRIGGER happened_no_{verb} BEFORE {verb} ON happened BEGIN SELECT RAISE(ABORT, 'append-only'); END"
            for verb in ("UPDATE", "DELETE")
        ),
    ),
    (
        "CREATE TABLE request (id TEXT PRIMARY KEY, act TEXT NOT NULL, answer TEXT NOT NULL, at TEXT NOT NULL)",
        *(
            f"CREATE TRIGGER request_no_{verb} BEFORE {verb} ON request BEGIN SELECT RAISE(ABORT, 'append-only'); END"
            for verb in ("UPDATE", "DELETE")
        ),
    ),
    (
        """CREATE TABLE pantry (
            seq INTEGER PRIMARY KEY AUTOINCREMENT, act TEXT NOT NULL, name TEXT NOT NULL,
            kind TEXT NOT NULL CHECK (kind IN ('there', 'written', 'bought', 'undone')),
            grams REAL NOT NULL CHECK (grams >= 0), at TEXT NOT NULL, noted TEXT NOT NULL, UNIQUE (act, name))""",
        *(
            f"CREATE TRIGGER pantry_no_{verb} BEFORE {verb} ON pantry BEGIN SELECT RAISE(ABORT, 'append-only'); END"
            for verb in ("UPDATE", "DELETE")
        ),
    ),
    (  # only a CHECK is widened, for which SQLite's own advice is to write the schema, not to copy the table
        "PRAGMA writable_schema = ON",
        """UPDATE sqlite_master SET sql = replace(sql, '''finish'', ''stay''', '''finish'', ''stay'', ''feed''')
            WHERE type = 'table' AND name = 'thing'""",
        "PRAGMA writable_schema = RESET",
    ),
)
"""Statements that lead from each `user_version` to the next. Never change one that was released: add another."""
