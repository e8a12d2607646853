"""`canebrake trial` and `check --deep`: what they leave untested, what is missing, and impatient authors."""

import json
from collections.abc import Iterator, Sequence
from io import StringIO
from pathlib import Path

import pytest

import engine.review.questions
import tui.covering
from engine.coverage.noticing import Roll
from engine.coverage.parts import Part
from engine.coverage.tally import Judged, judge
from engine.review.sample import Sample
from kb.checks.found import Found
from kb.load import load_bytes
from kb.model import Expect, Ruleset
from kb.problem import CheckName
from tests.support.running import ROOT, environment, run_here
from tui.cli.commands import run_commands
from tui.wiring import Surroundings

WHISTLE = str(ROOT / "tests" / "golden" / "penny-whistle-voicing.yaml")
LATE = str(ROOT / "docs" / "guides" / "late-reed.yaml")


def test_what_is_proposed_can_be_pasted_under_trials_and_waits_for_its_author(tmp_path: Path) -> None:
    proposed = run_here(["trial", LATE, "--propose"], tmp_path)
    assert (proposed.code, proposed.err) == (0, "")
    before = Path(LATE).read_text(encoding="utf-8")
    loaded = load_bytes("late.yaml", (before + proposed.out).encode())
    assert {problem.check for problem in loaded.problems} == {"trial-without-expect"}
    assert loaded.ruleset is not None
    assert loaded.ruleset.trials[-1].expect == Expect()
    assert loaded.ruleset.trials[-1].rounds[0].given


def test_proposals_can_be_written_into_a_file(tmp_path: Path) -> None:
    into = tmp_path / "missing.yaml"
    ran = run_here(["trial", LATE, "--propose", "-o", str(into)], tmp_path)
    assert (ran.code, ran.out) == (0, "")
    assert into.read_text(encoding="utf-8") == run_here(["trial", LATE, "--propose"], tmp_path).out
    nowhere = run_here(["trial", LATE, "--propose", "-o", str(tmp_path / "no" / "x.yaml")], tmp_path)
    assert nowhere.code == 2


@pytest.mark.parametrize(
    "words",
    [
        ["--propose", "0"],
        ["--propose", "1001"],
        ["--propose", "1", "--json"],
        ["-o", "x"],
        [LATE, "--propose", "1"],
        ["--propose", "1", "--coverage"],
    ],
)
def test_words_that_do_not_go_together_are_refused(words: list[str], tmp_path: Path) -> None:
    assert run_here(["trial", WHISTLE, *words], tmp_path).code == 2


def test_no_opinion_of_the_engine_is_in_a_proposal(tmp_path: Path) -> None:
    text = run_here(["trial", LATE, "--propose"], tmp_path).out
    assert "%" not in text
    assert text.count("expect: {}") == text.count("- title:") == 1


def test_a_failed_trial_says_what_was_believed_proposed_and_why(tmp_path: Path) -> None:
    lines = run_here(["trial", LATE], tmp_path).out.splitlines()
    told = [line.strip() for line in lines if line.startswith("  ")]
    for word in (
        "expected wet-it",
        "believed: opening-small",
        "speaking of opening-small: starts-late yes",
        "proposed: do open-up",
        "because: ",
        "weighed as well: wet-it, ",
    ):
        assert any(line.startswith(word) for line in told), word


def test_an_answer_given_in_two_rounds_is_told_with_its_round(tmp_path: Path) -> None:
    path = tmp_path / "late.yaml"
    rounds = "[{given: {starts-late: yes, tip-dark: no}, then: wet-it}, {given: {starts-late: yes}}]"
    wrong = f"  - {{title: Twice, rounds: {rounds}, expect: {{step: thin-tip}}}}\n"
    path.write_text(Path(LATE).read_text(encoding="utf-8") + wrong, encoding="utf-8")
    told = run_here(["trial", str(path)], tmp_path).out.split("FAILED  Twice", 1)[1]
    assert "tip-dark no in round 1 (" in told
    assert "starts-late yes in round 2 (" in told


class Hurried:
    """Surroundings in which Ctrl-C is pressed in the middle."""

    def __init__(self, home: Path) -> None:
        self.out, self.err = StringIO(), StringIO()
        self.around = Surroundings(
            stdin=StringIO(), stdout=self.out, stderr=self.err, environ=environment(home), is_terminal=True
        )


def test_interrupted_coverage_tells_what_it_has_and_how_much_is_missing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def hurried(ruleset: Ruleset, roll: Roll, parts: Sequence[Part], processes: int) -> Iterator[Judged]:
        assert processes > 0
        yield from (judge(ruleset, roll, part) for part in parts[:4])
        raise KeyboardInterrupt

    monkeypatch.setattr(tui.covering, "judged", hurried)
    hurry = Hurried(tmp_path)
    assert run_commands(["trial", LATE, "--coverage"], hurry.around) == 130
    assert "interrupted: of late-reed, 4 of 12 parts were looked at" in hurry.err.getvalue()
    assert "4 of 12 parts" in hurry.err.getvalue()
    assert hurry.out.getvalue().rstrip().endswith("not looked at: 8 parts")


def test_coverage_is_told_to_programs_with_the_trial_that_notices(tmp_path: Path) -> None:
    ran = run_here(["trial", LATE, "--coverage", "--json"], tmp_path)
    (told,) = json.loads(ran.out)["coverage"]
    assert (ran.code, told["not_looked_at"]) == (0, 0)
    by_part = {(part["of"], part["to"]): part["noticed_by"] for part in told["parts"]}
    assert by_part["tip-thick", "tip-dark"] == "A dark tip is thinned"
    assert by_part["wet-it", None] is None
    assert sum(share["of"] for share in told["tested"]) == len(told["parts"])


def test_an_interrupted_deep_check_keeps_its_answers_and_names_the_questions_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = engine.review.questions.review

    def hurried(sample: Sample) -> Iterator[tuple[CheckName, tuple[Found, ...]]]:
        yield next(asked(sample))
        raise KeyboardInterrupt

    monkeypatch.setattr(engine.review.questions, "review", hurried)
    hurry = Hurried(tmp_path)
    unwise = str(ROOT / "tests" / "commands" / "inputs" / "unwise.yaml")
    assert run_commands(["check", "--deep", unwise, WHISTLE], hurry.around) == 130
    assert "(twin-causes)" in hurry.out.getvalue()
    assert "(beaten-remedy)" not in hurry.out.getvalue()
    assert "not answered: beaten-remedy, " in hurry.err.getvalue()
