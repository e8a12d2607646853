"""`check --about`: what a check looks for, from its own page, on a terminal of any width."""

import re
from collections.abc import Iterator
from typing import Final

from kb.checks.catalogue import CATALOGUE, Family
from kb.checks.reading_pages import page
from kb.nearest import hint
from tui.cli.saying import complain, tell
from tui.exit_code import ExitCode
from tui.wiring import Surroundings

WIDEST: Final = 100
_LINK: Final = re.compile(r"\[([^]]*)\]\([^)]*\)")
_FINDS: Final = re.compile(r"^## What it finds\n\n(.*?)\n\n", re.DOTALL | re.MULTILINE)


def tell_about(name: str, around: Surroundings) -> ExitCode:
    """Print the page of one check; of no name, all names with what they find."""
    width = min(around.width, WIDEST)
    if not name:
        tell(around, _all(width))
        return ExitCode.DONE
    text = page(name)
    if text is None:
        near = hint(name, [check.name for check in CATALOGUE])
        complain(around, f"no check is called {name!r}; {near or '`canebrake check --about` lists them'}")
        return ExitCode.COULD_NOT_START
    tell(around, _page_lines(text, width))
    return ExitCode.DONE


def _page_lines(text: str, width: int) -> Iterator[str]:
    """Wrap a page's paragraphs; its examples stay as they are, since a mark stands at a line's end."""
    is_example = False
    for block in re.split(r"(^```.*$)", text, flags=re.MULTILINE):
        if block.startswith("```"):
            is_example = not is_example
        elif is_example:
            yield from (f"    {line}".rstrip() for line in block.strip("\n").split("\n"))
        else:
            for paragraph in block.strip("\n").split("\n\n"):
                if paragraph:
                    yield from _wrapped(paragraph, width)


def _wrapped(paragraph: str, width: int) -> Iterator[str]:
    """Give one heading or paragraph, an empty line before and after it."""
    from textwrap import wrap  # noqa: PLC0415 - only pages are wrapped

    if paragraph.startswith("# "):
        yield paragraph.removeprefix("# ")
        return
    if paragraph.startswith("## "):
        yield from ("", paragraph.removeprefix("## ").upper(), "")
        return
    plain = _LINK.sub(r"\1", paragraph.replace("\n", " ")).strip("*")
    yield from wrap(plain, width, break_long_words=False, break_on_hyphens=False)


def _all(width: int) -> Iterator[str]:
    """Give every check by what it is about, with what it finds."""
    from textwrap import wrap  # noqa: PLC0415 - only pages are wrapped

    yield f"{len(CATALOGUE)} checks; `canebrake check --about NAME` says more of one."
    for family in Family:
        rows = [check for check in CATALOGUE if check.family is family]
        if rows:
            yield from ("", family.upper())
        for check in rows:
            found = _FINDS.search(page(check.name) or "")
            said = _LINK.sub(r"\1", found[1].replace("\n", " ")) if found is not None else ""
            yield f"  {check.name} ({check.severity})"
            yield from wrap(
                said, width, initial_indent="    ", subsequent_indent="    ", break_on_hyphens=False
            )
