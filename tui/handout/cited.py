"""What of a ruleset's tools, measures, words and sources a page about one entry draws on.

The whole of them is a book: whoever looks up one symptom on a phone wants only what that page names.
"""

from collections.abc import Iterator
from dataclasses import replace
from re import split

from kb.ids import SourceId, ZoneId
from kb.model import Cause, Finding, QuantityRead, Remedy, Ruleset, ThicknessRead
from tui.handout.scope import Scope


def drawn_on(scope: Scope) -> Ruleset:
    """Give the ruleset with only those tools, measures, words and sources that the page names."""
    ruleset = scope.ruleset
    tools = {one.tool for one in (*scope.remedies, *scope.rests)}
    sources = set(_sources(scope))
    reads = [one.read for one in scope.findings]
    quantities = {read.quantity for read in reads if isinstance(read, QuantityRead)}
    profiles = {read.profile for read in reads if isinstance(read, ThicknessRead)}
    return replace(
        ruleset,
        tools=tuple(one for one in ruleset.tools if one.id in tools),
        quantities=tuple(one for one in ruleset.quantities if one.id in quantities),
        thickness=tuple(one for one in ruleset.thickness if one.id in profiles),
        glossary=_words(ruleset, " ".join(_texts(scope)).casefold()),
        sources=tuple(one for one in ruleset.sources if one.id in sources),
    )


def zones_of(scope: Scope) -> frozenset[ZoneId]:
    """Give the places on the reed that the page names."""
    return frozenset(one.zone for one in _entries(scope) if one.zone is not None)


def _entries(scope: Scope) -> tuple[Finding | Cause | Remedy, ...]:
    return (*scope.findings, *scope.causes, *scope.remedies, *scope.rests)


def _sources(scope: Scope) -> Iterator[SourceId]:
    for one in _entries(scope):
        yield from one.sources
        yield from (dissent.source for dissent in one.differs)


def _texts(scope: Scope) -> Iterator[str]:
    for finding in scope.findings:
        yield from (finding.ask, finding.help)
    for cause in scope.causes:
        yield from (cause.title, cause.why)
    for one in (*scope.remedies, *scope.rests):
        yield from (one.title, one.do, one.caution, one.why, one.too_far)
    for one in scope.harming:
        yield one.title
    zones = zones_of(scope)
    yield from (zone.title for zone in scope.ruleset.zones if zone.id in zones)


def _words(ruleset: Ruleset, text: str) -> tuple[tuple[str, str], ...]:
    """Give the words that stand in a text, and those that these are explained with."""
    kept: dict[str, str] = {}
    left = dict(ruleset.glossary)
    while named := {word: meaning for word, meaning in left.items() if _stands(word, text)}:
        kept |= named
        left = {word: meaning for word, meaning in left.items() if word not in named}
        text = " ".join(named.values()).casefold()
    return tuple((word, meaning) for word, meaning in ruleset.glossary if word in kept)


def _stands(word: str, text: str) -> bool:
    """Whether a word, or one of those that are explained together, is anywhere in a text.

    Inside another word counts too: not every script puts spaces between its words.
    """
    return any(part.strip().casefold() in text for part in split("[,;/()]", word) if part.strip())
