"""The model as plain tables of chances, for general-purpose libraries: nothing of the engine is in it.

Every variable is yes or no and has its chance of yes for each state of its parents, written out. A
case of several rounds becomes one network: a cause and a background for each round, a link for all.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import compress, product
from math import prod

from engine.case import Case
from kb.ids import RemedyId
from kb.model import Answer, Cause, Finding, Ruleset

OVERNIGHT = 0.2
"""What of a background goes in a gap, and what of a cause comes back overnight (the model's own)."""


@dataclass(frozen=True, slots=True)
class Table:
    """One variable."""

    name: str
    parents: tuple[str, ...]
    yes: Mapping[tuple[int, ...], float]
    """The chance of yes for each state of the parents, in their order."""


@dataclass(frozen=True, slots=True)
class WrittenOut:
    """A network, what was seen, and which variable stands for each cause now."""

    tables: tuple[Table, ...]
    seen: Mapping[str, int]
    now: Mapping[str, str]


def one_round(ruleset: Ruleset, case: Case) -> WrittenOut:
    """Write one round out as the two-level noisy-OR that it is: no links, no backgrounds of their own."""
    tables = [Table(cause.id, (), {(): cause.how_common}) for cause in ruleset.causes]
    for finding in ruleset.findings:
        parents = [cause for cause in ruleset.causes if any(s.finding == finding.id for s in cause.shows)]
        off = [1.0 - next(s.strength for s in cause.shows if s.finding == finding.id) for cause in parents]
        yes = {
            states: 1.0
            - (1.0 - finding.leak) * prod(o for o, there in zip(off, states, strict=True) if there)
            for states in product((0, 1), repeat=len(parents))
        }
        tables.append(Table(finding.id, tuple(cause.id for cause in parents), yes))
    seen = {str(id_): int(answer is Answer.YES) for id_, answer in case.present.answers}
    return WrittenOut(tuple(tables), seen, {cause.id: cause.id for cause in ruleset.causes})


def all_rounds(ruleset: Ruleset, case: Case) -> WrittenOut:
    """Write several rounds out: what persists is a variable of its own."""
    tables: list[Table] = []
    seen: dict[str, int] = {}
    for cause in ruleset.causes:
        tables += _lives(ruleset, case, cause)
        tables += [Table(f"{cause.id} to {s.finding}", (), {(): s.strength}) for s in cause.shows]
    for finding in ruleset.findings:
        tables += _backgrounds(case, finding)
        for number, one in enumerate(case.rounds):
            answer = one.answer(finding.id)
            if answer is not None:
                tables.append(_shown(ruleset, finding, number))
                seen[f"{finding.id} {number}"] = int(answer is Answer.YES)
    last = len(case.rounds) - 1
    return WrittenOut(tuple(tables), seen, {cause.id: f"{cause.id} {last}" for cause in ruleset.causes})


def _lives(ruleset: Ruleset, case: Case, cause: Cause) -> list[Table]:
    tables = [Table(f"{cause.id} 0", (), {(): cause.how_common})]
    relapse = OVERNIGHT * cause.how_common / (1.0 - cause.how_common)
    for number, one in enumerate(case.rounds[:-1]):
        assert one.gap is not None
        operation = None if one.gap.operation is None else ruleset.operation[RemedyId(one.gap.operation)]
        cures = {effect.cause: effect.chance for effect in operation.cures} if operation else {}
        brings = {effect.cause: effect.chance for effect in operation.provokes} if operation else {}
        comes = 1.0 - (1.0 - brings.get(cause.id, 0.0)) * (1.0 - (relapse if one.gap.new_sitting else 0.0))
        stays = 1.0 - cures.get(cause.id, 0.0)
        tables.append(
            Table(f"{cause.id} {number + 1}", (f"{cause.id} {number}",), {(0,): comes, (1,): stays})
        )
    return tables


def _backgrounds(case: Case, finding: Finding) -> list[Table]:
    name = f"background of {finding.id}"
    comes = OVERNIGHT * finding.leak / (1.0 - finding.leak)
    later = [
        Table(f"{name} {number}", (f"{name} {number - 1}",), {(0,): comes, (1,): 1.0 - OVERNIGHT})
        for number in range(1, len(case.rounds))
    ]
    return [Table(f"{name} 0", (), {(): finding.leak}), *later]


def _shown(ruleset: Ruleset, finding: Finding, number: int) -> Table:
    """Give the finding in a round: its background, or a cause that is there with its link on."""
    causes = [cause.id for cause in ruleset.causes if any(s.finding == finding.id for s in cause.shows)]
    pairs = [name for id_ in causes for name in (f"{id_} {number}", f"{id_} to {finding.id}")]
    yes = {
        states: float(bool(states[0]) or any(_both(states[1:])))
        for states in product((0, 1), repeat=1 + len(pairs))
    }
    return Table(f"{finding.id} {number}", (f"background of {finding.id} {number}", *pairs), yes)


def _both(states: Sequence[int]) -> list[bool]:
    return [bool(there and on) for there, on in zip(states[::2], states[1::2], strict=True)]


def noisy_or_of(table: Table) -> tuple[float, tuple[float, ...]]:
    """Give the leak and the strengths by which a table is a noisy-OR.

    Raises ValueError where it is none: where some state of the parents is not what they would bring
    each by itself.
    """
    nothing = (0,) * len(table.parents)
    leak = table.yes[nothing]
    alone = [tuple(int(at == number) for at in range(len(nothing))) for number in range(len(nothing))]
    strengths = tuple(1.0 - (1.0 - table.yes[states]) / (1.0 - leak) for states in alone)
    for states, chance in table.yes.items():
        wanted = 1.0 - (1.0 - leak) * prod(compress((1.0 - strength for strength in strengths), states))
        if abs(wanted - chance) > 1e-9 or not all(0.0 <= strength <= 1.0 for strength in strengths):
            raise ValueError(f"{table.name} is no noisy-OR: {chance} where {wanted:.4f} follows")
    return leak, strengths
