"""One ruleset written as a change to another: `extends` and `withdraw`.

The change is a JSON Merge Patch (RFC 7396): mappings merge key by key, null removes, lists are
replaced whole. Trials are the exception: they are appended, so that the base's trials go on
being run. Every key and value keeps the place in the file that wrote it.
"""

from dataclasses import dataclass
from typing import Final

from kb.bases import Offered, Resolver, Wanted
from kb.disk import DiskError
from kb.ids import ENTRY_SECTIONS
from kb.letters import TOO_BIG, decode
from kb.nearest import hint, only
from kb.patch import over, quoted
from kb.problem import CheckName, Problem
from kb.source import read
from kb.text import SourceText, Span
from kb.value import Items, Pair, Pairs, Value

EXTENDS_LOOP: Final = CheckName("extends-loop")
BASE_NOT_FOUND: Final = CheckName("base-not-found")
UNKNOWN_REFERENCE: Final = CheckName("unknown-reference")
UNQUOTED_VERSION: Final = CheckName("unquoted-version")
WRONG_KIND: Final = CheckName("wrong-kind")

_MOST: Final = 16
"""Rulesets that stand on one another."""


@dataclass(frozen=True, slots=True)
class Whole:
    """A document with its bases under it, or None, and every text that went into it."""

    tree: Value | None
    problems: tuple[Problem, ...]
    texts: tuple[SourceText, ...]
    """The document's own text first, then its base's, and so on down."""


def with_bases(tree: Value, source: SourceText, base: Resolver) -> Whole:
    """Lay a document over the rulesets that it extends. Without `extends` it stays as it is."""
    documents, texts = [tree], [source]
    problems: list[Problem] = []
    seen = {source.name, _title(tree)}
    while (extends := documents[-1].get("extends")) is not None:
        wanted, faults = _wanted(extends)
        problems += faults
        if wanted is None:
            return Whole(None, tuple(problems), tuple(texts))
        found = _found(wanted, extends.span, base)
        if isinstance(found, Problem):
            return Whole(None, (*problems, found), tuple(texts))
        if found.name in seen or (wanted.id and str(wanted) in seen) or len(documents) >= _MOST:
            problems.append(_endless(found.name, extends.span, len(documents)))
            return Whole(None, tuple(problems), tuple(texts))
        text, faults = decode(found.name, found.content)
        problems += faults
        if text is None:
            return Whole(None, tuple(problems), tuple(texts))
        below = read(text)
        problems += below.problems
        texts.append(text)
        if below.tree is None:
            return Whole(None, tuple(problems), tuple(texts))
        if wanted.id and _title(below.tree) != str(wanted):
            problems.append(_another(wanted, below.tree, extends.span))
        seen |= {found.name, _title(below.tree)}
        documents.append(below.tree)
        base = found.base
    whole = documents.pop()
    problems += _withdrawn_from_nothing(whole)
    while documents:
        patch = documents.pop()
        whole, faults = _laid_over(whole, patch)
        problems += faults
    return Whole(whole, tuple(problems), tuple(texts))


def _withdrawn_from_nothing(lowest: Value) -> list[Problem]:
    """Say so when a ruleset that extends none withdraws something all the same."""
    withdraw = lowest.get("withdraw")
    return [
        Problem(
            item.span,
            UNKNOWN_REFERENCE,
            f"there is no base to withdraw {item.data!r} from",
            "write extends, or take the entry out of this file",
        )
        for item in (withdraw.items() if withdraw is not None else ())
        if isinstance(item.data, str)
    ]


def _title(tree: Value) -> str:
    """Give id and version as `Wanted` says them."""
    name, version = tree.get("id"), tree.get("version")
    return f"{name.data if name else ''} {version.data if version else ''}"


