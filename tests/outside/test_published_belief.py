"""Belief against numbers that nobody here made up. The source stands beside each check.

READ: the page or file was seen; MEMORY: recalled; COMPUTED: reckoned from published inputs.
"""

import itertools
from dataclasses import replace
from fractions import Fraction
from math import prod
from pathlib import Path
from typing import Any

import pytest

from engine.belief import believe
from engine.case import Case
from kb.ids import CauseId, FindingId, PriorityId, RulesetId
from kb.model import Answer, Cause, Finding, Priority, Ruleset, Show
from tests.support.shop import weighed
from tests.support.written_out import Table, noisy_or_of


def symptom(name: str, leak: float = 0.0) -> Finding:
    return Finding(FindingId(name), f"{name}?", f"{name}?", priority=PriorityId("response"), leak=leak)


def sign(name: str, leak: float = 0.0) -> Finding:
    return Finding(FindingId(name), f"{name}?", f"{name}?", is_sign=True, leak=leak)


def cause(name: str, chance: float, **shows: float) -> Cause:
    links = tuple(Show(FindingId(finding.replace("_", "-")), strength) for finding, strength in shows.items())
    return Cause(CauseId(name), name, chance, links)


def ruleset_of(findings: tuple[Finding, ...], causes: tuple[Cause, ...]) -> Ruleset:
    ranks = (Priority(PriorityId("response"), "Response"),)
    return Ruleset(
        RulesetId("published"), "Published", "1.0.0", priorities=ranks, findings=findings, causes=causes
    )


def chances(found: Any) -> dict[str, float]:
    return {one["id"]: one["chance"] for one in found["causes"]}


# S. Russell and P. Norvig, Artificial Intelligence: A Modern Approach, noisy-OR example: inhibitors
# cold 0.6, flu 0.2, malaria 0.1, no leak. READ in class slides that print the table; COMPUTED equal.
FEVER = {
    (0, 0, 0): 0.0,
    (0, 0, 1): 0.9,
    (0, 1, 0): 0.8,
    (0, 1, 1): 0.98,
    (1, 0, 0): 0.4,
    (1, 0, 1): 0.94,
    (1, 1, 0): 0.88,
    (1, 1, 1): 0.988,
}


@pytest.mark.parametrize("present,expected", FEVER.items())
def test_the_noisy_or_table_of_russell_and_norvig(
    present: tuple[int, int, int], expected: float, tmp_path: Path
) -> None:
    # Each fault has a sign of its own, certain both ways, so that answering them fixes the causes;
    # P(fever | causes) is then the share of the evidence that a yes to fever leaves.
    names, strengths = ("cold", "flu", "malaria"), (0.4, 0.8, 0.9)
    ruleset = ruleset_of(
        (symptom("fever"), *(sign(f"seen-{name}") for name in names)),
        tuple(
            cause(name, 0.1, fever=strength, **{f"seen_{name}": 1.0})
            for name, strength in zip(names, strengths, strict=True)
        ),
    )
    told = [f"seen-{name}={'yes' if there else 'no'}" for name, there in zip(names, present, strict=True)]
    without = weighed(ruleset, tmp_path, *told)["evidence"]
    for answer, chance in (("yes", expected), ("no", 1 - expected)):
        found = weighed(ruleset, tmp_path, *told, f"fever={answer}")["evidence"]
        assert found == pytest.approx(without * chance, rel=1e-12, abs=1e-18)


# S. Lauritzen and D. Spiegelhalter, Local computations with probabilities on graphical structures,
# JRSS B 50, 1988 ("Asia"). Tables READ (pgmpy's asia.bif.gz, rdrr.io gRain example_chest); `either` is
# the deterministic or of tuberculosis and lung cancer, an exact noisy-OR. Its `dysp` is not one and
# cannot be written as a ruleset: left out here.
TUBERCULOSIS, LUNG = 0.0104, 0.055


def asia(**changes: float) -> Ruleset:
    ruleset = ruleset_of(
        (symptom("either"),), (cause("tub", TUBERCULOSIS, either=1.0), cause("lung", LUNG, either=1.0))
    )
    return replace(ruleset, slightly=changes.get("slightly", 0.75))


