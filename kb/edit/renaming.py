"""Give an entry another id, everywhere in the file that speaks of it."""

from collections.abc import Set as AbstractSet

from kb.edit.draft import Cut, Draft, redrawn
from kb.edit.page import Page
from kb.edit.references import mentions
from kb.edit.writing import text_of
from kb.ids import RESERVED, is_well_formed
from kb.naming import SECTIONS, SHARED, Kind
from kb.nearest import hint
from kb.problem import Problem
from kb.text import Span
from kb.value import Items, Pair, Pairs, Value

_KINDS = {section: kind for section, kind, _ in SECTIONS} | {"priorities": Kind.PRIORITY}


def renamed(draft: Draft, section: str, old: str, new: str) -> Draft | Problem:
    """Call the entry `old` of `section` `new`, with every reference to it in this file.

    A layer over another ruleset may speak of an entry that its base declares: then its references
    follow. The base itself is another file and stays as it is.
    """
    kind = _KINDS.get(section)
    if kind is None:
        return draft.refuse(f"{section!r} is no section of entries with ids", hint(section, _KINDS))
    found = [one for one in mentions(draft.tree) if one.kind is kind]
    spans = {one.span for one in found if one.id == old}
    if not spans:
        return draft.refuse(f"no {kind} is called {old!r}", hint(old, {one.id for one in found}))
    if old == new:
        return draft
    if not is_well_formed(new) or new in RESERVED:
        why = (
            "it stands for a step" if new in RESERVED else "an id is small letters, digits and single hyphens"
        )
        return draft.refuse(f"{new!r} cannot be an id", f"{why}; choose another word")
    rivals = SHARED if kind in SHARED else {kind}
    taken = next((one for one in mentions(draft.tree) if one.kind in rivals and one.id == new), None)
    if taken is not None:
        return draft.refuse(
            f"{new!r} is the id of a {taken.kind} already", "choose another word", at=taken.span
        )
    page = Page.of(draft)
    cuts = [_over(page, span, old, new) for span in spans]
    return redrawn(draft, cuts, _with_names(draft.tree, spans, new))


def _over(page: Page, span: Span, old: str, new: str) -> Cut:
    """Write the new id over the old, in its quotes or in its block if it stands in one."""
    begin, end = page.begin(span), page.places.offset(span.end_line, span.end_column)
    sign = page.text[begin]
    if sign in "|>":
        at = page.text.rindex(old, begin, end)
        return Cut(at, at + len(old), new)
    return Cut(begin, end, text_of(new, flow=True, quotes=sign if sign in "'\"" else ""))


def _with_names(value: Value, spans: AbstractSet[Span], new: str) -> Value:
    """Give the value with `new` at each of the places."""
    match value.data:
        case Pairs(pairs=pairs):
            renamed_pairs = (
                Pair(new if p.key_span in spans else p.key, p.key_span, _with_names(p.value, spans, new))
                for p in pairs
            )
            return Value(Pairs(tuple(renamed_pairs)), value.span)
        case Items(items=items):
            return Value(Items(tuple(_with_names(item, spans, new) for item in items)), value.span)
        case str() if value.span in spans:
            return Value(new, value.span)
        case _:
            return value
