"""What `tree` says: the drawing as text or DOT, the sentences before it, and the same for programs."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from engine.ahead import Ahead
from engine.case import Case
from engine.chart import PricedChart, PricedStep, price
from engine.exhaustive import NotSearched, Searched, search
from engine.tree import Cut, Limits, Tree, TreeStep, grow
from engine.wording import percent
from kb.model import Answer, Chart, Ending, GivenRound, Ruleset
from tui.cli.pictures import PICTURES
from tui.cli.saying import Json, as_json
from tui.draw.steps import Drawing, chart_drawing, tree_drawing

Told = Callable[[str], None]
"""Hears a line of progress."""
DIGITS: Final = 6
"""After the point, in JSON: more would only tell one machine from another."""
MOST_TOLD: Final = 6
"""Answers, causes or steps named in one sentence."""
REASONS: Final = {
    Cut.RARE: "too unlikely to follow",
    Cut.LONG: "more steps than one way may have",
    Cut.MANY: "more cases than one tree may weigh",
    Cut.WIDE: "hanging together too widely to be weighed exactly",
}
ENDS: Final = {
    Ending.READY: "ready",
    Ending.ACCEPT: "taken as they are",
    Ending.SET_ASIDE: "set aside",
    None: "left without a verdict",
}


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command line asks for."""

    ruleset: Ruleset
    rounds: tuple[GivenRound, ...]
    chart: Chart | None
    form: str
    limits: Limits


def drawn_as(asked: Asked, ahead: Ahead, case: Case, width: int, told: Told) -> str | Drawing:
    """Compute what is asked for, and give it as text, DOT or JSON, or as steps for a picture."""
    tree = grow(ahead, case, asked.limits, _teller(told, "the tree"))
    if asked.chart is not None:
        priced = price(ahead, asked.chart, case, told=_teller(told, "the chart"))
        if asked.form == "json":
            return as_json(_rounded(_chart_json(asked.ruleset, priced, tree)))
        sentences = tuple(_chart_sentences(asked.ruleset, priced, tree))
        return _drawn(chart_drawing(asked.ruleset, priced, _title(asked), sentences), asked.form, width)
    found: Searched | NotSearched = NotSearched("the tree goes on through all priorities")
    if not asked.limits.whole:
        told("searching for the best that anyone could do")
        found = search(ahead, case)
    if asked.form == "json":
        return as_json(_rounded(_tree_json(asked.ruleset, tree, found)))
    sentences = tuple(_tree_sentences(asked.ruleset, tree, found))
    return _drawn(tree_drawing(asked.ruleset, tree, _title(asked), sentences), asked.form, width)


def _teller(told: Told, what: str) -> Callable[[int, float], None]:
    return lambda cases, settled: told(f"{what}: {cases} cases, {settled * 100:.0f} % of reeds settled")


def _drawn(drawing: Drawing, form: str, width: int) -> str | Drawing:
    if form in PICTURES:
        return drawing
    if form in {"text", "outline"}:
        from tui.draw.steps_text import draw_key, draw_steps_outline  # noqa: PLC0415 - one drawing in a run

        lines = draw_key(drawing, width) if form == "text" else draw_steps_outline(drawing, width)
        return "\n".join(line.rstrip() for line in lines) + "\n"
    from tui.draw.steps_dot import draw_steps_dot  # noqa: PLC0415 - the same

    return draw_steps_dot(drawing)


# -- sentences ----------------------------------------------------------------------------------------


def _title(asked: Asked) -> str:
    ruleset = asked.ruleset
    what = (
        "the engine's tree" if asked.chart is None else f"the chart “{asked.chart.title}” ({asked.chart.id})"
    )
    given = [(finding, answer) for one in asked.rounds for finding, answer in one.given]
    said = [f"{finding}={answer.value}" for finding, answer in given if answer is not Answer.NO]
    nos = len(given) - len(said)
    readings = [f"{quantity}={value:g}" for one in asked.rounds for quantity, value in one.measure]
    start = [*(said + readings)[:MOST_TOLD], *(["…"] if len(said + readings) > MOST_TOLD else [])]
    start += [f"{nos} answered no"] if nos else []
    start += [f"{len(asked.rounds) - 1} rounds before"] if len(asked.rounds) > 1 else []
    begun = ", ".join(start) or "nothing known"
    return f"{ruleset.title} ({ruleset.id} {ruleset.version}): {what}, from {begun}"


def _tree_sentences(ruleset: Ruleset, tree: Tree, found: Searched | NotSearched) -> Iterator[str]:
    yield f"Expected{_within(tree)}: {_figures(tree.start)}."
    yield _cost_means(ruleset, tree.through)
    if tree.cuts_off:
        reasons = [f"{percent(share)} of reeds are {REASONS[why]}" for why, share in tree.cuts_off]
        yield (
            f"Cut off (ask again with the tool there): {'; '.join(reasons)}. "
            f"Followed are ways that at least {percent(tree.limits.least_chance)} of reeds take, "
            f"{tree.limits.longest} steps far."
        )
    yield _gap(found)
    yield "Slightly goes the way of yes. Unsure has no way here: ask again with the tool."


def _within(tree: Tree) -> str:
    return (
        ""
        if tree.start.followed > 0.995
        else f", as far as the tree goes ({percent(tree.start.followed)} of reeds)"
    )


def _figures(one: TreeStep | PricedChart) -> str:
    return f"{one.minutes:.1f} minutes, {one.cuts:.2f} cuts that cannot be undone, cost {one.cost:.1f}"


def _cost_means(ruleset: Ruleset, through: int) -> str:
    titles = [priority.title for priority in ruleset.priorities[:through]]
    return (
        "Cost is in minutes as advice weighs it: time, stakes, trouble that may be brought, "
        f"and what may be left at the end ({', '.join(titles)}); a way that is cut off ends there."
    )


