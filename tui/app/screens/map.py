"""The map: walk from what shows to why to what helps, by arrows; what is known of a reed coloured in."""

from typing import ClassVar, Final

from textual import work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

from kb.graph import graph_of
from kb.log.entry import Entry
from kb.log.replay import ReedHistory
from kb.model import Ruleset
from kb.notes import NoteNames
from kb.units import Length
from tui.app import keys
from tui.app.entrypage import entry_page
from tui.app.look import HEIGHTS, WIDTHS
from tui.app.marks import LEGEND, Marks
from tui.app.screens.sheet import ChoiceSheet, PageSheet, Row
from tui.app.walk import Walk
from tui.app.widgets.keyline import KeyLine
from tui.app.widgets.mapcolumns import MapColumns
from tui.draw.literal import literal
from tui.draw.outline import draw_outline
from tui.draw.terminal import LEGEND as STROKES
from tui.draw.terminal import draw_map
from tui.language import worded, worded_later

SIGNS: Final = worded_later("● symptom ○ sign ◆ cause ■ remedy □ rest")
LINKS: Final = worded_later("━ strong ─ middling ┄ weak ═ may provoke · through another")


class MapScreen(Screen[None]):
    """One ruleset, walked."""

    CSS_PATH = "map.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*keys.MAP_WALK]
    HORIZONTAL_BREAKPOINTS = WIDTHS
    VERTICAL_BREAKPOINTS = HEIGHTS

    def __init__(
        self,
        ruleset: Ruleset,
        marks: Marks,
        length: Length,
        at: str = "",
        names: NoteNames = NoteNames.ENGLISH,
        reed: tuple[ReedHistory, tuple[Entry, ...]] | None = None,
    ) -> None:
        """Start at the entry `at`, or at the first. `reed` is what the marks are of: for files."""
        super().__init__()
        self._reed = reed
        self._ruleset, self._marks, self._length, self._names = ruleset, marks, length, names
        self.walk = Walk.begin(graph_of(ruleset), at)

    def compose(self) -> ComposeResult:
        """Columns, the marked entry in full, and the meaning of the signs."""
        yield Static(id="map-head", markup=False)
        with Vertical(id="map"):
            yield MapColumns()
            with VerticalScroll(id="entry", can_focus=False):
                yield Static(id="entry-page", markup=False)
        signs = LEGEND if self._marks.by_id else SIGNS
        yield Static(Content.styled(f"{worded(signs)}\n{worded(LINKS)}", "$quiet"), id="legend", markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        """Show where the walk begins."""
        self.query_one(KeyLine).name_keys([*keys.MAP_WALK, keys.HELP, keys.LEAVE])
        self._show()

    def action_walk(self, across: int, down: int) -> None:
        """Go to a neighbour, or along the column."""
        self._go(self.walk.sideways(across) if across else self.walk.moved(down))

    def action_focus_entry(self) -> None:
        """Show only what has to do with the marked entry."""
        self._go(self.walk.focused())

    def action_widen(self) -> None:
        """Go back to where the focus was changed; from the whole map, leave."""
        before = self.walk.back()
        if before is None:
            self.app.pop_screen()
        else:
            self._go(before)

    @work(exclusive=True, group="asking")
    async def action_seek(self) -> None:
        """Find an entry by a few letters."""
        rows = [
            Row(entry.id, literal(entry.title), worded(entry.kind.value), entry.id)
            for entry in self.walk.whole.entries
        ]
        chosen = await self.app.push_screen_wait(ChoiceSheet(worded("Find on the map"), rows, search=True))
        if chosen is not None:
            self._go(self.walk.to(chosen))

    def action_drawing(self) -> None:
        """Show the part round the marked entry with all its lines; in words where they are too many."""
        part = self.walk.whole.about(self.walk.at) if self.walk.at else self.walk.whole
        marked = self.walk.marked
        title = literal(marked.title) if marked is not None else literal(self._ruleset.title)

        def page(width: int) -> Content:
            lines = draw_map(part, min(width, PageSheet.WIDEST))
            drawn = (
                draw_outline(self._ruleset, part) if lines is None else (*lines, "", *map(worded, STROKES))
            )
            return Content("\n".join(drawn))

        self.app.push_screen(PageSheet(title, page, drawn=True))

    def action_outline(self) -> None:
        """Show all that the focus leaves, line by line, in words."""
        page = Content("\n".join(draw_outline(self._ruleset, self.walk.part)))
        self.app.push_screen(PageSheet(literal(self._ruleset.title), page))

    @work(exclusive=True, group="keeping")
    async def action_keep_file(self) -> None:
        """Keep what is shown as a file: the map as it stands, or what goes with it."""
        from tui.app.screens.keeping import keep_as_file  # noqa: PLC0415 - only when something is kept
        from tui.offering import Subject  # noqa: PLC0415 - the same

        reed, entries = self._reed if self._reed is not None else (None, ())
        subject = Subject(self._ruleset, self._length, self.walk.part, self.walk.at, reed, entries)
        await keep_as_file(self.app, subject)

    def action_scroll_entry(self, lines: int) -> None:
        """Read the rest of a long entry."""
        self.query_one("#entry").scroll_relative(y=lines, animate=False)

    def on_map_columns_pointed(self, message: MapColumns.Pointed) -> None:
        """Go where the mouse points."""
        message.stop()
        self._go(self.walk.to(message.id))

    def _go(self, walk: Walk) -> None:
        if walk != self.walk:
            self.walk = walk
            self._show()

    def _show(self) -> None:
        walk = self.walk
        self.query_one(MapColumns).show(walk, self._marks)
        focus = walk.whole.entry(walk.focus) if walk.focus else None
        head: list[Content | str | tuple[str, str]] = [(literal(self._ruleset.title), "bold")]
        if self._marks.reed:
            head.append((f"   {worded('reed')} ", "$quiet"))
            head.append(literal(self._marks.reed))
        if focus is not None:
            head.append((f"   {worded('only round')} ", "$quiet"))
            head.append(literal(focus.title))
        self.query_one("#map-head", Static).update(Content.assemble(*head))
        page = entry_page(self._ruleset, walk.at, self._marks.of(walk.at), self._length, self._names)
        self.query_one("#entry-page", Static).update(page)
        self.query_one("#entry").scroll_home(animate=False)
