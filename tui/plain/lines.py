"""Lines out and lines in: all that the plain front knows of the terminal.

No drawing characters, no colour, no cursor movement; long sentences are broken at the width of the
terminal, so that a screen reader reads sentences and a narrow window still shows all of them.
"""

import textwrap
from dataclasses import dataclass
from typing import Final, TextIO

from kb.notes import NoteNames
from kb.units import Length
from tui.box import plain_text
from tui.draw.literal import literal

_WIDEST: Final = 79
_NARROWEST: Final = 20


class InputEnded(Exception):  # noqa: N818 - it is no error: a pipe is at its end, or Ctrl-D was typed
    """There is nothing more to read."""


@dataclass(frozen=True, slots=True)
class Lines:
    """Where the plain front reads and writes, and how the maker likes lengths."""

    source: TextIO
    target: TextIO
    width: int = 80
    length: Length = Length.MM
    echo: bool = False
    """Whether to write what was read: in a pipe nobody else does, and the record would not tell."""

    names: NoteNames = NoteNames.ENGLISH
    """How the player calls notes."""

    def say(self, *sentences: str, indent: str = "") -> None:
        """Write each sentence on lines of its own."""
        width = min(max(self.width - 1, _NARROWEST), _WIDEST)
        for sentence in sentences:
            shown = literal(sentence)
            if not shown:
                self.target.write("\n")
                continue
            filled = textwrap.wrap(
                shown,
                width,
                initial_indent=indent,
                subsequent_indent=indent + "  " if indent else "",
                break_on_hyphens=False,
            )
            self.target.write("\n".join(filled) + "\n")
        self.target.flush()

    def ask(self, prompt: str = "") -> str:
        """Write a prompt and read one line, without what hides or steers in it. Raises InputEnded."""
        self.target.write(f"{literal(prompt)}> " if prompt else "> ")
        self.target.flush()
        try:
            line = self.source.readline()
        except UnicodeDecodeError:
            # One bad byte of a pipe: the line is answered as not understood, and nothing is lost.
            line = "\ufffd\n"
        if not line:
            self.target.write("\n")
            raise InputEnded
        text = plain_text(line)
        if self.echo:
            self.target.write(f"{literal(text)}\n")
        return text
