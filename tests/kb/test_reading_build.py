"""From a document to a ruleset: numbers for words, defaults, and what contradicts itself."""

from pathlib import Path

import pytest

from kb import model
from kb.checks.found import every_entry
from kb.ids import FindingId, RemedyId
from kb.load import Loaded, beside, load_bytes, load_file
from kb.model import (
    Answer,
    AskStep,
    Edge,
    Ending,
    GivenRound,
    Hazard,
    QuantityRead,
    Ruleset,
    StopStep,
    ThicknessRead,
    Undo,
)
from kb.problem import Severity

GOLDEN = Path(__file__).parents[1] / "golden"
FRAME = Path(__file__).parents[2] / "docs" / "checks"
HEAD = "canebrake: 1\nid: mine\ntitle: Mine\nversion: 1.0.0\nextends: {file: frame.yaml}\n"


def load(text: str) -> Loaded:
    return load_bytes("mine.yaml", (HEAD + text).encode(), beside(FRAME))


def told(loaded: Loaded) -> list[tuple[str, int, int]]:
    return [(str(problem.check), problem.span.line, problem.span.column) for problem in loaded.problems]


def built(text: str) -> Ruleset:
    loaded = load(text)
    assert loaded.problems == ()
    assert loaded.ruleset is not None
    return loaded.ruleset


@pytest.fixture(scope="module")
def golden() -> Ruleset:
    loaded = load_file(GOLDEN / "penny-whistle-voicing.yaml")
    assert loaded.problems == ()
    assert loaded.ruleset is not None
    return loaded.ruleset


@pytest.fixture(scope="module")
def studio() -> Ruleset:
    loaded = load_file(GOLDEN / "penny-whistle-studio.yaml")
    assert loaded.problems == ()
    assert loaded.ruleset is not None
    return loaded.ruleset


def test_the_golden_ruleset_is_read_in_full(golden: Ruleset) -> None:
    assert (golden.id, golden.version, golden.language, golden.licence) == (
        "penny-whistle-voicing",
        "1.0.0",
        "en",
        "CC-BY-4.0",
    )
    assert [(p.id, p.worth, bool(p.ask)) for p in golden.priorities] == [
        ("response", 120.0, True),
        ("stability", 90.0, False),
        ("flexibility", 60.0, False),
    ]
    assert (golden.stakes.never, golden.stakes.partly, golden.stakes.fully) == (12, 4, 0)
    assert (golden.sitting.minutes, golden.sitting.cuts) == (20, 4)
    assert golden.opening == ("windway-high",)
    assert [tool.hazard for tool in golden.tools] == [Hazard.NONE, Hazard.BLADE]
    break_, hiss, dull, high = golden.findings
    assert (break_.minutes, break_.leak, break_.title) == (1.0, 0.02, break_.ask)
    assert (hiss.counts_from_sitting, hiss.tie) == (2, model.TestNote("D6", "p"))
    assert (dull.counts_from_sitting, dull.priority, dull.is_sign) == (1, "flexibility", False)
    assert (high.is_sign, high.priority, high.minutes) == (True, None, 2.0)
    assert high.read == QuantityRead(golden.quantities[0].id, Edge.ABOVE, 1.2, 1.2)
    assert [(s.finding, s.strength, s.word) for s in golden.causes[0].shows] == [
        ("low-notes-break", 0.8, "usually"),
        ("windway-high", 0.97, "always"),
    ]
    assert [(cause.how_common, cause.word) for cause in golden.causes] == [
        (0.08, "occasional"),
        (0.02, "rare"),
        (0.20, "common"),
    ]
    shim, pare, night = golden.operations
    assert (shim.minutes, shim.undo, shim.at_most, shim.from_sitting) == (3.0, Undo.FULLY, 3, 1)
    assert (pare.undo, pare.unless, pare.recheck) == (Undo.NEVER, ("windway-high",), ("high-notes-hiss",))
    assert (night.is_rest, night.hours, night.new_sitting, night.minutes) == (True, 12.0, True, 20.0)
    first, _, last = golden.charts[0].steps
    assert isinstance(first, AskStep)
    assert (first.yes, first.slightly, first.no, first.unsure) == ("shim", "shim", "finish", "finish")
    assert isinstance(last, StopStep)
    assert last.ending is Ending.READY
    assert golden.trials[0].rounds == (GivenRound(given=((break_.id, Answer.YES), (high.id, Answer.YES))),)
    assert (golden.trials[0].expect.cause, golden.trials[0].expect.step) == (
        "windway-too-tall",
        ("shim-windway",),
    )


