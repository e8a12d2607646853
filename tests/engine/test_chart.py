"""A teacher's chart priced: against hand computation, and against brute force over everything that can be."""

from dataclasses import dataclass, replace

import pytest

from engine.ahead import Ahead
from engine.case import Case
from engine.chart import PricedChart, PricedStep, price
from engine.chartwalk import Bounds
from kb.ids import ChartId, ChartStepId, FindingId, RemedyId
from kb.model import Answer, AskStep, Chart, DoStep, Ending, Ruleset, StopStep, Undo
from tests.support.brute import judge
from tests.support.small import YES, answers, cause, effects, remedy, ruleset, sign, symptom
from tests.support.strategies import seeded

ALL = Bounds(least_chance=0.0)


def ask(id_: str, finding: str, yes: str | None, no: str | None) -> AskStep:
    here, there = (None if to is None else ChartStepId(to) for to in (yes, no))
    return AskStep(ChartStepId(id_), FindingId(finding), here, there, here, there)


def do(id_: str, operation: str, then: str | None) -> DoStep:
    return DoStep(ChartStepId(id_), RemedyId(operation), None if then is None else ChartStepId(then))


def stop(id_: str, ending: Ending = Ending.READY) -> StopStep:
    return StopStep(ChartStepId(id_), ending)


def chart(*steps: AskStep | DoStep | StopStep) -> Chart:
    return Chart(ChartId("lesson"), "Lesson", steps[0].id, steps)


def lesson() -> tuple[Ruleset, Chart]:
    """Give a chart that cuts for a fault that shows before anyone looks whether the reed is thin already."""
    rules = ruleset(
        (symptom("dull", leak=0.0), replace(sign("thin"), leak=0.0)),
        (
            cause("thick", 0.4, dull=1.0),
            cause("worn", 0.25, dull=1.0, thin=1.0),
            cause("cracked", 0.1, dull=1.0),
        ),
        (
            remedy(
                "scrape",
                effects(thick=1.0),
                undo=Undo.NEVER,
                minutes=3.0,
                recheck=("dull",),
                unless=("thin",),
            ),
            remedy("glue", effects(cracked=0.5), minutes=5.0),
        ),
    )
    return rules, chart(ask("dull-now", "dull", "cut", "fine"), do("cut", "scrape", "fine"), stop("fine"))


def step_of(priced: PricedChart, id_: str) -> PricedStep:
    return next(one for one in priced.steps if one.step.id == id_)


def test_a_chart_is_priced_as_a_hand_does_it() -> None:
    rules, lesson_ = lesson()
    priced = price(Ahead(rules), lesson_, Case(), ALL)
    dull = 1 - 0.6 * 0.75 * 0.9
    left = 1 - 0.75 * 0.9  # worn or cracked: what scraping leaves, and none of it depends on thick
    assert priced.minutes == pytest.approx(1 + 3 * dull)
    assert priced.cuts == pytest.approx(dull)
    # A cut costs three minutes, one to look again, twelve at stake; what still shows costs 120.
    assert priced.cost == pytest.approx(1 + 16 * dull + 120 * left)
    (end,) = priced.ends
    assert end.ending is Ending.READY
    assert end.chance == pytest.approx(1.0)
    assert priced.false_ready == pytest.approx(left)
    assert priced.not_followed == 0.0


def test_a_cut_before_a_cheaper_look_is_named() -> None:
    rules, lesson_ = lesson()
    (hasty,) = price(Ahead(rules), lesson_, Case(), ALL).hasty
    dull = 1 - 0.6 * 0.75 * 0.9
    assert (hasty.step, hasty.operation, hasty.look) == ("cut", "scrape", "thin")
    assert hasty.chance == pytest.approx(dull)
    assert hasty.forbids == pytest.approx(0.25 / dull)


def test_a_chart_that_looks_first_is_not_hasty_and_may_be_forbidden() -> None:
    rules, _ = lesson()
    careful = chart(
        ask("look", "thin", "fine", "dull-now"),
        ask("dull-now", "dull", "cut", "fine"),
        do("cut", "scrape", "fine"),
        stop("fine"),
    )
    priced = price(Ahead(rules), careful, Case(), ALL)
    assert (priced.hasty, priced.forbidden) == ((), ())
    stubborn = chart(ask("look", "thin", "cut", "cut"), do("cut", "scrape", "fine"), stop("fine"))
    priced = price(Ahead(rules), stubborn, Case(), ALL)
    assert dict(priced.forbidden) == {"cut": pytest.approx(0.25)}
    # Nothing is known to be wrong where it looks, so the engine has no better look to offer.
    assert priced.hasty == ()


def test_causes_that_a_chart_never_mends_are_named_the_likeliest_first() -> None:
    rules, lesson_ = lesson()
    # Nothing in the ruleset mends `worn`, so no chart can be blamed for it.
    assert price(Ahead(rules), lesson_, Case(), ALL).never_reached == ("cracked",)


def test_minutes_are_lost_where_the_chart_strays_from_advice() -> None:
    rules, lesson_ = lesson()
    priced = price(Ahead(rules), lesson_, answers(dull=YES), ALL)
    assert priced.dearest(1)[0].step.id in {"cut", "fine"}
    assert all(one.lost >= 0.0 for one in priced.steps)
    cut = step_of(priced, "cut")
    advice = Ahead(rules).advice(answers(dull=YES))
    assert advice.step is not None
    # It may not be done yet by the rules, so the engine weighs it not at all: its whole cost is lost.
    assert advice.step.id == "thin"
    assert cut.lost == pytest.approx(3 + 1 + 12)


