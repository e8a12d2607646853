"""`check --watch`: checks anew whenever a file, or one that it stands on, is saved.

Asked twice a second, not told: every editor saves in another way (some write a new file over the
old name), and a question about a file's time and size costs nothing and works everywhere.
"""

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Final, NoReturn

from kb.disk import Stamp, stamp
from tui.cli.saying import tell
from tui.shelf import Opened
from tui.wiring import Surroundings

PAUSE: Final = 0.5
"""Seconds between two looks."""


def watch(names: Sequence[str], check: Callable[[], Sequence[Opened]], around: Surroundings) -> NoReturn:
    """Check, then again after every change, until Ctrl-C."""
    while True:
        seen = _stamps(Path(name) for name in names)
        opened = check()
        tell(around, [f"watching {', '.join(names)}; Ctrl-C ends", ""])
        around.stdout.flush()
        files = {Path(name) for name in names} | {
            Path(text.name) for one in opened for text in one.texts if Path(text.name).is_file()
        }
        before = {**_stamps(files), **seen}  # what changed while it was checked is a change too
        while _stamps(files) == before:
            around.pause(PAUSE)
        around.pause(PAUSE / 5)  # an editor that empties the file before it writes has filled it by now
        tell(around, [f"--- {around.now():%H:%M:%S} saved, checked again ---"])


def _stamps(paths: Iterable[Path]) -> dict[Path, Stamp | None]:
    return {path: stamp(path) for path in paths}
