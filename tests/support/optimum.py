"""The best that anyone could do on a tiny problem, found by trying everything, and what a policy costs.

The problem is the advice model itself (design, "Advice"): one priority, all of its symptoms answered
yes at the start, belief exact, backgrounds staying as they are. After each remedy every symptom is
answered, at no further cost than the remedy's own; when all are gone it is over; stopping before pays
the priority's worth. Signs may be asked for their minutes, again in each round. Hard constraints
(`unless`, `after`, `at_most`) bind everybody. Nothing here comes from `engine/` but the values of a case.

Beliefs are arrays over [which causes are present, which uncertain links and backgrounds are on].
A bound prunes the search and loses nothing: what somebody would pay who could see inside the reed.
"""

import contextlib
import itertools
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from engine.case import Case
from kb.ids import CauseId, FindingId, PriorityId, RemedyId, RulesetId
from kb.model import Answer, Cause, Effect, Finding, Priority, Remedy, Ruleset, Show, Undo

Array = NDArray[np.float64]
Action = tuple[str, str]
"""("do", remedy), ("ask", finding) or ("stop", "")."""
Policy = Callable[[Ruleset, Case], Action]

STOP: Action = ("stop", "")
WORLDS = 2048
ROUNDS_SEEN_THROUGH = 40
LIKELY_ENOUGH = 0.10
"""Belief from which a cause holds back what comes `after` its remedy."""


@dataclass(frozen=True)
class Desk:
    """A problem in arrays."""

    ruleset: Ruleset

    @cached_property
    def symptoms(self) -> tuple[Finding, ...]:
        return self.ruleset.symptoms

    @cached_property
    def worth(self) -> float:
        return self.ruleset.priorities[0].worth

    @cached_property
    def _bits(self) -> list[tuple[object, float]]:
        """What is uncertain and stays as it is: links, then backgrounds."""
        links = [
            ((cause.id, show.finding), show.strength)
            for cause in self.ruleset.causes
            for show in cause.shows
            if show.strength < 1
        ]
        return [*links, *((one.id, one.leak) for one in self.ruleset.findings if one.leak > 0)]

    @cached_property
    def start(self) -> Array:
        """The prior, before any answer."""
        present = _mixture([cause.how_common for cause in self.ruleset.causes])
        hidden = _mixture([chance for _, chance in self._bits])
        return np.outer(present, hidden)

    @cached_property
    def shows(self) -> dict[FindingId, NDArray[np.bool_]]:
        """In which worlds a finding shows."""
        place = {name: number for number, (name, _) in enumerate(self._bits)}
        causes, hidden = len(self.ruleset.causes), len(self._bits)
        at = np.arange(2**causes)[:, None]
        inside = np.arange(2**hidden)[None, :]
        found = {}
        for finding in self.ruleset.findings:
            mask = np.zeros((2**causes, 2**hidden), dtype=bool)
            if finding.id in place:
                mask |= (inside >> place[finding.id] & 1).astype(bool)
            for number, cause in enumerate(self.ruleset.causes):
                for show in cause.shows:
                    if show.finding == finding.id:
                        there = (at >> number & 1).astype(bool)
                        link = place.get((cause.id, finding.id))
                        mask |= there if link is None else there & (inside >> link & 1).astype(bool)
            found[finding.id] = mask
        return found

    @cached_property
    def gone(self) -> NDArray[np.bool_]:
        """In which worlds no symptom shows."""
        return np.asarray(~np.logical_or.reduce([self.shows[one.id] for one in self.symptoms]))

    @cached_property
    def moves(self) -> dict[RemedyId, Array]:
        """What a remedy makes of the causes: from each set of them (column) to each (row)."""
        return {one.id: self._move(one) for one in self.ruleset.operations}

    def _move(self, remedy: Remedy) -> Array:
        whole = np.ones((1, 1))
        for cause in self.ruleset.causes:
            goes = next((one.chance for one in remedy.cures if one.cause == cause.id), 0.0)
            comes = next((one.chance for one in remedy.provokes if one.cause == cause.id), 0.0)
            # The first cause is the lowest bit, so each later one goes outside.
            whole = np.kron(np.array([[1 - comes, goes], [comes, 1 - goes]]), whole)
        return whole

    @cached_property
    def there(self) -> dict[CauseId, NDArray[np.bool_]]:
        """In which sets of causes a cause is."""
        at = np.arange(2 ** len(self.ruleset.causes))
        return {cause.id: (at >> n & 1).astype(bool) for n, cause in enumerate(self.ruleset.causes)}

    def plain_cost(self, remedy: Remedy) -> float:
        """Give minutes, rechecks and stakes."""
        again = sum(self.ruleset.finding[id_].minutes for id_ in remedy.recheck)
        return remedy.minutes + again + self.ruleset.stakes.of(remedy.undo)

    @cached_property
    def prices(self) -> dict[CauseId, float]:
        """What it costs to have a cause provoked."""
        return {cause.id: self._price(cause) for cause in self.ruleset.causes}

    def _price(self, cause: Cause) -> float:
        worths = [
            self.ruleset.priority[rank].worth
            for rank in (self.ruleset.finding[show.finding].priority for show in cause.shows)
            if rank is not None
        ]
        if not worths:
            return 0.0
        mends = [
            self.plain_cost(remedy) / effect.chance
            for remedy in self.ruleset.operations
            for effect in remedy.cures
            if effect.cause == cause.id
        ]
        return min([max(worths), *mends])

    @cached_property
    def costs(self) -> dict[RemedyId, Array]:
        """What doing a remedy costs, by the set of causes that is present."""
        found = {}
        for remedy in self.ruleset.operations:
            cost = np.full(2 ** len(self.ruleset.causes), self.plain_cost(remedy))
            for effect in remedy.provokes:
                cost += effect.chance * self.prices[effect.cause] * ~self.there[effect.cause]
            found[remedy.id] = cost
        return found

    @cached_property
    def seen_through(self) -> Array:
        """What somebody would pay who saw inside, was free of all constraints, and knew each world."""
        value = np.zeros_like(self.start)
        for _ in range(ROUNDS_SEEN_THROUGH):
            best = np.full_like(value, self.worth)
            for id_, move in self.moves.items():
                best = np.minimum(best, self.costs[id_][:, None] + move.T @ value)
            value = np.where(self.gone, 0.0, best)
        return value


