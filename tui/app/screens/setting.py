"""The maker's settings as two sheets: which one, and what it shall be."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from textual.app import App

from kb.notes import NoteNames, note_shown
from kb.settings import CHOICES, Settings, said_setting
from tui.app.screens.sheet import ChoiceSheet, Row
from tui.language import worded, worded_later

TITLES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "units": worded_later("Lengths"),
        "notes": worded_later("Names of notes"),
        "colours": worded_later("Colours"),
        "ring": worded_later("Bell when a time is up"),
        "mouse": worded_later("Mouse"),
    }
)
_MEANS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "mm": worded_later("millimetres"),
        "inch": worded_later("inches"),
        "lamp": worded_later("dark"),
        "day": worded_later("light"),
        "contrast": worded_later("black and white, with yellow"),
    }
)


async def ask_setting(app: App[int], settings: Settings) -> tuple[str, str] | None:
    """Let the maker choose a setting and what it shall be; None when nothing is to change."""
    rows = [Row(key, worded(title), said_setting(settings, key)) for key, title in TITLES.items()]
    key = await app.push_screen_wait(ChoiceSheet(worded("Settings"), rows))
    if key is None:
        return None
    after = f"; {worded('from the next start on')}" if key == "mouse" else ""
    values = [Row(value, value, _means(key, value)) for value in CHOICES[key]]
    value = await app.push_screen_wait(ChoiceSheet(f"{worded(TITLES[key])}{after}", values))
    return None if value is None else (key, value)


def _means(key: str, value: str) -> str:
    if key == "notes":
        return ", ".join(note_shown(note, NoteNames(value)) for note in ("C#3", "Bb2", "B3", "A4"))
    return worded(_MEANS.get(value, ""))
