"""The sentences in which advice gives its reasons. All of them stand here, so that they can be translated."""

from collections.abc import Iterable, Sequence

from engine.belief import Belief
from engine.case import Case
from engine.standing import Rank, spent_in_sitting
from engine.step import Kind, Step, Weighed
from kb.ids import CauseId, RemedyId
from kb.model import Cause, Remedy, Ruleset, Undo

LEADING = 0.10
"""Causes at least this likely are named among the reasons."""
LARGE_UNLISTED = 0.30


def in_words(chance: float) -> str:
    """Say a chance. The word follows the figure that `percent` gives, so that no figure has two words.

    >>> in_words(0.97), in_words(0.55), in_words(0.02), in_words(0.096)
    ('almost certain', 'more likely than not', 'unlikely', 'less likely')
    """
    if chance < 0.01:
        return "almost ruled out"
    steps = (
        (95, "almost certain"),
        (75, "likely"),
        (50, "more likely than not"),
        (25, "possible"),
        (10, "less likely"),
    )
    return next((word for floor, word in steps if round(chance * 100) >= floor), "unlikely")


def percent(chance: float) -> str:
    """Give a chance in whole per cent, never rounded to certainty."""
    if 0.0 < chance < 0.01:
        return "under 1 %"
    if 0.99 < chance < 1.0:
        return "over 99 %"
    return f"{chance * 100:.0f} %"


def minutes(number: float) -> str:
    """Say a number of minutes.

    >>> minutes(1.0), minutes(0.5), minutes(12.4)
    ('1 minute', '0.5 minutes', '12 minutes')
    """
    rounded = f"{number:.0f}" if number >= 10 or number == round(number) else f"{number:.1f}"
    return f"{rounded} minute" if rounded == "1" else f"{rounded} minutes"


def recheck(operation: Remedy) -> str:
    """Say why a finding is asked right after an operation."""
    return f"To see what “{operation.title}” changed."


def changed_since(operation: Remedy | None) -> str:
    """Say why a present symptom is asked again."""
    if operation is None:
        return "The reed has rested since; is this still so?"
    return f"Whether “{operation.title}” has mended it."


def disturbed(operation: Remedy) -> str:
    """Say why a symptom of an earlier priority is asked again."""
    return f"“{operation.title}” may have disturbed this, and it comes first."


def open_symptom(rank: Rank, chance: float) -> str:
    """Say why an open symptom is asked."""
    goal = f" ({rank.priority.goal})" if rank.priority.goal else ""
    return (
        f"{rank.priority.title} comes next{goal}, and it is not known how it stands now. "
        f"The chance that this shows is {percent(chance)}."
    )


def ready(ruleset: Ruleset, case: Case, ranks: Sequence[Rank]) -> tuple[str, ...]:
    """Say why the reed is ready."""
    clear = [
        rank.priority.title for rank in ranks if rank.counts and rank.is_known_clear(ruleset.clear_below)
    ]
    unknown = [
        rank.priority.title for rank in ranks if rank.counts and not rank.is_known_clear(ruleset.clear_below)
    ]
    later = [rank.priority.title for rank in ranks if not rank.counts]
    sentences = [
        f"Nothing is left to settle: {_listed(clear)} clear." if clear else "Nothing is left to settle."
    ]
    if unknown:
        sentences.append(f"{_listed(unknown)}: not known, since every question was answered unsure.")
    if later:
        sentences.append(f"{_listed(later)}: nothing counts yet at sitting {case.sitting}.")
    return tuple(sentences)


def enough(ruleset: Ruleset, case: Case) -> tuple[str, ...]:
    """Say why it is enough for today."""
    spent = spent_in_sitting(ruleset, case)
    limit = ruleset.sitting
    parts = []
    if limit.minutes is not None and spent.minutes >= limit.minutes:
        parts.append(f"{minutes(spent.minutes)} of {minutes(limit.minutes)}")
    if limit.cuts is not None and spent.cuts >= limit.cuts:
        cuts = "cut" if spent.cuts == 1 else "cuts"
        parts.append(f"{spent.cuts} {cuts} of {limit.cuts} that cannot be undone")
    return (f"Enough for today: this sitting has had {_listed(parts)}.",)


def chosen(
    ruleset: Ruleset, belief: Belief, active: Rank, best: Weighed, ranked: Sequence[Weighed]
) -> tuple[str, ...]:
    """Say why the best step is the best."""
    sentences = []
    match best.kind:
        case Kind.ASK:
            sentences.append(_why_ask(best, ranked))
        case Kind.STOP:
            sentences.append(_why_stop(active, ranked))
        case Kind.DO | Kind.REST:
            sentences.append(_why_do(ruleset, belief, ruleset.operation[RemedyId(best.id)]))
    leading = _leading(ruleset, belief)
    if leading:
        sentences.append(leading)
    runner_up = _runner_up(ruleset, best, ranked)
    if runner_up:
        sentences.append(runner_up)
    if belief.unlisted >= LARGE_UNLISTED:
        sentences.append(
            f"The chance that something shows for a reason that this ruleset does not list is "
            f"{percent(belief.unlisted)}: look elsewhere too, or ask someone."
        )
    if not belief.exact:
        sentences.append(not_exact(belief))
    return tuple(sentences)


