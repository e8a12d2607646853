"""`check --deep`: the questions about behaviour, asked one after the other, as far as one waits."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

from kb.checks.found import Found
from kb.checks.runner import run
from kb.problem import CheckName, in_order
from tui.cli.progress import Progress
from tui.cli.saying import complain
from tui.exit_code import ExitCode
from tui.shelf import Opened
from tui.wiring import Surroundings, chance_of

SEED: Final = 1
"""The same reeds for everyone, so that two people who check the same ruleset read the same."""


def all_deepened(opened: Sequence[Opened], around: Surroundings) -> tuple[list[Opened], ExitCode]:
    """Give each of `opened` with what the questions about behaviour found.

    A ruleset with errors behaves in no way, and stays as it is. Ctrl-C ends the asking: what was
    answered until then stands, and what is missing is said.
    """
    stopped: list[ExitCode] = []
    found = [
        one if stopped else _deepened(one, around, lambda: stopped.append(ExitCode.INTERRUPTED))
        for one in opened
    ]
    return found, max(stopped, default=ExitCode.DONE)


def _deepened(opened: Opened, around: Surroundings, interrupted: Callable[[], None]) -> Opened:
    ruleset = opened.ruleset
    if ruleset is None:
        return opened
    from engine.review.questions import QUESTIONS, review  # noqa: PLC0415 - loads the numbers
    from engine.review.sample import Sample  # noqa: PLC0415 - the same

    progress = Progress(around)
    sample = Sample(ruleset, lambda number: chance_of(SEED, number), progress.say)
    answered: dict[CheckName, tuple[Found, ...]] = {}
    try:
        for name, found in review(sample):
            answered[name] = found  # noqa: PERF403 - what was answered stays when this is interrupted
    except KeyboardInterrupt:
        interrupted()
        left = [question.name for question in QUESTIONS if question.name not in answered]
        complain(around, f"interrupted; of {opened.said} not answered: {', '.join(left)}")
    finally:
        progress.wipe()
    problems = in_order((*opened.problems, *run(ruleset, deep=answered)))
    return replace(opened, loaded=replace(opened.loaded, problems=problems))
