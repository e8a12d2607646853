"""A value of a ruleset as a line to type, and the line read back as a value."""

from typing import Final

from kb.edit import scalar
from kb.edit.writing import UnwritableError, in_flow
from kb.schema.fields import Field, Form
from kb.source import read
from kb.text import SourceText
from kb.value import Value
from tui.language import worded, worded_later

_FRAMES: Final = {Form.LIST: ("[", "]"), Form.PAIRS: ("{", "}")}
HINTS: Final = {
    Form.LIST: worded_later("one after the other, with commas between"),
    Form.PAIRS: worded_later("such as: some-id: usually, another: 0.3"),
    Form.WHOLE: worded_later("as the file writes it on one line"),
}


def typed_of(value: Value | None, form: Form) -> str:
    """Give the line that a value is typed as; nothing where there is no value."""
    if value is None or value.data is None:
        return ""
    if form is Form.TEXT and isinstance(value.data, str):
        return value.data
    flow = in_flow(value)
    opening, closing = _FRAMES.get(form, ("", ""))
    framed = bool(opening) and flow.startswith(opening) and flow.endswith(closing)
    return flow[1:-1] if framed else flow


def read_back(typed: str, field: Field) -> Value | str:
    """Give the value that a line says, or what is wrong with it."""
    if field.form is Form.TEXT:
        return scalar(typed)
    opening, closing = _FRAMES.get(field.form, ("", ""))
    if opening and typed.startswith(opening) and typed.endswith(closing):
        opening = closing = ""
    found = read(SourceText.of(field.key, f"value: {opening}{typed}{closing}\n"))
    value = None if found.tree is None else found.tree.get("value")
    if value is None or found.problems or len(found.tree.pairs() if found.tree else ()) != 1:
        said = found.problems[0].message if found.problems else worded("this cannot be read")
        return f"{field.title}: {said}"
    if field.form is Form.WORD and not isinstance(value.data, str | int | float | bool):
        return worded("{title}: one word or one number is wanted", title=field.title)
    return value


def is_one_line(value: Value | None) -> bool:
    """Whether a value can be changed on a line.

    A text of several lines is changed in the text itself, and so is what no ruleset may hold.
    """
    try:
        return value is None or "\n" not in typed_of(value, Form.TEXT)
    except UnwritableError:
        return False
