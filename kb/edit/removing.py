"""Take a pair out of a mapping or an item out of a list, with its own comments and nobody else's."""

from kb.edit.draft import Cut
from kb.edit.page import Page, Part
from kb.text import Span
from kb.value import Items, Value


def removing(page: Page, whole: Value, number: int, key: Span | None) -> tuple[Cut, ...]:
    """Take part `number` out of `whole`. `key` is the place of the key that `whole` stands under.

    A block that loses its last part becomes `{}` or `[]` behind that key.
    """
    parts = page.parts(whole)
    if page.is_flow(whole):
        return _in_flow(page, whole, parts, number)
    if len(parts) == 1:
        return _last_line(page, whole, parts[0], key)
    part = parts[number]
    if not page.begins_line(part.begin):
        return _beside_a_dash(page, parts)
    begin, end = page.lead(part.begin, page.tail(parts[number - 1]) if number else 0), page.tail(part)
    is_last = number + 1 == len(parts)
    if number and (is_last or page.is_blank_line(page.next_line(end))):
        while page.is_blank_line(begin - 1) and page.line_begin(begin - 1) > parts[number - 1].end:
            begin = page.line_begin(begin - 1)
    elif not number and page.next_line(end) < parts[1].begin:
        while page.is_blank_line(page.next_line(end)):
            end = page.line_end(page.next_line(end))
    return (_lines(page, begin, end),)


def _lines(page: Page, begin: int, end: int) -> Cut:
    """Cut whole lines; at the end of the text, the line end before them goes."""
    after = page.next_line(end)
    if after > end:
        return Cut(begin, after)
    above = page.line_end(page.line_begin(begin - 1)) if begin else 0
    return Cut(above, end)


def _last_line(page: Page, whole: Value, part: Part, key: Span | None) -> tuple[Cut, ...]:
    """Leave an empty bracket where the only part stood."""
    empty = "[]" if isinstance(whole.data, Items) else "{}"
    if key is None or not page.begins_line(part.begin):
        return (Cut(part.begin, part.end, empty),)
    after = page.after_colon(key)
    floor = page.next_line(page.past_comment(after))
    begin, end = page.lead(part.begin, floor), page.tail(part)
    return (Cut(after, after, " " + empty), _lines(page, begin, end))


def _beside_a_dash(page: Page, parts: tuple[Part, ...]) -> tuple[Cut, ...]:
    """Take out the part that shares its line with the dash of a list round about."""
    first, second = parts[0], parts[1]
    end = page.past_comment(first.end)
    if not page.text[end : second.begin].strip():
        return (Cut(first.begin, second.begin),)
    return (Cut(first.begin, end),)


def _in_flow(page: Page, whole: Value, parts: tuple[Part, ...], number: int) -> tuple[Cut, ...]:
    part = parts[number]
    if len(parts) == 1:
        return _only_one(page, whole, part)
    follows = page.skipped(part.end)
    has_comma = page.text[follows] == ","
    end = follows + 1 if has_comma else part.end
    cuts: list[Cut] = []
    if number and not has_comma:
        comma = page.skipped(parts[number - 1].end)
        cuts.append(Cut(comma, comma + 1))
    line_end = page.past_comment(end)
    if page.begins_line(part.begin) and (line_end > end or page.line_end(end) == end):
        floor = page.next_line(parts[number - 1].end) if number else page.next_line(page.begin(whole.span))
        cuts.append(_lines(page, page.lead(part.begin, floor), line_end))
    elif number + 1 < len(parts) and not page.text[end : parts[number + 1].begin].strip(" "):
        cuts.append(Cut(part.begin, parts[number + 1].begin))
    elif cuts and not page.text[cuts[0].end : part.begin].strip(" "):
        cuts = [Cut(cuts[0].begin, end)]
    else:
        cuts.append(Cut(part.begin, end))
    return tuple(cuts)


def _only_one(page: Page, whole: Value, part: Part) -> tuple[Cut, ...]:
    """Take the only part out; the brackets close up when nothing else stood between them."""
    begin, close = page.begin(whole.span) + 1, page.end(whole) - 1
    floor = page.next_line(begin) if page.next_line(begin) < part.begin else begin
    top = page.lead(part.begin, floor) if page.begins_line(part.begin) else part.begin
    follows = page.skipped(part.end)
    end = follows + 1 if page.text[follows] == "," else part.end
    if page.places.line(end) != page.places.line(close):
        end = page.past_comment(end)
    if page.text[begin:top].strip() or page.text[end:close].strip():
        return (Cut(top, end),)
    return (Cut(begin, close),)
