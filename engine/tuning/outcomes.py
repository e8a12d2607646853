"""What tuned chances change: the ruleset with them, and the trials that come out otherwise."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from engine.trial import TrialResult, leading_causes, run_trial
from engine.tuning.chances import Kind, Slot
from kb.model import Ruleset, Trial

Change = tuple[Slot, float]
"""A chance, and what it becomes."""


@dataclass(frozen=True, slots=True)
class TrialChange:
    """A trial that comes out otherwise."""

    title: str
    passed: tuple[bool, bool]
    """Before and after."""
    step: tuple[str, str]
    """What is proposed, before and after; empty: its answers cannot all be true."""
    cause: tuple[str, str]
    """The likeliest cause."""
    by: tuple[Slot, ...]
    """Changes each of which brings it about alone; empty: only several together do."""


def ruleset_with(ruleset: Ruleset, changes: Sequence[Change]) -> Ruleset:
    """Give the ruleset with other chances. What was a word becomes a number."""
    values = dict(changes)

    def common(slot: Slot, stated: float, word: str) -> tuple[float, str]:
        return (values[slot], "") if slot in values else (stated, word)

    causes = []
    for cause in ruleset.causes:
        chance, word = common(Slot(Kind.HOW_COMMON, cause.id), cause.how_common, cause.word)
        shows = tuple(
            replace(show, strength=strength, word=spoken)
            for show in cause.shows
            for strength, spoken in (
                common(Slot(Kind.SHOWS, cause.id, finding=show.finding), show.strength, show.word),
            )
        )
        causes.append(replace(cause, how_common=chance, word=word, shows=shows))
    operations = [
        replace(
            operation,
            cures=tuple(
                replace(effect, chance=chance, word=spoken)
                for effect in operation.cures
                for chance, spoken in (
                    common(
                        Slot(Kind.CURES, effect.cause, operation=operation.id), effect.chance, effect.word
                    ),
                )
            ),
        )
        for operation in ruleset.operations
    ]
    return replace(ruleset, causes=tuple(causes), operations=tuple(operations))


def outcome(ruleset: Ruleset, trial: Trial) -> tuple[bool, str, str]:
    """Run a trial: whether it passes, what is proposed, the likeliest cause."""
    return _told(run_trial(ruleset, trial))


def attributed(
    ruleset: Ruleset,
    changes: Sequence[Change],
    before: Mapping[str, tuple[bool, str, str]],
    after: Mapping[str, tuple[bool, str, str]],
) -> tuple[TrialChange, ...]:
    """Say which trials come out otherwise, and which single changes bring that about.

    `before` and `after` are outcomes by title. Only trials that do change are run again, change by change.
    """
    found = []
    alone = [(slot, ruleset_with(ruleset, [(slot, value)])) for slot, value in changes]
    for trial in ruleset.trials:
        was, now = before[trial.title], after[trial.title]
        if was == now:
            continue
        by = tuple(slot for slot, other in alone if outcome(other, trial) == now)
        found.append(TrialChange(trial.title, (was[0], now[0]), (was[1], now[1]), (was[2], now[2]), by))
    return tuple(found)


def _told(result: TrialResult) -> tuple[bool, str, str]:
    step = result.advice.step
    return (
        result.passed,
        "" if step is None else step.id,
        next(iter(leading_causes(result.advice.belief)), ""),
    )