def test_the_rest_of_the_format_is_read_in_full(studio: Ruleset) -> None:
    words = dict(studio.words)
    assert (words["always"], words["seldom"], words["usually"]) == (0.98, 0.15, 0.80)
    assert studio.causes[0].shows[1].strength == 0.98
    thick = next(finding for finding in studio.findings if finding.id == "spine-thick")
    assert thick.read == ThicknessRead(studio.thickness[0].id, "spine", (8.0, 12.0), Edge.ABOVE)
    profile = studio.thickness[0]
    assert (profile.datum, profile.lanes, profile.points[0].tolerance) == (
        "tip",
        ("spine", "channel", "rail"),
        0.03,
    )
    assert next(f for f in studio.findings if f.id == "opening-wide").priority == "response"
    thin = next(operation for operation in studio.operations if operation.id == "thin-spine")
    assert (thin.after, thin.at_most, thin.from_sitting) == (("retie",), 2, 2)
    assert thin.differs[0].says == "Leave it alone."
    assert thin.allow[0].check == "remedy-without-recheck"
    assert [cause.elsewhere for cause in studio.causes if cause.id == "not-the-whistle"] == [True]
    assert [zone.polygon[:1] for zone in studio.zones] == [((-4.0, 6.0),), ((-5.0, 0.0),), ()]
    assert [zone.wire for zone in studio.zones] == [None, None, 1]
    two = studio.trials[1]
    assert [(r.then, r.sitting, r.measure) for r in two.rounds] == [
        ("retie", None, ()),
        (None, 3, (("windway-height", 1.4),)),
    ]
    assert two.expect.not_step == ("clip",)
    assert (two.expect.priority, two.expect.all_clear) == ("stability", False)
    assert studio.glossary == (("windway", "The slot that shapes the air."),)


def test_every_place_points_at_its_own_words(golden: Ruleset) -> None:
    lines = (GOLDEN / "penny-whistle-voicing.yaml").read_text("utf-8").splitlines()
    for entry in every_entry(golden)[3:]:
        span = entry.place.key
        assert lines[span.line - 1][span.column - 1 : span.end_column - 1] == entry.id
    for priority in golden.priorities:
        span = priority.place.of("id")
        assert lines[span.line - 1][span.column - 1 : span.end_column - 1] == priority.id


def test_a_rest_takes_five_minutes_and_twenty_with_a_new_sitting() -> None:
    rests = "rests: {soak: {title: Soak, do: Soak it., sources: [own], provokes: {tip-thick: 0}}}\n"
    ruleset = built(rests)
    soak = ruleset.operation[RemedyId("soak")]
    assert (soak.minutes, soak.provokes[0].chance) == (5.0, 0.0)
    assert ruleset.operation[RemedyId("overnight")].minutes == 20.0


def test_everything_not_required_may_be_left_out() -> None:
    text = "canebrake: 1\nid: a\ntitle: A\nversion: '1'\npriorities: [{id: p}]\n"
    text += "symptoms: {}\ncauses: {}\nremedies: {}\n"
    text += (
        "quantities: {q: {}}\nzones: {z: {}}\nthickness: {t: {}}\ncharts: {c: {steps: {s: {stop: ready}}}}\n"
    )
    ruleset = load_bytes("a", text.encode()).ruleset
    assert ruleset is not None
    assert (ruleset.charts[0].title, ruleset.charts[0].start) == ("c", "s")
    titles = (ruleset.priorities[0].title, ruleset.quantities[0].title, ruleset.zones[0].title)
    assert titles == ("p", "q", "z")