def _wanted(extends: Value) -> tuple[Wanted | None, tuple[Problem, ...]]:
    """Read what `extends` names. The schema is applied later, to the whole, and so cannot help here."""
    file, name, version = (extends.get(key) for key in ("file", "id", "version"))
    if version is not None and isinstance(version.data, int | float):
        fault = Problem(
            version.span,
            UNQUOTED_VERSION,
            f"the version {version.data} is a number",
            f"write '{version.data}' in quotes",
            mend=quoted(version.span),
        )
        return None, (fault,)
    if file is not None and isinstance(file.data, str) and name is None and version is None:
        if "/" in file.data or "\\" in file.data or file.data in {"", ".", ".."}:
            fault = Problem(
                file.span,
                BASE_NOT_FOUND,
                f"{file.data!r} is not the name of a file in the same folder",
                "write its name alone",
            )
            return None, (fault,)
        return Wanted(file=file.data), ()
    texts = [part.data for part in (name, version) if part is not None and isinstance(part.data, str)]
    if file is None and len(texts) == 2:
        return Wanted(id=texts[0], version=texts[1]), ()
    fault = Problem(
        extends.span,
        WRONG_KIND,
        "extends does not say which ruleset",
        "write extends: {id: NAME, version: 1.0.0}, or extends: {file: base.yaml}",
    )
    return None, (fault,)


def _found(wanted: Wanted, span: Span, base: Resolver) -> Offered | Problem:
    try:
        found = base(wanted)
    except DiskError as error:
        return Problem(span, BASE_NOT_FOUND, str(error))
    if found is not None:
        return found
    if wanted.file:
        return Problem(
            span, BASE_NOT_FOUND, f"there is no file {wanted.file!r} beside this one", "is the name right?"
        )
    return Problem(
        span,
        BASE_NOT_FOUND,
        f"no ruleset {wanted.id!r} of version {wanted.version!r} is installed",
        "put its file into the same folder and write extends: {file: NAME}",
    )


def _endless(name: str, span: Span, depth: int) -> Problem:
    if depth >= _MOST:
        return Problem(
            span, TOO_BIG, f"more than {_MOST} rulesets stand on one another here", "copy one of them"
        )
    return Problem(
        span,
        EXTENDS_LOOP,
        f"this ruleset stands on itself: it extends {name!r} again",
        "take one extends out",
    )


def _another(wanted: Wanted, tree: Value, span: Span) -> Problem:
    return Problem(
        span,
        BASE_NOT_FOUND,
        f"{str(wanted)!r} was asked for, and {_title(tree)!r} was found",
        "change the version here",
    )


def _laid_over(base: Value, patch: Value) -> tuple[Value, tuple[Problem, ...]]:
    """Take out what `patch` withdraws, then merge, then put the trials of both one after the other."""
    listed = patch.get("withdraw")
    words = [item for item in (listed.items() if listed else ()) if isinstance(item.data, str)]
    known = _entry_ids(base)
    problems = tuple(
        Problem(
            word.span,
            UNKNOWN_REFERENCE,
            f"the base has no entry {word.data!r} to withdraw",
            hint(str(word.data), known),
            mend=over(word.span, only(str(word.data), known)),
        )
        for word in words
        if word.data not in known
    )
    gone = frozenset(str(word.data) for word in words)
    under = Value(
        Pairs(tuple(p for p in _without(base, gone).pairs() if p.key not in {"extends", "withdraw"})),
        base.span,
    )
    merged = merge(under, patch)
    before, after = under.get("trials"), patch.get("trials")
    if before is None or after is None or not isinstance(after.data, Items):
        return merged, problems
    trials = Value(Items((*before.items(), *after.items())), after.span)
    pairs = tuple(Pair(p.key, p.key_span, trials) if p.key == "trials" else p for p in merged.pairs())
    return Value(Pairs(pairs), merged.span), problems


