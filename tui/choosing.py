"""Which ruleset a reed is judged by: the one that was named, else the reed's own, else the only one.

A reed's own is the installed one of the same id, as it is now; the text that the log keeps, where the
maker pinned the reed to it or where nothing of that id is installed any more.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kb.bases import Offered, Resolver, Wanted
from kb.log.entry import RulesetMark
from kb.log.replay import ReedHistory
from kb.model import Ruleset
from tui.desk import ChosenRuleset
from tui.language import worded
from tui.shelf import ShelfError, installed_ids, names_of, ready_ruleset

if TYPE_CHECKING:
    from kb.log.store import ReedLog  # loads SQLite, which a desk without a named reed does not need

_FEWEST = 8
"""Signs of a digest by which a kept ruleset may be named; fewer could be an id."""


@dataclass(frozen=True, slots=True)
class NoRuleset:
    """None could be chosen; why, and what to do."""

    sentence: str
    several: tuple[str, ...] = ()
    """The installed rulesets, where only the maker can say which of them is meant."""


def choose(said: str | None, reed: ReedHistory | None, log: "ReedLog | None") -> ChosenRuleset | NoRuleset:
    """Choose the ruleset for a reed (None: a new one, or none)."""
    if said is not None:
        return by_words(said)
    mark = None if reed is None else reed.mark
    if reed is not None and mark is not None and log is not None:
        return _of_reed(reed, mark, log)
    installed = installed_ids()
    if len(installed) == 1:
        return by_words(installed[0])
    if not installed:
        return NoRuleset(worded("no ruleset is installed; name the file of one"))
    said = worded("several rulesets are installed; name one of them: {ids}", ids=", ".join(installed))
    return NoRuleset(said, installed)


def by_words(said: str) -> ChosenRuleset | NoRuleset:
    """Open the ruleset that is named by its file or id."""
    try:
        ready = ready_ruleset(said)
    except ShelfError as fault:
        return NoRuleset(str(fault))
    return _chosen(ready.ruleset, ready.texts)


def kept_ruleset(log: "ReedLog", mark: RulesetMark) -> ChosenRuleset | None:
    """Read the ruleset whose text the log keeps under this mark; None when it keeps none that works."""
    from kb.load import load_bytes  # noqa: PLC0415 - the reader, which an installed ruleset does without

    text = log.ruleset_text(mark.digest)
    if text is None:
        return None
    loaded = load_bytes(f"{mark.id}.yaml", text.encode(), _resolver(log.ruleset_bases(mark.digest)))
    return (
        None
        if loaded.ruleset is None
        else _chosen(loaded.ruleset, [(one.name, one.text) for one in loaded.texts])
    )


def kept_mark(log: "ReedLog", words: str) -> RulesetMark | None:
    """Find the kept ruleset whose digest begins with `words`; None when there is none, or several."""
    wanted = words.casefold()
    if len(wanted) < _FEWEST:
        return None
    found = [mark for mark in log.marks() if mark.digest.startswith(wanted)]
    return found[0] if len(found) == 1 and log.ruleset_text(found[0].digest) is not None else None


def _of_reed(reed: ReedHistory, mark: RulesetMark, log: "ReedLog") -> ChosenRuleset | NoRuleset:
    names = () if reed.pinned else names_of(mark.id)
    if len(names) == 1:
        return by_words(names[0])
    kept = kept_ruleset(log, mark)
    if kept is None:
        return NoRuleset(
            worded(
                "the rules of this reed, {ruleset}, are not installed, and the log keeps no text of them "
                "that works; name a ruleset",
                ruleset=f"{mark.id} {mark.version}",
            )
        )
    if reed.pinned:
        return kept
    note = worded(
        "No ruleset {id} is installed; this reed is judged by the text of it that the log keeps.", id=mark.id
    )
    if names:
        note = worded(
            "Several installed rulesets have the id {id} ({names}); this reed is judged by the text that the "
            "log keeps, until `canebrake reeds pin` says which is meant.",
            id=mark.id,
            names=", ".join(names),
        )
    return replace(kept, note=note)


def _chosen(ruleset: Ruleset, texts: Sequence[tuple[str, str]]) -> ChosenRuleset:
    (_, text), *bases = texts
    return ChosenRuleset(ruleset, text, tuple(bases))


def _resolver(bases: tuple[tuple[str, str], ...]) -> Resolver:
    """Offer the kept bases one after the other: the log keeps them in the order in which they stand."""

    def offer(_wanted: Wanted) -> Offered | None:
        if not bases:
            return None
        (name, text), rest = bases[0], bases[1:]
        return Offered(name, text.encode(), _resolver(rest))

    return offer
