"""All commands, and the frame that runs one: from its words to its exit code.

The list is written out. A command's module is imported when the command is used, or when `--help`
wants its one line; each has `HELP`, `add_arguments(parser)` and `run(arguments, around)`.
"""

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Final, Protocol, cast

from engine.refusal import TooWideError
from kb.home import cache_in, studios_in
from tui.cli.parser import Parser, WrongUsage
from tui.cli.saying import complain
from tui.exit_code import ExitCode
from tui.language import Catalogue, texts_from
from tui.wiring import Surroundings


class Command(Protocol):
    """What a command's module has."""

    HELP: str
    """One line for the list of commands."""

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Declare the command's arguments."""

    def run(self, arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
        """Do it."""


GROUPS: Final[tuple[tuple[str, tuple[str, ...]], ...]] = (
    ("At the desk", ("interview", "reeds", "weigh", "listen", "practice")),
    ("For authors of rulesets", ("new", "check", "trial", "tree", "rehearse", "tune", "compare", "merge")),
    ("For the wall and the phone", ("map", "handout", "zones")),
    ("For the studio", ("studio",)),
)
"""Commands as `--help` groups them; each is a module or folder of its name in this package."""
NAMES: Final = tuple(name for _, names in GROUPS for name in names)

NO_MOUSE: Final = "--no-mouse"
_HELP_WORDS: Final = frozenset({"--help", "-h", "help"})


def run_commands(words: Sequence[str], around: Surroundings) -> ExitCode:
    """Run the command that `words` say; whatever happens becomes an exit code and one sentence."""
    try:
        with (
            studios_in(lambda: around.data_folder),
            cache_in(lambda: around.cache_folder),
            texts_from(_catalogue(around)),
        ):
            code = _run(list(words), around)
        around.stdout.flush()
    except WrongUsage as wrong:
        complain(around, str(wrong))
        return ExitCode.COULD_NOT_START
    except TooWideError as refusal:
        complain(around, str(refusal))
        return ExitCode.COULD_NOT_START
    except KeyboardInterrupt:
        complain(around, "interrupted")
        return ExitCode.INTERRUPTED
    except BrokenPipeError:
        # Whoever read our answer (head, less) has seen enough. Python would complain once more
        # when it closes stdout, so stdout is pointed at nothing first.
        _drop(around)
        return ExitCode.DONE
    except OSError as fault:
        _drop(around)
        complain(around, f"the answer could not be written: {(fault.strerror or str(fault)).lower()}")
        return ExitCode.COULD_NOT_START
    return code


def help_text() -> str:
    """Give the list of all commands, in groups."""
    lines = [
        "usage: canebrake COMMAND …",
        "",
        "Finds, from how a reed behaves, the next small thing to do to it, and says why.",
        "Without a command it opens the full screen; --no-mouse leaves the mouse to the terminal.",
    ]
    width = max(map(len, NAMES))
    for title, names in GROUPS:
        lines += ["", f"{title}:"]
        lines += [f"  {name:<{width}}  {_module(name).HELP}" for name in names]
    lines += ["", "canebrake COMMAND --help says more; canebrake --version prints the version."]
    return "\n".join(lines) + "\n"


def _run(words: list[str], around: Surroundings) -> ExitCode:
    if not words or words == [NO_MOUSE]:
        return _open_screen(around, mouse=not words)
    name, *rest = words
    if name in _HELP_WORDS:
        around.stdout.write(help_text())
        return ExitCode.DONE
    if name not in NAMES:
        raise WrongUsage(_unknown(name))
    module = _module(name)
    parser = Parser(name, module.HELP, around)
    module.add_arguments(parser)
    try:
        arguments = parser.parse_args(rest)
    except SystemExit:  # argparse leaves this way after --help
        return ExitCode.DONE
    return module.run(arguments, around)


def _catalogue(around: Surroundings) -> Catalogue | None:
    """Give the translated texts that the user asked for; a spoilt file is told, and English goes on."""
    if not around.environ.get("LANGUAGE"):
        return None
    from tui.catalogue import CatalogueError, read_catalogue  # noqa: PLC0415 - English needs none

    try:
        return read_catalogue(around.environ, around.data_folder)
    except CatalogueError as fault:
        complain(around, str(fault))
        return None


def _module(name: str) -> Command:
    # The name comes from the list above, never from the user.
    return cast("Command", import_module(f"tui.cli.{name}"))


def _unknown(name: str) -> str:
    from difflib import get_close_matches  # noqa: PLC0415 - only a mistake needs it

    if name.startswith("-"):
        return f"there is no option {name!r} without a command (see canebrake --help)"
    near = get_close_matches(name, NAMES, 1)
    meant = f"; did you mean {near[0]!r}?" if near else " (see canebrake --help)"
    return f"there is no command {name!r}{meant}"


def _open_screen(around: Surroundings, *, mouse: bool) -> ExitCode:
    if not around.is_terminal:
        complain(
            around,
            "the full screen needs a terminal; `canebrake interview --plain` works without one, "
            "and `canebrake --help` lists everything else",
        )
        return ExitCode.COULD_NOT_START
    from tui.app.main import open_app  # noqa: PLC0415 - loads the screen library

    return open_app(around, mouse=mouse)


def _drop(around: Surroundings) -> None:
    """Make sure that nothing more is written to stdout, not even when Python closes it."""
    if around.stdout is sys.stdout:
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, 1)
        os.close(nothing)
