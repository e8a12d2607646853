"""The card in the middle: one question or one step, large and alone, with its keys.

It shows a `Face` and nothing else. What is chosen, typed or clicked goes up as a message; the
parts that most cards do without (a list, a field) are made when a card first wants them.
"""

from collections.abc import Sequence
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
from tui.app.widgets.flow import Flow
from tui.app.widgets.keycap import KeyCap
from tui.draw.literal import literal
from tui.language import worded, worded_later

MOST_CAPS = 4
TYPING = worded_later("Enter keeps it, Esc clears it")
"""Said in place of the target while a reading is being typed."""
REASONS = 3
"""Reasons that a card gives; all of them stand behind `w`."""
_BINDINGS = {binding.id: binding for binding in keys.SITTING}


class CardPane(Vertical):
    """The card."""

    @dataclass
    class Taken(Message):
        """A line of the card's list was taken; `index` counts from 0."""

        index: int

    @dataclass
    class Read(Message):
        """A reading that makes sense was typed, in the quantity's own unit."""

        value: float

    def __init__(self, face: Face | None = None, length: Length = Length.MM) -> None:
        """Start with `face`, or blank."""
        super().__init__(id="card")
        self._face, self._length = face, length
        self._lead = Static(id="lead", markup=False)
        self._headline = Static(id="headline", markup=False)
        self._slot = Vertical(id="slot")
        self._text = Static(id="text", markup=False)
        self._caution = Static(id="caution", markup=False)
        self._facts = Flow(id="facts")
        self._why = Static(id="why", markup=False)
        self._caps = [KeyCap() for _ in range(MOST_CAPS)]

    def compose(self) -> ComposeResult:
        """Lay the parts out, each shown only on cards that have it."""
        if self._face is not None:
            self._put_words(self._face)
        with VerticalScroll(id="body", can_focus=False):
            yield self._lead
            yield self._headline
            with self._slot:
                yield from self._slot_parts()
            yield self._text
            yield self._caution
            yield self._facts
            yield self._why
        # Outside of what scrolls: the answers are always in sight.
        with Horizontal(id="caps"):
            yield from self._caps

    def on_mount(self) -> None:
        """Put the cursor where a list or field is."""
        self._focus()

    async def show(self, face: Face, length: Length) -> None:
        """Show this face, and put the cursor where its list or field is."""
        new_card = self._face != face or self._length is not length
        self._face, self._length = face, length
        self._put_words(face)
        if new_card:
            self.screen.set_focus(None)
            parts = self._slot_parts()
            if self._slot.children:
                await self._slot.remove_children()
            if parts:
                await self._slot.mount_all(parts)
            self._focus()
            self.query_one("#body").scroll_home(animate=False)

    def wait(self) -> None:
        """Say that the next card is being worked out."""
        for cap in self._caps:
            cap.show(None)
        _put(self._why, Content(worded("Weighing what comes next …")))

    def show_taken(self, rows: Sequence[str]) -> None:
        """Show which of the list's lines are taken; the mark stays where it is."""
        from tui.app.widgets.rowlist import RowList  # noqa: PLC0415 - a first question has no list

        self.query_one(RowList).refill(rows)

    @property
    def marked(self) -> int:
        """Give the line of the card's list that bears the mark, counted from 0."""
        from tui.app.widgets.rowlist import RowList  # noqa: PLC0415 - a first question has no list

        return self.query_one(RowList).highlighted or 0

    def scroll_body(self, lines: int) -> None:
        """Move what is above the keys."""
        self.query_one("#body").scroll_relative(y=lines, animate=False)

    def _put_words(self, face: Face) -> None:
        self._lead.update(Content(face.lead))
        _put(self._headline, Content(face.headline))
        _put(self._text, Content(face.text))
        _put(self._caution, _caution(face.caution))
        self._facts.show(_facts(face.facts))
        _put(self._why, _why(face.why))
        bindings: list[Binding | None] = [_BINDINGS[id_] for id_ in face.caps]
        for cap, binding in zip(self._caps, [*bindings, *[None] * MOST_CAPS], strict=False):
            cap.show(binding)

    def _slot_parts(self) -> list[Widget]:
        face = self._face
        self._slot.display = face is not None and (bool(face.rows) or face.quantity is not None)
        if face is not None and face.rows:
            from tui.app.widgets.rowlist import RowList  # noqa: PLC0415 - a first question has no list

            return [RowList(face.rows)]
        if face is not None and face.quantity is not None:
            from tui.app.widgets.field import ReadingField  # noqa: PLC0415 - many questions have no field

            unit = literal(unit_shown(face.quantity.unit, self._length))
            return [
                Static(Content(literal(face.quantity.title)), classes="before", markup=False),
                Horizontal(
                    ReadingField(),
                    Static(Content(unit), classes="after", markup=False),
                    classes="field",
                ),
                Static(Content(self._target()), id="slip", markup=False),
            ]
        return []

    def _focus(self) -> None:
        wants = next((one for one in self._slot.query("*").results(Widget) if one.can_focus), None)
        if wants is not None:
            wants.focus()

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

    def on_input_changed(self, message: "Message") -> None:
        """While a reading stands in the field, say how it is kept and how it is dropped."""
        from tui.app.widgets.field import ReadingField  # noqa: PLC0415 - as above

        message.stop()
        typed = self.query_one(ReadingField).value
        self.query_one("#slip", Static).update(Content(worded(TYPING) if typed else self._target()))

    def _target(self) -> str:
        return (
            worded("The target is {target}", target=self._face.target)
            if self._face is not None and self._face.target
            else ""
        )

    def on_row_list_taken(self, message: "Message") -> None:
        """Hand up which line was taken."""
        message.stop()
        self.post_message(self.Taken(getattr(message, "index", 0)))


def _put(part: Static, content: Content) -> None:
    part.display = bool(content.plain)
    part.update(content)


def _caution(text: str) -> Content:
    if not text:
        return Content("")
    return Content.assemble((f" ▲ {worded('Caution')} ", "bold $caution on $caution-ground"), " ", text)


def _facts(facts: tuple[tuple[str, str], ...]) -> list[Content]:
    return [Content.assemble((f"{label} ", "$quiet"), value) for label, value in facts]


def _why(why: tuple[str, ...]) -> Content:
    if not why:
        return Content("")
    mark = "· " if len(why) > 1 else ""
    lines = [Content(f"{mark}{sentence}") for sentence in why[:REASONS]]
    return Content("\n").join(lines)
