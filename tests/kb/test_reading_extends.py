"""`extends` and `withdraw`: the patch of RFC 7396, trials appended, every place kept."""

import json
from hashlib import sha256
from typing import Any

import pytest

from kb.extends import merge
from kb.ids import CauseId, FindingId
from kb.load import Loaded, Offered, Wanted, by_id, installed, load_bytes
from kb.source import read
from kb.text import SourceText
from kb.value import Items, Pairs, Value

BASE = """\
canebrake: 1
id: base
title: Base
version: 1.0.0
sources: {own: {title: Own}, other: {title: Other}}
priorities: [{id: response, title: Response}]
opening: [late, wide]
tools: {fingers: {title: Fingers, hazard: none}}
zones: {tip: {title: Tip}}
quantities: {gap: {title: Gap, unit: mm, target: [1, 2]}}
symptoms: {late: {priority: response, ask: Late?}, dull: {priority: response, ask: Dull?}}
signs: {wide: {ask: Wide?, read: {quantity: gap, above: target}}}
causes:
  thick: {title: Thick, how_common: rare, shows: {late: usually, dull: often}, sources: [own]}
  slack:
    {title: Slack, how_common: rare, shows: {wide: usually, late: rarely}, zone: tip,
     sources: [own, other], differs: [{source: other, says: No.}]}
remedies:
  thin:
    {title: Thin, do: Thin., undo: never, cures: {thick: often}, provokes: {slack: rarely},
     recheck: [late, dull], unless: [wide], after: [tie], sources: [own]}
  tie:
    {title: Tie, do: Tie., undo: fully, tool: fingers, cures: {slack: often}, recheck: [wide], sources: [own]}
rests: {night: {title: Night, do: Wait., sources: [own]}}
charts:
  one: {start: a, steps: {a: {ask: late, yes: b, no: c}, b: {do: thin, then: c}, c: {stop: ready}}}
  two: {start: a, steps: {a: {ask: wide, yes: b, no: c}, b: {do: tie, then: c}, c: {stop: ready}}}
trials:
  - {title: Thick, given: {late: yes, dull: yes}, expect: {cause: thick}}
  - {title: Wide, given: {wide: yes}, expect: {cause: slack, step: [tie]}}
"""
HEAD = "canebrake: 1\nid: mine\ntitle: Mine\nversion: 1.0.0\nextends: {file: base.yaml}\n"


def load(text: str, **others: str) -> Loaded:
    files = {"base.yaml": BASE, **{f"{name}.yaml": other for name, other in others.items()}}

    def find(wanted: Wanted) -> Offered | None:
        name = wanted.file or f"{wanted.id}.yaml"
        return Offered(name, files[name].encode(), find) if name in files else None

    return load_bytes("mine.yaml", text.encode(), find)


def told(loaded: Loaded) -> list[tuple[str, str, int]]:
    return [(str(problem.check), problem.span.file, problem.span.line) for problem in loaded.problems]


def bare(value: Value | None) -> Any:
    if value is not None and isinstance(value.data, Pairs):
        return {pair.key: bare(pair.value) for pair in value.data}
    if value is not None and isinstance(value.data, Items):
        return [bare(item) for item in value.data.items]
    return None if value is None else value.data


# The test cases of RFC 7396, appendix A.
@pytest.mark.parametrize(
    "original, patch, result",
    [
        ({"a": "b"}, {"a": "c"}, {"a": "c"}),
        ({"a": "b"}, {"b": "c"}, {"a": "b", "b": "c"}),
        ({"a": "b"}, {"a": None}, {}),
        ({"a": "b", "b": "c"}, {"a": None}, {"b": "c"}),
        ({"a": ["b"]}, {"a": "c"}, {"a": "c"}),
        ({"a": "c"}, {"a": ["b"]}, {"a": ["b"]}),
        ({"a": {"b": "c"}}, {"a": {"b": "d", "c": None}}, {"a": {"b": "d"}}),
        ({"a": [{"b": "c"}]}, {"a": [1]}, {"a": [1]}),
        (["a", "b"], ["c", "d"], ["c", "d"]),
        ({"a": "b"}, ["c"], ["c"]),
        ({"a": "foo"}, None, None),
        ({"a": "foo"}, "bar", "bar"),
        ({"e": None}, {"a": 1}, {"e": None, "a": 1}),
        ([1, 2], {"a": "b", "c": None}, {"a": "b"}),
        ({}, {"a": {"bb": {"ccc": None}}}, {"a": {"bb": {}}}),
    ],
)
def test_a_patch_is_applied_as_rfc_7396_says(original: Any, patch: Any, result: Any) -> None:
    trees = [read(SourceText.of("f", json.dumps(one))).tree for one in (original, patch)]
    assert trees[1] is not None
    assert bare(merge(trees[0], trees[1])) == result


