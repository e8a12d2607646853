"""Every check by name: how bad its fault is, where it is looked for, and which page explains it.

Written out by hand and read by the runner, the documentation and the tests. A new check is a
module, a row here, and a page in `docs/checks/`; tests compare the three.
"""

from collections.abc import Callable, Iterator
from enum import StrEnum
from typing import Final, NamedTuple

from kb.checks import (
    allow_without_effect,
    cause_never_shown,
    cause_without_remedy,
    chance_of_one,
    endless_chart,
    leak_zero,
    malformed_zone,
    missing_caution,
    missing_source,
    order_loop,
    remedy_without_cure,
    remedy_without_recheck,
    symptom_without_cause,
    trial_without_given,
    unreachable_chart_step,
)
from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Severity


class Stage(StrEnum):
    """Where a fault comes to light. A later stage judges what the earlier ones could make."""

    TEXT = "text"
    """Bytes, letters and YAML (`kb.letters`, `kb.source`)."""
    BASE = "base"
    """The rulesets that this one extends (`kb.extends`)."""
    SHAPE = "shape"
    """The schema (`kb.shape`)."""
    NAMES = "names"
    """References and single entries (`kb.build`, `kb.naming`, `kb.casework`)."""
    RULESET = "ruleset"
    """The whole ruleset: a module of this package."""
    BEHAVIOUR = "behaviour"
    """What the ruleset does on many reeds (`engine.review`); only `check --deep` asks."""


Judge = Callable[[Ruleset], Iterator[Found]]


class Check(NamedTuple):
    """One row of the catalogue."""

    name: CheckName
    severity: Severity
    stage: Stage
    judge: Judge | None = None
    """What finds it, when it is a module of this package that looks at the ruleset alone."""
    from_absence: bool = False
    """Whether it concludes from something not being there: it is then silent about entries whose
    links could not all be built."""

    @property
    def page(self) -> str:
        """Give the page that explains it, from the top of the project."""
        return f"docs/checks/{self.name}.md"


def _early(name: str, stage: Stage) -> Check:
    """Give the row of a fault that stops a ruleset from being made: always an error."""
    return Check(CheckName(name), Severity.ERROR, stage)


def _deep(name: str) -> Check:
    """Give the row of a question about behaviour: always a warning, judged by `engine.review`."""
    return Check(CheckName(name), Severity.WARNING, Stage.BEHAVIOUR)


CATALOGUE: Final[tuple[Check, ...]] = (
    _early("not-utf8", Stage.TEXT),
    _early("too-big", Stage.TEXT),
    _early("hidden-character", Stage.TEXT),
    _early("empty-file", Stage.TEXT),
    _early("broken-yaml", Stage.TEXT),
    _early("refused-yaml", Stage.TEXT),
    _early("duplicate-key", Stage.TEXT),
    _early("base-not-found", Stage.BASE),
    _early("extends-loop", Stage.BASE),
    _early("wrong-format-number", Stage.SHAPE),
    _early("unquoted-version", Stage.SHAPE),
    _early("missing-key", Stage.SHAPE),
    _early("unknown-key", Stage.SHAPE),
    _early("misplaced-key", Stage.SHAPE),
    _early("wrong-kind", Stage.SHAPE),
    _early("unknown-word", Stage.SHAPE),
    _early("empty-text", Stage.SHAPE),
    _early("malformed-id", Stage.SHAPE),
    _early("impossible-number", Stage.SHAPE),
    _early("duplicate-id", Stage.NAMES),
    _early("reserved-id", Stage.NAMES),
    _early("unknown-reference", Stage.NAMES),
    _early("word-out-of-range", Stage.NAMES),
    _early("missing-target", Stage.NAMES),
    _early("two-edges", Stage.NAMES),
    _early("given-twice", Stage.NAMES),
    Check(missing_caution.NAME, missing_caution.SEVERITY, Stage.RULESET, missing_caution.check),
    Check(order_loop.NAME, order_loop.SEVERITY, Stage.RULESET, order_loop.check),
    Check(endless_chart.NAME, endless_chart.SEVERITY, Stage.RULESET, endless_chart.check, from_absence=True),
    Check(malformed_zone.NAME, malformed_zone.SEVERITY, Stage.RULESET, malformed_zone.check),
    Check(
        trial_without_given.NAME,
        trial_without_given.SEVERITY,
        Stage.RULESET,
        trial_without_given.check,
        from_absence=True,
    ),
    Check(
        cause_never_shown.NAME,
        cause_never_shown.SEVERITY,
        Stage.RULESET,
        cause_never_shown.check,
        from_absence=True,
    ),
    Check(
        symptom_without_cause.NAME,
        symptom_without_cause.SEVERITY,
        Stage.RULESET,
        symptom_without_cause.check,
        from_absence=True,
    ),
    Check(
        cause_without_remedy.NAME,
        cause_without_remedy.SEVERITY,
        Stage.RULESET,
        cause_without_remedy.check,
        from_absence=True,
    ),
    Check(
        remedy_without_cure.NAME,
        remedy_without_cure.SEVERITY,
        Stage.RULESET,
        remedy_without_cure.check,
        from_absence=True,
    ),
    Check(
        remedy_without_recheck.NAME,
        remedy_without_recheck.SEVERITY,
        Stage.RULESET,
        remedy_without_recheck.check,
        from_absence=True,
    ),
    Check(
        missing_source.NAME, missing_source.SEVERITY, Stage.RULESET, missing_source.check, from_absence=True
    ),
    Check(chance_of_one.NAME, chance_of_one.SEVERITY, Stage.RULESET, chance_of_one.check),
    Check(leak_zero.NAME, leak_zero.SEVERITY, Stage.RULESET, leak_zero.check),
    Check(
        unreachable_chart_step.NAME,
        unreachable_chart_step.SEVERITY,
        Stage.RULESET,
        unreachable_chart_step.check,
        from_absence=True,
    ),
    _deep("twin-causes"),
    _deep("beaten-remedy"),
    _deep("remedies-in-circles"),
    _deep("foregone-symptom"),
    _deep("hasty-chart"),
    _deep("chart-misses-cause"),
    _deep("idle-question"),
    _deep("hopeless-cause"),
    Check(allow_without_effect.NAME, allow_without_effect.SEVERITY, Stage.RULESET),
)
"""All checks. `allow-without-effect` has no judge of its own: it looks at what the others found."""