def test_what_was_answered_in_the_same_round_is_not_asked_again() -> None:
    rules, _ = lesson()
    twice = chart(ask("one", "dull", "two", "two"), ask("two", "dull", "fine", None), stop("fine"))
    priced = price(Ahead(rules), twice, Case(), ALL)
    assert priced.minutes == pytest.approx(1.0)
    assert [one.step.id for one in priced.steps] == ["one", "fine"]
    dull = 1 - 0.6 * 0.75 * 0.9
    assert {end.ending: end.chance for end in priced.ends} == {
        Ending.READY: pytest.approx(dull),
        None: pytest.approx(1 - dull),
    }


def test_a_chart_that_goes_round_is_followed_for_a_while() -> None:
    rules, _ = lesson()
    round_ = chart(ask("again", "dull", "cut", "fine"), do("cut", "glue", "again"), stop("fine"))
    priced = price(Ahead(rules), round_, Case(), Bounds(least_chance=0.0, longest=12))
    assert priced.not_followed > 0.2
    assert sum(end.chance for end in priced.ends) == pytest.approx(1 - priced.not_followed)
    endless = chart(ask("one", "dull", "two", "two"), ask("two", "dull", "two", "two"))
    assert price(Ahead(rules), endless, Case(), ALL).ends[0].ending is None


def test_an_impossible_case_has_no_price() -> None:
    rules, lesson_ = lesson()
    with pytest.raises(ValueError, match="cannot all be true"):
        price(Ahead(rules), lesson_, answers(dull=Answer.NO, thin=YES), ALL)


# -- against brute force ------------------------------------------------------------------------------


@dataclass
class Tally:
    """What enumeration adds up, one entry for each way through a chart."""

    minutes: float = 0.0
    cuts: float = 0.0
    ends: dict[Ending | None, tuple[float, float]] | None = None

    def end(self, ending: Ending | None, chance: float, shows: float) -> None:
        ends = self.ends = self.ends or {}
        before, shown = ends.get(ending, (0.0, 0.0))
        ends[ending] = (before + chance, shown + chance * shows)


def walk(rules: Ruleset, lesson_: Chart) -> Tally:
    """Follow a chart from its start, by evidence alone (tests/support/brute.py, which shares no code)."""
    steps = {step.id: step for step in lesson_.steps}
    tally = Tally()
    waiting: list[tuple[ChartStepId | None, Case]] = [(lesson_.start, Case())]
    while waiting:
        id_, here = waiting.pop()
        chance = judge(rules, here).evidence
        if not chance:
            continue
        step = None if id_ is None else steps[id_]
        if isinstance(step, AskStep):
            known = here.present.answer(step.finding)
            if known is not None:
                waiting.append((step.yes if known is Answer.YES else step.no, here))
                continue
            tally.minutes += chance * rules.finding[step.finding].minutes
            waiting += [
                (to, here.with_answer(step.finding, answer))
                for to, answer in ((step.yes, Answer.YES), (step.no, Answer.NO))
            ]
        elif isinstance(step, DoStep):
            operation = rules.operation[step.remedy]
            tally.minutes += chance * operation.minutes
            tally.cuts += chance * (operation.undo is Undo.NEVER and not operation.is_rest)
            waiting.append((step.then, here.with_gap(step.remedy, new_sitting=operation.new_sitting)))
        else:
            tally.end(None if step is None else step.ending, chance, shows_at(rules, here))
    return tally


def shows_at(rules: Ruleset, case: Case) -> float:
    """Give the chance that some symptom shows: one less that every one of them is answered no as well."""
    clear = case
    for one in rules.findings:
        if one.priority is not None and case.sitting >= one.counts_from_sitting:
            if case.present.answer(one.id) is Answer.YES:
                return 1.0
            clear = clear.with_answer(one.id, Answer.NO)
    return 1.0 - float(judge(rules, clear).evidence / judge(rules, case).evidence)


def made_up(rules: Ruleset) -> Chart | None:
    """Make a chart out of what a ruleset has: two questions about signs, and what it can do."""
    signs = [one.id for one in rules.signs][:2]
    remedies = [one.id for one in rules.operations if not one.new_sitting][:2]
    if len(signs) < 2 or len(remedies) < 2:
        return None
    return chart(
        ask("a", signs[0], "b", "c"),
        do("b", remedies[0], "c"),
        ask("c", signs[1], "d", "e"),
        do("d", remedies[1], "f"),
        ask("f", signs[0], "g", None),
        stop("e"),
        stop("g", Ending.SET_ASIDE),
    )


def test_prices_are_those_of_enumeration() -> None:
    checked = 0
    for seed in range(80):
        rules, _ = seeded(seed)
        lesson_ = made_up(rules)
        if lesson_ is None:
            continue
        checked += 1
        found = walk(rules, lesson_)
        priced = price(Ahead(rules), lesson_, Case(), ALL)
        assert priced.cuts == pytest.approx(found.cuts)
        assert priced.minutes == pytest.approx(found.minutes)
        assert found.ends is not None
        assert {end.ending for end in priced.ends} == set(found.ends)
        for end in priced.ends:
            assert (end.chance, end.shows) == pytest.approx(found.ends[end.ending])
        if checked == 12:
            break
    assert checked >= 6
