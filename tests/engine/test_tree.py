"""The computed tree: against hand computation, against other programs of the tests, and against theory."""

import heapq
import math
from dataclasses import replace
from functools import cache

import pytest

from engine.advice import advise
from engine.ahead import Ahead, key_of
from engine.case import Case
from engine.exhaustive import NotSearched, Searched, search
from engine.step import Kind
from engine.tree import Cut, Limits, TreeKind, grow
from engine.worlds import Worlds
from kb.ids import FindingId, PriorityId, RemedyId
from kb.model import Answer, Priority, Ruleset, Show, SittingLimit, Undo
from tests.support.brute import judge
from tests.support.optimum import Desk, Solved, beginning, cost_of_policy, solved
from tests.support.small import YES, answers, cause, effects, night, remedy, ruleset, sign, symptom
from tests.support.strategies import seeded

ALL = Limits(least_chance=0.0, longest=200, most=5_000)


@cache
def some_solved() -> tuple[Solved, ...]:
    return tuple(solved(10))


def two_faults() -> Ruleset:
    """Two faults behind one symptom, one sign that tells them apart, sure remedies."""
    return ruleset(
        (symptom("dull", leak=0.0), replace(sign("bent"), leak=0.0)),
        (cause("first", 0.5, dull=1.0, bent=1.0), cause("second", 0.25, dull=1.0)),
        (
            remedy("mend-first", effects(first=1.0), minutes=10.0, recheck=("dull",)),
            remedy("mend-second", effects(second=1.0), minutes=10.0, recheck=("dull",)),
        ),
    )


def test_a_tree_of_two_faults_is_what_a_hand_computes() -> None:
    # P(first, second | dull) = 0.375/0.625 first alone, 0.125/0.625 both, 0.125/0.625 second alone.
    tree = grow(Ahead(two_faults()), answers(dull=YES), ALL)
    ask = tree.start
    assert (ask.kind, ask.id) == (TreeKind.ASK, "bent")
    assert ask.chance_yes == pytest.approx(0.8)
    assert ask.yes is not None
    assert ask.no is not None
    first, second = tree.step(ask.yes), tree.step(ask.no)
    assert (first.id, second.id) == ("mend-first", "mend-second")
    assert first.then is not None
    again = tree.step(first.then)
    assert again.chance_yes == pytest.approx(0.25)
    # One minute to ask, ten and one to mend and look; a fifth has both faults and pays that twice.
    assert ask.minutes == pytest.approx(1 + 11 + 0.2 * 11)
    assert ask.cost == pytest.approx(ask.minutes)
    assert ask.cuts == 0.0
    assert ask.followed == pytest.approx(1.0)


def test_equal_subtrees_are_one() -> None:
    # A reed without the first fault, and one whose first fault is mended, go on alike: the second's remedy.
    tree = grow(Ahead(two_faults()), answers(dull=YES), ALL)
    (second,) = [step for step in tree.steps if step.id == "mend-second"]
    leading = [step.id for step in tree.steps if second.number in step.following]
    assert leading == ["bent", "dull"]
    assert second.reach == pytest.approx(0.2 + 0.2)
    assert len([step for step in tree.steps if step.kind is TreeKind.STOP]) == 1


def test_every_step_is_numbered_after_all_that_lead_to_it() -> None:
    for problem in some_solved()[:4]:
        tree = grow(Ahead(problem.desk.ruleset), beginning(problem.desk).case, ALL)
        for step in tree.steps:
            assert all(step.number < then for then in step.following)
        reached = {then for step in tree.steps for then in step.following}
        assert reached == {step.number for step in tree.steps[1:]}


def test_what_comes_in_goes_on() -> None:
    for problem in some_solved()[:4]:
        tree = grow(Ahead(problem.desk.ruleset), beginning(problem.desk).case, ALL)
        coming = dict.fromkeys(range(1, len(tree.steps) + 1), 0.0) | {1: 1.0}
        for step in tree.steps:
            yes = step.chance_yes or 0.0
            for to, share in ((step.yes, yes), (step.no, 1.0 - yes), (step.then, 1.0)):
                if to is not None:
                    coming[to] += step.reach * share
        assert coming == pytest.approx({step.number: step.reach for step in tree.steps})