def _mixture(chances: list[float]) -> Array:
    whole = np.ones(1)
    for chance in chances:
        whole = np.outer([1 - chance, chance], whole).ravel()
    return whole


@dataclass(frozen=True)
class At:
    """Where one stands: the case, and the belief over worlds that it leaves."""

    case: Case
    belief: Array = field(compare=False)
    """Sums to 1."""

    @property
    def key(self) -> object:
        """The case without the order in which questions were asked in a round."""
        return tuple((frozenset(one.answers), one.gap) for one in self.case.rounds)


def beginning(desk: Desk) -> At:
    """Every symptom is answered yes."""
    case, belief = Case(), desk.start
    for symptom in desk.symptoms:
        case = case.with_answer(symptom.id, Answer.YES)
        belief = belief * desk.shows[symptom.id]
    return At(case, belief / belief.sum())


def allowed(desk: Desk, at: At) -> Iterator[Remedy]:
    """Give the remedies that no hard constraint forbids."""
    for remedy in desk.ruleset.operations:
        if _free(at, remedy) and not _held_back(desk, at, remedy):
            yield remedy


def _free(at: At, remedy: Remedy) -> bool:
    done = sum(one.gap is not None and one.gap.operation == remedy.id for one in at.case.rounds)
    if done >= remedy.at_most:
        return False
    told = [at.case.latest_answer(id_) for id_ in remedy.unless]
    if any(one is not None and one[1].is_present for one in told):
        return False
    return remedy.undo is not Undo.NEVER or None not in told


def _held_back(desk: Desk, at: At, remedy: Remedy) -> bool:
    present = at.belief.sum(axis=1)
    active = {one.id for one in desk.symptoms if at.case.present.answer(one.id) is Answer.YES}
    for first in (desk.ruleset.operation[id_] for id_ in remedy.after):
        done = any(one.gap is not None and one.gap.operation == first.id for one in at.case.rounds)
        if done or not _free(at, first) or _held_back(desk, at, first):
            continue
        for effect in first.cures:
            touches = {show.finding for show in desk.ruleset.cause[effect.cause].shows}
            if touches & active and present[desk.there[effect.cause]].sum() >= LIKELY_ENOUGH:
                return True
    return False


