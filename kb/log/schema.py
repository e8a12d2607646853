"""The tables of the log, as steps from each version of the file to the next.

`application_id` says that a SQLite file is a reed log, `user_version` which steps it has been through.
A step, once released, is never changed; a new one is added below it.
"""

from typing import Final

APPLICATION_ID: Final = 0x43426C67
"""The letters CBlg; read by `file` and by us, so that no other program's file is ever written to."""

# Entries, marks and kept texts are only ever added. REPLACE deletes without firing a delete trigger unless
# the connection asks for it, so the insert triggers refuse a double before SQLite gets that far.
_FIRST: Final = (
    """
    CREATE TABLE mark (
        number  INTEGER PRIMARY KEY,
        ruleset TEXT NOT NULL,
        version TEXT NOT NULL,
        digest  TEXT NOT NULL,
        UNIQUE (ruleset, version, digest)
    ) STRICT
    """,
    """
    CREATE TABLE entry (
        number INTEGER PRIMARY KEY AUTOINCREMENT,
        id     TEXT NOT NULL UNIQUE,
        reed   TEXT NOT NULL,
        at     TEXT NOT NULL,
        mark   INTEGER REFERENCES mark (number),
        kind   TEXT NOT NULL,
        body   TEXT NOT NULL
    ) STRICT
    """,
    "CREATE INDEX entry_of_reed ON entry (reed, number)",
    "CREATE INDEX entry_of_kind ON entry (kind, number)",
    """
    CREATE TABLE kept_text (
        digest TEXT NOT NULL,
        part   INTEGER NOT NULL CHECK (part >= 0),
        name   TEXT NOT NULL,
        text   TEXT NOT NULL,
        PRIMARY KEY (digest, part)
    ) STRICT
    """,
    *(
        f"""
        CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table}
        BEGIN SELECT RAISE (ABORT, 'the reed log only ever grows'); END
        """
        for table in ("entry", "mark", "kept_text")
        for verb in ("UPDATE", "DELETE")
    ),
    """
    CREATE TRIGGER entry_no_replace BEFORE INSERT ON entry
    WHEN EXISTS (SELECT 1 FROM entry WHERE id = NEW.id OR number = NEW.number)
    BEGIN SELECT RAISE (ABORT, 'the reed log only ever grows'); END
    """,
    """
    CREATE TRIGGER mark_no_replace BEFORE INSERT ON mark
    WHEN EXISTS (SELECT 1 FROM mark WHERE number = NEW.number)
      OR EXISTS (SELECT 1 FROM mark
                 WHERE ruleset = NEW.ruleset AND version = NEW.version AND digest = NEW.digest)
    BEGIN SELECT RAISE (ABORT, 'the reed log only ever grows'); END
    """,
    """
    CREATE TRIGGER kept_text_no_replace BEFORE INSERT ON kept_text
    WHEN EXISTS (SELECT 1 FROM kept_text WHERE digest = NEW.digest AND part = NEW.part)
    BEGIN SELECT RAISE (ABORT, 'the reed log only ever grows'); END
    """,
)

# A summary is a memory of a fold and may change; that two logs met over a reed is a fact and stays.
_SECOND: Final = (
    """
    CREATE TABLE summary (
        reed    TEXT PRIMARY KEY,
        through INTEGER NOT NULL,
        body    TEXT NOT NULL
    ) STRICT
    """,
    "CREATE TABLE interleaved (reed TEXT PRIMARY KEY) STRICT",
    *(
        f"""
        CREATE TRIGGER interleaved_no_{verb.lower()} BEFORE {verb} ON interleaved
        BEGIN SELECT RAISE (ABORT, 'the reed log only ever grows'); END
        """
        for verb in ("UPDATE", "DELETE")
    ),
)

STEPS: Final[tuple[tuple[str, ...], ...]] = (_FIRST, _SECOND)
"""STEPS[n] takes a file from version n to n + 1."""

VERSION: Final = len(STEPS)
