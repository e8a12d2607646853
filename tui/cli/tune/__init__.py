"""`canebrake tune`: what the reed log teaches about a ruleset's chances, shown before anything is kept."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Final

from kb.disk import DiskError, write_whole
from kb.ids import RulesetId
from kb.log.fault import LogError
from kb.model import Ruleset
from kb.problem import Severity
from tui.box import log_path
from tui.cli.outputs import allow
from tui.cli.parser import WrongUsage, whole_number
from tui.cli.progress import Progress
from tui.cli.report import summing_line
from tui.cli.saying import complain, tell, tell_json
from tui.draw.cells import hung
from tui.exit_code import ExitCode
from tui.shelf import Opened, ShelfError, open_ruleset
from tui.wiring import Surroundings, chance_of

if TYPE_CHECKING:
    from engine.tuning.evidence import Gathered
    from engine.tuning.outcomes import Change, TrialChange
    from tui.cli.tune.report import Lesson

HELP: Final = "learn strengths, priors and cures from the reed log, and propose changes with their evidence"
TRUST: Final = 20
MOST_TRUST: Final = 10_000
FEWEST: Final = 5
LONGEST_SEED: Final = 18
"""Digits."""
MOST_PROCESSES: Final = 64
_SUFFIXES: Final = frozenset({".yaml", ".yml"})


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("ruleset", metavar="RULESET", help="a file, or the id of an installed ruleset")
    parser.add_argument(
        "--log", metavar="FILE", action="append", default=[], help="a reed log (your own if no file is named)"
    )
    parser.add_argument(
        "--export",
        metavar="FILE",
        action="append",
        default=[],
        help="what `reeds export` wrote, with or without --bare; one for each maker",
    )
    parser.add_argument(
        "--under",
        metavar="ID",
        action="append",
        default=[],
        help="count reeds that were judged by this ruleset too: a student's layer over yours",
    )
    parser.add_argument(
        "--trust", metavar="N", help=f"how many reeds the author's word counts as ({TRUST} if not said)"
    )
    parser.add_argument(
        "--fewest", metavar="N", help=f"reeds' worth of evidence below which nothing moves ({FEWEST})"
    )
    parser.add_argument(
        "--seed", metavar="N", help="how the reeds are dealt that are held back for trying (1)"
    )
    parser.add_argument(
        "--processes", metavar="N", help="how many to count in at once (2); the answer is the same"
    )
    parser.add_argument("--all", action="store_true", help="tell also what stays, and why")
    parser.add_argument(
        "-o",
        dest="output",
        metavar="FILE",
        help="write the changes as a layer over RULESET, such as ours.yaml",
    )
    parser.add_argument("--force", action="store_true", help="write over FILE if it is there already")
    parser.add_argument("--json", action="store_true", help="print everything as JSON")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Learn, tell, and on request write."""
    trust = whole_number(arguments.trust, "--trust", TRUST, 1, MOST_TRUST)
    fewest = whole_number(arguments.fewest, "--fewest", FEWEST, 1, MOST_TRUST)
    seed = whole_number(arguments.seed, "--seed", 1, 0, 10**LONGEST_SEED - 1)
    processes = whole_number(arguments.processes, "--processes", 2, 1, MOST_PROCESSES)
    progress = Progress(around)
    try:
        opened = open_ruleset(arguments.ruleset)
        ruleset = _sound(opened)
        path = _path(arguments, opened)
        lesson = _learnt(arguments, around, opened, ruleset, (trust, fewest, seed, processes), progress)
        if lesson is None:
            return ExitCode.NO
        _tell(lesson, arguments, around)
        if not lesson.changes:
            if path is not None:
                complain(around, "nothing was written")
            return ExitCode.NO
        return ExitCode.DONE if path is None else _write(path, opened, lesson, around)
    except (ShelfError, DiskError, LogError) as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START
    finally:
        progress.wipe()


def _sound(opened: Opened) -> Ruleset:
    if opened.ruleset is None:
        raise ShelfError(f"{opened.said} has errors; `canebrake check {opened.said}` shows them")
    return opened.ruleset


def _path(arguments: argparse.Namespace, opened: Opened) -> Path | None:
    """Give the file to write, before the work is done. Raises `WrongUsage`."""
    from tui.cli.new import extends_value  # noqa: PLC0415 - only to refuse early

    if arguments.output is None:
        return None
    path = Path(arguments.output)
    if path.suffix.lower() not in _SUFFIXES:
        raise WrongUsage(f"a ruleset's name ends in .yaml, such as {path.stem}.yaml")
    if not path.parent.is_dir():
        raise WrongUsage(f"there is no folder {path.parent}")
    allow(arguments.output, "yaml", [text.name for text in opened.texts], force=arguments.force)
    extends_value(path, opened)
    return path


