"""The last things that were found and done, at the foot of the sitting screen."""

from collections.abc import Sequence

from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from tui.app.trail import TrailLine
from tui.language import worded


class TrailPane(Widget):
    """As many of the last lines as fit, the newest at the bottom."""

    lines: tuple[TrailLine, ...] = ()

    def show(self, lines: Sequence[TrailLine]) -> None:
        """Show the end of these."""
        if tuple(lines) != self.lines:
            self.lines = tuple(lines)
            self.refresh(layout=True)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Say how many lines it would take; the styles say how many it gets."""
        del container, viewport, width
        return max(1, len(self.lines))

    def render(self) -> Content:
        """Say what was found and done last."""
        width, height = self.content_size
        if not self.lines:
            return Content.styled(worded("Nothing said yet. All that you answer is kept here."), "$quiet")
        kept = self.lines[-max(1, height) :]
        rows = [line_content(line).truncate(width, ellipsis=True) for line in kept]
        return Content("\n").join(rows)


def line_content(line: TrailLine) -> Content:
    """Give one line: sign, word, text."""
    strong = "bold" if line.is_step else ""
    return Content.assemble((f"{line.sign} ", "$quiet"), (f"{line.word:<9} ", "$quiet"), (line.text, strong))
