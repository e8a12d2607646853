"""Networks and cases of stated sizes and shapes, drawn from seeds, for timing.

Nothing here claims to be a real ruleset; shapes are what cost depends on.
"""

import random
from collections.abc import Sequence

from engine.case import Case
from kb.ids import CauseId, FindingId, PriorityId, RemedyId, RulesetId
from kb.model import Answer, Cause, Effect, Finding, Priority, Remedy, Ruleset, Show, Undo

STRENGTHS = (0.1, 0.3, 0.6, 0.8, 0.97)
"""The words of chance."""
RANKS = tuple(PriorityId(one) for one in ("response", "stability", "flexibility"))


def _of_signs(
    name: str, ids: Sequence[FindingId], causes: tuple[Cause, ...], operations: tuple[Remedy, ...] = ()
) -> Ruleset:
    return Ruleset(
        RulesetId(name),
        name.capitalize(),
        "1.0.0",
        priorities=(Priority(RANKS[0], "Response"),),
        findings=tuple(Finding(id_, id_, f"{id_}?", is_sign=True, leak=0.02) for id_ in ids),
        causes=causes,
        operations=operations,
    )


def workshop(seed: int, causes: int = 40, findings: int = 80) -> Ruleset:
    """Make a network of a studio's size: a cause shows six to fourteen findings, any two may meet."""
    source = random.Random(seed)
    ids = [FindingId(f"finding-{n:02}") for n in range(findings)]
    return _of_signs(
        "workshop",
        ids,
        causes=tuple(
            Cause(
                CauseId(f"cause-{n:02}"),
                f"Cause {n}",
                source.uniform(0.01, 0.2),
                tuple(
                    Show(id_, source.choice(STRENGTHS)) for id_ in source.sample(ids, source.randint(6, 14))
                ),
            )
            for n in range(causes)
        ),
        operations=tuple(
            Remedy(
                RemedyId(f"remedy-{n:02}"),
                f"Remedy {n}",
                "Do it.",
                cures=tuple(
                    Effect(CauseId(f"cause-{c:02}"), source.choice((0.3, 0.6, 0.8)))
                    for c in source.sample(range(causes), 2)
                ),
            )
            for n in range(causes)
        ),
    )


def lump(seed: int, causes: int, findings: int) -> Ruleset:
    """Make the worst network there is: every cause shows every finding, each with a strength of its own."""
    source = random.Random(seed)
    ids = [FindingId(f"finding-{n:02}") for n in range(findings)]
    return _of_signs(
        "lump",
        ids,
        causes=tuple(
            Cause(
                CauseId(f"cause-{n:02}"),
                f"Cause {n}",
                source.uniform(0.01, 0.2),
                tuple(Show(id_, source.uniform(0.1, 0.97)) for id_ in ids),
            )
            for n in range(causes)
        ),
    )


def told(
    ruleset: Ruleset, seed: int, rounds: int, positives: int, negatives: int = 20, *, fresh: bool = False
) -> Case:
    """Make a case with so many yes and no in all, spread over rounds.

    The yes are the same few findings in every round, as they are at the desk: looked at again after
    each remedy, which did not clear them; or, if `fresh`, others in each. So are the no. Every gap is
    a remedy.
    """
    source = random.Random(seed)
    names = [finding.id for finding in ruleset.findings]
    source.shuffle(names)
    case, each, share = Case(), positives // rounds, negatives // rounds
    for number in range(rounds):
        first = number * each if fresh else 0
        for name in names[first : first + each]:
            case = case.with_answer(name, Answer.YES)
        first = positives + number * share
        for name in names[first : first + share]:
            case = case.with_answer(name, Answer.NO)
        if number + 1 < rounds:
            case = case.with_gap(source.choice(ruleset.operations).id, new_sitting=False)
    return case


