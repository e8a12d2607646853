"""What surrounds the program: clock, environment, terminal, folders, randomness.

This is the only module that reads them. Everything else is handed a `Surroundings`, so that a
test can hand over its own and nothing of the tester's machine reaches a test. Costly imports
(platformdirs, datetime) wait until someone asks, because every command starts here.
"""

import os
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from io import TextIOWrapper
from pathlib import Path
from time import monotonic, sleep
from typing import TYPE_CHECKING, Final, TextIO

if TYPE_CHECKING:
    from datetime import datetime
    from random import Random

HOME: Final = "CANEBRAKE_HOME"
"""The environment variable that names one folder for everything that canebrake keeps."""
NARROWEST: Final = 20
"""Cells below which a drawing makes no sense; a terminal that claims less is not believed."""
USUAL_WIDTH: Final = 80


def _clock() -> "datetime":
    from datetime import UTC, datetime  # noqa: PLC0415 - not every command asks for the time

    return datetime.now(UTC).astimezone()


def _random_id() -> str:
    # Thirty-two hex digits from the system's own source: as good as a UUID, without its import.
    return os.urandom(16).hex()


def chance_of(seed: int, number: int) -> "Random":
    """Give a source of chance that is the same for the same two numbers, on every machine."""
    from random import Random  # noqa: PLC0415 - only virtual reeds need it

    return Random(f"{seed}:{number}")  # noqa: S311 - reeds are no secret


def some_reed(id_: str) -> int:
    """Give the number of a virtual reed out of a random id: short enough to read out to a neighbour."""
    return int(id_[:12], 16) % 1_000_000


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Everything that a command may know about the machine that it runs on."""

    stdin: TextIO
    stdout: TextIO
    stderr: TextIO
    environ: Mapping[str, str] = field(default_factory=dict)
    is_terminal: bool = False
    """Whether someone sits there: both input and output are a terminal that can be drawn on."""
    width: int = USUAL_WIDTH
    """Cells in a line of output; 80 where there is no terminal and COLUMNS does not say."""
    colour: bool = False
    """Whether colour may be used at all. It is never the only signal."""
    clock: "Callable[[], datetime]" = _clock
    """The time, with its offset from UTC. Call `now()`."""
    ids: Callable[[], str] = _random_id
    """Random ids. Call `new_id()`."""
    ticks: Callable[[], float] = monotonic
    """Seconds since some moment, that no change of the time of day disturbs."""
    pause: Callable[[float], None] = sleep
    """Waits for some seconds."""

    def now(self) -> "datetime":
        """Give the time, aware of its time zone."""
        return self.clock()

    def new_id(self) -> str:
        """Give an id that nobody has had before."""
        return self.ids()

    @property
    def fold(self) -> int:
        """Cells at which a long line of words is broken; in a pipe, which others read, it is not.

        Unless COLUMNS asks for less than the usual width: then somebody reads it after all.
        """
        return self.width if self.is_terminal or self.width < USUAL_WIDTH else sys.maxsize

    @property
    def data_folder(self) -> Path:
        """Where the reed log and the studio's rulesets live. It need not exist yet."""
        return self._folder("data")

    @property
    def config_folder(self) -> Path:
        """Where settings live. It need not exist yet."""
        return self._folder("config")

    @property
    def cache_folder(self) -> Path:
        """Where things lie that can be made again at any time. It need not exist yet."""
        own = self.environ.get(HOME)
        return Path(own) / "cache" if own else self._folder("cache")

    def _folder(self, kind: str) -> Path:
        own = self.environ.get(HOME)
        if own:
            return Path(own)
        import platformdirs  # noqa: PLC0415 - only commands that keep something need it

        places = platformdirs.PlatformDirs("canebrake", appauthor=False)
        match kind:
            case "data":
                return places.user_data_path
            case "cache":
                return places.user_cache_path
            case _:
                return places.user_config_path


def here() -> Surroundings:
    """Read the real surroundings, once, at the start of a command."""
    environ = dict(os.environ)
    drawn_on = environ.get("TERM") != "dumb"
    stdin, stdout, stderr = (_steadied(stream) for stream in (sys.stdin, sys.stdout, sys.stderr))
    output = stdout.isatty()
    return Surroundings(
        stdin=stdin,
        stdout=stdout,
        stderr=stderr,
        environ=environ,
        is_terminal=output and drawn_on and stdin.isatty(),
        width=_width(environ),
        colour=output and drawn_on and not environ.get("NO_COLOR"),
    )


def _steadied(stream: TextIO | None) -> TextIO:
    """Make a standard stream one that no letter can break.

    A program started without a console, or with a closed descriptor, has None here: it reads
    nothing and writes nowhere. A Windows console or pipe may speak an old code page: it is told
    UTF-8. Elsewhere the user's encoding stays, and what it cannot hold is shown as `?`.
    """
    if stream is None or stream.closed:
        return Path(os.devnull).open("r+", encoding="utf-8")
    if isinstance(stream, TextIOWrapper):
        encoding = "utf-8" if sys.platform == "win32" else stream.encoding
        stream.reconfigure(encoding=encoding, errors="replace")
    return stream


def _width(environ: Mapping[str, str]) -> int:
    said = environ.get("COLUMNS", "")
    if said.isascii() and said.isdigit() and int(said) >= NARROWEST:
        return int(said)
    try:
        columns = os.get_terminal_size(1).columns
    except OSError:
        return USUAL_WIDTH
    return columns if columns >= NARROWEST else USUAL_WIDTH
