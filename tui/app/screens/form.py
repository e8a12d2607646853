"""A form for one entry: every key that its kind of entry may say, each explained where it is filled in.

The form gives back the whole entry as a value; `kb.edit` puts it into the text, so that comments,
quotes and line ends of everything else stay.
"""

from collections.abc import Sequence
from typing import ClassVar, Final

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.events import DescendantFocus
from textual.screen import ModalScreen
from textual.suggester import Suggester
from textual.widgets import Input, Static

from kb.edit import mapping
from kb.schema.fields import Field, Form
from kb.value import Value
from tui.app import keys
from tui.app.formfield import HINTS, is_one_line, read_back, typed_of
from tui.app.look import WIDTHS
from tui.app.widgets.keyline import KeyLine
from tui.app.widgets.stillinput import StillInput
from tui.draw.literal import literal
from tui.language import worded, worded_later

SEVERAL: Final = worded_later("(cannot stand on one line: change it in the text)")


class LastWord(Suggester):
    """Completes the id or the word of chance that is being typed last on a line."""

    def __init__(self, words: Sequence[str]) -> None:
        """Know these words."""
        super().__init__(use_cache=False, case_sensitive=True)
        self._words = tuple(words)

    async def get_suggestion(self, value: str) -> str | None:
        """Give the line with its last word completed."""
        begun = value.rpartition(" ")[2].lstrip("[{,")
        found = next(
            (word for word in self._words if begun and word.startswith(begun) and word != begun), None
        )
        return None if found is None else value[: len(value) - len(begun)] + found


class FormSheet(ModalScreen[Value | None]):
    """One entry, key by key. Gives back the entry as it shall be, or None when nothing is to change."""

    CSS_PATH = "sheet.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*keys.FORM]
    HORIZONTAL_BREAKPOINTS = WIDTHS

    def __init__(
        self,
        heading: str,
        fields: Sequence[Field],
        entry: Value | None,
        words: Sequence[str],
        *,
        below: Value | None = None,
        base: str = "",
    ) -> None:
        """Show `entry` (None: a new one) by these keys; `words` are offered while typing.

        `below` is what the text called `base` says of it: what is left empty stays as it is there.
        """
        super().__init__()
        self._below, self._base = below, base
        self._heading, self._fields, self._entry = heading, tuple(fields), entry
        self._suggester = LastWord(words)

    def compose(self) -> ComposeResult:
        """Put a line for each key."""
        with Vertical(classes="sheet -form"):
            yield Static(Content(self._heading), classes="heading", markup=False)
            with VerticalScroll(can_focus=False):
                for field in self._fields:
                    yield from self._line(field)
            yield Static("", classes="hint", markup=False)
            yield KeyLine()

    def _line(self, field: Field) -> ComposeResult:
        value = self._value(field)
        open_ = is_one_line(value)
        with Horizontal(classes="asked"):
            star = "*" if field.is_required and self._below is None else " "
            yield Static(Content(f"{star} {field.title}"), classes="label", markup=False)
            yield StillInput(
                literal(typed_of(value, field.form)) if open_ else worded(SEVERAL),
                compact=True,
                disabled=not open_,
                placeholder=self._said_below(field),
                suggester=None if field.form is Form.TEXT else self._suggester,
                id=f"key-{field.key}",
            )

    def on_mount(self) -> None:
        """Put the cursor into the first line."""
        self.query_one(KeyLine).name_keys(keys.FORM)
        first = next((one for one in self.query(Input) if not one.disabled), None)
        if first is not None:
            first.focus()

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """Explain the key that the cursor is at."""
        field = next((one for one in self._fields if event.widget.id == f"key-{one.key}"), None)
        if field is not None:
            below = (
                worded("Left empty it stays as {base} has it.", base=literal(self._base))
                if self._base
                else ""
            )
            said = [field.says, " | ".join(field.choices), worded(HINTS.get(field.form, "")), below]
            self._hint(" ".join(one for one in said if one))

    @on(Input.Submitted)
    def go_on(self, message: Input.Submitted) -> None:
        """Go to the next line."""
        message.stop()
        self.focus_next(Input)

    def action_next_line(self, by: int) -> None:
        """Go up or down."""
        (self.focus_next if by > 0 else self.focus_previous)(Input)

    def action_keep_form(self) -> None:
        """Give back the entry; what cannot be read is said, and the form stays."""
        says: list[tuple[str, Value]] = []
        for field in self._in_order():
            before, line = self._value(field), self.query_one(f"#key-{field.key}", Input)
            typed = line.value.strip()
            if line.disabled or typed == literal(typed_of(before, field.form)).strip():
                value: Value | str | None = before
            else:
                value = read_back(typed, field) if typed else None
            if isinstance(value, str):
                line.focus()
                self._hint(f"▲ {value}")
                return
            if value is not None:
                says.append((field.key, value))
        if self._below is not None and not says:
            self._hint(worded("▲ Nothing is changed: type what shall differ, or Esc."))
            return
        self.dismiss(mapping(says))

    def action_close(self) -> None:
        """Change nothing."""
        self.dismiss(None)

    def _in_order(self) -> list[Field]:
        """Give the keys as the entry has them, then the others as the schema has them."""
        said = [pair.key for pair in self._entry.pairs()] if self._entry is not None else []
        return sorted(
            self._fields, key=lambda field: said.index(field.key) if field.key in said else len(said)
        )

    def _said_below(self, field: Field) -> str:
        below = None if self._below is None else self._below.get(field.key)
        if below is None:
            return ""
        return literal(typed_of(below, field.form)) if is_one_line(below) else worded("(several lines)")

    def _value(self, field: Field) -> Value | None:
        return None if self._entry is None else self._entry.get(field.key)

    def _hint(self, text: str) -> None:
        self.query_one(".hint", Static).update(Content(text))
