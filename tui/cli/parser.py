"""Reading a command's arguments: argparse, with our manners.

Words are never shortened (`--js` is not `--json`: scripts would break when an option is added),
help goes where the surroundings say, and a mistake is one sentence and not a page.
"""

import argparse
from typing import TYPE_CHECKING, NoReturn

from tui.wiring import Surroundings

if TYPE_CHECKING:
    from _typeshed import SupportsWrite

HELP_WIDTH = 100
_DIGITS = 18


class WrongUsage(Exception):  # noqa: N818 - not a fault of ours: what the user typed
    """The command line was wrong; its text is the sentence."""


class Parser(argparse.ArgumentParser):
    """An argument parser that raises `WrongUsage` and prints to the surroundings."""

    def __init__(self, command: str, description: str, around: Surroundings) -> None:
        width = min(around.width, HELP_WIDTH)
        super().__init__(
            prog=f"canebrake {command}",
            description=description,
            allow_abbrev=False,
            formatter_class=lambda prog: argparse.HelpFormatter(prog, width=width),
        )
        self.around = around

    def error(self, message: str) -> NoReturn:
        """Refuse the arguments."""
        if message.startswith("unrecognized arguments: ") and ": -" not in message:
            message += "; put words that belong together in quotes"
        raise WrongUsage(f"{message} (see {self.prog} --help)")

    def print_help(self, file: "SupportsWrite[str] | None" = None) -> None:
        """Print the help of this command."""
        super().print_help(file or self.around.stdout)


class PartParser(Parser):
    """The parser of one of the things that a command can do, with arguments and a `--help` of its own."""

    def __init__(self, *, prog: str, description: str, around: Surroundings) -> None:
        super().__init__(prog.removeprefix("canebrake "), description, around)


def whole_number(text: str | None, option: str, unsaid: int, least: int, most: int) -> int:
    """Read the whole number after `option`, or give `unsaid`. Raises `WrongUsage` for any other text.

    >>> whole_number("12", "--reeds", 5, 1, 99), whole_number(None, "--reeds", 5, 1, 99)
    (12, 5)
    """
    if text is None:
        return unsaid
    # Longer texts are refused before they are read: thousands of digits would stop Python itself.
    if not (text.isascii() and text.isdigit() and len(text) <= _DIGITS and least <= int(text) <= most):
        raise WrongUsage(f"{option} takes a whole number from {least} to {most}, not {text!r}")
    return int(text)