# -- against other programs ---------------------------------------------------------------------------


def test_the_chances_of_answers_are_those_of_brute_force() -> None:
    # tests/support/brute.py adds up everything that can have happened, and shares no code with the engine.
    checked = 0
    for seed in range(25):
        rules, case = seeded(seed)
        before = judge(rules, case).evidence
        if not before:
            continue
        for finding in rules.findings:
            if case.present.answer(finding.id) is None and case.sitting >= finding.counts_from_sitting:
                for way in Ahead(rules).asked(case, finding.id):
                    now = case.present.readings
                    if not now:
                        checked += 1
                        assert way.chance == pytest.approx(judge(rules, way.case).evidence / before)
    assert checked > 20


def without_leaks(rules: Ruleset) -> Ruleset:
    return replace(rules, findings=tuple(replace(one, leak=0.0) for one in rules.findings))


def advised(rules: Ruleset, case: Case) -> tuple[str, str]:
    step = advise(rules, case).step
    assert step is not None
    return ("stop", "") if step.kind is Kind.STOP else (str(step.kind), step.id)


def test_the_cost_of_a_tree_is_what_playing_the_advice_costs() -> None:
    # tests/support/optimum.py follows the advice through whole worlds. Without leaks, and where nothing
    # that is gone can be provoked anew (it would answer that for nothing), its world is the tree's.
    played = 0
    for problem in some_solved():
        desk = Desk(without_leaks(problem.desk.ruleset))
        start = beginning(desk)
        if any(one.provokes for one in desk.ruleset.operations):
            continue
        played += 1
        tree = grow(Ahead(desk.ruleset), start.case, ALL)
        assert tree.start.cost == pytest.approx(cost_of_policy(desk, advised))
        assert tree.start.followed == pytest.approx(1.0)
    assert played >= 4


def has_waiting_order(rules: Ruleset) -> bool:
    """Whether something comes `after` an operation that waits for answers: that rule is read in two ways."""
    waiting = {one.id for one in rules.operations if one.unless and one.undo is Undo.NEVER}
    return any(set(one.after) & waiting for one in rules.operations)


def test_the_search_finds_the_least_that_another_search_finds() -> None:
    searched = 0
    for problem in some_solved()[:8]:
        found = search(Ahead(problem.desk.ruleset), beginning(problem.desk).case)
        if isinstance(found, Searched) and not has_waiting_order(problem.desk.ruleset):
            searched += 1
            assert found.least == pytest.approx(problem.least)
            assert found.advised == pytest.approx(cost_of_policy(problem.desk, advised))
            assert found.gap >= -1e-9
    assert searched >= 6


def test_a_whole_table_believes_what_the_sweep_believes() -> None:
    checked = 0
    for seed in range(60):
        rules, case = seeded(seed)
        worlds = Worlds(rules)
        belief = advise(rules, case).belief
        if not worlds.is_small or not belief.is_possible:
            continue
        checked += 1
        rows = worlds.believed(case).sum(axis=1)
        for one, chance in belief.causes:
            assert rows[worlds.present(one)].sum() == pytest.approx(chance, abs=1e-9)
    assert checked >= 10


# -- against theory -----------------------------------------------------------------------------------


def huffman(weights: list[float]) -> float:
    """Give the least expected number of yes/no questions (D. Huffman 1952, from memory)."""
    heap, total = list(weights), 0.0
    heapq.heapify(heap)
    while len(heap) > 1:
        joined = heapq.heappop(heap) + heapq.heappop(heap)
        total += joined
        heapq.heappush(heap, joined)
    return total


