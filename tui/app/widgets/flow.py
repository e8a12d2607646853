"""Short pieces that flow over lines and are never broken inside: facts of a step, keys at the foot."""

from collections.abc import Sequence

from textual.content import Content

from tui.app.widgets.fitted import Fitted

GAP = 3


class Flow(Fitted):
    """Pieces side by side, as many on a line as there is room for."""

    pieces: tuple[Content, ...] = ()

    def show(self, pieces: Sequence[Content]) -> None:
        """Show these pieces."""
        if tuple(pieces) != self.pieces:
            self.pieces = tuple(pieces)
            self.refresh(layout=True)
        self.display = bool(self.pieces)

    def content(self, width: int) -> Content:
        """Lay the pieces out."""
        return Content("\n").join(flow(self.pieces, width))


def flow(pieces: Sequence[Content], width: int) -> list[Content]:
    """Fill lines with pieces; one that is wider than a line is wrapped on lines of its own."""
    lines: list[Content] = []
    last: Content | None = None
    for piece in pieces:
        if last is not None and last.cell_length + GAP + piece.cell_length <= width:
            last = Content.assemble(last, " " * GAP, piece)
            lines[-1] = last
            continue
        wrapped = piece.wrap(max(1, width)) if piece.cell_length > width else [piece]
        lines += [line.rstrip() for line in wrapped]
        last = lines[-1]
    return lines
