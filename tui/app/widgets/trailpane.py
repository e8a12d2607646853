"""The last things that were found and done, at the foot of the sitting screen."""

from collections.abc import Sequence

from textual.content import Content
from textual.widget import Widget

from tui.app.trail import TrailLine


class TrailPane(Widget):
    """As many of the last lines as fit, the newest at the bottom."""

    lines: tuple[TrailLine, ...] = ()

    def show(self, lines: Sequence[TrailLine]) -> None:
        """Show the end of these."""
        self.lines = tuple(lines)
        self.refresh()

    def render(self) -> Content:
        """Say what was found and done, and how much more there is."""
        width, height = self.content_size
        if not self.lines:
            return Content.styled("Nothing said yet. All that you answer is kept here.", "$quiet")
        room = max(1, height - 1)
        kept = self.lines[-room:]
        more = len(self.lines) - len(kept)
        heading = "So far" if not more else f"So far, after {more} earlier"
        rows = [line_content(line).truncate(width, ellipsis=True) for line in kept]
        return Content("\n").join([Content.styled(heading, "$quiet"), *rows])


def line_content(line: TrailLine) -> Content:
    """Give one line: sign, word, text."""
    strong = "bold" if line.word in {"done", "rest", "opened"} else ""
    return Content.assemble((f"{line.sign} ", "$quiet"), (f"{line.word}  ", "$quiet"), (line.text, strong))
