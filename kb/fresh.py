"""A new ruleset from a handful of answers: a pleasant file with comments that says what to do next.

Separate from `kb.edit`, which never writes a file anew: this is the one place that does. What it
writes is read like any other file; whoever calls it checks that.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from kb.edit.made import listing, mapping
from kb.edit.writing import in_flow, key_of, pair_text, text_of
from kb.ids import RESERVED, is_well_formed
from kb.model import DEFAULT_LEAK, WORDS, Hazard, Undo
from kb.value import Value


@dataclass(frozen=True, slots=True)
class FirstRemedy:
    """What is done about a cause."""

    title: str
    do: str
    tool: str
    hazard: Hazard
    caution: str
    minutes: float
    undo: Undo
    works: str
    """A word of chance."""


@dataclass(frozen=True, slots=True)
class FirstCause:
    """What may be behind the first symptom."""

    title: str
    how_common: str
    shows: str
    """A word of chance: how often the symptom shows when this is the cause."""
    remedy: FirstRemedy | None


@dataclass(frozen=True, slots=True)
class Beginnings:
    """All that the author said."""

    title: str
    id: str
    instrument: str
    language: str
    source: str
    priorities: tuple[str, ...]
    """Their titles, most urgent first."""
    symptom: str
    """As a question to which yes means trouble."""
    by: str
    priority: str
    causes: tuple[FirstCause, ...]


_GOALS: Final[Mapping[str, str]] = {
    "response": "Every note starts when asked",
    "stability": "Every note stays where it is put",
    "flexibility": "Loud and soft, bright and dark, at will",
}
_SMALL_WORDS: Final = frozenset({"a", "an", "the", "is", "are", "does", "do", "did", "of", "to", "be"})

_LONG: Final = 32
"""Letters of a made id at most: it will be typed."""


def id_of(title: str, taken: Iterable[str] = (), fallback: str = "entry") -> str:
    """Make an id of a title: its words without the small ones, and unlike those that are taken.

    >>> id_of("The tip is too thick"), id_of("Does E3 sag?", ["e3-sag"]), id_of("レジスター")
    ('tip-too-thick', 'e3-sag-2', 'entry')
    """
    short = re.sub(r"['’](?=(?:s|t|d|ll|re|ve)\b)", "", title.lower().replace("ß", "ss"))  # it's, don't
    plain = unicodedata.normalize("NFKD", short)
    letters = "".join(sign for sign in plain if not unicodedata.combining(sign))
    words = [word for word in re.split(r"[^a-z0-9]+", letters) if word]
    kept = [word for word in words if word not in _SMALL_WORDS] or words
    while len("-".join(kept)) > _LONG and len(kept) > 1:
        kept.pop()
    name = "-".join(kept)[:_LONG].strip("-")
    name = name if is_well_formed(name) else f"{fallback}-{name}"
    name = name if is_well_formed(name) else fallback
    unlike = {*taken, *RESERVED}
    number = 2
    made = name
    while made in unlike:
        made, number = f"{name}-{number}", number + 1
    return made


def likeliest(causes: Sequence[FirstCause]) -> FirstCause:
    """Give the cause that is likeliest by the author's own words when the symptom shows and no more is known.

    Worked by hand, so that the trial that a new file begins with is no echo of the engine: a cause
    holds and the symptom shows with chance p · (1 − (1 − leak)(1 − s) ∏ (1 − p′s′)), the product going
    over all other causes.
    """

    def together(this: FirstCause) -> float:
        hidden = (1 - DEFAULT_LEAK) * (1 - WORDS[this.shows])
        for other in causes:
            if other is not this:
                hidden *= 1 - WORDS[other.how_common] * WORDS[other.shows]
        return WORDS[this.how_common] * (1 - hidden)

    return max(causes, key=together)


def fresh_text(said: Beginnings, file: str) -> str:
    """Write the whole file; `file` is its name, for the comments that say what to do next."""
    taken: list[str] = []

    def named(title: str, fallback: str) -> str:
        taken.append(id_of(title, taken, fallback))
        return taken[-1]

    symptom = named(said.symptom, "symptom")
    causes = [(named(cause.title, "cause"), cause) for cause in said.causes]
    remedies = [
        (named(cause.remedy.title, "remedy"), name, cause.remedy)
        for name, cause in causes
        if cause.remedy is not None
    ]
    tools = dict.fromkeys((remedy.tool, remedy.hazard) for _, _, remedy in remedies if remedy.tool)
    tool_ids: dict[str, str] = {}
    for tool, _ in tools:
        tool_ids[tool] = id_of(tool, tool_ids.values(), "tool")
    ranks: dict[str, str] = {}
    for title in said.priorities:
        ranks[title] = id_of(title, ranks.values(), "priority")
    parts = [
        _head(said, file),
        _section(
            "sources", "Where your rules come from. Every entry names one of these.", [_source(said.source)]
        ),
        _priorities(ranks, said.priority),
        _section("tools", _HOW_IT_HURTS, [_tool(tool_ids[t], t, h) for t, h in tools]) or _TOOLS,
        _symptom(said, symptom, ranks[said.priority]),
        _SIGNS,
        _causes(causes, symptom),
        _remedies(remedies, symptom, tool_ids),
        _RESTS,
        _trial(said, symptom, causes, ranks),
    ]
    return "\n".join(part for part in parts if part)


def _head(said: Beginnings, file: str) -> str:
    lines = [("id", said.id), ("title", said.title), ("version", "0.1.0"), ("language", said.language)]
    lines += [("instrument", said.instrument)]
    behind = {
        "id": "small letters, digits and hyphens; logs and students' notes go by it",
        "version": "raise it when you change the rules; 1.0.0 when you would let a student use them",
    }
    written = []
    for key, value in lines:
        text = f'"{value}"' if key == "version" else text_of(value, flow=False)
        written.append(f"{key}: {text}" + (f"   # {behind[key]}" if key in behind else ""))
    return f"""\