def _learnt(
    arguments: argparse.Namespace,
    around: Surroundings,
    opened: Opened,
    ruleset: Ruleset,
    numbers: tuple[int, int, int, int],
    progress: Progress,
) -> "Lesson | None":
    """Gather, tune, and run the trials; None when there is nothing to learn from, which is said."""
    from engine.network import network_of  # noqa: PLC0415 - loads the numbers, which a wrong usage does not need
    from engine.tuning.chances import Chances  # noqa: PLC0415 - the same
    from engine.tuning.evidence import gathered  # noqa: PLC0415 - the same
    from engine.tuning.tune import Trusting, tuned  # noqa: PLC0415 - the same
    from tui.cli.tune.logs import logged_reeds  # noqa: PLC0415 - the same
    from tui.cli.tune.report import Lesson  # noqa: PLC0415 - the same
    from tui.tuning import counting  # noqa: PLC0415 - the same

    trust, fewest, seed, processes = numbers
    chances = Chances(network_of(ruleset))
    progress.say("reading the logs")
    logs, exports = _files(arguments, around)
    reeds = gathered(
        ruleset, chances.network, logged_reeds(around, logs, exports), {*_own_ids(opened), *arguments.under}
    )
    if not reeds.reeds:
        progress.wipe()
        complain(around, _nothing(reeds, ruleset))
        return None
    stage = [""]

    def begun(what: str, number: int) -> None:
        stage[0] = f"{'fitting, pass' if what == 'fit' else 'trying on reeds held back, pile'} {number + 1}"

    def counted(done: int, of: int) -> None:
        progress.say(f"{stage[0]}: {done} of {of} reeds")

    with counting(chances, reeds.reeds, processes, counted) as count:
        found = tuned(
            chances,
            reeds.reeds,
            count,
            chance_of(seed, 0).shuffle,
            Trusting(float(trust), float(fewest)),
            told=begun,
        )
    changes = tuple((one.slot, one.after) for one in found.accepted)
    trials = _trials(ruleset, changes, progress)
    progress.wipe()
    return Lesson(ruleset, reeds, found, trust, changes, trials)


def _files(arguments: argparse.Namespace, around: Surroundings) -> tuple[list[Path], list[Path]]:
    logs, exports = [Path(name) for name in arguments.log], [Path(name) for name in arguments.export]
    own = log_path(around.data_folder)
    if not logs and not exports and own.is_file():
        logs = [own]
    return logs, exports


def _own_ids(opened: Opened) -> frozenset[RulesetId]:
    """Give the ids of a ruleset and of all that it stands on: reeds judged by those count."""
    from kb.source import read  # noqa: PLC0415 - the reader is loaded already

    trees = (read(text).tree for text in opened.texts)
    ids = (tree.get("id") for tree in trees if tree is not None)
    return frozenset(RulesetId(str(id_.data)) for id_ in ids if id_ is not None)


def _nothing(reeds: "Gathered", ruleset: Ruleset) -> str:
    if reeds.strangers:
        return (
            f"every reed in the log was judged by another ruleset than {ruleset.id}; if that one says the "
            "same things by the same ids, name it with --under ID"
        )
    if reeds.silent:
        return "nothing is told of any reed in the log, so there is nothing to learn"
    return (
        "there is no reed in the log yet, so there is nothing to learn; `canebrake interview --reed NAME` "
        "keeps what it is told"
    )


def _trials(ruleset: Ruleset, changes: "tuple[Change, ...]", progress: Progress) -> "tuple[TrialChange, ...]":
    from engine.tuning.outcomes import attributed, outcome, ruleset_with  # noqa: PLC0415 - loads the numbers

    if not changes:
        return ()
    other = ruleset_with(ruleset, changes)
    before, after = {}, {}
    for number, trial in enumerate(ruleset.trials, 1):
        progress.say(f"trying the ruleset's own trials: {number} of {len(ruleset.trials)}")
        before[trial.title], after[trial.title] = outcome(ruleset, trial), outcome(other, trial)
    return attributed(ruleset, changes, before, after)


def _tell(lesson: "Lesson", arguments: argparse.Namespace, around: Surroundings) -> None:
    from tui.cli.tune.report import as_json, told_lines  # noqa: PLC0415 - loads the numbers

    if arguments.json:
        tell_json(around, as_json(lesson))
        return
    for line in told_lines(lesson, with_rest=arguments.all):
        tell(around, hung(line, around.fold))


def _write(path: Path, opened: Opened, lesson: "Lesson", around: Surroundings) -> ExitCode:
    """Write the layer, once it was read again and says what was proposed and nothing else."""
    from engine.tuning.outcomes import ruleset_with  # noqa: PLC0415 - loads the numbers
    from kb.fresh import id_of  # noqa: PLC0415 - only here
    from kb.layer import Begun  # noqa: PLC0415 - only here
    from kb.load import beside, load_bytes  # noqa: PLC0415 - only here
    from kb.tuned import tuned_text  # noqa: PLC0415 - only here
    from tui.cli.new import extends_value  # noqa: PLC0415 - only here
    from tui.cli.tune.report import learnt_from, moved  # noqa: PLC0415 - loads the numbers

    base = lesson.ruleset
    begun = Begun(id_of(path.stem, [base.id], "tuned"), f"{base.title}, tuned", base)
    text = tuned_text(begun, extends_value(path, opened), moved(lesson), learnt_from(lesson), path.name)
    loaded = load_bytes(str(path), text.encode(), beside(path.parent))
    meant = ruleset_with(base, lesson.changes)
    found = loaded.ruleset
    if found is None or (found.causes, found.operations) != (meant.causes, meant.operations):
        errors = [problem for problem in loaded.problems if problem.severity is Severity.ERROR]
        why = f": {errors[0].span}: {errors[0].message}" if errors else ""
        complain(around, f"the layer does not say what was proposed, so nothing was written{why}")
        return ExitCode.NO
    write_whole(path, text.encode())
    checked = summing_line([f"canebrake check {path}"], loaded.problems)
    complain(around, f"{path} is written; {checked}")
    return ExitCode.DONE