def one_of(weights: list[float]) -> Ruleset:
    """Make causes so rare that one alone explains the symptom, and a sign for every way to split them."""
    count = len(weights)
    splits = range(1, 1 << (count - 1))
    names = {split: f"split-{split}" for split in splits}
    causes = tuple(
        replace(
            cause(f"cause-{place}", 1e-7 * weight, dull=1.0),
            shows=(
                Show(FindingId("dull"), 1.0),
                *(Show(FindingId(names[split]), 1.0) for split in splits if split >> place & 1),
            ),
        )
        for place, weight in enumerate(weights)
    )
    findings = (symptom("dull", leak=0.0), *(replace(sign(name), leak=0.0) for name in names.values()))
    mending = tuple(
        remedy(f"mend-{place}", effects(**{f"cause_{place}": 1.0}), minutes=30.0, recheck=("dull",))
        for place in range(count)
    )
    return replace(
        ruleset(findings, causes, mending),
        priorities=(Priority(PriorityId("response"), "Response", worth=5_000.0),),
    )


@pytest.mark.parametrize(
    "weights, entropy, least",
    [([0.5, 0.25, 0.125, 0.125], 1.75, 1.75), ([0.4, 0.2, 0.2, 0.1, 0.1], 2.1219, 2.2)],
)
def test_no_tree_asks_less_than_huffman(weights: list[float], entropy: float, least: float) -> None:
    # The worked numbers: entropy <= Huffman <= expected questions of any tree that tells the causes apart.
    assert -sum(one * math.log2(one) for one in weights) == pytest.approx(entropy, abs=1e-4)
    assert huffman(weights) == pytest.approx(least)
    tree = grow(Ahead(one_of(weights)), answers(dull=YES), replace(ALL, least_chance=1e-5))
    asked = sum(step.reach for step in tree.steps if step.id.startswith("split"))
    done = sum(step.reach for step in tree.steps if step.kind is TreeKind.DO)
    assert done == pytest.approx(1.0, abs=1e-3)  # each reed gets its own remedy at once
    assert asked >= least - 1e-3
    assert asked <= entropy + 1.0  # and the tree is not a poor one: Huffman's own is below this


# -- limits -------------------------------------------------------------------------------------------


def test_a_tree_says_what_it_cut_off() -> None:
    rules = two_faults()
    rare = grow(Ahead(rules), answers(dull=YES), replace(ALL, least_chance=0.3))
    assert dict(rare.cuts_off) == {Cut.RARE: pytest.approx(0.4)}
    short = grow(Ahead(rules), answers(dull=YES), replace(ALL, longest=1))
    assert dict(short.cuts_off) == {Cut.LONG: pytest.approx(1.0)}
    few = grow(Ahead(rules), answers(dull=YES), replace(ALL, most=2))
    assert [why for why, _ in few.cuts_off] == [Cut.MANY]
    for tree in (rare, short, few):
        (cut,) = [step for step in tree.steps if step.kind is TreeKind.CUT]
        assert cut.reach == pytest.approx(1.0 - tree.start.followed)


def test_a_tree_ends_where_its_trouble_is_gone_unless_the_whole_work_is_wanted() -> None:
    rules = ruleset(
        (symptom("dull"), symptom("sags", PriorityId("stability"))),
        (cause("first", 0.5, dull=0.9), cause("second", 0.25, sags=0.9)),
        (remedy("mend", effects(first=0.9), recheck=("dull",)),),
    )
    one, whole = (
        grow(Ahead(rules), answers(dull=YES), replace(ALL, whole=w, longest=30)) for w in (False, True)
    )
    assert "sags" not in {step.id for step in one.steps}
    assert TreeKind.SETTLED in {step.kind for step in one.steps}
    assert "sags" in {step.id for step in whole.steps}
    assert TreeKind.SETTLED not in {step.kind for step in whole.steps}
    assert (one.through, whole.through) == (1, 2)