def askable(desk: Desk, at: At) -> Iterator[Finding]:
    """Give the signs that were not asked in this round."""
    for sign in desk.ruleset.signs:
        if at.case.present.answer(sign.id) is None:
            yield sign


def after_asking(desk: Desk, at: At, sign: Finding) -> Iterator[tuple[float, At]]:
    """Give both answers with their chances."""
    shows = desk.shows[sign.id]
    for answer, mask in ((Answer.YES, shows), (Answer.NO, ~shows)):
        belief = at.belief * mask
        chance = float(belief.sum())
        if chance > 1e-12:
            yield chance, At(at.case.with_answer(sign.id, answer), belief / chance)


def after_doing(desk: Desk, at: At, remedy: Remedy) -> Iterator[tuple[float, At | None]]:
    """Give what can follow a remedy, every symptom being answered; None: all are gone."""
    belief = desk.moves[remedy.id] @ at.belief
    opened = at.case.with_gap(remedy.id, new_sitting=False)
    for answers in itertools.product((Answer.YES, Answer.NO), repeat=len(desk.symptoms)):
        left, case = belief, opened
        for symptom, answer in zip(desk.symptoms, answers, strict=True):
            shows = desk.shows[symptom.id]
            left = left * (shows if answer is Answer.YES else ~shows)
            case = case.with_answer(symptom.id, answer)
        chance = float(left.sum())
        if chance > 1e-12:
            yield chance, At(case, left / chance) if Answer.YES in answers else None


def cost_of(desk: Desk, at: At, remedy: Remedy) -> float:
    """Give what doing a remedy costs here."""
    return float(desk.costs[remedy.id] @ at.belief.sum(axis=1))


class TooLargeError(Exception):
    """The search went past its allowance: the problem is not tiny."""


class Optimum:
    """The least expected cost of any policy."""

    def __init__(self, desk: Desk, most: int = 12_000) -> None:
        if desk.start.size > WORLDS:
            raise TooLargeError
        self.desk = desk
        self.most = most
        self.known: dict[object, tuple[float, Action]] = {}
        self.unlocking = {id_ for remedy in desk.ruleset.operations for id_ in remedy.unless}

    def value(self, at: At) -> tuple[float, Action]:
        """Give the least cost from here and the first action of a policy that attains it."""
        key = at.key
        if key not in self.known:
            if len(self.known) > self.most:
                raise TooLargeError
            self.known[key] = self._value(at)
        return self.known[key]

    def _value(self, at: At) -> tuple[float, Action]:
        bound = float((at.belief * self.desk.seen_through).sum())
        best = (self.desk.worth, STOP)
        if bound >= best[0]:
            return best
        best = self._better_by_doing(at, best)
        for sign in askable(self.desk, at):
            if sign.minutes + bound < best[0] - 1e-12:
                total = sign.minutes
                outcomes = list(after_asking(self.desk, at, sign))
                if len(outcomes) == 1 and sign.id not in self.unlocking:
                    continue
                for chance, then in outcomes:
                    total += chance * self.value(then)[0]
                if total < best[0] - 1e-12:
                    best = (total, ("ask", str(sign.id)))
        return best

    def _better_by_doing(self, at: At, best: tuple[float, Action]) -> tuple[float, Action]:
        desk, doing = self.desk, []
        for remedy in allowed(desk, at):
            cost = cost_of(desk, at, remedy)
            least = cost + float(((desk.moves[remedy.id] @ at.belief) * desk.seen_through).sum())
            doing.append((least, cost, remedy))
        for least, cost, remedy in sorted(doing, key=lambda one: one[:2]):
            if least >= best[0] - 1e-12:
                break
            total = cost
            for chance, then in after_doing(desk, at, remedy):
                total += chance * (0.0 if then is None else self.value(then)[0])
            if total < best[0] - 1e-12:
                best = (total, ("do", str(remedy.id)))
        return best