def test_asia_either_is_as_likely_as_published(tmp_path: Path) -> None:
    found = weighed(asia(), tmp_path, "either=yes")
    assert found["evidence"] == pytest.approx(0.064828, abs=5e-10)
    expected = {"tub": 0.0104 / 0.064828, "lung": 0.055 / 0.064828}
    assert chances(found) == pytest.approx(expected, rel=1e-12)


def test_asia_x_ray_is_as_likely_as_published(tmp_path: Path) -> None:
    # The x-ray shows with 0.98 after `either` and with 0.05 without: soft evidence on `either`, which
    # is what "slightly" says when it weighs 0.98 against 0.05. P(xray) = 0.11029, COMPUTED by enumeration.
    ruleset = asia(slightly=0.98 / 1.03)
    found = weighed(ruleset, tmp_path, "either=slightly")
    assert found["evidence"] * 1.03 == pytest.approx(0.11029004, abs=1e-8)
    lung = 0.055 * 0.98 / 0.11029004
    assert chances(found)["lung"] == pytest.approx(lung, abs=1e-8)


# The same: which of Asia's tables with two parents can be written as a ruleset. Dyspnoea: 0.9 where both
# are there, 0.7 and 0.8 for each alone, 0.1 for neither; by itself each would bring 0.9333 (COMPUTED).
def test_asia_either_is_a_noisy_or_and_dyspnoea_is_refused() -> None:
    both = ("either", "bronc")
    either = Table("either", ("tub", "lung"), {(0, 0): 0.0, (0, 1): 1.0, (1, 0): 1.0, (1, 1): 1.0})
    dyspnoea = Table("dysp", both, {(0, 0): 0.1, (0, 1): 0.8, (1, 0): 0.7, (1, 1): 0.9})
    assert noisy_or_of(either) == (0.0, (1.0, 1.0))
    with pytest.raises(ValueError, match=r"dysp is no noisy-OR: 0\.9 where 0\.9333 follows"):
        noisy_or_of(dyspnoea)


# J. de Kleer and B. Williams, Diagnosing multiple faults, AI 32, 1987: three multipliers, two adders,
# F = 10 where 12 is expected, G = 12. READ as abstract; conflicts {M1, M2, A1} and {M1, M3, A1, A2} and
# the chances with p = 0.01 COMPUTED from the published circuit. A conflict is a set of which one at
# least is broken: an or. (That conflicts are found from the circuit is not ours to do: left out.)
def test_the_polybox_of_de_kleer_and_williams(tmp_path: Path) -> None:
    first, second = {"first": 1.0}, {"second": 1.0}
    ruleset = ruleset_of(
        (symptom("first"), symptom("second")),
        (
            cause("m1", 0.01, **first, **second),
            cause("m2", 0.01, **first),
            cause("m3", 0.01, **second),
            cause("a1", 0.01, **first, **second),
            cause("a2", 0.01, **second),
        ),
    )
    found = chances(weighed(ruleset, tmp_path, "first=yes", "second=yes"))
    expected = {"m1": 0.4976, "m2": 0.0196, "m3": 0.0148, "a1": 0.4976, "a2": 0.0148}
    assert found == pytest.approx(expected, abs=5e-5)


def test_the_candidates_of_de_kleer_and_williams() -> None:
    # Each minimal candidate alone, the others ruled out by a sign of their own: 0.478 for single
    # faults, 0.0048 for the pairs {M2, M3} and {M2, A2}.
    names = ("m1", "m2", "m3", "a1", "a2")
    touched = {"m1": "first second", "m2": "first", "m3": "second", "a1": "first second", "a2": "second"}
    ruleset = ruleset_of(
        (symptom("first"), symptom("second"), *(sign(f"broken-{name}") for name in names)),
        tuple(
            cause(n, 0.01, **dict.fromkeys(touched[n].split(), 1.0), **{f"broken_{n}": 1.0}) for n in names
        ),
    )
    both = Case().with_answer(FindingId("first"), Answer.YES).with_answer(FindingId("second"), Answer.YES)
    whole = believe(ruleset, both).evidence
    candidates = {("m1",): 0.478, ("a1",): 0.478, ("m2", "m3"): 0.0048, ("m2", "a2"): 0.0048, ("m2",): 0.0}
    for broken, expected in candidates.items():
        case = both
        for name in names:
            case = case.with_answer(FindingId(f"broken-{name}"), Answer.YES if name in broken else Answer.NO)
        assert believe(ruleset, case).evidence / whole == pytest.approx(expected, abs=5e-5)


