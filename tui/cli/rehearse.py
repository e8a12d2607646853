"""`canebrake rehearse`: ways of working played on virtual reeds, for the author of a ruleset."""

import argparse
from collections.abc import Iterator
from math import isfinite
from typing import TYPE_CHECKING, Final

from kb.model import Ruleset
from tui.cli.parser import WrongUsage, whole_number
from tui.cli.progress import Progress
from tui.cli.saying import Json, complain, tell, tell_json
from tui.exit_code import ExitCode
from tui.shelf import ShelfError, usable_ruleset
from tui.wiring import Surroundings

if TYPE_CHECKING:
    from engine.interval import Mean, Share
    from engine.matched import Matched
    from engine.rehearse import Record, Summary

HELP: Final = "play ways of working on virtual reeds: what they take, and what becomes of the reeds"
REEDS: Final = 200
MOST_REEDS: Final = 100_000
MOST_PROCESSES: Final = 64
LONGEST_SEED: Final = 18
"""Digits."""
DIGITS: Final = 6
"""After the point, in JSON: more would only tell one machine from another."""
FEWEST: Final = 2
"""Reeds of which a cause is told."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("ruleset", metavar="RULESET", help="a file, or the id of an installed ruleset")
    parser.add_argument("--reeds", metavar="N", help=f"how many reeds ({REEDS} if not said)")
    parser.add_argument("--seed", metavar="N", help="which reeds: the same number, the same reeds (1)")
    parser.add_argument(
        "--policy",
        metavar="NAME",
        action="append",
        default=[],
        help="engine, likeliest, gain (either with -strict or -bare), in-order, cheapest-question, chart:ID; "
        "may be repeated (engine, likeliest, gain and every chart if not said)",
    )
    parser.add_argument(
        "--processes", metavar="N", help="how many to play in at once (2); the answer is the same"
    )
    parser.add_argument("--causes", action="store_true", help="tell of each hidden cause as well")
    parser.add_argument("--json", action="store_true", help="print everything as JSON")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Play, and tell what came of it; interrupted, of what was played until then."""
    reeds = whole_number(arguments.reeds, "--reeds", REEDS, 1, MOST_REEDS)
    seed = whole_number(arguments.seed, "--seed", 1, 0, 10**LONGEST_SEED - 1)
    processes = whole_number(arguments.processes, "--processes", 2, 1, MOST_PROCESSES)
    try:
        ruleset = usable_ruleset(arguments.ruleset)
    except ShelfError as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START
    from tui.rehearsing import rehearsed  # noqa: PLC0415 - loads the numbers, which a wrong usage does not need

    names = _names(ruleset, arguments.policy)
    records: list[Record] = []
    code, progress = ExitCode.DONE, Progress(around)
    try:
        for record in rehearsed(ruleset, names, reeds, seed, processes):
            records.append(record)
            progress.say(f"{len(records)} of {reeds} reeds")
    except KeyboardInterrupt:
        code = ExitCode.INTERRUPTED
    progress.wipe()
    if code is ExitCode.INTERRUPTED:
        if not records:
            complain(around, "interrupted before the first reed was played, so there is nothing to tell")
            return code
        complain(around, f"interrupted after {len(records)} of {reeds} reeds; what follows is of those")
    elif not records:
        complain(around, "by this ruleset no reed has a symptom, so there is nothing to rehearse")
        return ExitCode.NO
    _tell(ruleset, names, records, seed, arguments, around)
    return code


def _names(ruleset: Ruleset, wanted: list[str]) -> tuple[str, ...]:
    from engine.rehearse import policies_of  # noqa: PLC0415 - the same

    known = policies_of(ruleset)
    for name in wanted:
        if name not in known:
            raise WrongUsage(f"there is no policy {name!r}; there are {', '.join(known)}")
    usual = tuple(name for name in known if name in {"engine", "likeliest", "gain"} or ":" in name)
    return tuple(dict.fromkeys(wanted)) or usual


def _tell(
    ruleset: Ruleset,
    names: tuple[str, ...],
    records: "list[Record]",
    seed: int,
    arguments: argparse.Namespace,
    around: Surroundings,
) -> None:
    from engine.matched import matched  # noqa: PLC0415 - the same
    from engine.rehearse import ENGINE, summed  # noqa: PLC0415 - the same

    summaries = summed(names, records)
    ordered = sorted(records, key=lambda record: record.number)
    compared: dict[str, Matched | None] = {}
    if ENGINE in names and records:
        mine = [record.played[names.index(ENGINE)] for record in ordered]
        for place, name in enumerate(names):
            if name != ENGINE:
                compared[name] = matched(mine, [record.played[place] for record in ordered], seed)
    if arguments.json:
        tell_json(around, _as_json(ruleset, summaries, compared, seed))
    else:
        tell(around, _lines(ruleset, summaries, compared, tell_causes=arguments.causes))


