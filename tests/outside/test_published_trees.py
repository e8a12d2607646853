"""Questions and trees against numbers that nobody here made up. The source stands beside each check."""

import itertools
from collections.abc import Sequence
from heapq import heapify, heappop, heappush
from math import log2

import pytest

from engine.ahead import Ahead
from engine.belief import believe
from engine.case import Case
from engine.tree import Limits, Tree, TreeKind, grow
from kb.ids import CauseId, FindingId
from kb.model import Answer, Ruleset
from tests.support.shop import TROUBLE, repair_shop

RARE = 1e-7
"""Faults so rare that two never meet: then they are one fault, with chances in this proportion."""

# J. R. Quinlan, Induction of decision trees, Machine Learning 1, 1986: fourteen days, and whether to
# play. Table and gains READ in two courses that print them (method notes); the gains COMPUTED equal.
ATTRIBUTES = ("outlook", "temperature", "humidity", "wind")
DAYS = (
    ("sunny hot high weak", False),
    ("sunny hot high strong", False),
    ("overcast hot high weak", True),
    ("rain mild high weak", True),
    ("rain cool normal weak", True),
    ("rain cool normal strong", False),
    ("overcast cool normal strong", True),
    ("sunny mild high weak", False),
    ("sunny cool normal weak", True),
    ("rain mild normal weak", True),
    ("sunny mild normal strong", True),
    ("overcast mild high strong", True),
    ("overcast hot normal weak", True),
    ("rain mild high strong", False),
)
GAINS = {"outlook": 0.2467, "humidity": 0.1518, "wind": 0.0481, "temperature": 0.0292}
VALUES = {
    name: tuple(dict.fromkeys(day.split()[column] for day, _ in DAYS))
    for column, name in enumerate(ATTRIBUTES)
}


def the_days() -> Ruleset:
    """Make every day a fault that always shows its weather, and trouble."""
    signs = {
        f"{name}-{value}": (1.0, [n for n, (day, _) in enumerate(DAYS) if day.split()[column] == value])
        for column, name in enumerate(ATTRIBUTES)
        for value in VALUES[name]
    }
    return repair_shop([RARE] * len(DAYS), [10.0] * len(DAYS), signs=signs)


SHOP = the_days()


def seen(case: Case, name: str, value: str) -> Case:
    """See an attribute: its value shows, and the others do not."""
    for other in VALUES[name]:
        answer = Answer.YES if other == value else Answer.NO
        case = case.with_answer(FindingId(f"{name}-{other}"), answer)
    return case


def chance_to_play(case: Case) -> float:
    belief = believe(SHOP, case)
    return sum(belief.chance(CauseId(f"fault-{number}")) for number, (_, play) in enumerate(DAYS) if play)


def bits(chance: float) -> float:
    return -sum(x * log2(x) for x in (chance, 1.0 - chance) if 1e-6 < x < 1.0 - 1e-6)


def gain(case: Case, name: str) -> float:
    """Give what seeing an attribute tells of the day, in bits, all chances being the engine's."""
    whole = believe(SHOP, case).evidence
    left = 0.0
    for value in VALUES[name]:
        then = seen(case, name, value)
        evidence = believe(SHOP, then).evidence
        if evidence > 0.0:
            left += evidence / whole * bits(chance_to_play(then))
    return bits(chance_to_play(case)) - left


BEGIN = Case().with_answer(TROUBLE, Answer.YES)


@pytest.mark.parametrize("name", GAINS)
def test_the_gains_of_quinlan_follow_from_beliefs(name: str) -> None:
    assert bits(chance_to_play(BEGIN)) == pytest.approx(0.9403, abs=5e-5)
    assert gain(BEGIN, name) == pytest.approx(GAINS[name], abs=5e-5)


def test_the_tree_of_quinlan_follows_from_beliefs() -> None:
    """Outlook; where it is sunny humidity, where it rains wind: 14 + 5 + 5 tests over the fourteen days."""

    def tests_of(case: Case) -> tuple[object, float]:
        if bits(chance_to_play(case)) < 1e-3:
            return round(chance_to_play(case)), 0.0
        best = max(ATTRIBUTES, key=lambda name: gain(case, name))
        branches, asked = {}, believe(SHOP, case).evidence
        for value in VALUES[best]:
            then = seen(case, best, value)
            if believe(SHOP, then).evidence > 0.0:
                branches[value], more = tests_of(then)
                asked += more
        return (best, branches), asked

    tree, asked = tests_of(BEGIN)
    assert tree == (
        "outlook",
        {
            "sunny": ("humidity", {"high": 0, "normal": 1}),
            "overcast": 1,
            "rain": ("wind", {"weak": 1, "strong": 0}),
        },
    )
    assert asked / believe(SHOP, BEGIN).evidence * len(DAYS) == pytest.approx(24.0, abs=1e-3)


# D. A. Huffman, A method for the construction of minimum-redundancy codes, 1952 (from memory): with
# any yes/no question allowed, one fault cannot be found in fewer questions on average. Values COMPUTED:
# (.4, .2, .2, .1, .1) 2.2; (.25, .25, .2, .15, .15) 2.3; (.5, .25, .125, .125) 1.75.
CODES = {
    (0.4, 0.2, 0.2, 0.1, 0.1): 2.2,
    (0.25, 0.25, 0.2, 0.15, 0.15): 2.3,
    (0.5, 0.25, 0.125, 0.125): 1.75,
}


def huffman(chances: Sequence[float]) -> float:
    heap = list(chances)
    heapify(heap)
    total = 0.0
    while len(heap) > 1:
        joined = heappop(heap) + heappop(heap)
        total += joined
        heappush(heap, joined)
    return total


def finding_the_fault(chances: Sequence[float]) -> Tree:
    """Grow the tree where every split can be asked for and a repair in vain costs far more than asking."""
    numbers = range(len(chances))
    splits = [
        split
        for size in range(1, len(chances) // 2 + 1)
        for split in itertools.combinations(numbers, size)
        if size * 2 < len(chances) or 0 in split
    ]
    signs = {"among-" + "-".join(map(str, split)): (1.0, split) for split in splits}
    shop = repair_shop([RARE * p for p in chances], [50.0] * len(chances), signs=signs)
    return grow(Ahead(shop), BEGIN, Limits(least_chance=0.0))


def questions(tree: Tree) -> float:
    return sum(step.reach for step in tree.steps if step.kind is TreeKind.ASK and step.id != TROUBLE)


@pytest.mark.parametrize("chances,least", CODES.items())
def test_no_tree_asks_less_than_huffman_and_ours_less_than_one_question_more(
    chances: tuple[float, ...], least: float
) -> None:
    assert huffman(chances) == pytest.approx(least)
    tree = finding_the_fault(chances)
    assert not tree.cuts_off
    assert least - 1e-4 <= questions(tree) < least + 1.0


# The counting bound: n questions tell at most 2^n faults apart (common knowledge, no source).
def test_eight_equal_faults_take_three_questions_and_never_fewer() -> None:
    halves = {f"bit-{bit}": (1.0, [n for n in range(8) if n >> bit & 1]) for bit in range(3)}
    shop = repair_shop([RARE] * 8, [50.0] * 8, signs=halves)
    tree = grow(Ahead(shop), BEGIN, Limits(least_chance=0.0))
    assert questions(tree) == pytest.approx(3.0, abs=1e-4)
