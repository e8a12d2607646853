"""The next step and all that was weighed to find it: values that a screen can show as they are."""

from dataclasses import dataclass
from enum import StrEnum
from math import inf

from engine.belief import Belief
from kb.ids import FindingId, PriorityId


class Kind(StrEnum):
    """What is proposed."""

    ASK = "ask"
    DO = "do"
    REST = "rest"
    STOP = "stop"


ANY_REST = "rest"
"""The id of the step that says to leave the reed until the next sitting, where the ruleset names no rest."""


@dataclass(frozen=True, slots=True)
class Step:
    """One proposal, with its reasons as sentences, the most important first."""

    kind: Kind
    id: str
    """A finding for ask, an operation for do and rest (or `rest`), an `Ending` for stop."""
    why: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Weighed:
    """One step that was weighed in full."""

    kind: Kind
    id: str
    cost: float | None
    """Expected minutes from here to the end; None where the step comes first without weighing."""


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do next for a case. `step` is None only when the answers cannot all be true."""

    belief: Belief
    priority: PriorityId | None
    """The active priority: the first that is not clear; None when all are."""
    step: Step | None
    ranked: tuple[Weighed, ...] = ()
    reopened: bool = False
    """Whether an earlier priority than the one before the last gap is active again."""
    opens: bool = False
    """Whether the step asks a symptom of a priority about which nothing is known in this round, so
    that an overview question would do as well."""
    disagree: tuple[tuple[int, FindingId], ...] = ()
    """When impossible: the answers (round from 1, finding) that cannot all be true together."""
    refusal: str = ""
    """When refused: why the case cannot be weighed. Then `disagree` are the answers to think about."""

    @classmethod
    def refused(cls, why: str, answers: tuple[tuple[int, FindingId], ...]) -> "Advice":
        """Give the advice for a case that is too wide to be weighed: none."""
        return cls(Belief(False, 0.0, -inf, 0.0, ()), None, None, disagree=answers, refusal=why)
