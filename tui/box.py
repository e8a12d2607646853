"""The box of reeds: whose log it is, which reed is meant by a name, names that are safe to keep, blanks."""

import unicodedata
from pathlib import Path
from typing import TYPE_CHECKING, Final

from kb.log.entry import Blank
from kb.log.moment import moment
from kb.log.replay import ReedHistory
from tui.language import worded

if TYPE_CHECKING:
    from kb.log.store import ReedLog  # loads SQLite, which a desk without a named reed does not need

__all__ = [
    "FILE",
    "LONGEST_NAME",
    "blank_in_words",
    "find",
    "histories",
    "log_path",
    "moment",
    "no_such_reed",
    "plain_text",
    "reed_name",
]

FILE: Final = "reeds.db"
"""The log's name inside the data folder."""
LONGEST_NAME: Final = 80
FEWEST_OF_ID: Final = 12
"""Signs of a reed's id by which it may be named; fewer could be a name."""
_HIDDEN: Final = frozenset({"Cc", "Cf", "Cs", "Co", "Cn"})
"""Unicode categories of what steers, hides, or stands for nothing."""


def log_path(data_folder: Path) -> Path:
    """Give where the reed log lives."""
    return data_folder / FILE


def plain_text(text: str) -> str:
    """Give typed text in one spelling, without characters that steer a terminal or hide.

    Composed and decomposed umlauts become the same; runs of space become one; control characters,
    bidirectional overrides and halves of characters go.
    """
    composed = unicodedata.normalize("NFC", text)
    shown = "".join(" " if one.isspace() else one for one in composed)
    return " ".join("".join(one for one in shown if unicodedata.category(one) not in _HIDDEN).split())


def reed_name(text: str) -> str | None:
    """Give a reed's name as it is kept, or None when nothing usable is left of it."""
    name = plain_text(text)
    return name if name and len(name) <= LONGEST_NAME else None


def histories(log: "ReedLog") -> tuple[ReedHistory, ...]:
    """Give every reed of the log, the last used first."""
    return tuple(sorted(log.histories(), key=lambda reed: moment(reed.last_used), reverse=True))


def find(reeds: tuple[ReedHistory, ...], name: str) -> ReedHistory | None:
    """Give the reed of this name or id, else the one alike but for capitals; the last used of several."""
    wanted = plain_text(name)
    alike = [reed for reed in reeds if wanted in {reed.name, reed.id}]
    if not alike and len(wanted) >= FEWEST_OF_ID:
        alike = [reed for reed in reeds if reed.id.startswith(wanted)]
    nearly = [reed for reed in reeds if reed.name.casefold() == wanted.casefold()]
    return next(iter(alike + nearly), None)


def no_such_reed(reeds: tuple[ReedHistory, ...], name: str) -> str:
    """Say that no reed has this name, and which may have been meant."""
    from difflib import get_close_matches  # noqa: PLC0415 - only a mistake needs it

    near = get_close_matches(plain_text(name), [reed.name for reed in reeds], 1)
    said = plain_text(name)
    if near:
        return worded("No reed is called “{name}”; did you mean “{near}”?", name=said, near=near[0])
    return worded("No reed is called “{name}”; `canebrake reeds` lists them.", name=said)


def blank_in_words(blank: Blank) -> list[str]:
    """Say what is known of a blank, part by part; what was not said is left out."""
    parts = (
        (worded("cane"), blank.cane),
        (worded("shape"), blank.shape),
        (worded("gouge"), blank.gouge),
        (worded("profile"), blank.profile),
        (worded("made on"), blank.made_on),
        (worded("built by"), blank.built_by),
    )
    return [f"{title} {text}" for title, text in parts if text]
