"""The maker's few settings, in a small TOML file: `units = "inch"`, `notes = "german"`, `ring = "on"`.

A file that cannot be read never stops the work: the usual settings apply and a sentence says why.
What else stands in the file is kept when a setting is written.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from kb.disk import write_whole
from kb.notes import NoteNames
from kb.units import Length

FILE: Final = "settings.toml"
"""Its name inside the settings folder."""
CHOICES: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "units": tuple(Length),
        "notes": tuple(NoteNames),
        "colours": ("lamp", "day", "contrast"),
        "ring": ("off", "on"),
        "mouse": ("on", "off"),
    }
)
"""Every setting, and what it may be; the first is the usual."""
_LARGEST: Final = 64 * 1024
_TABLE: Final = re.compile(r"(?m)^[ \t]*\[")


@dataclass(frozen=True, slots=True)
class Settings:
    """What the maker likes."""

    units: Length = Length.MM
    problem: str = ""
    """Why the file was not followed, as a sentence; empty when it was, or when there is none."""
    notes: NoteNames = NoteNames.ENGLISH
    colours: str = "lamp"
    """The theme of the full screen."""
    ring: bool = False
    """Whether the terminal rings when a time to wait is up."""
    mouse: bool = True


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
        said = tomllib.loads(content.decode("utf-8"))
    except (ValueError, RecursionError):
        return Settings(problem=f"The settings {path} are not TOML; mend the file or remove it.")
    liked = {key: said.get(key, choices[0]) for key, choices in CHOICES.items()}
    unknown = [key for key, value in liked.items() if value not in CHOICES[key]]
    problem = " ".join(
        f"The settings {path} name unknown {key}; write {' or '.join(CHOICES[key])}." for key in unknown
    )
    settings = Settings(problem=problem)
    for key, value in liked.items():
        settings = settings if key in unknown else with_setting(settings, key, value)
    return settings


def with_setting(settings: Settings, key: str, value: str) -> Settings:
    """Give the settings with one changed, a key and a value of `CHOICES`."""
    match key:
        case "units":
            return replace(settings, units=Length(value))
        case "notes":
            return replace(settings, notes=NoteNames(value))
        case "colours":
            return replace(settings, colours=value)
        case "ring":
            return replace(settings, ring=value == "on")
        case _:
            return replace(settings, mouse=value == "on")


def said_setting(settings: Settings, key: str) -> str:
    """Give how one setting stands, as the file says it."""
    stands = {
        "units": settings.units.value,
        "notes": settings.notes.value,
        "colours": settings.colours,
        "ring": "on" if settings.ring else "off",
        "mouse": "on" if settings.mouse else "off",
    }
    return stands[key]


def write_units(folder: Path, units: Length) -> Path:
    """Write which units the maker likes; give the file. Raises as `write_setting` does."""
    return write_setting(folder, "units", units.value)


def write_setting(folder: Path, key: str, value: str) -> Path:
    """Write one setting, a key and a value of `CHOICES`; give the file.

    Raises OSError or `kb.disk.DiskError` when it cannot be written.
    """
    import tomllib  # noqa: PLC0415  (as above)

    path = folder / FILE
    line = f'{key} = "{value}"'
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
    # A table of a later version may hold a key of the same name; only the part before it is ours.
    head, tables = (before[: table.start()], before[table.start() :]) if table else (before, "")
    own = re.compile(rf"(?m)^[ \t]*{key}[ \t]*=.*$")
    head = own.sub(line, head, count=1) if own.search(head) else f"{line}\n{head}"
    write_whole(path, (head + tables).encode())
    return path
