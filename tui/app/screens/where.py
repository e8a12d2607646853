"""Where a step is done, shown before it is done: the reed, large, with the zone lit, and the caution."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from kb.ids import ZoneId
from kb.model import Remedy, Ruleset
from tui.app import keys
from tui.app.widgets.keyline import KeyLine
from tui.app.widgets.reed import ReedPicture
from tui.draw.literal import literal
from tui.language import worded


class WhereSheet(ModalScreen[None]):
    """One zone of the reed."""

    CSS_PATH = "sheet.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [keys.CLOSE, keys.SEEN]

    def __init__(self, ruleset: Ruleset, zone: ZoneId, operation: Remedy | None) -> None:
        """Show `zone`, and what is done there."""
        super().__init__()
        self._ruleset, self._zone, self._operation = ruleset, zone, operation

    def compose(self) -> ComposeResult:
        """Put the reed, and the caution under it."""
        operation = self._operation
        with Vertical(classes="sheet -where"):
            if operation is not None:
                yield Static(Content(literal(operation.title)), classes="heading", markup=False)
            yield ReedPicture()
            if operation is not None and operation.caution:
                mark = (f" ▲ {worded('Caution')} ", "bold $caution on $caution-ground")
                caution = Content.assemble(mark, " ", literal(operation.caution))
                yield Static(caution, classes="caution", markup=False)
            yield KeyLine()

    def on_mount(self) -> None:
        """Light the zone."""
        self.query_one(ReedPicture).show(self._ruleset.zones, self._zone)
        self.query_one(KeyLine).name_keys([keys.SEEN])

    def action_close(self) -> None:
        """Go back to the card."""
        self.dismiss(None)