def merge(base: Value | None, patch: Value) -> Value:
    """Apply a JSON Merge Patch (RFC 7396, section 2)."""
    if not isinstance(patch.data, Pairs):
        return patch
    under = base.pairs() if base is not None else ()
    merged = {pair.key: pair for pair in under}
    for pair in patch.data:
        if pair.value.data is None:
            merged.pop(pair.key, None)
        else:
            earlier = merged.get(pair.key)
            value = merge(earlier.value if earlier else None, pair.value)
            merged[pair.key] = Pair(pair.key, pair.key_span, value)
    return Value(Pairs(tuple(merged.values())), patch.span)


_ID_KEYS: Final = frozenset({"shows", "cures", "provokes"})
_ID_LISTS: Final = frozenset({"recheck", "unless", "after", "sources"})
_ID_TEXTS: Final = frozenset({"zone", "tool"})


def _entry_ids(tree: Value) -> frozenset[str]:
    return frozenset(
        pair.key
        for section in tree.pairs()
        if section.key in ENTRY_SECTIONS
        for pair in section.value.pairs()
    )


def _without(tree: Value, gone: frozenset[str]) -> Value:
    """Take entries out, and every link to them: a chart or a trial that needs one goes as a whole."""
    if not gone:
        return tree
    kept = []
    for section in tree.pairs():
        value = section.value
        if section.key in ENTRY_SECTIONS:
            entries = tuple(
                Pair(p.key, p.key_span, _unlinked(p.value, gone))
                for p in value.pairs()
                if p.key not in gone and not (section.key == "charts" and _mentions(p.value, gone))
            )
            value = Value(Pairs(entries), value.span) if isinstance(value.data, Pairs) else value
        elif section.key == "opening":
            value = _items_without(value, gone)
        elif section.key == "trials" and isinstance(value.data, Items):
            left = tuple(trial for trial in value.data.items if not _mentions(trial, gone))
            value = Value(Items(left), value.span)
        kept.append(Pair(section.key, section.key_span, value))
    return Value(Pairs(tuple(kept)), tree.span)


def _unlinked(entry: Value, gone: frozenset[str]) -> Value:
    """Take the links to what is gone out of one entry."""
    if not isinstance(entry.data, Pairs):
        return entry
    kept = []
    for pair in entry.data:
        value = pair.value
        if pair.key in _ID_TEXTS and value.data in gone:
            continue
        if pair.key == "read" and {_text(value, "quantity"), _text(value, "thickness")} & gone:
            continue
        if pair.key in _ID_KEYS and isinstance(value.data, Pairs):
            value = Value(Pairs(tuple(p for p in value.data if p.key not in gone)), value.span)
        elif pair.key in _ID_LISTS:
            value = _items_without(value, gone)
        elif pair.key == "differs" and isinstance(value.data, Items):
            left = tuple(item for item in value.data.items if _text(item, "source") not in gone)
            value = Value(Items(left), value.span)
        kept.append(Pair(pair.key, pair.key_span, value))
    return Value(Pairs(tuple(kept)), entry.span)


def _text(value: Value, key: str) -> str:
    found = value.get(key)
    return found.data if found is not None and isinstance(found.data, str) else ""


def _items_without(value: Value, gone: frozenset[str]) -> Value:
    if not isinstance(value.data, Items):
        return value
    return Value(Items(tuple(item for item in value.data.items if item.data not in gone)), value.span)


_MENTIONS: Final = frozenset({"ask", "do", "then", "cause", "step", "not_step"})
"""Keys of charts and trials under which an id stands; all other texts there are titles and answers."""


def _mentions(value: Value, gone: frozenset[str]) -> bool:
    """Whether a chart or a trial names an entry that is gone."""
    for pair in value.pairs():
        if pair.key in _MENTIONS and any(item.data in gone for item in pair.value.items()):
            return True
        if pair.key in {"given", "measure"} and any(p.key in gone for p in pair.value.pairs()):
            return True
        if _mentions(pair.value, gone):
            return True
    return isinstance(value.data, Items) and any(_mentions(item, gone) for item in value.data.items)
