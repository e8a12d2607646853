"""Checks over a whole ruleset: what their pages are too small to show."""

from pathlib import Path

import pytest

from kb.load import Loaded, beside, by_id, installed, load_bytes
from tests.support.running import run_python

ROOT = Path(__file__).parents[2]
FRAME = ROOT / "docs" / "checks"
HEAD = "canebrake: 1\nid: mine\ntitle: Mine\nversion: 1.0.0\nextends: {file: frame.yaml}\n"


def load(text: str) -> Loaded:
    return load_bytes("mine.yaml", (HEAD + text).encode(), beside(FRAME))


def told(text: str) -> list[tuple[str, int]]:
    return [(str(problem.check), problem.span.line) for problem in load(text).problems]


def remedy(name: str, *after: str) -> str:
    listed = ", ".join(after)
    return (
        f"  {name}: {{title: {name}, do: It., undo: fully, cures: {{tip-thick: often}}, "
        f"recheck: [starts-late], sources: [own], after: [{listed}]}}\n"
    )


def test_every_loop_is_named_from_its_first_operation() -> None:
    text = (
        "remedies:\n"
        + remedy("a", "b")
        + remedy("b", "c")
        + remedy("c", "a", "d")
        + remedy("d", "c", "e")
        + remedy("e", "e")
    )
    problems = load(text).problems
    assert [(str(p.check), p.span.line, p.message) for p in problems] == [
        ("order-loop", 7, "'a' waits for 'b', which waits for 'c', which waits for 'a'"),
        ("order-loop", 9, "'c' waits for 'd', which waits for 'c'"),
        ("order-loop", 11, "'e' waits for 'e'"),
    ]


def test_a_chain_without_a_loop_is_fine() -> None:
    assert told("remedies:\n" + remedy("a", "b", "c") + remedy("b", "c") + remedy("c")) == []


def test_a_tangle_of_loops_is_judged_in_reasonable_time() -> None:
    names = [f"r{n}" for n in range(30)]
    text = "remedies:\n" + "".join(
        remedy(name, *(other for other in names if other != name)) for name in names
    )
    found = told(text)
    assert {check for check, _ in found} == {"order-loop"}
    assert len(found) <= 20


def chart(*steps: str) -> str:
    return "charts:\n  c:\n    steps:\n" + "".join(f"      {step}\n" for step in steps)


def test_a_chart_whose_loop_has_a_remedy_in_it_is_fine() -> None:
    assert (
        told(chart("a: {ask: starts-late, yes: b, no: c}", "b: {do: thin-tip, then: a}", "c: {stop: ready}"))
        == []
    )


@pytest.mark.parametrize(
    "steps, line",
    [
        (("a: {do: thin-tip, then: a}",), 9),
        (("a: {ask: starts-late, yes: b, no: c}", "b: {do: thin-tip, then: b}", "c: {stop: ready}"), 10),
        (("a: {ask: starts-late, yes: a, no: c}", "c: {stop: ready}"), 9),
        (("a: {ask: starts-late, yes: c, no: c, unsure: a}", "c: {stop: ready}"), 9),
    ],
)
def test_a_chart_that_can_go_on_for_ever_is_found(steps: tuple[str, ...], line: int) -> None:
    assert [found for found in told(chart(*steps)) if found[0] != "chart-without-remedy"] == [
        ("endless-chart", line)
    ]


def test_a_way_that_leads_nowhere_is_an_end() -> None:
    assert told(chart("a: {ask: starts-late, yes: b}", "b: {do: thin-tip, then: a}")) == [
        ("chart-answer-missing", 9)
    ]
    assert told(chart("a: {do: thin-tip}")) == []


@pytest.mark.parametrize(
    "polygon, fine",
    [
        ("[[0, 0], [1, 0], [0, 1]]", True),
        ("[[0, 0], [2, 0], [2, 2], [1, 1], [0, 2]]", True),
        ("[]", False),
        ("[[0, 0], [1, 1]]", False),
        ("[[0, 0], [1, 1], [0, 0]]", False),
        ("[[0, 0], [1, 1], [2, 2]]", False),
        ("[[0, 0], [1, 1], [1, 0], [0, 1]]", False),
    ],
)
def test_a_polygon_must_enclose_something_and_not_cross_itself(polygon: str, *, fine: bool) -> None:
    assert told(f"zones: {{tip: {{polygon: {polygon}}}}}\n") == ([] if fine else [("malformed-zone", 6)])


def test_a_wire_is_no_polygon() -> None:
    assert told("zones: {tip: {wire: 1}}\n") == []
    assert told("zones: {tip: {wire: 1, polygon: [[0, 0], [1, 0], [0, 1]]}}\n") == [("malformed-zone", 6)]


