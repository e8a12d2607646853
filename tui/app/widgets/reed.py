"""The reed, drawn as large as its pane allows, with the zone that is meant lit and named."""

from collections.abc import Sequence
from typing import Final

from textual.content import Content
from textual.widget import Widget

from kb.ids import ZoneId
from kb.model import Zone
from tui.draw.blade import Ink, draw_reed
from tui.draw.literal import literal
from tui.language import worded

CAPTION: Final = 2
"""Lines below the drawing, for the zone's name."""
_STYLES: Final = {
    Ink.EMPTY: "",
    Ink.CANE: "$cane on $cane-ground",
    Ink.EDGE: "$cane",
    Ink.TUBE: "$quiet",
    Ink.WIRE: "$wire",
    Ink.LIT: "$lit",
}


class ReedPicture(Widget):
    """Blade from above, tip up, left on the left. Zones without a polygon are only named."""

    zones: tuple[Zone, ...] = ()
    lit: ZoneId | None = None
    blade_up: str = ""

    def show(self, zones: Sequence[Zone], lit: ZoneId | None, blade_up: str = "") -> None:
        """Draw these zones, `lit` shining."""
        if (tuple(zones), lit, blade_up) != (self.zones, self.lit, self.blade_up):
            self.zones, self.lit, self.blade_up = tuple(zones), lit, blade_up
            self.refresh()

    def render(self) -> Content:
        """Draw into whatever room there is."""
        width, height = self.content_size
        caption = self._caption(width)
        # As many lines whatever is named: the reed must not jump from one question to the next.
        rows = height - CAPTION - 1
        drawing = draw_reed(self.zones, self.lit, width - 6, rows)
        lines = (
            [] if drawing is None else self._drawn(drawing.lines, drawing.columns, width, drawing.blade_rows)
        )
        return Content("\n").join([*lines, *caption])

    def _drawn(
        self, rows: Sequence[Sequence[tuple[str, Ink]]], columns: int, width: int, blade: int
    ) -> list[Content]:
        pad, left_hand = (width - columns) // 2, worded("L")
        lines = [Content.styled(f"{worded('tip'):^{width}}", "$quiet")]
        for number, row in enumerate(rows):
            side = number == blade // 2
            left = f"{f'{left_hand} ' if side else '':>{pad}}"
            content = Content.assemble((left, "$quiet"), *((glyphs, _STYLES[ink]) for glyphs, ink in row))
            lines.append(Content.assemble(content, (f" {worded('R')}" if side else "", "$quiet")))
        return lines

    def _caption(self, width: int) -> list[Content]:
        zone = next((one for one in self.zones if one.id == self.lit), None)
        if zone is None:
            return []
        named = Content.assemble(("█ ", "$lit"), (literal(zone.title), "bold"))
        return [line.center(width).rstrip() for line in named.wrap(width)[:CAPTION]]