def cost_of_policy(desk: Desk, policy: Policy, most: int = 3_000) -> float:
    """Give the exact expected cost of following `policy` from the beginning."""
    known: dict[object, float] = {}

    def cost(at: At) -> float:
        if at.key not in known:
            if len(known) > most:
                raise TooLargeError
            known[at.key] = follow(at, policy(desk.ruleset, at.case))
        return known[at.key]

    def follow(at: At, action: Action) -> float:
        kind, id_ = action
        if kind == "stop":
            return desk.worth
        if kind == "ask":
            sign = desk.ruleset.finding[FindingId(id_)]
            assert at.case.present.answer(sign.id) is None, f"asks again what was answered: {id_}"
            return sign.minutes + sum(chance * cost(then) for chance, then in after_asking(desk, at, sign))
        remedy = desk.ruleset.operation[RemedyId(id_)]
        assert remedy in tuple(allowed(desk, at)), f"proposes what is forbidden: {id_}"
        return cost_of(desk, at, remedy) + sum(
            chance * cost(then) for chance, then in after_doing(desk, at, remedy) if then is not None
        )

    return cost(beginning(desk))


def best_sequence(desk: Desk, at: At) -> float:
    """Give the value of the best fixed sequence, over all orders of what is allowed now."""
    pool = list(allowed(desk, at))
    done = [sum(r.gap is not None and r.gap.operation == one.id for r in at.case.rounds) for one in pool]
    left = tuple(one.at_most - count for one, count in zip(pool, done, strict=True))
    best = desk.worth

    def extend(belief: Array, left: tuple[int, ...], spent: float, not_gone: float, depth: int) -> None:
        nonlocal best
        best = min(best, spent + not_gone * desk.worth)
        if spent >= best or depth == 6:
            return
        for number, remedy in enumerate(pool):
            if left[number]:
                cost = float(desk.costs[remedy.id] @ belief.sum(axis=1)) * not_gone
                then = desk.moves[remedy.id] @ belief
                fewer = (*left[:number], left[number] - 1, *left[number + 1 :])
                extend(then, fewer, spent + cost, float(then[~desk.gone].sum()), depth + 1)

    extend(at.belief, left, 0.0, 1.0, 0)
    return best


def one_step(desk: Desk) -> Policy:
    """Give the policy that looks one step ahead to the best fixed sequence, and no further."""

    def leaf(at: At | None) -> float:
        return 0.0 if at is None else best_sequence(desk, at)

    def choose(_: Ruleset, case: Case) -> Action:
        at = At(case, belief_of(desk, case))
        options: list[tuple[float, Action]] = [(desk.worth, STOP)]
        for remedy in allowed(desk, at):
            value = cost_of(desk, at, remedy)
            value += sum(chance * leaf(then) for chance, then in after_doing(desk, at, remedy))
            options.append((value, ("do", str(remedy.id))))
        for sign in askable(desk, at):
            value = sign.minutes + sum(chance * leaf(then) for chance, then in after_asking(desk, at, sign))
            options.append((value, ("ask", str(sign.id))))
        return min(options)[1]

    return choose


def belief_of(desk: Desk, case: Case) -> Array:
    """Give the belief over worlds that a case leaves, from scratch."""
    belief = desk.start
    for one in case.rounds:
        for finding, answer in one.answers:
            belief = belief * (desk.shows[finding] if answer is Answer.YES else ~desk.shows[finding])
        if one.gap is not None and one.gap.operation is not None:
            belief = desk.moves[one.gap.operation] @ belief
    return np.asarray(belief / belief.sum())


@dataclass(frozen=True)
class Solved:
    """A tiny problem and the least cost of any policy."""

    seed: int
    desk: Desk
    least: float
    first: Action


def solved(count: int, first_seed: int = 0) -> Iterator[Solved]:
    """Give tiny problems with their optimum.

    Left out: those whose search goes past its allowance, and those in which it is best to give up
    at once, since nothing can be learnt there.
    """
    seed = first_seed
    while count:
        desk = Desk(tiny(seed))
        least, first = 0.0, STOP
        with contextlib.suppress(TooLargeError):
            least, first = Optimum(desk).value(beginning(desk))
        if first != STOP:
            yield Solved(seed, desk, least, first)
            count -= 1
        seed += 1