def _gap(found: Searched | NotSearched) -> str:
    if isinstance(found, NotSearched):
        return f"The best that anyone could do was not searched for: {found.why}."
    return (
        f"With every leak staying as it is, as advice sees it: the best that anyone could do costs "
        f"{found.least:.2f}, this advice {found.advised:.2f}, {found.gap * 100:.1f} % more "
        f"({found.cases} cases searched)."
    )


def _chart_sentences(ruleset: Ruleset, priced: PricedChart, tree: Tree) -> Iterator[str]:
    yield f"The chart: {_figures(priced)}."
    yield f"The engine's tree{_within(tree)}: {_figures(tree.start)}."
    yield _cost_means(ruleset, priced.through)
    ends = [
        f"{percent(end.chance)} {ENDS[end.ending]} "
        f"({percent(end.shows / end.chance)} of them with a symptom left)"
        for end in priced.ends
    ]
    yield f"Reeds end: {'; '.join(ends)}."
    if priced.not_followed > 0.0:
        yield f"Too unlikely to follow to an end: {percent(priced.not_followed)} of reeds."
    yield f"Ready though a symptom still shows: {percent(priced.false_ready)} of reeds."
    yield from _flaws(ruleset, priced)
    if any(one.step.id for one in priced.dearest(1)):
        steps = [f"{one.step.id} ({one.lost:.1f})" for one in priced.dearest(MOST_TOLD)]
        yield f"Most minutes lost, for a reed at the start: {', '.join(steps)}."


def _flaws(ruleset: Ruleset, priced: PricedChart) -> Iterator[str]:
    for one in priced.hasty[:MOST_TOLD]:
        operation = ruleset.operation[one.operation]
        why = (
            "the engine would look first"
            if one.forbids is None
            else f"it would have forbidden it with a chance of {percent(one.forbids)}"
        )
        yield (
            f"Hasty: {one.step} does “{operation.title}”, which cannot be undone, on {percent(one.chance)} "
            f"of reeds before anyone looked at {one.look}; {why}."
        )
    for step, chance in priced.forbidden[:MOST_TOLD]:
        yield f"Forbidden: {step} does what an answer given before forbids, on {percent(chance)} of reeds."
    if priced.never_reached:
        named = ", ".join(priced.never_reached[:MOST_TOLD])
        left = len(priced.never_reached) - MOST_TOLD
        more = f" and {left} more" if left > 0 else ""
        yield f"Causes that it never mends, the likeliest first: {named}{more}."


# -- for programs -------------------------------------------------------------------------------------


def _rounded(answer: Json) -> Json:
    if isinstance(answer, float):
        return round(answer, DIGITS)
    if isinstance(answer, Mapping):
        return {key: _rounded(part) for key, part in answer.items()}
    if isinstance(answer, Sequence) and not isinstance(answer, str):
        return [_rounded(part) for part in answer]
    return answer


def _tree_json(ruleset: Ruleset, tree: Tree, found: Searched | NotSearched) -> Json:
    return {
        "ruleset": ruleset.id,
        "version": ruleset.version,
        **_totals(tree.start),
        "followed": tree.start.followed,
        "priorities": [priority.id for priority in ruleset.priorities[: tree.through]],
        "limits": {
            "least_chance": tree.limits.least_chance,
            "longest": tree.limits.longest,
            "most": tree.limits.most,
        },
        "weighed": tree.weighed,
        "cut_off": {why.value: share for why, share in tree.cuts_off},
        "optimum": {
            "searched": isinstance(found, Searched),
            "least": found.least if isinstance(found, Searched) else None,
            "advised": found.advised if isinstance(found, Searched) else None,
            "gap": found.gap if isinstance(found, Searched) else None,
            "why_not": found.why if isinstance(found, NotSearched) else None,
        },
        "steps": [
            {
                "number": one.number,
                "kind": one.kind.value,
                "id": one.id or None,
                "reach": one.reach,
                "chance_yes": one.chance_yes,
                "yes": one.yes,
                "no": one.no,
                "then": one.then,
                **_totals(one),
                "followed": one.followed,
            }
            for one in tree.steps
        ],
    }


def _totals(one: TreeStep | PricedChart | PricedStep) -> dict[str, Json]:
    return {"minutes": one.minutes, "cuts": one.cuts, "cost": one.cost}


def _chart_json(ruleset: Ruleset, priced: PricedChart, tree: Tree) -> Json:
    return {
        "ruleset": ruleset.id,
        "version": ruleset.version,
        "chart": priced.chart.id,
        **_totals(priced),
        "priorities": [priority.id for priority in ruleset.priorities[: priced.through]],
        "tree": {**_totals(tree.start), "followed": tree.start.followed},
        "ends": [
            {
                "ending": None if end.ending is None else end.ending.value,
                "chance": end.chance,
                "still_shows": end.shows,
            }
            for end in priced.ends
        ],
        "not_followed": priced.not_followed,
        "ready_though_it_shows": priced.false_ready,
        "never_reached": list(priced.never_reached),
        "hasty": [
            {
                "step": one.step,
                "do": one.operation,
                "look": one.look,
                "chance": one.chance,
                "forbids": one.forbids,
            }
            for one in priced.hasty
        ],
        "forbidden": [{"step": step, "chance": chance} for step, chance in priced.forbidden],
        "steps": [
            {
                "id": one.step.id,
                "reach": one.reach,
                "chance_yes": one.chance_yes,
                **_totals(one),
                "lost": one.lost,
            }
            for one in priced.steps
        ],
    }
