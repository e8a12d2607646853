"""`canebrake new`: a ruleset begun by answering, by layering, by copying; and the schema for editors."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.case import Case
from kb.fresh import Beginnings, FirstCause, FirstRemedy, fresh_text, id_of
from kb.ids import is_well_formed
from kb.load import load, load_file
from kb.model import Answer, By, Hazard, Ruleset, Undo
from kb.problem import has_errors
from kb.text import SourceText
from tests.support.brute import judge
from tests.support.running import ROOT, run_here, run_python
from tests.support.strategies import LAW
from tui.plain.beginning import Question, questions

GOLDEN = ROOT / "tests/golden"


def _loaded(path: Path) -> Ruleset:
    loaded = load_file(path)
    assert loaded.problems == ()
    assert loaded.ruleset is not None
    return loaded.ruleset


def test_enter_at_every_question_leaves_a_file_that_passes(tmp_path: Path) -> None:
    path = tmp_path / "rules.yaml"
    ran = run_here(["new", str(path)], tmp_path, given="\n" * 21)
    assert ran.code == 0, ran
    assert f"{path} is written." in ran.out
    assert f"canebrake check {path}: no problems" in ran.out
    assert run_here(["check", "--strict", str(path)], tmp_path).code == 0
    assert run_here(["trial", str(path)], tmp_path).code == 0
    assert "Do low notes start late?" in path.read_text(encoding="utf-8")


def test_answers_are_taken_from_a_pipe_and_kept_as_they_were_said(tmp_path: Path) -> None:
    said = [
        "Anches de hautbois : l’atelier", "", "hautbois", "fr", "", "Réponse, Justesse",
        "Le do grave tarde-t-il ?",
        "j", "crow", "La pointe est: trop épaisse", "common", "often", "Affiner la pointe", "Deux traits.",
        "Couteau #1", "blade", "", "2,5", "never", "often", "L’anche est sèche", "rare", "", "none", "",
    ]  # fmt: skip
    path = tmp_path / "hautbois.yaml"
    ran = run_here(["new", str(path)], tmp_path, given="".join(f"{line}\n" for line in said))
    assert ran.code == 0, ran.out[-800:]
    loaded = load_file(path)
    assert [problem.check for problem in loaded.problems] == ["cause-without-remedy"]
    ruleset = loaded.ruleset
    assert ruleset is not None
    assert (ruleset.id, ruleset.language) == ("anches-de-hautbois-l-atelier", "fr")
    assert [one.title for one in ruleset.priorities] == ["Justesse"]
    assert "  # - {id: reponse, title: Réponse}\n  - {id: justesse" in path.read_text(encoding="utf-8")
    assert ruleset.symptoms[0].priority == "justesse"
    assert ruleset.causes[0].title == "La pointe est: trop épaisse"
    assert (ruleset.remedies[0].minutes, ruleset.tools[0].title) == (2.5, "Couteau #1")
    assert "cause-without-remedy" in ran.out  # it says what it leaves


def test_each_question_explains_itself_and_more_on_request(tmp_path: Path) -> None:
    ran = run_here(["new", str(tmp_path / "a.yaml")], tmp_path, given="?\n")
    assert "Any language. You can change it later" in ran.out
    assert ran.code == 2
    assert "nothing was written" in ran.err
    assert list(tmp_path.iterdir()) == []
    asked: list[Question] = []
    asking = questions()
    question = next(asking)
    while True:
        asked.append(question)
        try:
            question = asking.send(question.default)
        except StopIteration:
            break
    assert len(asked) == 21
    assert all(one.explain and one.more and one.default for one in asked)
    assert all(one.refuse(one.default) == "" for one in asked)
    assert all(one.default in one.choices for one in asked if one.choices)


def _asked(*answers: str) -> list[Question]:
    """Give the questions that these answers lead to, the one after the last answer included."""
    asking = questions()
    asked = [next(asking)]
    asked += [asking.send(answer) for answer in answers]
    return asked


_UP_TO_THE_TOOL = (
    "",
    "a",
    "oboe",
    "en",
    "own",
    "Response",
    "Late?",
    "play",
    "Thick",
    "rare",
    "often",
    "Thin",
    "How",
)


def test_a_tool_named_before_is_offered_again_and_its_danger_asked_only_once() -> None:
    first = (*_UP_TO_THE_TOOL, "File", "file", "Mind.", "2", "never", "often")
    asked = _asked(*first, "Rough", "rare", "often", "Smooth", "How", "File")
    assert asked[-2].default == "File"
    assert asked[-1].ask == "What must a student mind?"
    bare = (*_UP_TO_THE_TOOL, "none", "2", "never", "often")
    assert _asked(*bare, "Rough", "rare", "often", "Smooth", "How")[-1].default == "none"


def test_a_file_begun_with_bare_hands_shows_how_a_tool_is_written(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    answers = "\n" * 14 + "none\n" + "\n" * 10
    assert run_here(["new", str(path)], tmp_path, given=answers).code == 0
    text = path.read_text(encoding="utf-8")
    assert "# tools:\n#   reed-knife: {title: Reed knife, hazard: blade}\n" in text
    path.write_text(text.replace("# tools:\n#   reed", "tools:\n  reed"), encoding="utf-8")
    assert [one.check for one in load_file(path).problems] == ["unused-entry"]


def test_back_goes_back_and_a_wrong_answer_is_asked_again(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    answers = "back\nFirst\nback\nSecond\nback\n\nNot An Id\nsecond\n" + "\n" * 19
    ran = run_here(["new", str(path)], tmp_path, given=answers)
    assert ran.code == 0
    assert "This is the first question." in ran.out
    assert "such as not-id" in ran.out
    ruleset = _loaded(path)
    assert (ruleset.title, ruleset.id) == ("Second", "second")


def test_an_existing_file_is_written_over_only_by_force(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("mine")
    ran = run_here(["new", str(path)], tmp_path, given="\n" * 21)
    assert (ran.code, path.read_text()) == (2, "mine")
    assert "--force" in ran.err
    assert run_here(["new", str(path), "--force"], tmp_path, given="\n" * 21).code == 0
    assert path.read_text() != "mine"


@pytest.mark.parametrize(
    "words,why",
    [
        (["new"], "name the file to make"),
        (["new", "a.txt"], "such as a.yaml"),
        (["new", "nowhere/a.yaml"], "there is no folder nowhere"),
        (["new", "a.yaml", "--flat"], "say which with --from"),
        (["new", "a.yaml", "-o", "b"], "-o goes with --schema"),
        (["new", "a.yaml", "--from", "basoon"], "did you mean 'bassoon'?"),
        (["new", "a.yaml", "--schema"], "--schema begins no ruleset"),
        (["new", "a.yaml", "--from", f"{GOLDEN}/penny-whistle-voicing.yaml"], "in the same folder"),
    ],
)  # fmt: skip
def test_a_wrong_wish_is_refused_with_a_sentence(tmp_path: Path, words: list[str], why: str) -> None:
    ran = run_here(words, tmp_path)
    assert ran.code == 2
    assert why in ran.err


def test_a_layer_over_an_installed_ruleset_says_only_what_it_changes(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    assert run_here(["new", str(path), "--from", "bassoon"], tmp_path).code == 0
    ruleset = _loaded(path)
    bassoon = _loaded(ROOT / "rulesets/bassoon.yaml")
    assert (ruleset.id, ruleset.version, ruleset.causes) == ("mine", "0.1.0", bassoon.causes)
    assert len(path.read_text(encoding="utf-8").splitlines()) < 60


def test_what_a_layer_shows_in_comments_works_once_the_signs_are_taken_away(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    run_here(["new", str(path), "--from", "bassoon"], tmp_path)
    lines = path.read_text(encoding="utf-8").splitlines()
    first = next(number for number, line in enumerate(lines) if "Take the #" in line)
    # Prose begins with a capital, YAML with a small letter or deeper.
    opened = [line[2:] if line[:2] == "# " and not line[2:3].isupper() else line for line in lines[first:]]
    path.write_text("\n".join([*lines[:first], *opened]), encoding="utf-8")
    loaded = load_file(path)
    assert loaded.ruleset is not None, loaded.problems[:3]
    assert "my-cause" in {cause.id for cause in loaded.ruleset.causes}


def test_a_layer_beside_its_base_names_the_file(tmp_path: Path) -> None:
    base = tmp_path / "penny-whistle-voicing.yaml"
    base.write_bytes((GOLDEN / base.name).read_bytes())
    path = tmp_path / "mine.yaml"
    assert run_here(["new", str(path), "--from", str(base)], tmp_path).code == 0
    assert "extends: {file: penny-whistle-voicing.yaml}" in path.read_text(encoding="utf-8")
    ran = run_here(["new", str(base), "--from", str(base), "--flat", "--force"], tmp_path)
    assert ran.code == 2
    assert "choose another name" in ran.err


@pytest.mark.parametrize("name", ["penny-whistle-voicing.yaml", "penny-whistle-studio.yaml"])
def test_a_flat_copy_means_the_same_and_keeps_the_comments(tmp_path: Path, name: str) -> None:
    path = tmp_path / "whole.yaml"
    assert run_here(["new", str(path), "--from", str(GOLDEN / name), "--flat"], tmp_path).code == 0
    copy, original = _loaded(path), _loaded(GOLDEN / name)
    assert (copy.id, copy.version) == ("whole", "0.1.0")
    for part in (
        "priorities",
        "tools",
        "zones",
        "quantities",
        "trials",
        "sources",
        "words",
        "glossary",
        "opening",
    ):
        assert _by_id(getattr(copy, part)) == _by_id(getattr(original, part)), part
    for part in ("findings", "causes", "operations", "charts"):
        assert _by_id(getattr(copy, part)) == _by_id(getattr(original, part)), part
    text = path.read_text(encoding="utf-8")
    assert "extends" not in text
    assert "# most urgent first" in text  # of the base
    assert ("# mended on sight" in text) == ("studio" in name)  # of the layer


def _by_id(entries: tuple[object, ...]) -> set[str]:
    """Give entries as texts, in no order; places are no part of how a value compares, but of its text."""
    return {repr([getattr(one, name) for name in _fields(one)]) for one in entries}


def _fields(entry: object) -> list[str]:
    return [name for name in getattr(type(entry), "__slots__", ()) if name != "place"]


def test_ctrl_c_leaves_nothing_behind(tmp_path: Path) -> None:
    script = (
        "import os, signal, sys, threading\n"
        "threading.Timer(1.0, lambda: os.kill(os.getpid(), signal.SIGINT)).start()\n"
        "read, _ = os.pipe()\nsys.stdin = os.fdopen(read)\n"
        "from tui.cli.main import run\nsys.argv = ['canebrake', 'new', 'a.yaml']\nsys.exit(run())\n"
    )
    ran = run_python(["-c", script], tmp_path, cwd=tmp_path)
    assert ran.code == 130
    assert not (tmp_path / "a.yaml").exists()


def test_the_schema_is_printed_and_written(tmp_path: Path) -> None:
    ran = run_here(["new", "--schema"], tmp_path)
    assert json.loads(ran.out)["title"].startswith("Canebrake ruleset")
    path = tmp_path / "canebrake.schema.json"
    assert run_here(["new", "--schema", "-o", str(path)], tmp_path).code == 0
    assert path.read_text(encoding="utf-8") == ran.out
    rules = tmp_path / "rules.yaml"
    rules.write_text("mine")
    assert run_here(["new", "--schema", "-o", str(rules)], tmp_path).code == 2
    assert rules.read_text() == "mine"


_TITLES = st.text(
    st.characters(codec="utf-8", categories=("L", "N", "P", "Zs", "S")), min_size=1, max_size=40
).filter(lambda text: text.strip() == text and text)
_STRENGTHS = st.sampled_from(("always", "usually", "often", "sometimes", "rarely"))
_REMEDIES = st.builds(
    FirstRemedy, _TITLES, _TITLES, _TITLES, st.just(Hazard.BLADE), _TITLES, st.sampled_from((1.0, 2.5)),
    st.sampled_from(tuple(Undo)), _STRENGTHS,
)  # fmt: skip
_CAUSES = st.builds(
    FirstCause, _TITLES, st.sampled_from(("common", "occasional", "rare")), _STRENGTHS, st.none() | _REMEDIES
)


@settings(LAW, max_examples=20)
@given(
    titles=st.lists(_TITLES, min_size=2, max_size=4, unique=True),
    symptom=_TITLES,
    causes=st.lists(_CAUSES, min_size=1, max_size=4),
)
def test_whatever_is_said_makes_a_sound_ruleset_whose_trial_is_right(
    titles: list[str], symptom: str, causes: list[FirstCause]
) -> None:
    ranks = tuple(titles[1:])
    said = Beginnings(
        titles[0],
        id_of(titles[0], (), "rules"),
        titles[-1],
        "en",
        titles[0],
        ranks,
        symptom,
        By.PLAY,
        ranks[0],
        tuple(causes),
    )
    loaded = load(SourceText.of("r.yaml", fresh_text(said, "r.yaml")))
    # Random words may well ask two things or look alike; what is begun must never be in error.
    assert not has_errors(loaded.problems), loaded.problems
    ruleset = loaded.ruleset
    assert ruleset is not None
    assert (ruleset.title, ruleset.symptoms[0].ask) == (titles[0], symptom)
    assert [cause.title for cause in ruleset.causes] == [cause.title for cause in causes]
    # The expected cause was worked out in closed form; brute force over all states must agree.
    chances = judge(ruleset, Case().with_answer(ruleset.symptoms[0].id, Answer.YES)).now
    expected = ruleset.trials[0].expect.cause
    assert expected is not None
    assert chances[expected] >= max(chances.values()) - 1e-12


@settings(LAW, max_examples=60)
@given(st.text(max_size=90), st.lists(st.sampled_from(("entry", "a", "a-2")), max_size=3))
def test_an_id_made_of_any_title_is_an_id_of_its_own(title: str, taken: list[str]) -> None:
    made = id_of(title, taken)
    assert is_well_formed(made)
    assert made not in taken
