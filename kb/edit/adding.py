"""Add a pair to a mapping or an item to a list, in the style of its neighbours.

Gives cuts and draws nothing: what the text shall mean afterwards is known to whoever asks.
"""

from itertools import pairwise

from kb.edit.draft import Cut
from kb.edit.page import Page, Part
from kb.edit.writing import STEP, block_item, in_block, in_flow, key_of, pair_text
from kb.text import Span
from kb.value import Items, Pairs, Value


def adding(page: Page, whole: Value, key: str | None, value: Value, before: int) -> tuple[Cut, ...]:
    """Add a part to `whole` so that it becomes number `before`; `key` is None for a list's item.

    `whole` holds at least one part, or stands between brackets.
    """
    parts = page.parts(whole)
    if page.is_flow(whole):
        text = in_flow(value) if key is None else f"{key_of(key)}: {in_flow(value)}"
        return between_brackets(page, whole, before, text)
    column = page.column(parts[0].begin)
    alike = parts[min(max(before - 1, 0), len(parts) - 1)]
    return between_lines(page, whole, before, _like(page, alike, key, value, column))


def between_lines(page: Page, whole: Value, before: int, text: str) -> tuple[Cut, ...]:
    """Put lines, whose first is not indented yet, before part number `before` of a block."""
    parts = page.parts(whole)
    indent = " " * page.column(parts[0].begin)
    gap = "\n" if _are_apart(page, parts) else ""
    if before:
        end = page.tail(parts[before - 1])
        is_gap = before == len(parts) or page.is_blank_line(page.next_line(end))
        return (Cut(end, end, f"\n{gap if is_gap else ''}{indent}{text}"),)
    at = parts[0].begin
    if not page.begins_line(at):
        return (Cut(at, at, f"{text}\n{gap}{indent}"),)
    at = page.lead(at)
    return (Cut(at, at, f"{indent}{text}\n{gap}"),)


def first_lines(page: Page, key: Span, old: Value, text: str) -> tuple[Cut, ...]:
    """Put the first lines under a key whose value is nothing, or stands empty between brackets."""
    after = page.after_colon(key)
    end = page.end(old)
    empty = (Cut(after, end),) if end > after else ()
    line = page.past_comment(max(after, end))
    return (*empty, Cut(line, line, "\n" + text))


def _like(page: Page, alike: Part, key: str | None, value: Value, column: int) -> str:
    """Write a part as its neighbour is written: on one line if that is, else on several."""
    if isinstance(value.data, Items | Pairs) and page.is_flow(alike.value):
        return f"- {in_flow(value)}" if key is None else f"{key_of(key)}: {in_flow(value)}"
    has_lines = isinstance(alike.value.data, Pairs) and not page.is_flow(alike.value)
    if key is None:
        return block_item(value, column, lines=has_lines)
    if has_lines and isinstance(value.data, Pairs) and value.data.pairs:
        return f"{key_of(key)}:\n{in_block(value, column + STEP)}"
    return pair_text(key, value, column)


def _are_apart(page: Page, parts: tuple[Part, ...]) -> bool:
    """Whether most neighbours have a blank line between them."""
    tops = [page.lead(part.begin, page.tail(earlier)) for earlier, part in pairwise(parts)]
    return sum(page.is_blank_line(top - 1) for top in tops) * 2 > len(tops) > 0


def between_brackets(page: Page, whole: Value, before: int, text: str) -> tuple[Cut, ...]:
    """Put a pair or an item before part number `before` of a list or mapping in brackets."""
    parts = page.parts(whole)
    if not parts:
        at = page.begin(whole.span) + 1
        return (Cut(at, at, text),)
    if before < len(parts):
        at = parts[before].begin
        if not page.begins_line(at):
            return (Cut(at, at, f"{text}, "),)
        floor = page.next_line(parts[before - 1].end if before else page.begin(whole.span))
        top = page.lead(at, floor)
        return (Cut(top, top, f"{' ' * page.column(at)}{text},\n"),)
    last = parts[-1]
    follows = page.skipped(last.end)
    has_comma = page.text[follows] == ","
    if page.begins_line(last.begin):
        return _on_its_line(page, last, text, follows if has_comma else None)
    if has_comma:
        return (Cut(follows + 1, follows + 1, f" {text},"),)
    return (Cut(last.end, last.end, f", {text}"),)


def _on_its_line(page: Page, last: Part, text: str, comma: int | None) -> tuple[Cut, ...]:
    """Put a pair or an item on a line of its own below the last, behind that one's comment."""
    line = f"\n{' ' * page.column(last.begin)}{text}"
    if comma is not None:
        end = page.past_comment(comma + 1)
        return (Cut(end, end, line + ","),)
    end = page.past_comment(last.end)
    if end == last.end:
        return (Cut(end, end, "," + line),)
    return (Cut(last.end, last.end, ","), Cut(end, end, line))
