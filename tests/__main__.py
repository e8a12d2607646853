"""`python3 -m tests`: runs the tests in the clone's own environment; takes pytest's arguments.

Standard library only, and no syntax newer than Python 3.5; see `tui/__main__.py`, which this shares.
"""

import sys

from tui.__main__ import start

EVERYTHING = ["-n", "auto"]
"""The whole suite, on all the cores there are; with arguments, pytest is left to itself."""


def main() -> int:
    """Prepare the environment with what the tests need, and hand over to pytest."""
    return start("test", ("pytest", "hypothesis", "xdist"), "pytest", sys.argv[1:] or EVERYTHING)


if __name__ == "__main__":
    sys.exit(main())