def clinic(seed: int, causes: int = 570, findings: int = 4000, links: int = 70) -> Ruleset:
    """Make a network of the shape of QMR-DT: many rare causes, about `links` each, some findings in many.

    Shape: M. Shwe and others, Methods of Information in Medicine 30, 1991 (paper READ as abstract; 534
    causes, 4,040 findings, 40,740 links from memory). Chances are drawn and not that network's.
    """
    source = random.Random(seed)
    ids = [FindingId(f"finding-{n:04}") for n in range(findings)]
    weights = [1 / (n + 60) for n in range(findings)]
    each = [
        sorted(set(source.choices(ids, weights, k=round(links * source.uniform(0.6, 1.6)))))
        for _ in range(causes)
    ]
    return _of_signs(
        "clinic",
        ids,
        causes=tuple(
            Cause(
                CauseId(f"cause-{n:03}"),
                f"Cause {n}",
                source.uniform(0.0005, 0.02),
                tuple(Show(id_, source.choice(STRENGTHS)) for id_ in shown),
            )
            for n, shown in enumerate(each)
        ),
    )


def examined(ruleset: Ruleset, seed: int, positives: int, negatives: int = 20) -> Case:
    """Make a case of one round by drawing three causes and what they show: the first so many yes, and no."""
    source = random.Random(seed)
    showing: list[FindingId] = []
    while len(showing) < positives:
        there = source.sample(ruleset.causes, 3)
        showing = sorted({s.finding for one in there for s in one.shows if source.random() < s.strength})
    yes = source.sample(showing, positives)
    silent = [one.id for one in ruleset.findings if one.id not in showing]
    case = Case()
    for name in yes:
        case = case.with_answer(name, Answer.YES)
    for name in source.sample(silent, negatives):
        case = case.with_answer(name, Answer.NO)
    return case


def big_studio(seed: int, causes: int = 60, findings: int = 100, remedies: int = 80) -> Ruleset:
    """Make a whole ruleset larger than any that ships: three priorities, 30 symptoms, the rest signs."""
    source = random.Random(seed)
    symptoms = [
        Finding(
            FindingId(f"symptom-{n:02}"),
            f"Symptom {n}",
            f"Symptom {n}?",
            priority=RANKS[n % 3],
        )
        for n in range(30)
    ]
    signs = [
        Finding(FindingId(f"sign-{n:02}"), f"Sign {n}", f"Sign {n}?", is_sign=True, minutes=float(1 + n % 3))
        for n in range(findings - len(symptoms))
    ]
    return Ruleset(
        RulesetId("big-studio"),
        "Big studio",
        "1.0.0",
        priorities=tuple(Priority(rank, rank) for rank in RANKS),
        findings=(*symptoms, *signs),
        causes=tuple(_cause(source, n, symptoms, signs) for n in range(causes)),
        operations=tuple(_remedy(source, n, causes, symptoms, signs) for n in range(remedies)),
    )


def _cause(source: random.Random, number: int, symptoms: list[Finding], signs: list[Finding]) -> Cause:
    shown = [*source.sample(symptoms, source.randint(1, 4)), *source.sample(signs, source.randint(2, 6))]
    return Cause(
        CauseId(f"cause-{number:02}"),
        f"Cause {number}",
        source.choice((0.02, 0.08, 0.08, 0.2)),
        tuple(Show(one.id, source.choice(STRENGTHS)) for one in shown),
    )


def _remedy(
    source: random.Random, number: int, causes: int, symptoms: list[Finding], signs: list[Finding]
) -> Remedy:
    # Dealt out in turn, so that every cause has a remedy; each mends two or three and may bring one.
    mended = [number % causes, *source.sample(range(causes), source.randint(1, 2))]
    brought = source.choice([c for c in range(causes) if c not in mended])
    undo = source.choice((Undo.FULLY, Undo.PARTLY, Undo.NEVER, Undo.NEVER))
    return Remedy(
        RemedyId(f"remedy-{number:02}"),
        f"Remedy {number}",
        "Do it.",
        cures=tuple(
            Effect(CauseId(f"cause-{c:02}"), source.choice((0.3, 0.6, 0.8))) for c in dict.fromkeys(mended)
        ),
        provokes=(Effect(CauseId(f"cause-{brought:02}"), 0.1),),
        minutes=float(source.randint(1, 10)),
        undo=undo,
        recheck=(source.choice(symptoms).id,),
        unless=tuple(one.id for one in source.sample(signs, source.randint(0, 2))),
    )
