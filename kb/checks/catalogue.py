"""Every check by name: how bad its fault is, where it is looked for, and which page explains it.

Written out by hand and read by the runner, the documentation and the tests. A new check is a
module, a row here, and a page in `docs/checks/`; tests compare the three. The module of a row is
imported when it is first asked: most rulesets hold no chart and no thickness, and the list of
names is wanted by itself.
"""

from collections.abc import Callable, Iterator, Sized
from enum import StrEnum
from importlib import import_module
from operator import attrgetter
from typing import Final, NamedTuple, Protocol, cast

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


class Family(StrEnum):
    """What a check is about, as lists of checks are headed."""

    TEXT = "Text and YAML"
    SHAPE = "Shape"
    REFERENCES = "References"
    GRAPH = "The network"
    CHANCES = "Chances"
    PRIORITIES = "Priorities and sittings"
    REMEDIES = "Remedies and rests"
    MEASURES = "Zones, quantities, thicknesses"
    CHARTS = "Charts"
    TRIALS = "Trials"
    WORDING = "Wording"
    SOURCES = "Sources"
    ALLOWANCES = "Allowances"
    BEHAVIOUR = "Behaviour"


Judge = Callable[[Ruleset], Iterator[Found]]


class _Module(Protocol):
    """What the module of a check has."""

    NAME: CheckName
    SEVERITY: Severity

    def check(self, ruleset: Ruleset) -> Iterator[Found]:
        """Give what is at fault."""


class Check(NamedTuple):
    """One row of the catalogue."""

    name: CheckName
    severity: Severity
    stage: Stage
    family: Family
    judged: bool = False
    """Whether a module of this package finds it by looking at the ruleset alone."""
    from_absence: bool = False
    """Whether it concludes from something not being there: it is then silent about entries whose
    links could not all be built."""
    needs: Callable[[Ruleset], Sized] | None = None
    """The part of a ruleset without which there is nothing to find."""

    @property
    def page(self) -> str:
        """Give the page that explains it, from the top of the project."""
        return f"docs/checks/{self.name}.md"

    def judge(self, ruleset: Ruleset) -> Iterator[Found]:
        """Give what it finds in `ruleset`."""
        if not self.judged or (self.needs is not None and not self.needs(ruleset)):
            return iter(())
        return self.module().check(ruleset)

    def module(self) -> _Module:
        """Import its module. The name comes from the list below, never from a ruleset."""
        return cast("_Module", import_module(f"kb.checks.{self.name.replace('-', '_')}"))


def _early(name: str, stage: Stage, family: Family) -> Check:
    """Give the row of a fault that stops a ruleset from being made: always an error."""
    return Check(CheckName(name), Severity.ERROR, stage, family)


def _error(
    name: str,
    family: Family,
    needs: Callable[[Ruleset], Sized] | None = None,
    *,
    from_absence: bool = False,
) -> Check:
    """Give the row of an error in a ruleset as a whole."""
    return Check(CheckName(name), Severity.ERROR, Stage.RULESET, family, True, from_absence, needs)


def _warning(
    name: str,
    family: Family,
    needs: Callable[[Ruleset], Sized] | None = None,
    *,
    from_absence: bool = False,
) -> Check:
    """Give the row of a warning about a ruleset as a whole."""
    return Check(CheckName(name), Severity.WARNING, Stage.RULESET, family, True, from_absence, needs)


def _deep(name: str) -> Check:
    """Give the row of a question about behaviour: always a warning, judged by `engine.review`."""
    return Check(CheckName(name), Severity.WARNING, Stage.BEHAVIOUR, Family.BEHAVIOUR)


_CHARTS: Final = attrgetter("charts")
_TRIALS: Final = attrgetter("trials")
_THICKNESS: Final = attrgetter("thickness")
_QUANTITIES: Final = attrgetter("quantities")
_ZONES: Final = attrgetter("zones")
_SOURCES: Final = attrgetter("sources")
_TOOLS: Final = attrgetter("tools")