def in_part(part: Rank, active: Rank) -> str:
    """Say that not all that is present is being worked on, and what is."""
    return (
        f"Being rid of all that shows in {active.priority.title} is out of reach now; "
        f"first what can be mended: {_listed([symptom.title for symptom in part.present])}."
    )


def tried_first(waiting: Remedy, cause: Cause) -> str:
    """Say that the rules want this done before what would mend the likeliest cause."""
    return f"These rules want it tried before “{waiting.title}”, which mends “{cause.title}”."


def tomorrow(active: Rank) -> str:
    """Say that nothing more pays today, but will after a night."""
    return (
        f"Nothing more that may be done about {active.priority.title} today is worth its cost. "
        f"After a night what has its times in one sitting, or its sitting to come, may be done."
    )


def not_exact(belief: Belief) -> str:
    """Say that the oldest rounds were folded, and how much that matters as far as it was measured."""
    rounds = "The first round was" if belief.folded == 1 else f"The first {belief.folded} rounds were"
    told = f"{rounds} summed up before weighing, so the chances are near, not exact"
    if belief.off is None:
        return f"{told}; how near could not be measured."
    return f"{told}: summing up one more moves none by more than {percent(belief.off)}."


def _why_ask(best: Weighed, ranked: Sequence[Weighed]) -> str:
    other = next((one for one in ranked if one.kind is not Kind.ASK), None)
    if other is None or other.cost is None or best.cost is None:
        return "The answer may change what to do."
    if other.kind is Kind.STOP:
        return "As things stand nothing that may be done is worth its cost; the answer may show what is."
    saved = minutes(other.cost - best.cost)
    return f"The answer may change what to do, and should save about {saved} beyond its own."


def _why_stop(active: Rank, ranked: Sequence[Weighed]) -> str:
    other = next((one for one in ranked if one.kind is not Kind.STOP), None)
    left = _listed([symptom.title for symptom in active.present])
    if other is None:
        return f"Nothing that this ruleset allows now would mend what is left: {left}."
    return (
        f"What is left in {active.priority.title} is not worth its cost and risk: {left}. "
        f"By these rules clearing it is worth {minutes(active.priority.worth)} at most."
    )


def _why_do(ruleset: Ruleset, belief: Belief, operation: Remedy) -> str:
    mends = sorted(operation.cures, key=lambda one: (-one.chance * belief.chance(one.cause), one.cause))
    if not mends:
        return "Waiting costs the least."
    first = mends[0]
    undo = {
        Undo.FULLY: "it can be undone",
        Undo.PARTLY: "it can be undone in part",
        Undo.NEVER: "it cannot be undone",
    }[operation.undo]
    chance = belief.chance(first.cause)
    is_named = any(cause == first.cause for cause, _ in _named(belief))
    return (
        f"It mends “{ruleset.cause[first.cause].title}” "
        f"{'' if is_named else f'({in_words(chance)}, {percent(chance)}) '}"
        f"{first.word or percent(first.chance)}"
        f"{'' if first.word else ' of the time'}, and {undo}."
    )


def _leading(ruleset: Ruleset, belief: Belief) -> str:
    leading = [
        f"{ruleset.cause[cause].title} ({in_words(chance)}, {percent(chance)})"
        for cause, chance in _named(belief)
    ]
    return f"Likeliest now: {'; '.join(leading)}." if leading else ""


def _named(belief: Belief) -> tuple[tuple[CauseId, float], ...]:
    """Give the causes that a reason names with their chances."""
    return tuple((cause, chance) for cause, chance in belief.causes[:3] if chance >= LEADING)


def _runner_up(ruleset: Ruleset, best: Weighed, ranked: Sequence[Weighed]) -> str:
    other = next((one for one in ranked if (one.kind, one.id) != (best.kind, best.id)), None)
    if other is None or other.cost is None or best.cost is None:
        return ""
    more = other.cost - best.cost
    by = "costs the same" if more < 0.05 else f"would cost about {minutes(more)} more"
    return f"Next best: {title_of(ruleset, other)}; it {by}."


def title_of(ruleset: Ruleset, step: Weighed | Step) -> str:
    """Give a step in a few words."""
    match step.kind:
        case Kind.ASK:
            finding = next(one for one in ruleset.findings if one.id == step.id)
            return f"ask “{finding.ask}”"
        case Kind.STOP:
            return {"ready": "call it ready", "accept": "accept it as it is"}.get(step.id, "set it aside")
        case Kind.DO | Kind.REST:
            known = ruleset.operation.get(RemedyId(step.id))
            return "leave it until the next sitting" if known is None else f"“{known.title}”"


def _listed(parts: Iterable[str]) -> str:
    parts = list(parts)
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}" if parts else ""