def test_the_base_of_these_tests_is_sound() -> None:
    assert load_bytes("base.yaml", BASE.encode()).problems == ()


def test_mappings_merge_null_removes_and_lists_are_replaced() -> None:
    loaded = load(
        HEAD
        + "opening: [wide]\nglossary: null\ncharts: null\n"
        + "causes: {thick: {how_common: 0.3, shows: {dull: null}}}\nsymptoms: {dull: null}\n"
        + "remedies: {thin: {recheck: [late]}}\n"
        + "trials: [{title: Dull, given: {late: yes}, expect: {cause: thick}}]\n"
    )
    assert told(loaded) == [("unknown-reference", "base.yaml", 29)]  # a trial of the base asks for dull


def test_a_changed_number_changes_and_all_else_stays() -> None:
    ruleset = load(HEAD + "causes: {thick: {how_common: 0.3}}\n").ruleset
    assert ruleset is not None
    assert (ruleset.id, ruleset.causes[0].how_common, ruleset.causes[0].title) == ("mine", 0.3, "Thick")
    assert [show.finding for show in ruleset.causes[0].shows] == ["late", "dull"]


def test_trials_are_appended_to_those_of_the_base() -> None:
    ruleset = load(HEAD + "trials: [{title: Own, given: {late: no}, expect: {priority: response}}]\n").ruleset
    assert ruleset is not None
    assert [trial.title for trial in ruleset.trials] == ["Thick", "Wide", "Own"]


def test_what_is_withdrawn_goes_with_all_links_to_it() -> None:
    loaded = load(
        HEAD
        + "withdraw: [thick, dull, gap, other, tip, fingers]\n"
        + "remedies: {thin: {cures: {slack: rarely}, provokes: null}}\n"
    )
    assert [str(problem.check) for problem in loaded.problems] == ["unless-forbids-itself"]
    ruleset = loaded.ruleset
    assert ruleset is not None
    assert [cause.id for cause in ruleset.causes] == ["slack"]
    assert [finding.id for finding in ruleset.findings] == ["late", "wide"]
    assert ruleset.finding[FindingId("wide")].read is None
    thin, tie, _ = ruleset.operations
    assert [effect.cause for effect in thin.cures] == ["slack"]
    assert thin.recheck == ("late",)
    assert tie.tool is None
    slack = ruleset.causes[0]
    assert (slack.zone, slack.sources, slack.differs) == (None, ("own",), ())
    assert [trial.title for trial in ruleset.trials] == ["Wide"]
    assert [chart.id for chart in ruleset.charts] == ["one", "two"]


def test_a_chart_or_trial_that_needs_what_is_withdrawn_goes_too() -> None:
    ruleset = load(HEAD + "withdraw: [tie]\nrests: {night: {cures: {slack: rarely}}}\n").ruleset
    assert ruleset is not None
    assert [chart.id for chart in ruleset.charts] == ["one"]
    assert [trial.title for trial in ruleset.trials] == ["Thick"]
    assert ruleset.operations[0].after == ()


def test_a_withdrawn_entry_may_be_written_anew() -> None:
    thick = "thick: {title: New, how_common: rare, shows: {dull: often}, sources: [own]}"
    ruleset = load(
        HEAD + f"withdraw: [thick]\ncauses: {{{thick}}}\nremedies: {{thin: {{cures: {{thick: often}}}}}}\n"
    ).ruleset
    assert ruleset is not None
    assert [show.finding for show in ruleset.cause[CauseId("thick")].shows] == ["dull"]


def test_an_own_link_to_what_is_withdrawn_is_an_unknown_reference() -> None:
    loaded = load(HEAD + "withdraw: [thick]\nremedies: {tie: {cures: {thick: often}}}\n")
    assert ("unknown-reference", "mine.yaml", 7) in told(loaded)


def test_withdrawing_what_is_not_there_says_what_may_be_meant() -> None:
    loaded = load(HEAD + "withdraw: [thik]\n")
    assert told(loaded) == [("unknown-reference", "mine.yaml", 6)]
    assert loaded.problems[0].hint == "did you mean 'thick'?"


def test_problems_stand_in_the_file_that_wrote_the_word() -> None:
    loaded = load(HEAD + "causes:\n  thick:\n    how_common: 3\nsymptoms: {late: null}\n")
    files = {problem.span.file for problem in loaded.problems}
    assert ("impossible-number", "mine.yaml", 8) in told(loaded)
    assert files == {"mine.yaml", "base.yaml"}
    assert {text.name for text in loaded.texts} == files