def test_an_outside_reading_uses_both_ends_of_the_target() -> None:
    ruleset = built("signs: {opening-wide: {read: {above: null, outside: target}}}\n")
    assert ruleset.finding[FindingId("opening-wide")].read == QuantityRead(
        ruleset.quantities[0].id, Edge.OUTSIDE, 1.2, 1.5
    )


def test_a_target_above_or_below_means_its_upper_or_lower_end() -> None:
    above = built("zones: {tip: {title: Tip}}\n").finding[FindingId("opening-wide")].read
    turned = built("signs: {opening-wide: {read: {above: null, below: target}}}\n")
    below = turned.finding[FindingId("opening-wide")].read
    assert isinstance(above, QuantityRead)
    assert isinstance(below, QuantityRead)
    assert (above.high, below.low) == (1.5, 1.2)


def test_priority_null_expects_that_all_is_clear() -> None:
    ruleset = built("trials: [{title: Clear, given: {starts-late: no}, expect: {priority: null}}]\n")
    assert ruleset.trials[0].expect.all_clear


@pytest.mark.parametrize(
    "text, expected",
    [
        ("causes: {tip-thick: {how_common: sometimes}}", []),
        ("causes: {tip-thick: {shows: {starts-late: 0}}}", ["impossible-number"]),
        ("causes: {tip-thick: {shows: {starts-late: 1.01}}}", ["impossible-number"]),
        ("causes: {tip-thick: {how_common: 0}}", ["impossible-number"]),
        ("causes: {tip-thick: {how_common: 0.51}}", ["impossible-number"]),
        ("causes: {tip-thick: {how_common: usually}}", ["word-out-of-range"]),
        ("words: {never: 0}\ncauses: {tip-thick: {how_common: never}}", ["word-out-of-range"]),
        ("words: {never: 0}\ncauses: {tip-thick: {shows: {starts-late: never}}}", ["word-out-of-range"]),
        ("words: {never: 0}\nrests: {overnight: {provokes: {tip-thick: never}}}", []),
        ("words: {never: 0}\nremedies: {thin-tip: {provokes: {wire-slack: never}}}", ["word-out-of-range"]),
        ("remedies: {thin-tip: {provokes: {wire-slack: 0}}}", ["impossible-number"]),
        ("rests: {overnight: {cures: {wire-slack: 0}}}", ["impossible-number"]),
        ("symptoms: {starts-late: {leak: usually}}", ["word-out-of-range"]),
        ("symptoms: {starts-late: {leak: 0.5}}", []),
        ("symptoms: {starts-late: {leak: rare}}", []),
        ("symptoms: {starts-late: {leak: -0.1}}", ["impossible-number"]),
        ("words: {always: 1.5}", ["impossible-number"]),
        ("words: {häufig: 0.7}\ncauses: {tip-thick: {shows: {starts-late: häufig}}}", []),
        ("words: {always: 1.5}\ncauses: {tip-thick: {shows: {starts-late: always}}}", ["impossible-number"]),
        ("clear_below: 0", ["impossible-number"]),
        ("clear_below: 1", ["impossible-number"]),
        ("slightly: 1", ["impossible-number"]),
        ("slightly: 0.5", []),
        ("remedies: {thin-tip: {at_most: 0}}", ["impossible-number"]),
        ("remedies: {thin-tip: {at_most: 1.5}}", ["wrong-kind"]),
        ("remedies: {thin-tip: {minutes: -1}}", ["impossible-number"]),
        ("quantities: {tip-opening: {limits: [3, 0.3]}}", ["impossible-number"]),
        ("quantities: {tip-opening: {target: [1.5, 1.5]}}", ["impossible-number"]),
        ("quantities: {tip-opening: {target: [0.1, 1.5]}}", ["impossible-number"]),
        ("quantities: {tip-opening: {target: [1.5]}}", ["wrong-kind"]),
        ("quantities: {tip-opening: {precision: 0}}", ["impossible-number"]),
        ("signs: {opening-wide: {read: {above: 3}}}", ["impossible-number"]),
        ("signs: {opening-wide: {read: {above: 2.9}}}", []),
        ("signs: {opening-wide: {read: {above: wide}}}", ["unknown-word"]),
        ("signs: {opening-wide: {read: {above: null, outside: 3}}}", ["wrong-kind"]),
        ("signs: {opening-wide: {read: {above: null}}}", ["missing-key"]),
        ("signs: {opening-wide: {read: {quantity: null}}}", ["missing-key"]),
        ("signs: {opening-wide: {read: {lane: spine}}}", ["misplaced-key"]),
        (
            "trials: [{title: T, measure: {tip-opening: 9}, expect: {cause: tip-thick}}]",
            ["impossible-number"],
        ),
        ("trials: [{title: T, measure: {tip-opening: 0.3}, expect: {cause: tip-thick}}]", []),
        ("trials: [{title: T, given: {starts-late: maybe}, expect: {cause: tip-thick}}]", ["unknown-word"]),
        ("trials: [{title: T, given: {starts-late: true}, expect: {cause: tip-thick}}]", ["wrong-kind"]),
        ("trials: [{title: T, given: {tip-thick: yes}, expect: {cause: tip-thick}}]", ["unknown-reference"]),
        ("trials: [{title: T, given: {}, expect: {step: thin-tap}}]", ["unknown-reference"]),
        ("trials: [{title: T, given: {}, expect: {step: [ready, accept, set-aside, rest]}}]", []),
        ("trials: [{title: T, given: {}, expect: {not_step: [tip-thick]}}]", ["unknown-reference"]),
        (
            "trials: [{title: T, rounds: [{then: starts-late}], expect: {cause: tip-thick}}]",
            ["unknown-reference"],
        ),
        ("trials: [{title: T, rounds: [{then: null}, {then: overnight}], expect: {cause: tip-thick}}]", []),
        (
            "trials: [{title: T, rounds: [{sitting: 3}, {sitting: 2}], expect: {cause: tip-thick}}]",
            ["impossible-number"],
        ),
        ("trials: [{title: T, rounds: [], expect: {cause: tip-thick}}]", ["trial-without-given"]),
        ("language: Deutsch, bitte", ["unknown-word"]),
        ("language: pt-BR", []),
        ("opening: [opening-wide, opening-wide]", ["duplicate-id"]),
        ("opening: [tip-thick]", ["unknown-reference"]),
        ("priorities: [{id: response}, {id: stability}, {id: response}]", ["duplicate-id"]),
        ("sources: {own: {year: 1990}}", []),
        ("sources: {own: {year: [1990]}}", ["wrong-kind"]),
        ("zones: {ready: {title: Ready}}", ["reserved-id"]),
        (f"zones: {{{'a' * 64}: {{}}}}", []),
        (f"zones: {{{'a' * 65}: {{}}}}", ["malformed-id"]),
        ("zones: {a--b: {}, -a: {}, a_b: {}, ä: {}, 'a\\n': {}}", ["malformed-id"] * 5),
        ("charts: {c: {steps: {a: {}}}}", ["missing-key"]),
        ("charts: {c: {start: b, steps: {a: {stop: ready}}}}", ["unknown-reference"]),
        ("charts: {c: {steps: {a: {do: thin-tip, then: b}}}}", ["unknown-reference"]),
        ("charts: {c: {steps: {a: {do: thin-tip, stop: ready}}}}", ["misplaced-key"]),
        ("thickness: {t: {lanes: [spine], points: [{at: 1, lane: rail, target: 1}]}}", ["unknown-reference"]),
        ("colour: red", ["unknown-key"]),
        ("symptoms: 3", ["wrong-kind"]),
    ],
)
def test_each_number_and_name_is_held_to_its_limits(text: str, expected: list[str]) -> None:
    found = [str(p.check) for p in load(text + "\n").problems if p.severity is Severity.ERROR]
    assert found == expected


