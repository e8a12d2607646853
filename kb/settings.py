"""The maker's few settings, in a small TOML file: `units = "mm"` or `"inch"`.

A file that cannot be read never stops the work: the usual settings apply and a sentence says why.
What else stands in the file is kept when a setting is written.
"""

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from kb.disk import write_whole
from kb.units import Length

FILE: Final = "settings.toml"
"""Its name inside the settings folder."""
_LARGEST: Final = 64 * 1024
_TABLE: Final = re.compile(r"(?m)^[ \t]*\[")
_UNITS_LINE: Final = re.compile(r"(?m)^[ \t]*units[ \t]*=.*$")


@dataclass(frozen=True, slots=True)
class Settings:
    """What the maker likes."""

    units: Length = Length.MM
    problem: str = ""
    """Why the file was not followed, as a sentence; empty when it was, or when there is none."""


def read_settings(folder: Path) -> Settings:
    """Read the settings, the usual ones where nothing is said."""
    path = folder / FILE
    try:
        with path.open("rb") as file:
            content = file.read(_LARGEST + 1)
    except (FileNotFoundError, NotADirectoryError):
        return Settings()
    except OSError as error:
        return Settings(problem=f"The settings {path} cannot be read: {error.strerror}.")
    if len(content) > _LARGEST:
        return Settings(problem=f"The settings {path} are far too large to be settings.")
    import tomllib  # noqa: PLC0415  (most makers have no such file)

    try:
        units = tomllib.loads(content.decode("utf-8")).get("units", Length.MM.value)
    except (ValueError, RecursionError):
        return Settings(problem=f"The settings {path} are not TOML; mend the file or remove it.")
    if units not in list(Length):
        return Settings(problem=f"The settings {path} name unknown units; write mm or inch.")
    return Settings(Length(units))


def write_units(folder: Path, units: Length) -> Path:
    """Write which units the maker likes; give the file.

    Raises OSError or `kb.disk.DiskError` when it cannot be written.
    """
    import tomllib  # noqa: PLC0415  (as above)

    path = folder / FILE
    line = f'units = "{units.value}"'
    folder.mkdir(parents=True, exist_ok=True)
    try:
        before = path.read_text(encoding="utf-8")
        tomllib.loads(before)
    except FileNotFoundError:
        before = ""
    except (ValueError, RecursionError):
        # It was of no use as it stood, but it is the maker's: put aside, not lost.
        path.replace(path.with_name(f"{FILE}.old"))
        before = ""
    table = _TABLE.search(before)
    # A table of a later version may hold a `units` of its own; only the part before it is ours.
    head, tables = (before[: table.start()], before[table.start() :]) if table else (before, "")
    head = _UNITS_LINE.sub(line, head, count=1) if _UNITS_LINE.search(head) else f"{line}\n{head}"
    write_whole(path, (head + tables).encode())
    return path
