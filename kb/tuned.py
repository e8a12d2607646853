"""A layer that holds only chances that a log has moved, each with its evidence as a comment.

Written line by line, like `kb.fresh` and `kb.layer`: what comes out is read and checked by whoever asked
for it. Comments hold ids and numbers alone, and the title on one line.
"""

import textwrap
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from kb.edit.writing import in_flow, key_of, text_of
from kb.layer import FIRST_VERSION, Begun
from kb.value import Value

_WIDTH: Final = 100


@dataclass(frozen=True, slots=True)
class Moved:
    """One chance that moves."""

    section: str
    """`causes`, `remedies` or `rests`."""
    entry: str
    key: str
    """`how_common`, `shows` or `cures`."""
    of: str
    """The finding or the cause that it is about; empty for `how_common`."""
    value: float
    evidence: str
    """Why, in a sentence."""


def tuned_text(
    begun: Begun, extends: Value, moved: Sequence[Moved], learnt_from: Iterable[str], file: str
) -> str:
    """Write the layer. `learnt_from` are the sentences that say what the chances were learnt from."""
    base = begun.base
    lines = [
        *_comment(f"{_on_a_line(begun.title)}: {base.id} {base.version} with chances that a reed log moved."),
        "#",
        *(line for sentence in learnt_from for line in _comment(sentence)),
        "#",
        "# Take out again what you do not believe. After a change:",
        f"#   canebrake check {_on_a_line(file)}",
        f"#   canebrake trial {_on_a_line(file)}",
        f"#   canebrake compare {base.id} {_on_a_line(file)}",
        "canebrake: 1",
        f"id: {begun.id}",
        f"title: {text_of(_on_a_line(begun.title), flow=False)}",
        f'version: "{FIRST_VERSION}"',
        f"language: {text_of(base.language, flow=False)}",
        f"extends: {in_flow(extends)}",
    ]
    for section in ("causes", "remedies", "rests"):
        entries: defaultdict[str, list[Moved]] = defaultdict(list)
        for one in moved:
            if one.section == section:
                entries[one.entry].append(one)
        if entries:
            lines += ["", f"{section}:"]
        for entry, own in entries.items():
            lines.append(f"  {key_of(entry)}:")
            lines += _keys(own)
    return "\n".join(lines) + "\n"


def _keys(moved: Sequence[Moved]) -> list[str]:
    lines: list[str] = []
    for key in dict.fromkeys(one.key for one in moved):
        own = [one for one in moved if one.key == key]
        if not own[0].of:
            lines += [*_comment(own[0].evidence, 4), f"    {key}: {text_of(own[0].value, flow=False)}"]
            continue
        lines.append(f"    {key}:")
        for one in own:
            lines += [
                *_comment(one.evidence, 6),
                f"      {key_of(one.of)}: {text_of(one.value, flow=False)}",
            ]
    return lines


def _comment(sentence: str, indent: int = 0) -> list[str]:
    before = " " * indent + "# "
    return textwrap.wrap(
        _on_a_line(sentence), _WIDTH, initial_indent=before, subsequent_indent=before, break_on_hyphens=False
    )


def _on_a_line(text: str) -> str:
    return " ".join(text.split())