def test_an_entry_without_its_links_is_told_once() -> None:
    text = "remedies: {bare: {title: Bare, do: It., undo: fully, recheck: [starts-late], sources: [own]}}\n"
    assert told(load(text)) == [("missing-key", 6, 12)]


def test_a_stretch_of_a_blade_without_a_point_can_never_be_read() -> None:
    profile = "thickness: {t: {lanes: [spine, rail], points: [{at: 10, lane: spine, target: 1}]}}\n"
    sign = "signs: {opening-wide: {read: {quantity: null, thickness: t, lane: %s, between: %s}}}\n"
    assert told(load(profile + sign % ("spine", "[8, 12]"))) == []
    assert [row[0] for row in told(load(profile + sign % ("spine", "[1, 2]")))] == ["missing-target"]
    assert [row[0] for row in told(load(profile + sign % ("rail", "[8, 12]")))] == ["missing-target"]
    assert [row[0] for row in told(load(profile + sign % ("raile", "[8, 12]")))] == ["unknown-reference"]
    assert [row[0] for row in told(load(profile + sign % ("spine", "[12, 8]")))] == ["impossible-number"]


def test_a_section_that_cannot_be_read_does_not_make_its_names_unknown() -> None:
    assert [row[0] for row in told(load("symptoms: 3\n"))] == ["wrong-kind"]
    assert [row[0] for row in told(load("priorities: response\n"))] == ["wrong-kind"]


