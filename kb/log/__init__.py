"""The reed log: one SQLite file of entries that are only ever added."""
