"""What can go wrong with a reed log, as one exception that carries a sentence for the maker.

An exception and not a value: nobody wrote a log by hand, and a caller that cannot write must not go on.
"""


class LogError(Exception):
    """The log cannot be opened, read or written. Its text is one clear sentence that says what to do."""


class DamagedError(LogError):
    """The file is damaged, cut short, or no database at all: only a copy can help."""
