"""The leading causes: a bar, a word, and what changed since the last answer."""

from dataclasses import dataclass

from textual.content import Content

from tui.app.widgets.fitted import Fitted
from tui.language import worded
from tui.words import chance_word

EIGHTHS = " ▏▎▍▌▋▊▉"


@dataclass(frozen=True, slots=True)
class Suspect:
    """One cause and its chance."""

    title: str
    chance: float
    elsewhere: bool = False
    """Whether it lies in player or instrument."""
    before: float | None = None
    """Its chance before the last answer."""


class Causes(Fitted):
    """As many as there is room for, the likeliest first."""

    suspects: tuple[Suspect, ...] = ()
    note: str = ""
    heading: str = ""

    def show(self, suspects: tuple[Suspect, ...], note: str = "", heading: str = "") -> None:
        """Show these under their heading, and a sentence below."""
        if (suspects, note, heading) != (self.suspects, self.note, self.heading):
            self.suspects, self.note, self.heading = suspects, note, heading
            self.refresh(layout=True)

    def content(self, width: int) -> Content:
        """Give for each the title, which may take two lines, then bar and word; and the note.

        One that there is no room for is left out whole: a title without its bar says nothing.
        """
        note = Content.styled(self.note, "$quiet")
        if not self.suspects:
            return note
        room = self.content_size.height - (len(note.wrap(max(1, width))) if self.note else 0)
        parts = [Content.styled(self.heading, "$quiet")]
        used = 1
        for suspect in self.suspects:
            part = _told(suspect, width)
            used += len(part.wrap(max(1, width)))
            if used > room:
                break
            parts.append(part)
        return Content("\n").join([*parts, note] if self.note else parts)


def _told(suspect: Suspect, width: int) -> Content:
    title = worded("{title} (not the reed)", title=suspect.title) if suspect.elsewhere else suspect.title
    word = f"{chance_word(suspect.chance)}{_shift(suspect)}"
    bar = _bar(suspect.chance, max(4, width - 23))
    return Content.assemble(title, "\n", *bar, " ", (word, "$quiet"))


def _bar(chance: float, cells: int) -> list[tuple[str, str]]:
    eighths = max(1, round(chance * cells * 8))
    full, rest = divmod(min(eighths, cells * 8), 8)
    part = EIGHTHS[rest] if rest else ""
    return [
        ("█" * full, "$bar"),
        (part, "$bar on $bar-rest"),
        (" " * (cells - full - len(part)), "on $bar-rest"),
    ]


def _shift(suspect: Suspect) -> str:
    if suspect.before is None or abs(suspect.chance - suspect.before) < 0.03:
        return ""
    return " ↑" if suspect.chance > suspect.before else " ↓"
