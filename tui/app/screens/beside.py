"""Two rulesets side by side: what differs in meaning, entry by entry, the two wordings next to each other."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widgets import OptionList, Static

from kb.compare.changes import EntryChange, KeyChange, What, compare
from kb.compare.said import NOT_SAID
from kb.model import Ruleset
from tui.app import keys
from tui.app.look import HEIGHTS, WIDTHS
from tui.app.widgets.keyline import KeyLine
from tui.app.widgets.rowlist import RowList
from tui.draw.literal import literal
from tui.language import worded, worded_count, worded_later

SIGNS = {What.ADDED: "+", What.WITHDRAWN: "−", What.RENAMED: "→", What.CHANGED: "≠"}

_WHAT = {
    What.ADDED: worded_later("added"),
    What.WITHDRAWN: worded_later("withdrawn"),
    What.RENAMED: worded_later("renamed"),
    What.CHANGED: worded_later("changed"),
}


class BesideScreen(Screen[None]):
    """What differs between two rulesets: the entries, and the marked one in both wordings."""

    CSS_PATH = "beside.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [keys.CLOSE]
    HORIZONTAL_BREAKPOINTS = WIDTHS
    VERTICAL_BREAKPOINTS = HEIGHTS

    def __init__(self, mine: Ruleset, other: Ruleset) -> None:
        """Compare `mine` with `other`."""
        super().__init__()
        self._mine, self._other = mine, other
        self.changes = compare(mine, other).entries

    def compose(self) -> ComposeResult:
        """Names above, entries on the left, the two wordings beside them."""
        left, right = (f"{literal(one.title)} {literal(one.version)}" for one in (self._mine, self._other))
        count = len(self.changes)
        said = (
            worded_count("{count} entry differs", "{count} entries differ", count)
            if count
            else worded("they say the same")
        )
        yield Static(
            Content.assemble(
                (left, "bold"),
                (f"  {worded('beside')}  ", "$quiet"),
                (right, "bold"),
                (f"   {said}", "$quiet"),
            ),
            id="beside-head",
            markup=False,
        )
        with Horizontal(id="beside"):
            yield RowList([_row(one) for one in self.changes], numbered=False)
            with VerticalScroll(id="wordings", can_focus=False):
                yield Vertical(id="keys")
        yield KeyLine()

    def on_mount(self) -> None:
        """Mark the first."""
        self.query_one(KeyLine).name_keys([keys.SCROLL, keys.CLOSE])
        self.query_one(RowList).focus()

    async def on_option_list_option_highlighted(self, message: OptionList.OptionHighlighted) -> None:
        """Show the marked entry in both wordings."""
        message.stop()
        place = self.query_one("#keys", Vertical)
        await place.remove_children()
        if message.option_index < len(self.changes):
            await place.mount_all(_wordings(self.changes[message.option_index]))

    def on_row_list_taken(self, message: RowList.Taken) -> None:
        """Nothing more to take: the wordings stand there already."""
        message.stop()

    def action_close(self) -> None:
        """Go back to the text."""
        self.app.pop_screen()


def _row(change: EntryChange) -> Content:
    return Content.assemble(
        (f"{SIGNS[change.what]} ", "bold"),
        literal(change.id or change.title),
        (f"  {change.section}", "$quiet"),
    )


def _wordings(change: EntryChange) -> list[Horizontal | Static]:
    head = f"{worded(_WHAT[change.what])}: {change.title or change.id}"
    if change.old_id:
        head = worded("{head} (was {old_id})", head=head, old_id=change.old_id)
    parts: list[Horizontal | Static] = [Static(Content.styled(literal(head), "bold"), markup=False)]
    for key in change.keys:
        parts.append(Static(Content.styled(literal(".".join(key.key)), "underline $quiet"), markup=False))
        parts.append(
            Horizontal(
                Static(_said(key, after=False), markup=False),
                Static(_said(key, after=True), markup=False),
                classes="pair",
            )
        )
    return parts


def _said(key: KeyChange, *, after: bool) -> Content:
    said = key.after if after else key.before
    return Content.styled(worded(NOT_SAID), "italic $quiet") if said is None else Content(literal(said.words))
