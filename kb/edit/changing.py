"""Write a value in place of another, in the style in which that one stands."""

from kb.edit.draft import Cut, Draft, redrawn
from kb.edit.made import KeyPath, at, put
from kb.edit.page import Page
from kb.edit.writing import ALWAYS_FOLD, after_key, block_item, in_flow, text_of
from kb.problem import Problem
from kb.text import Span
from kb.value import Items, Pairs, Value


def written_anew(draft: Draft, path: KeyPath, old: Value, value: Value) -> Draft | Problem:
    """Write `value` over `old`, which stands at `path`."""
    page = Page.of(draft)
    above = key_span(draft.tree, path)
    if not path or in_brackets(page, draft.tree, path):
        cut = _between_brackets(page, old, value)
    elif above is None:
        cut = _behind_a_dash(page, draft.tree, path, old, value)
    else:
        cut = _behind_a_colon(page, above, old, value)
    return redrawn(draft, (cut,), put(draft.tree, path, value))


def _between_brackets(page: Page, old: Value, value: Value) -> Cut:
    begin, end = page.begin(old.span), page.end(old)
    if isinstance(value.data, Items | Pairs):
        text = in_flow(value)
    else:
        text = text_of(value.data, flow=True, quotes=_quotes(page, old))
    return Cut(begin, end, text if end > begin else f" {text}")


def _behind_a_dash(page: Page, tree: Value, path: KeyPath, old: Value, value: Value) -> Cut:
    whole = at(tree, path[:-1])
    part = page.parts(whole)[int(path[-1])] if whole is not None else None
    begin = page.begin(old.span) if part is None else part.begin
    has_lines = isinstance(old.data, Pairs) and not page.is_flow(old)
    text, end = block_item(value, page.column(begin), lines=has_lines), page.end(old)
    if "\n" not in text or has_lines:
        return Cut(begin, end, text)
    behind = page.past_comment(end)
    return Cut(begin, behind, _with_comment(text, page.text[end:behind]))


def _behind_a_colon(page: Page, key: Span, old: Value, value: Value) -> Cut:
    begin, end = page.begin(old.span), page.end(old)
    here = page.text[begin:end]
    is_group = isinstance(value.data, Items | Pairs)
    if is_group and page.is_flow(old):
        return Cut(begin, end, in_flow(value))
    is_block = here[:1] in {"|", ">"}
    column = page.column(page.begin(key))
    room = ALWAYS_FOLD if is_block else column + key.end_column - key.column + 2
    text = after_key(value, column, quotes=_quotes(page, old), room=room)
    after = page.after_colon(key)
    comment = page.past_comment(after)
    if text.startswith("\n") and comment > after:
        return Cut(comment, max(comment, end), text)  # a comment behind the colon stays there
    if is_block:
        head = here.partition("\n")[0]
        return Cut(after, end, _with_comment(text, head[len(head.split(" ")[0]) :]))
    if "\n" in text:
        behind = page.past_comment(end)
        return Cut(after, behind, _with_comment(text, page.text[end:behind]))
    if end > begin and not text.startswith("\n") and page.places.line(after) == page.places.line(begin):
        return Cut(begin, end, text[1:])
    return Cut(after, max(after, end), text)


def _with_comment(text: str, comment: str) -> str:
    """Put a comment behind the first line of what replaces its value: behind the last it might be text."""
    first, end, rest = text.partition("\n")
    return first + comment.rstrip() + end + rest


def _quotes(page: Page, old: Value) -> str:
    """Give the quotes in which a text stands."""
    here = page.text[page.begin(old.span) :][:1]
    return here if isinstance(old.data, str) and here in {"'", '"'} else ""


def in_brackets(page: Page, tree: Value, path: KeyPath) -> bool:
    """Whether the value at `path` stands inside brackets that belong to something round about it."""
    wholes = (at(tree, path[:depth]) for depth in range(len(path)))
    return any(whole is not None and page.is_flow(whole) for whole in wholes)


def key_span(tree: Value, path: KeyPath) -> Span | None:
    """Give the place of the key at the end of `path`; None at the top and for an item of a list."""
    if not path or isinstance(path[-1], int):
        return None
    whole = at(tree, path[:-1])
    return next((p.key_span for p in (whole.pairs() if whole else ()) if p.key == path[-1]), None)