def test_an_unknown_name_is_told_with_the_nearest_one() -> None:
    loaded = load(
        "remedies: {thin-tip: {tool: nife, recheck: [start-late], unless: [tip-thick], zone: tips}}\n"
    )
    assert [(problem.message, problem.hint) for problem in loaded.problems] == [
        ("no tool is called 'nife'", "did you mean 'knife'?"),
        ("no symptom or sign is called 'start-late'", "did you mean 'starts-late'?"),
        ("'tip-thick' is no symptom or sign, but a cause", "name a symptom or sign here"),
        ("no zone is called 'tips'", "did you mean 'tip'?"),
    ]


def test_an_unknown_key_is_told_with_the_nearest_one() -> None:
    loaded = load("remedies:\n  thin-tip: {re-check: [starts-late], to_far: Thin., colour: red}\n")
    assert [(problem.span.column, problem.hint.split("?")[0]) for problem in loaded.problems] == [
        (14, "did you mean 'recheck'"),
        (39, "did you mean 'too_far'"),
        (54, ""),
    ]


def test_all_slips_of_a_file_are_told_in_one_run_in_order() -> None:
    text = """\
title: 5
zones: {Tip: {}, tip: {colour: red}}
causes:
  tip-thick: {shows: {starts-lat: usually}}
  wire-slack: {how_common: 3}
  wire-slack: {}
remedies:
  clip: {title: Clip, do: Clip., tool: knife, undo: never, cures: {tip-thick: 1}, after: [clip], recheck: []}
  bare: {title: Bare, do: Bare., undo: nevr, cures: {tip-thick: often}, sources: [own]}
trials: [{title: T, expect: {cause: tip-thik}}]
"""
    loaded = load_bytes("f", (HEAD.replace("title: Mine\n", "") + text).encode(), beside(FRAME))
    assert [row[:2] for row in told(loaded)] == [
        ("wrong-kind", 5),
        ("malformed-id", 6),
        ("unknown-key", 6),
        ("unknown-reference", 8),
        ("impossible-number", 9),
        ("duplicate-key", 10),
        ("missing-caution", 12),
        ("chance-of-one", 12),
        ("order-loop", 12),
        ("unknown-word", 13),
        ("unknown-reference", 14),
    ]
    assert loaded.ruleset is None


@pytest.mark.parametrize("text", ["words: {'': 0.5}", "words: {' ': 0.5}"])
def test_a_word_of_chance_needs_letters(text: str) -> None:
    assert told(load(text + "\n")) == [("empty-text", 6, 9)]


def test_a_sitting_lasts_longer_than_nothing() -> None:
    assert told(load("sitting: {minutes: 0}\n")) == [("impossible-number", 6, 20)]
