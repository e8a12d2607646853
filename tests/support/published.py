"""Published rules, "if the reed does this, do that", asked of a ruleset that ships.

Each rule gives only the symptoms and signs that its text gives. What it says nothing of in earlier
priorities is answered no, as the overview of an interview would; the looks that the published remedy asks
for before a cut (its `unless`) are answered no as well, since an expert at the desk has looked.
"""

from dataclasses import dataclass
from functools import cache

from engine.advice import advise
from engine.case import Case, Round
from engine.findings import latest_told
from engine.standing import priority_order
from engine.step import Kind
from kb.ids import FindingId, RemedyId, SourceId
from kb.model import Answer, Ruleset
from tests.support.sources import shipped as read_shipped

FIRST_OF_100 = 80
"""What is promised of published cases: this many first advices right in a hundred, and 95 among three."""


@dataclass(frozen=True, slots=True)
class Rule:
    """What a published text says."""

    source: str
    shows: tuple[str, ...]
    """Symptoms and signs that the text gives."""
    first: tuple[str, ...]
    """What it says to do, and what other sources say to do before it."""
    sitting: int = 1

    @property
    def name(self) -> str:
        """Say which rule it is, for a list of tests."""
        return f"{self.source}: {' '.join(self.shows)}"


def rule(source: str, shows: str, *first: str, sitting: int = 1) -> Rule:
    """Write a rule in one line."""
    return Rule(source, tuple(shows.split()), first, sitting)


shipped = cache(read_shipped)


def case_of(ruleset: Ruleset, published: Rule) -> Case:
    """Give what the text gives, with what an overview and a look before a cut would have told."""
    order = priority_order(ruleset)
    case = Case((Round(sitting=published.sitting),))
    for shown in published.shows:
        case = case.with_answer(FindingId(shown), Answer.YES)
    told = [ruleset.finding[FindingId(shown)] for shown in published.shows]
    active = min(order[one.priority] for one in told if one.priority is not None)
    for finding in ruleset.findings:
        earlier = finding.priority is not None and order[finding.priority] < active
        if earlier and latest_told(ruleset, case, finding.id) is None:
            case = case.with_answer(finding.id, Answer.NO)
    for before in {look for one in published.first for look in ruleset.operation[RemedyId(one)].unless}:
        if latest_told(ruleset, case, before) is None:
            case = case.with_answer(before, Answer.NO)
    return case


@cache
def advised(name: str, published: Rule) -> tuple[str, ...]:
    """Give what the engine would do, best first, without its questions."""
    ruleset = shipped(name)
    ranked = advise(ruleset, case_of(ruleset, published)).ranked
    return tuple(one.id for one in ranked if one.kind is not Kind.ASK)


def right_at_once(name: str, rules: tuple[Rule, ...]) -> int:
    """Count the rules whose remedy is the first thing to do."""
    return sum(advised(name, one)[0] in one.first for one in rules)


def sources_behind(ruleset: Ruleset, published: Rule) -> frozenset[SourceId]:
    """Give the sources of the entries that a rule speaks of, and of the causes between them."""
    named = {source for one in published.first for source in ruleset.operation[RemedyId(one)].sources}
    named |= {source for one in published.shows for source in ruleset.finding[FindingId(one)].sources}
    for cause in ruleset.causes:
        if any(show.finding in published.shows for show in cause.shows):
            named |= set(cause.sources)
    return frozenset(named)