def test_a_trouble_is_not_gone_because_an_earlier_priority_needs_a_look() -> None:
    # The remedy may bring what shows as two things of the first priority: neither is likely enough to be
    # asked right after it, but together they are, so that advice looks there before it goes on.
    rules = ruleset(
        (
            symptom("dull", leak=0.0),
            symptom("late", leak=0.0),
            symptom("sags", PriorityId("stability"), leak=0.0),
        ),
        (cause("soft", 0.4, sags=1.0), cause("closed", 0.01, dull=0.4, late=0.4)),
        (
            remedy("mend", effects(soft=0.5), effects(closed=0.3), recheck=("sags",)),
            remedy("open", effects(closed=0.9), recheck=("dull", "late")),
        ),
    )
    start = answers(dull=Answer.NO, late=Answer.NO, sags=YES)
    tree = grow(Ahead(rules), start, replace(ALL, least_chance=0.01))
    again = tree.step(2)
    assert (tree.start.id, again.id, tree.through) == ("mend", "sags", 2)
    assert again.yes is not None
    assert again.no is not None
    assert (tree.step(again.yes).kind, tree.step(again.yes).id) in {
        (TreeKind.ASK, "dull"),
        (TreeKind.ASK, "late"),
    }
    assert tree.step(again.no).kind is TreeKind.SETTLED


def test_a_day_that_has_had_enough_ends_in_a_rest() -> None:
    rules = replace(two_faults(), sitting=SittingLimit(minutes=5.0))
    rules = replace(rules, operations=(*rules.operations, night()))
    tree = grow(Ahead(rules), answers(dull=YES), replace(ALL, longest=12))
    assert "night" in {step.id for step in tree.steps if step.kind is TreeKind.REST}


def test_hearing_of_progress_changes_nothing() -> None:
    heard: list[tuple[int, float]] = []
    rules = two_faults()
    loud = grow(Ahead(rules), answers(dull=YES), ALL, lambda cases, settled: heard.append((cases, settled)))
    assert loud == grow(Ahead(rules), answers(dull=YES), ALL)
    assert heard[-1][0] == loud.weighed
    assert heard[-1][1] == pytest.approx(1.0)


def test_an_impossible_case_has_no_tree() -> None:
    with pytest.raises(ValueError, match="cannot all be true"):
        grow(Ahead(two_faults()), answers(dull=Answer.NO, bent=YES), ALL)


def test_the_order_of_answers_in_a_round_is_no_part_of_a_case() -> None:
    one, other = (answers(dull=YES, bent=YES), answers(bent=YES, dull=YES))
    assert one != other
    assert key_of(one) == key_of(other)
    assert key_of(one) != key_of(one.with_gap(RemedyId("mend-first"), new_sitting=False))


@pytest.mark.parametrize(
    "case, why",
    [
        (Case(), "nothing is known to be wrong"),
        (answers(s0=YES, s1=YES, s2=YES, s3=YES, s4=YES), "too large"),
    ],
)
def test_a_search_that_was_not_made_says_why(case: Case, why: str) -> None:
    symptoms = tuple(symptom(f"s{n}") for n in range(5))
    rules = ruleset(symptoms, (cause("first", 0.5, s0=1.0),), (remedy("mend", effects(first=1.0)),))
    found = search(Ahead(rules), case)
    assert isinstance(found, NotSearched)
    assert why in found.why


def test_what_is_left_counts_an_answer_as_it_was_given() -> None:
    ahead = Ahead(two_faults())
    # Slightly weighs showing 0.75 and not showing 0.25; the chance before any answer is 0.625.
    slightly = 0.75 * 0.625 / (0.75 * 0.625 + 0.25 * 0.375)
    for answer, chance in ((YES, 1.0), (Answer.NO, 0.0), (Answer.SLIGHTLY, slightly), (Answer.UNSURE, 0.625)):
        assert ahead.trouble(answers(dull=answer)) == pytest.approx((chance, 0.0))
        assert ahead.left(answers(dull=answer)) == pytest.approx(120.0 * chance)
