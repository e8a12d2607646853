"""`trial --coverage`: what no trial of a ruleset exercises, in the order of the file."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from kb.model import Ruleset
from tui.cli.progress import Progress
from tui.cli.saying import Json, complain, tell, tell_json
from tui.draw.cells import hung
from tui.exit_code import ExitCode
from tui.wiring import Surroundings
from tui.words import per_cent

if TYPE_CHECKING:
    from engine.coverage.parts import Part
    from engine.coverage.tally import Coverage, Judged, Share

PROCESSES: Final = 2


def tell_coverage(rulesets: Sequence[Ruleset], around: Surroundings, *, as_json: bool) -> ExitCode:
    """Work out and tell the coverage of each ruleset; interrupted, of what was looked at until then."""
    code = ExitCode.DONE
    found: list[tuple[Ruleset, Coverage]] = []
    for ruleset in rulesets:
        coverage = _coverage(ruleset, around)
        found.append((ruleset, coverage))
        if not as_json:
            tell(around, _lines(coverage))
            tell(around, hung(_sum(ruleset, coverage), around.fold))
        if coverage.missing:
            code = ExitCode.INTERRUPTED
            break
    if as_json:
        tell_json(around, {"coverage": [_as_json(ruleset, coverage) for ruleset, coverage in found]})
    return code


def _coverage(ruleset: Ruleset, around: Surroundings) -> "Coverage":
    from engine.coverage.noticing import Roll, roll_of  # noqa: PLC0415 - loads the numbers
    from engine.coverage.parts import parts_of  # noqa: PLC0415 - the same
    from engine.coverage.tally import tally  # noqa: PLC0415 - the same
    from tui.covering import judged  # noqa: PLC0415 - the same

    progress = Progress(around)
    parts, roll = parts_of(ruleset), Roll((), (), ())
    done: list[Judged] = []
    try:
        progress.say(f"{ruleset.id}: running {len(ruleset.trials)} trials")
        roll = roll_of(ruleset)
        for one in judged(ruleset, roll, parts, PROCESSES):
            done.append(one)
            progress.say(f"{ruleset.id}: {len(done)} of {len(parts)} parts")
    except KeyboardInterrupt:
        complain(around, f"interrupted: of {ruleset.id}, {len(done)} of {len(parts)} parts were looked at")
    finally:
        progress.wipe()
    return tally(ruleset, roll, done, len(parts) - len(done))


def _lines(coverage: "Coverage") -> Iterator[str]:
    """Give a line for each thing untested. Not broken, so that its place stays one word to click on."""
    for title in coverage.failing:
        yield f"fails, so it tests nothing: {title}"
    for title in coverage.unjudged:
        yield f"expects nothing, so it tests nothing: {title}"
    for part in coverage.untested:
        yield f"{part.span}: {_loss(part)}"


def _sum(ruleset: Ruleset, coverage: "Coverage") -> str:
    trials = "1 trial tests" if coverage.trials == 1 else f"{coverage.trials} trials test"
    shares = ", ".join(_share_in_words(share) for share in coverage.shares)
    missing = f"; not looked at: {coverage.missing} parts" if coverage.missing else ""
    return f"{ruleset.id} {ruleset.version}: {trials} {shares or 'nothing'}{missing}"


def _loss(part: "Part") -> str:
    from engine.coverage.parts import Sort  # noqa: PLC0415 - already loaded when there is a part

    match part.sort:
        case Sort.SHOWS:
            return f"no trial notices if {part.of!r} does not show {part.to!r}"
        case Sort.CURES:
            return f"no trial notices if {part.of!r} does not mend {part.to!r}"
        case Sort.UNLESS:
            return f"no trial notices if {part.to!r} does not forbid {part.of!r}"
        case Sort.AFTER:
            return f"no trial notices if {part.of!r} does not wait for {part.to!r}"
        case Sort.REMEDY | Sort.REST:
            return f"no trial notices if {part.of!r} is never proposed"
        case Sort.BRANCH:
            return f"no trial goes this way of the chart {part.of!r} ({part.to})"


def _share_in_words(share: "Share") -> str:
    from engine.coverage.parts import Sort  # noqa: PLC0415 - the same

    names = {
        Sort.SHOWS: "links",
        Sort.CURES: "cures",
        Sort.UNLESS: "`unless`",
        Sort.AFTER: "`after`",
        Sort.REMEDY: "remedies",
        Sort.REST: "rests",
        Sort.BRANCH: "chart ways",
    }
    return f"{names[share.sort]} {share.tested} of {share.of} ({per_cent(share.tested / share.of)})"


def _as_json(ruleset: Ruleset, coverage: "Coverage") -> Json:
    return {
        "ruleset": ruleset.id,
        "version": ruleset.version,
        "not_looked_at": coverage.missing,
        "trials": coverage.trials,
        "failing": list(coverage.failing),
        "expect_nothing": list(coverage.unjudged),
        "tested": [
            {"sort": share.sort.value, "tested": share.tested, "of": share.of} for share in coverage.shares
        ],
        "parts": [
            {
                "sort": one.part.sort.value,
                "of": one.part.of,
                "to": one.part.to or None,
                "file": one.part.span.file,
                "line": one.part.span.line,
                "column": one.part.span.column,
                "noticed_by": one.by,
            }
            for one in coverage.judged
        ],
    }