# D. Heckerman, A tractable inference algorithm for diagnosing multiple diseases, UAI 1989: evidence of
# positive findings by inclusion and exclusion over their subsets (abstract READ). Its signed sum loses
# its digits on rare findings (others saw it too: method notes). Ours has no signs to lose.
RARE_CAUSES, RARE_FINDINGS = 8, 14


def rare() -> Ruleset:
    strengths = (0.02, 0.05, 0.03, 0.08)
    findings = tuple(sign(f"sign-{n}", leak=1e-5) for n in range(RARE_FINDINGS))
    causes = tuple(
        Cause(
            CauseId(f"cause-{c}"),
            f"Cause {c}",
            0.001 * (c + 1),
            tuple(Show(one.id, strengths[(c + n) % 4]) for n, one in enumerate(findings) if (c + n) % 3),
        )
        for c in range(RARE_CAUSES)
    )
    return ruleset_of(findings, causes)


def by_all_states(ruleset: Ruleset) -> tuple[Fraction, list[Fraction]]:
    """Add up over all sets of causes, in rationals: evidence, and the part of it with each cause."""
    total, each = Fraction(0), [Fraction(0)] * len(ruleset.causes)
    strength = [{show.finding: Fraction(show.strength) for show in one.shows} for one in ruleset.causes]
    for state in itertools.product((0, 1), repeat=len(ruleset.causes)):
        mass = prod(
            Fraction(one.how_common) if on else 1 - Fraction(one.how_common)
            for one, on in zip(ruleset.causes, state, strict=True)
        )
        for finding in ruleset.findings:
            silent = 1 - Fraction(finding.leak)
            for number, on in enumerate(state):
                silent *= 1 - strength[number].get(finding.id, Fraction(0)) if on else 1
            mass *= 1 - silent
        total += mass
        each = [part + mass if on else part for part, on in zip(each, state, strict=True)]
    return total, each


def by_inclusion_and_exclusion(ruleset: Ruleset) -> float:
    """Give the published method's evidence, in doubles."""
    total = 0.0
    strength = [{show.finding: show.strength for show in one.shows} for one in ruleset.causes]
    for size in range(len(ruleset.findings) + 1):
        for chosen in itertools.combinations(ruleset.findings, size):
            term = prod(1 - finding.leak for finding in chosen)
            for one, links in zip(ruleset.causes, strength, strict=True):
                silent = prod(1 - links.get(finding.id, 0.0) for finding in chosen)
                term *= 1 - one.how_common + one.how_common * silent
            total += (-1) ** size * term
    return total


def test_rare_findings_keep_their_digits_where_inclusion_and_exclusion_loses_all() -> None:
    ruleset, case = rare(), Case()
    for finding in ruleset.findings:
        case = case.with_answer(finding.id, Answer.YES)
    exact, each = by_all_states(ruleset)
    published = by_inclusion_and_exclusion(ruleset)
    assert abs(published / float(exact) - 1) > 1, "not rare enough to show the loss"
    belief = believe(ruleset, case)
    assert belief.evidence == pytest.approx(float(exact), rel=1e-12)
    for number, one in enumerate(ruleset.causes):
        assert belief.chance(one.id) == pytest.approx(float(each[number] / exact), rel=1e-12)


# The worked example of docs/method.md, section 3. COMPUTED by hand, no source: it holds the page to
# what the engine does.
def test_the_worked_example_of_the_method_page_is_right() -> None:
    ruleset = ruleset_of(
        (symptom("sags", leak=0.02), sign("thick", leak=0.02)),
        (cause("spine", 0.2, sags=0.6, thick=0.8), cause("wire", 0.08, sags=0.97)),
    )
    case = Case().with_answer(FindingId("sags"), Answer.YES).with_answer(FindingId("thick"), Answer.NO)
    belief = believe(ruleset, case)
    assert belief.evidence == pytest.approx(0.102375168 * 0.98, rel=1e-12)
    assert belief.chance(CauseId("spine")) == pytest.approx(0.025536768 / 0.102375168, rel=1e-12)
    assert belief.chance(CauseId("wire")) == pytest.approx(0.065280768 / 0.102375168, rel=1e-12)
    assert belief.unlisted == pytest.approx(0.015053568 / 0.102375168, rel=1e-12)