# {_on_a_line(said.title)}
#
# Begun with `canebrake new`. What follows a # is for people; the program skips it. After a change:
#   canebrake check {_on_a_line(file)}    what is wrong, at its line and column
#   canebrake trial {_on_a_line(file)}    does it advise what you expect?
#   canebrake map {_on_a_line(file)}      what shows, why, and what helps, as a drawing
#
# Chances are words: always (0.97), usually (0.80), often (0.60), sometimes (0.30), rarely (0.10); for
# how common a cause is: common (0.20), occasional (0.08), rare (0.02). A number may stand instead.
canebrake: 1
""" + "".join(f"{line}\n" for line in written)


def _on_a_line(text: str) -> str:
    return " ".join(text.split())


def _section(name: str, comment: str, lines: Iterable[str]) -> str:
    body = "".join(f"  {line}\n" for line in lines)
    return f"# {comment}\n{name}:\n{body}" if body else ""


def _source(title: str) -> str:
    return f"own: {in_flow(mapping([('title', title), ('kind', 'common practice')]))}"


def _tool(name: str, title: str, hazard: Hazard) -> str:
    return f"{key_of(name)}: {in_flow(mapping([('title', title), ('hazard', hazard.value)]))}"


def _priorities(ranks: Mapping[str, str], first: str) -> str:
    """List the priorities; those that no symptom names yet wait as comments, at their place."""
    lines = []
    for title, name in ranks.items():
        goal = [("goal", _GOALS[name])] if name in _GOALS else []
        sign = "" if title == first else "# "
        lines.append(f"  {sign}- {in_flow(mapping([('id', name), ('title', title), *goal]))}\n")
    waiting = "" if len(lines) == 1 else " Take the # away once a symptom belongs to it."
    return f"# What is settled first stands first.{waiting}\npriorities:\n" + "".join(lines)


def _entry(name: str, pairs: Iterable[tuple[str, Value | str | float]]) -> str:
    lines = [f"    {pair_text(pair.key, pair.value, 4)}\n" for pair in mapping(pairs).pairs()]
    return f"  {key_of(name)}:\n" + "".join(lines)


def _symptom(said: Beginnings, name: str, priority: str) -> str:
    pairs = (("priority", priority), ("ask", said.symptom), ("by", said.by), ("sources", listing(["own"])))
    return (
        "# How a reed misbehaves when it is crowed or played. Ask so that yes means trouble.\n"
        f"symptoms:\n{_entry(name, pairs)}"
    )


_HOW_IT_HURTS: Final = "What you work with, and how it can hurt."

_TOOLS: Final = f"""\
# {_HOW_IT_HURTS} A remedy that takes one says `tool:` and its caution:
# tools:
#   reed-knife: {{title: Reed knife, hazard: blade}}
"""

_SIGNS: Final = """\
# What you see, feel or measure on the reed itself, before you reach for a tool. Take the # away to begin:
# signs:
#   tip-looks-dark:
#     ask: Does the tip look dark against the light?
#     by: look                 # look, feel, measure, crow or play
#     sources: [own]
"""

_RESTS: Final = """\
# Doing nothing is a remedy too:
# rests:
#   overnight:
#     title: Leave it until tomorrow
#     do: Let it dry in its box.
#     hours: 12
#     new_sitting: true
#     cures: {ID-OF-A-CAUSE: often}
#     sources: [own]
"""


def _causes(causes: Iterable[tuple[str, FirstCause]], symptom: str) -> str:
    entries = [
        _entry(
            name,
            (
                ("title", cause.title),
                ("how_common", cause.how_common),
                ("shows", mapping([(symptom, cause.shows)])),
                ("sources", listing(["own"])),
            ),
        )
        for name, cause in causes
    ]
    return (
        "# States of the reed that make symptoms and signs show, each with how often it does.\ncauses:\n"
        + "".join(entries)
    )


def _remedies(
    remedies: Iterable[tuple[str, str, FirstRemedy]], symptom: str, tools: Mapping[str, str]
) -> str:
    entries = []
    for name, cause, remedy in remedies:
        pairs: list[tuple[str, Value | str | float]] = [("title", remedy.title), ("do", remedy.do)]
        pairs += [("tool", tools[remedy.tool])] if remedy.tool else []
        pairs += [("caution", remedy.caution)] if remedy.caution else []
        minutes = int(remedy.minutes) if remedy.minutes == int(remedy.minutes) else remedy.minutes
        pairs += [("minutes", minutes), ("undo", remedy.undo.value)]
        pairs += [("cures", mapping([(cause, remedy.works)])), ("recheck", listing([symptom]))]
        pairs += [("sources", listing(["own"]))]
        entries.append(_entry(name, pairs))
    comment = "# One operation each: how it is done, how far it can be undone, what it mends.\n"
    return f"{comment}remedies:\n{''.join(entries)}" if entries else f"{comment}remedies: {{}}\n"


def _trial(
    said: Beginnings, symptom: str, causes: list[tuple[str, FirstCause]], ranks: Mapping[str, str]
) -> str:
    first = likeliest(said.causes)
    name = next(name for name, cause in causes if cause is first)
    question = said.symptom.rstrip("?？ ")
    title = text_of(f"{question}: {first.title}", flow=False)
    expect = in_flow(mapping([("cause", name), ("priority", ranks[said.priority])]))
    return f"""\
# Worked cases: with these answers, what would you expect? `canebrake trial` holds the rules to them.
trials:
  - title: {title}
    given: {in_flow(mapping([(symptom, "yes")]))}
    expect: {expect}   # add step: ID of a remedy
"""