def tiny(seed: int) -> Ruleset:
    """Make a small problem: a third with one fault mostly, a third with several, a third of any kind.

    Every symptom has a cause, and every cause a symptom and a remedy; half have links that are
    drawn once (strengths below 1), a third provoke, a fifth have hard constraints.
    """
    source = random.Random(f"tiny {seed}")
    low, high = ((2, 8), (20, 50), (2, 50))[seed % 3]
    symptoms = [
        Finding(
            FindingId(f"symptom-{n}"),
            f"Symptom {n}?",
            f"Symptom {n}?",
            priority=PriorityId("response"),
            leak=source.choice((0.0, 0.02, 0.02, 0.1)),
        )
        for n in range(1, source.choice((1, 1, 2, 2, 3)) + 1)
    ]
    signs = [
        Finding(
            FindingId(f"sign-{n}"),
            f"Sign {n}?",
            f"Sign {n}?",
            is_sign=True,
            minutes=float(source.choice((1, 1, 2, 3, 5))),
            leak=source.choice((0.0, 0.02, 0.1)),
        )
        for n in range(1, source.choice((1, 1, 2, 2, 3)) + 1)
    ]
    firm = source.random() < 0.5
    causes = [
        _tiny_cause(source, n, source.randint(low, high) / 100, symptoms, signs, firm=firm)
        for n in range(1, source.randint(max(2, len(symptoms)), 4) + 1)
    ]
    return Ruleset(
        RulesetId("tiny"),
        "Tiny",
        "1.0.0",
        priorities=(Priority(PriorityId("response"), "Response", worth=float(source.choice((60, 90, 120)))),),
        findings=tuple(symptoms + signs),
        causes=tuple(causes),
        operations=tuple(_tiny_remedies(source, causes, symptoms, signs)),
    )


def _tiny_cause(
    source: random.Random,
    number: int,
    common: float,
    symptoms: list[Finding],
    signs: list[Finding],
    *,
    firm: bool,
) -> Cause:
    own = symptoms[(number - 1) % len(symptoms)]
    also = [one for one in symptoms if one is not own and source.random() < 0.3]
    also += [one for one in signs if one is signs[(number - 1) % len(signs)] or source.random() < 0.3]
    return Cause(
        CauseId(f"cause-{number}"),
        f"Cause {number}",
        common,
        tuple(
            Show(finding.id, 1.0 if firm or source.random() < 0.5 else source.choice((0.3, 0.6, 0.8, 0.97)))
            for finding in (own, *also)
        ),
    )


def _tiny_remedies(
    source: random.Random, causes: list[Cause], symptoms: list[Finding], signs: list[Finding]
) -> Iterator[Remedy]:
    count = source.randint(2, 4)
    provoking, bound = source.random() < 0.33, source.random() < 0.2
    for number in range(1, count + 1):
        # Dealt out in turn, so that every cause has a remedy, and some remedies mend two.
        cured = [cause for place, cause in enumerate(causes) if place % count == number - 1]
        spare = [cause for cause in causes if cause not in cured]
        if not cured or (spare and source.random() < 0.35):
            cured.append(spare.pop(source.randrange(len(spare))))
        hurt = source.sample(spare, 1) if provoking and spare else []
        yield Remedy(
            RemedyId(f"remedy-{number}"),
            f"Remedy {number}",
            f"Do remedy {number}.",
            cures=tuple(Effect(cause.id, source.choice((0.3, 0.6, 0.8, 0.97, 1.0))) for cause in cured),
            provokes=tuple(Effect(cause.id, source.choice((0.1, 0.3))) for cause in hurt),
            minutes=float(source.randint(1, 15)),
            undo=source.choice((Undo.FULLY, Undo.FULLY, Undo.PARTLY, Undo.NEVER)),
            recheck=(symptoms[0].id,),
            unless=(source.choice(signs).id,) if bound and source.random() < 0.5 else (),
            after=(RemedyId(f"remedy-{number - 1}"),)
            if bound and number > 1 and source.random() < 0.4
            else (),
            at_most=2 if count == 2 and source.random() < 0.5 else 1,
        )