def _lines(
    ruleset: Ruleset,
    summaries: "tuple[Summary, ...]",
    compared: "dict[str, Matched | None]",
    *,
    tell_causes: bool,
) -> Iterator[str]:
    reeds = summaries[0].reeds if summaries else 0
    yield f"{ruleset.title} {ruleset.version}: {reeds} virtual reeds, each with a symptom; 95 % intervals"
    for one in summaries:
        yield ""
        yield f"{one.policy}"
        yield f"  minutes {_mean(one.minutes)}, questions {_mean(one.questions)}"
        yield f"  cuts that cannot be undone {_mean(one.cuts, 2)}, sittings {_mean(one.sittings, 2)}"
        yield f"  cuts while something showed that forbids them {_mean(one.forbidden_cuts, 2)}"
        yield f"  ready {_share(one.ready)}, accepted {_share(one.accepted)}"
        yield f"  set aside {_share(one.set_aside)}"
        if one.left_open.count:
            yield f"  left without a verdict {_share(one.left_open)}"
        yield f"  ruined {_share(one.ruined)}"
        yield f"  called ready while something still showed {_share(one.false_ready)}"
        if tell_causes:
            yield "  with this hidden cause: reeds, minutes, cuts, ready, ruined"
            for cause in one.by_cause:
                if cause.reeds >= FEWEST:
                    yield (
                        f"    {cause.cause}: {cause.reeds}, {_mean(cause.minutes)}, {_mean(cause.cuts, 2)}, "
                        f"{_percent(cause.ready.value)}, {_percent(cause.ruined.value)}"
                    )
    for name, found in compared.items():
        yield ""
        if found is None:
            yield f"engine beside {name}: one of them had no reed ready, so nothing can be compared"
            continue
        yield f"engine beside {name}, each until {_percent(found.ready)} of the reeds are ready:"
        yield f"  minutes {_mean(found.minutes)} beside {_mean(found.other_minutes)}: {_times(found.ratio)}"
        yield f"  cuts {_mean(found.cuts, 2)} beside {_mean(found.other_cuts, 2)}: {_more(found.more_cuts)}"


def _mean(mean: "Mean", digits: int = 1) -> str:
    if not isfinite(mean.low):
        return f"{mean.value:.{digits}f}"
    return f"{mean.value:.{digits}f} ({max(0.0, mean.low):.{digits}f} to {mean.high:.{digits}f})"


def _share(share: "Share") -> str:
    return f"{_percent(share.value)} ({_percent(share.low)} to {_percent(share.high)})"


def _percent(share: float) -> str:
    return f"{share * 100:.0f} %"


def _times(ratio: "Mean") -> str:
    return f"{ratio.value:.2f} times ({ratio.low:.2f} to {ratio.high:.2f})"


def _more(more: "Mean") -> str:
    return f"{more.value:+.2f} ({more.low:+.2f} to {more.high:+.2f})"


def _as_json(
    ruleset: Ruleset, summaries: "tuple[Summary, ...]", compared: "dict[str, Matched | None]", seed: int
) -> Json:
    return {
        "ruleset": ruleset.id,
        "version": ruleset.version,
        "seed": seed,
        "reeds": summaries[0].reeds if summaries else 0,
        "policies": [_summary_json(one) for one in summaries],
        "at_equal_share_ready": [_matched_json(name, found) for name, found in compared.items()],
    }


def _summary_json(one: "Summary") -> Json:
    return {
        "policy": one.policy,
        "minutes": _mean_json(one.minutes),
        "questions": _mean_json(one.questions),
        "cuts": _mean_json(one.cuts),
        "forbidden_cuts": _mean_json(one.forbidden_cuts),
        "sittings": _mean_json(one.sittings),
        "ready": _share_json(one.ready),
        "accepted": _share_json(one.accepted),
        "set_aside": _share_json(one.set_aside),
        "left_open": _share_json(one.left_open),
        "ruined": _share_json(one.ruined),
        "false_ready": _share_json(one.false_ready),
        "causes": [
            {
                "id": cause.cause,
                "reeds": cause.reeds,
                "minutes": _mean_json(cause.minutes),
                "cuts": _mean_json(cause.cuts),
                "ready": _share_json(cause.ready),
                "ruined": _share_json(cause.ruined),
            }
            for cause in one.by_cause
        ],
    }


def _matched_json(name: str, found: "Matched | None") -> Json:
    if found is None:
        return {"beside": name, "ready": 0}
    return {
        "beside": name,
        "ready": found.ready,
        "minutes": _mean_json(found.minutes),
        "other_minutes": _mean_json(found.other_minutes),
        "cuts": _mean_json(found.cuts),
        "other_cuts": _mean_json(found.other_cuts),
        "minutes_ratio": _mean_json(found.ratio),
        "more_cuts": _mean_json(found.more_cuts),
    }


def _mean_json(mean: "Mean") -> Json:
    bounded = isfinite(mean.low)
    return {
        "mean": round(mean.value, DIGITS),
        "low": round(mean.low, DIGITS) if bounded else None,
        "high": round(mean.high, DIGITS) if bounded else None,
    }


def _share_json(share: "Share") -> Json:
    return {
        "count": share.count,
        "of": share.of,
        "low": round(share.low, DIGITS),
        "high": round(share.high, DIGITS),
    }