def test_a_caution_is_needed_for_every_hazard_but_none() -> None:
    for hazard in ("blade", "abrasive", "file", "reamer", "mandrel", "pliers", "sealant"):
        tools = f"tools: {{t: {{title: T, hazard: {hazard}}}, fingers: null}}\n"
        text = f"{tools}remedies: {{close-opening: {{undo: never, tool: t}}}}\n"
        assert told(text) == [("missing-caution", 7)]
        assert told(text.replace("tool: t}", "tool: t, caution: Mind it.}")) == []
    assert told("remedies: {thin-tip: {caution: ' '}}\n")[0][0] == "missing-caution"


def test_a_warning_can_be_allowed() -> None:
    cause = "causes: {old: {title: Old, how_common: rare, shows: {starts-late: often}, sources: [own]%s}}\n"
    assert told(cause % "") == [("cause-without-remedy", 6)]
    assert told(cause % ", allow: {cause-without-remedy: It is old.}") == []


def test_an_allowance_of_an_error_silences_nothing() -> None:
    found = told("remedies: {thin-tip: {caution: null, allow: {missing-caution: We know.}}}\n")
    assert sorted(check for check, _ in found) == ["allow-without-effect", "missing-caution"]


def test_an_allowance_of_no_check_is_told_with_the_nearest() -> None:
    loaded = load("causes: {tip-thick: {allow: {cause-without-remedies: Why not.}}}\n")
    assert [(str(p.check), p.hint) for p in loaded.problems] == [
        ("unknown-reference", "did you mean 'cause-without-remedy'?")
    ]


def test_an_allowance_without_a_reason_is_refused() -> None:
    assert told("causes: {tip-thick: {allow: {cause-without-remedy: ''}}}\n")[0] == ("empty-text", 6)


def test_an_error_elsewhere_does_not_hide_what_a_check_finds() -> None:
    text = "rests: {overnight: {hours: long}}\nremedies: {thin-tip: {caution: null}}\n"
    assert sorted(check for check, _ in told(text)) == ["missing-caution", "wrong-kind"]


def test_a_slip_that_links_nothing_does_not_hide_a_missing_link() -> None:
    text = (
        "remedies: {thin-tip: {minutes: soon}}\n"
        "causes: {old: {title: Old, how_common: rare, shows: {starts-late: often}}}\n"
    )
    assert [check for check, _ in told(text)] == ["wrong-kind", "cause-without-remedy", "missing-source"]


def test_a_mistyped_link_is_told_once_and_not_by_its_consequences() -> None:
    text = "causes: {old: {title: Old, how_common: rare, shows: {starts-late: often}, sources: [own]}}\n"
    assert told(text + "remedies: {thin-tip: {cures: {oldd: rarely}}}\n") == [("unknown-reference", 7)]


def test_an_unrelated_missing_link_is_still_told_beside_a_mistyped_one() -> None:
    text = "causes: {old: {title: Old, how_common: rare, shows: {starts-late: often}, sources: [own]}}\n"
    assert told(text + "remedies: {thin-tip: {zone: tap}}\n") == [
        ("cause-without-remedy", 6),
        ("unknown-reference", 7),
    ]


@pytest.mark.parametrize(
    "name", ["tests/golden/penny-whistle-voicing.yaml", "tests/golden/penny-whistle-studio.yaml"]
)
def test_reading_a_sound_file_loads_nothing_heavy(name: str, tmp_path: Path) -> None:
    code = (
        "import pathlib, sys, kb.load;"
        f"assert kb.load.load_file(pathlib.Path({str(ROOT / name)!r})).ruleset;"
        "print(*sys.modules)"
    )
    loaded = set(run_python(["-c", code], tmp_path).out.split())
    heavy = {
        "networkx",
        "numpy",
        "jsonschema",
        "jsonschema_rs",
        "difflib",
        "textual",
        "rich",
        "importlib.resources",
    }
    assert not heavy & loaded


def test_a_loop_is_named_by_networkx_only_when_there_is_one(tmp_path: Path) -> None:
    text = HEAD + "remedies: {thin-tip: {after: [thin-tip]}}\n"
    code = (
        "import pathlib, sys, kb.load;"
        f"found = kb.load.load_bytes('f', {text.encode()!r}, kb.load.beside(pathlib.Path({str(FRAME)!r})));"
        "print(*sys.modules)"
    )
    assert "networkx" in run_python(["-c", code], tmp_path).out.split()


def test_installed_rulesets_are_listed_as_they_load() -> None:
    assert installed()
    for one in installed():
        ruleset = load_bytes(one.name, one.content, by_id).ruleset
        assert ruleset is not None
        assert (one.id, one.version, one.title, one.instrument) == (
            ruleset.id,
            ruleset.version,
            ruleset.title,
            ruleset.instrument,
        )
