"""How a command ends, as a type."""

from enum import IntEnum


class ExitCode(IntEnum):
    """What the shell is told."""

    DONE = 0
    NO = 1
    """The answer is no: problems were found, a trial failed, the answers cannot all be true."""
    COULD_NOT_START = 2
    """The command was wrong, or what it needs could not be had."""
    INTERRUPTED = 130
    """Ctrl-C, as shells count it: 128 and the signal's number."""
