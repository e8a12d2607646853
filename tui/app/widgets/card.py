"""The card in the middle: one question or one step, large and alone, with its keys.

It shows a `Face` and nothing else. What is chosen, typed or clicked goes up as a message; the
parts that most cards do without (a list, a field) are made when a card first wants them.
"""

from dataclasses import dataclass

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from kb.units import Length, unit_shown
from tui.app import keys
from tui.app.face import Face
from tui.app.reading import Slip, read_number
from tui.app.widgets.keycap import KeyCap

MOST_CAPS = 4
REASONS = 3
"""Reasons that a card gives; all of them stand behind `w`."""
_BINDINGS = {binding.id: binding for binding in keys.SITTING}


class CardPane(VerticalScroll, can_focus=False):
    """The card."""

    @dataclass
    class Taken(Message):
        """A line of the card's list was taken; `index` counts from 0."""

        index: int

    @dataclass
    class Read(Message):
        """A reading that makes sense was typed, in the quantity's own unit."""

        value: float

    def __init__(self) -> None:
        """Start blank."""
        super().__init__(id="card")
        self._face: Face | None = None
        self._length = Length.MM

    def compose(self) -> ComposeResult:
        """Lay the parts out, each shown only on cards that have it."""
        yield Static(id="lead", markup=False)
        yield Static(id="headline", markup=False)
        yield Static(id="text", markup=False)
        yield Static(id="caution", markup=False)
        yield Static(id="facts", markup=False)
        yield Vertical(id="slot")
        with Horizontal(id="caps"):
            for _ in range(MOST_CAPS):
                yield KeyCap()
        yield Static(id="why", markup=False)

    async def show(self, face: Face, length: Length) -> None:
        """Show this face, and put the cursor where its list or field is."""
        new_card = self._face != face or self._length is not length
        self._face, self._length = face, length
        self.set_classes(f"-{face.kind}")
        self._put("#lead", Content(face.lead))
        self._put("#headline", Content(face.headline))
        self._put("#text", Content(face.text))
        self._put("#caution", _caution(face.caution))
        self._put("#facts", _facts(face.facts))
        self._put("#why", _why(face.why))
        bindings: list[Binding | None] = [_BINDINGS[id_] for id_ in face.caps]
        for cap, binding in zip(self.query(KeyCap), [*bindings, *[None] * MOST_CAPS], strict=False):
            cap.show(binding)
        if new_card:
            await self._fill_slot(face, length)
            self.scroll_home(animate=False)

    @property
    def marked(self) -> int:
        """Give the line of the card's list that bears the mark, counted from 0."""
        from tui.app.widgets.rowlist import RowList  # noqa: PLC0415 - a first question has no list

        return self.query_one(RowList).highlighted or 0

    def _put(self, selector: str, content: Content) -> None:
        part = self.query_one(selector, Static)
        part.display = bool(content.plain)
        part.update(content)

    async def _fill_slot(self, face: Face, length: Length) -> None:
        slot = self.query_one("#slot", Vertical)
        slot.display = bool(face.rows) or face.quantity is not None
        self.screen.set_focus(None)
        await slot.remove_children()
        if face.rows:
            from tui.app.widgets.rowlist import RowList  # noqa: PLC0415 - a first question has no list

            rows = RowList(face.rows)
            await slot.mount(rows)
            rows.focus()
        elif face.quantity is not None:
            from tui.app.widgets.field import ReadingField  # noqa: PLC0415 - many questions have no field

            before = f"{face.quantity.title}"
            unit = unit_shown(face.quantity.unit, length)
            after = f"{unit}   wanted: {face.target}" if face.target else unit
            parts: list[Widget] = [
                Static(Content(before), classes="before", markup=False),
                ReadingField(),
                Static(Content(after), classes="after", markup=False),
            ]
            await slot.mount(Horizontal(*parts, classes="field"), Static(id="slip", markup=False))
            self.query_one(ReadingField).focus()

    def on_reading_field_submitted(self, message: "Message") -> None:
        """Judge what was typed; say what is wrong with it, or hand it up."""
        from tui.app.widgets.field import ReadingField  # noqa: PLC0415 - as above

        face = self._face
        if not isinstance(message, ReadingField.Submitted) or face is None or face.quantity is None:
            return
        message.stop()
        value = read_number(message.value, face.quantity, self._length)
        if isinstance(value, Slip):
            self.query_one("#slip", Static).update(Content(f"▲ {value.sentence}"))
        else:
            self.post_message(self.Read(value))

    def on_row_list_taken(self, message: "Message") -> None:
        """Hand up which line was taken."""
        message.stop()
        self.post_message(self.Taken(getattr(message, "index", 0)))


def _caution(text: str) -> Content:
    if not text:
        return Content("")
    return Content.assemble((" ▲ Caution ", "bold $caution on $caution-ground"), " ", text)


def _facts(facts: tuple[tuple[str, str], ...]) -> Content:
    width = max((len(label) for label, _ in facts), default=0)
    lines = [Content.assemble((f"{label:<{width}}  ", "$quiet"), value) for label, value in facts]
    return Content("\n").join(lines)


def _why(why: tuple[str, ...]) -> Content:
    if not why:
        return Content("")
    lines = [Content.assemble(("· ", "$quiet"), sentence) for sentence in why[:REASONS]]
    return Content("\n").join([Content.styled("Why", "$quiet"), *lines])