def test_a_base_may_have_a_base() -> None:
    middle = HEAD.replace("mine", "middle").replace("Mine", "Middle") + "causes: {thick: {how_common: 0.3}}\n"
    loaded = load(
        HEAD.replace("base.yaml", "middle.yaml") + "causes: {slack: {how_common: 0.4}}\n", middle=middle
    )
    assert loaded.ruleset is not None
    assert [cause.how_common for cause in loaded.ruleset.causes] == [0.3, 0.4]


@pytest.mark.parametrize("name", ["mine", "other"])
def test_a_loop_of_bases_is_found(name: str) -> None:
    loop = HEAD.replace("base.yaml", "mine.yaml").replace("id: mine", "id: other")
    loaded = load(HEAD.replace("base.yaml", f"{name}.yaml"), other=loop, mine=HEAD)
    assert [row[0] for row in told(loaded)] == ["extends-loop"]


def test_a_base_is_found_by_id_and_version() -> None:
    wanted = "{id: base, version: 1.0.0}"
    assert load(HEAD.replace("{file: base.yaml}", wanted)).ruleset is not None
    other = load(HEAD.replace("{file: base.yaml}", "{id: base, version: 2.0.0}"))
    assert told(other) == [("base-not-found", "mine.yaml", 5)]


@pytest.mark.parametrize(
    "extends, check",
    [
        ("{file: nowhere.yaml}", "base-not-found"),
        ("{file: ../base.yaml}", "base-not-found"),
        ("{file: /etc/passwd}", "base-not-found"),
        ("{file: '..\\base.yaml'}", "base-not-found"),
        ("{file: ..}", "base-not-found"),
        ("{id: nowhere, version: 1.0.0}", "base-not-found"),
        ("{id: base, version: 1.0}", "unquoted-version"),
        ("{id: base}", "wrong-kind"),
        ("{file: base.yaml, id: base}", "wrong-kind"),
        ("{file: 3}", "wrong-kind"),
        ("base.yaml", "wrong-kind"),
        ("[base.yaml]", "wrong-kind"),
        ("null", "wrong-kind"),
    ],
)
def test_a_base_that_cannot_be_had_is_said_and_nothing_else(extends: str, check: str) -> None:
    assert told(load(HEAD.replace("{file: base.yaml}", extends))) == [(check, "mine.yaml", 5)]


def test_a_broken_base_is_said_in_its_own_file() -> None:
    loaded = load(HEAD.replace("base.yaml", "broken.yaml"), broken="canebrake: 1\na: [\n")
    assert [row[:2] for row in told(loaded)] == [("broken-yaml", "broken.yaml")]


def test_a_digest_covers_the_text_and_that_of_the_base() -> None:
    alone = load_bytes("base.yaml", BASE.encode()).ruleset
    assert alone is not None
    assert alone.digest == sha256(BASE.encode()).hexdigest()
    first, again = load(HEAD).ruleset, load(HEAD).ruleset
    assert first is not None
    assert again is not None
    assert first.digest == again.digest
    changed = load(HEAD.replace("base.yaml", "changed.yaml"), changed=BASE + "# a remark\n").ruleset
    assert changed is not None
    assert len({first.digest, changed.digest, alone.digest}) == 3


def test_a_text_that_stands_alone_has_no_base() -> None:
    assert told(load_bytes("mine.yaml", HEAD.encode())) == [("base-not-found", "mine.yaml", 5)]


def test_a_tower_of_rulesets_has_an_end() -> None:
    tower = {f"t{n}": HEAD.replace("mine", f"t{n}").replace("base", f"t{n + 1}") for n in range(40)}
    loaded = load(HEAD.replace("base", "t0"), **tower)
    assert [row[0] for row in told(loaded)] == ["too-big"]


def test_a_base_that_is_no_text_is_said_in_its_own_file() -> None:
    def find(_wanted: Wanted) -> Offered:
        return Offered("base.yaml", b"\xff\xfe", find)

    assert told(load_bytes("mine.yaml", HEAD.encode(), find)) == [("not-utf8", "base.yaml", 1)]


def test_an_installed_ruleset_is_extended_by_id_and_by_file() -> None:
    one = installed()[0]
    for extends in (f"{{id: {one.id}, version: {one.version}}}", f"{{file: {one.name}}}"):
        text = HEAD.replace("{file: base.yaml}", extends)
        assert load_bytes("mine.yaml", text.encode(), by_id).ruleset is not None
    assert by_id(Wanted(id=one.id, version="0.0.0")) is None
