"""Forms on the text of a ruleset: which entry is meant, what is offered, and how the text comes back."""

from collections.abc import Iterable
from typing import Final

from textual.app import App

from kb.edit import Draft, at, changed, with_entry
from kb.model import WORDS
from kb.problem import Problem
from kb.schema.fields import Field, fields
from tui.app.margin import Judged
from tui.app.screens.form import FormSheet
from tui.app.screens.sheet import ChoiceSheet, LineSheet, Row
from tui.draw.literal import literal
from tui.language import worded, worded_later
from tui.manuscript import SECTIONS, Manuscript, Passage

NO_ENTRY: Final = worded_later("The cursor stands in no entry that has a form. F2 goes to one, F9 makes one.")
_LISTS: Final = frozenset({"priorities", "trials"})
_ONE: Final = {
    "priorities": worded_later("priority"),
    "symptoms": worded_later("symptom"),
    "signs": worded_later("sign"),
    "causes": worded_later("cause"),
    "remedies": worded_later("remedy"),
    "rests": worded_later("rest"),
    "quantities": worded_later("quantity"),
    "thickness": worded_later("thickness"),
    "tools": worded_later("tool"),
    "zones": worded_later("zone"),
    "charts": worded_later("chart"),
    "trials": worded_later("trial"),
    "sources": worded_later("source"),
    "words": worded_later("word"),
    "glossary": worded_later("glossary"),
}
"""One entry of each section."""


async def fill_in(app: App[int], page: Manuscript, passage: Passage | None, judged: Judged) -> str | None:
    """Show the form of an entry; give the text as it is with the entry changed, or None."""
    asked = () if passage is None else fields(passage.section)
    if passage is None or not asked:
        app.notify(worded(NO_ENTRY), markup=False)
        return None
    draft = _draft(app, page)
    entry = None if draft is None else at(draft.tree, passage.path)
    if draft is None or entry is None:
        return None
    heading = f"{worded(_ONE[passage.section]).capitalize()} {literal(passage.id)}"
    value = await app.push_screen_wait(FormSheet(heading, asked, entry, words(judged.ids(), asked)))
    return None if value is None else _text_of(app, changed(draft, passage.path, value))


async def add_entry(app: App[int], page: Manuscript, judged: Judged) -> str | None:
    """Ask for a kind and an id, show an empty form; give the text with the entry, or None."""
    draft = _draft(app, page)
    if draft is None:
        return None
    rows = [Row(section, worded(_ONE[section])) for section in SECTIONS if fields(section)]
    section = await app.push_screen_wait(ChoiceSheet(worded("A new entry of which kind?"), rows))
    if section is None:
        return None
    id_ = "" if section in _LISTS else await _ask_id(app, section, judged.passages)
    if id_ is None:
        return None
    inherited = next((one for one in judged.inherited if (one.section, one.id) == (section, id_)), None)
    if inherited is not None:
        return await change_inherited(app, page, inherited, judged)
    asked = fields(section)
    value = await app.push_screen_wait(
        FormSheet(
            worded("New {kind} {id}", kind=worded(_ONE[section]), id=id_).strip(),
            asked,
            None,
            words(judged.ids(), asked),
        )
    )
    return None if value is None else _text_of(app, with_entry(draft, section, id_, value))


async def change_inherited(app: App[int], page: Manuscript, passage: Passage, judged: Judged) -> str | None:
    """Show the form of an entry that the text inherits; give the text with what differs, or None."""
    draft, asked = _draft(app, page), fields(passage.section)
    if draft is None or not asked:
        return None
    heading = worded(
        "{kind} {id}, inherited: change it for this ruleset",
        kind=worded(_ONE[passage.section]).capitalize(),
        id=literal(passage.id),
    )
    offered = words(judged.ids(), asked)
    value = await app.push_screen_wait(
        FormSheet(heading, asked, None, offered, below=judged.below(passage), base=passage.base)
    )
    return None if value is None else _text_of(app, with_entry(draft, passage.section, passage.id, value))


def words(ids: Iterable[str], asked: Iterable[Field]) -> list[str]:
    """Give what is offered while typing: ids, words of chance, choices."""
    choices = [choice for field in asked for choice in field.choices]
    return [*choices, *ids, *WORDS]


async def _ask_id(app: App[int], section: str, known: tuple[Passage, ...]) -> str | None:
    taken = {one.id for one in known if one.section == section}
    hint, typed = worded("Small letters, digits and hyphens, such as: tip-too-thick"), ""
    while True:
        id_ = await app.push_screen_wait(
            LineSheet(worded("The id of the new {kind}", kind=worded(_ONE[section])), hint, typed)
        )
        if id_ is None:
            return None
        if id_ not in taken:
            return id_
        hint, typed = worded("▲ {id} is there already.", id=literal(id_)), id_


def _draft(app: App[int], page: Manuscript) -> Draft | None:
    draft = Draft.of(page.name, page.content)
    if isinstance(draft, Problem):
        _refuse(app, draft)
        return None
    return draft


def _text_of(app: App[int], draft: Draft | Problem) -> str | None:
    if isinstance(draft, Problem):
        _refuse(app, draft)
        return None
    return draft.text


def _refuse(app: App[int], problem: Problem) -> None:
    said = f"{problem.span.line}:{problem.span.column} {problem.message}. {problem.hint}".strip()
    app.notify(literal(said), severity="error", timeout=20, markup=False)