CATALOGUE: Final[tuple[Check, ...]] = (
    _early("not-utf8", Stage.TEXT, Family.TEXT),
    _early("too-big", Stage.TEXT, Family.TEXT),
    _early("hidden-character", Stage.TEXT, Family.TEXT),
    _early("empty-file", Stage.TEXT, Family.TEXT),
    _early("broken-yaml", Stage.TEXT, Family.TEXT),
    _early("refused-yaml", Stage.TEXT, Family.TEXT),
    _early("duplicate-key", Stage.TEXT, Family.TEXT),
    _early("base-not-found", Stage.BASE, Family.REFERENCES),
    _early("extends-loop", Stage.BASE, Family.REFERENCES),
    _early("wrong-format-number", Stage.SHAPE, Family.SHAPE),
    _early("unquoted-version", Stage.SHAPE, Family.SHAPE),
    _early("missing-key", Stage.SHAPE, Family.SHAPE),
    _early("unknown-key", Stage.SHAPE, Family.SHAPE),
    _early("misplaced-key", Stage.SHAPE, Family.SHAPE),
    _early("wrong-kind", Stage.SHAPE, Family.SHAPE),
    _early("unknown-word", Stage.SHAPE, Family.SHAPE),
    _early("empty-text", Stage.SHAPE, Family.SHAPE),
    _early("malformed-id", Stage.SHAPE, Family.SHAPE),
    _early("impossible-number", Stage.SHAPE, Family.SHAPE),
    _early("duplicate-id", Stage.NAMES, Family.REFERENCES),
    _early("reserved-id", Stage.NAMES, Family.REFERENCES),
    _early("unknown-reference", Stage.NAMES, Family.REFERENCES),
    _early("word-out-of-range", Stage.NAMES, Family.CHANCES),
    _early("missing-target", Stage.NAMES, Family.MEASURES),
    _early("two-edges", Stage.NAMES, Family.MEASURES),
    _early("given-twice", Stage.NAMES, Family.TRIALS),
    _error("missing-caution", Family.REMEDIES),
    _error("order-loop", Family.REMEDIES),
    _error("endless-chart", Family.CHARTS, _CHARTS, from_absence=True),
    _error("malformed-zone", Family.MEASURES, _ZONES),
    _error("trial-without-given", Family.TRIALS, _TRIALS, from_absence=True),
    _warning("cause-never-shown", Family.GRAPH, from_absence=True),
    _warning("symptom-without-cause", Family.GRAPH, from_absence=True),
    _warning("cause-without-symptom", Family.GRAPH, from_absence=True),
    _warning("island", Family.GRAPH, from_absence=True),
    _warning("cause-without-remedy", Family.GRAPH, from_absence=True),
    _warning("endless-mending", Family.GRAPH, from_absence=True),
    _warning("chance-of-one", Family.CHANCES),
    _warning("leak-zero", Family.CHANCES),
    _warning("leak-above-clear-below", Family.CHANCES),
    _warning("link-weaker-than-leak", Family.CHANCES),
    _warning("slightly-below-half", Family.CHANCES),
    _warning("words-out-of-order", Family.CHANCES),
    _warning("word-never-used", Family.CHANCES, from_absence=True),
    _warning("priority-without-symptom", Family.PRIORITIES, from_absence=True),
    _warning("later-worth-more", Family.PRIORITIES),
    _warning("worthless-priority", Family.PRIORITIES, from_absence=True),
    _warning("stakes-out-of-order", Family.PRIORITIES),
    _warning("unreachable-sitting", Family.PRIORITIES, from_absence=True),
    _warning("opening-before-its-sitting", Family.PRIORITIES),
    _warning("remedy-longer-than-sitting", Family.PRIORITIES),
    _warning("remedy-without-cure", Family.REMEDIES, from_absence=True),
    _warning("remedy-without-recheck", Family.REMEDIES, from_absence=True),
    _warning("recheck-beside-cure", Family.REMEDIES, from_absence=True),
    _warning("cures-and-provokes", Family.REMEDIES),
    _warning("unless-forbids-itself", Family.REMEDIES, from_absence=True),
    _warning("idle-after", Family.REMEDIES, from_absence=True),
    _warning("cut-before-reversible", Family.REMEDIES, from_absence=True),
    _warning("cut-for-elsewhere", Family.REMEDIES),
    _warning("cut-said-undone", Family.REMEDIES, _TOOLS),
    _warning("tool-not-named", Family.REMEDIES, _TOOLS, from_absence=True),
    _warning("harmless-sharp-tool", Family.REMEDIES, _TOOLS),
    _warning("night-without-sitting", Family.REMEDIES),
    _warning("overlapping-bands", Family.MEASURES, _QUANTITIES),
    _warning("sign-within-target", Family.MEASURES, _QUANTITIES),
    _warning("target-narrower-than-precision", Family.MEASURES, _QUANTITIES),
    _warning("unit-spelling", Family.MEASURES),
    _warning("unit-does-not-fit", Family.MEASURES, _QUANTITIES),
    _warning("point-twice", Family.MEASURES, _THICKNESS),
    _warning("points-out-of-order", Family.MEASURES, _THICKNESS),
    _warning("tolerance-too-wide", Family.MEASURES, _THICKNESS),
    _warning("decimal-slip", Family.MEASURES, _THICKNESS),
    _warning("zone-without-shape", Family.MEASURES, _ZONES),
    _warning("wire-twice", Family.MEASURES, _ZONES),
    _warning("unused-entry", Family.MEASURES, from_absence=True),
    _warning("unreachable-chart-step", Family.CHARTS, _CHARTS, from_absence=True),
    _warning("chart-answer-missing", Family.CHARTS, _CHARTS, from_absence=True),
    _warning("chart-asks-twice", Family.CHARTS, _CHARTS),
    _warning("chart-against-unless", Family.CHARTS, _CHARTS),
    _warning("chart-out-of-order", Family.CHARTS, _CHARTS, from_absence=True),
    _warning("chart-without-remedy", Family.CHARTS, _CHARTS, from_absence=True),
    _warning("chart-idle-question", Family.CHARTS, _CHARTS, from_absence=True),
    _warning("ready-with-symptom", Family.CHARTS, _CHARTS, from_absence=True),
    _warning("trial-without-expect", Family.TRIALS, _TRIALS),
    _warning("cause-without-trial", Family.TRIALS, _TRIALS, from_absence=True),
    _warning("contradictory-trials", Family.TRIALS, _TRIALS, from_absence=True),
    _warning("trial-twice", Family.TRIALS, _TRIALS, from_absence=True),
    _warning("trial-against-itself", Family.TRIALS, _TRIALS),
    _warning("trial-expects-forbidden", Family.TRIALS, _TRIALS),
    _warning("trial-beside-cause", Family.TRIALS, _TRIALS, from_absence=True),
    _warning("two-questions", Family.WORDING),
    _warning("negated-question", Family.WORDING),
    _warning("open-question", Family.WORDING),
    _warning("no-question-mark", Family.WORDING),
    _warning("titles-alike", Family.WORDING),
    _warning("placeholder-text", Family.WORDING),
    _warning("missing-source", Family.SOURCES, from_absence=True),
    _warning("unused-source", Family.SOURCES, _SOURCES, from_absence=True),
    _warning("source-without-year", Family.SOURCES, _SOURCES, from_absence=True),
    _warning("sources-alike", Family.SOURCES, _SOURCES, from_absence=True),
    _deep("twin-causes"),
    _deep("beaten-remedy"),
    _deep("remedies-in-circles"),
    _deep("foregone-symptom"),
    _deep("hasty-chart"),
    _deep("chart-misses-cause"),
    _deep("idle-question"),
    _deep("hopeless-cause"),
    Check(CheckName("allow-without-effect"), Severity.WARNING, Stage.RULESET, Family.ALLOWANCES),
)
"""All checks. `allow-without-effect` has no judge of its own: it looks at what the others found."""
