"""`canebrake tune`: what it learns from, says, writes, and refuses."""

import json
import shutil
from collections.abc import Iterable
from pathlib import Path
from random import Random

import pytest

from engine.case import Case
from engine.network import network_of
from engine.tuning.chances import Chances, Kind
from kb.ids import FindingId
from kb.log.codec import to_line
from kb.log.entry import Entry
from kb.log.evidence import bare_lines
from kb.log.store import ReedLog
from kb.model import Answer, Ruleset
from tests.support.running import ROOT, Ran, run_here
from tests.support.simulated_log import entries_of, tried_at_random
from tui.box import log_path
from tui.shelf import usable_ruleset

WHISTLE = ROOT / "tests/golden/penny-whistle-voicing.yaml"


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    return Path(shutil.copy(WHISTLE, tmp_path / "whistle.yaml"))


def cases(ruleset: Ruleset, reeds: int) -> Iterable[tuple[Entry, ...]]:
    """Reeds of a workshop in which the windway is too tall on two reeds in five."""
    chances = Chances(network_of(ruleset))
    values = chances.stated.copy()
    for number, slot in enumerate(chances.slots):
        if slot.kind is Kind.HOW_COMMON and slot.cause == "windway-too-tall":
            values[number] = 0.4
    planted = chances.network_with(values)
    for number in range(reeds):
        case = tried_at_random(ruleset, planted, Random(f"7:{number}"), 2)
        yield entries_of(ruleset, f"reed{number}", case)


def export(path: Path, reeds: Iterable[tuple[Entry, ...]]) -> Path:
    lines = ['{"canebrake-log":2}', *(to_line(entry) for entries in reeds for entry in entries)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def tune(tmp_path: Path, *words: object, width: int = 80) -> Ran:
    return run_here(["tune", *map(str, words)], tmp_path / "home", width=width)


def test_an_empty_log_is_said(tmp_path: Path, rules: Path) -> None:
    ran = tune(tmp_path, rules)
    assert (ran.code, ran.out) == (1, "")
    assert "there is no reed in the log yet" in ran.err


def test_an_export_teaches_shows_and_writes_a_layer_that_holds_only_what_changed(
    tmp_path: Path, rules: Path
) -> None:
    before = rules.read_bytes()
    told = export(tmp_path / "log.jsonl", cases(usable_ruleset(str(rules)), 80))
    ran = tune(tmp_path, rules, "--export", told, "-o", tmp_path / "ours.yaml")
    assert ran.code == 0
    assert "Learnt from 80 reeds; the author's word counts as 20 reeds." in ran.out
    assert "how common windway-too-tall is: occasional (0.08) → 0." in ran.out
    assert "no problems" in ran.err
    assert rules.read_bytes() == before
    base, layer = usable_ruleset(str(rules)), usable_ruleset(str(tmp_path / "ours.yaml"))
    moved = {one.id for one in layer.causes if one != base.cause[one.id]}
    assert "windway-too-tall" in moved
    assert layer.cause[type(layer.causes[0].id)("windway-too-tall")].how_common > 0.2
    text = (tmp_path / "ours.yaml").read_text(encoding="utf-8")
    assert "# was occasional (0.08); on " in text
    assert "extends: {file: whistle.yaml}" in text
    assert "version" in text


def test_the_own_log_an_export_and_bare_evidence_teach_the_same(tmp_path: Path, rules: Path) -> None:
    reeds = list(cases(usable_ruleset(str(rules)), 30))
    path = log_path(tmp_path / "home")
    path.parent.mkdir()
    with ReedLog.open(path) as log:
        for entries in reeds:
            log.append(*entries)
        bare = tmp_path / "bare.jsonl"
        bare.write_text("\n".join(bare_lines(log)) + "\n", encoding="utf-8")
    own = tune(tmp_path, rules, "--json")
    named = tune(tmp_path, rules, "--json", "--log", path)
    exported = tune(tmp_path, rules, "--json", "--export", export(tmp_path / "log.jsonl", reeds))
    assert own.code in {0, 1}
    assert json.loads(own.out)["reeds"] > 25
    assert own.out == named.out == exported.out
    assert json.loads(tune(tmp_path, rules, "--json", "--export", bare).out)["stays"]


def test_a_log_and_its_export_together_teach_no_more_than_one(tmp_path: Path, rules: Path) -> None:
    told = export(tmp_path / "log.jsonl", cases(usable_ruleset(str(rules)), 12))
    again = Path(shutil.copy(told, tmp_path / "again.jsonl"))
    ran = json.loads(tune(tmp_path, rules, "--json", "--export", told, "--export", again).out)
    assert ran["reeds"] <= 12
    assert ran["left_out"]["repeated"] >= 12


def test_every_line_of_the_report_fits_a_narrow_screen(tmp_path: Path, rules: Path) -> None:
    told = export(tmp_path / "log.jsonl", cases(usable_ruleset(str(rules)), 40))
    ran = tune(tmp_path, rules, "--export", told, "--all", width=40)
    assert max(map(len, ran.out.splitlines())) <= 40


def test_reeds_of_another_ruleset_are_said_and_count_when_asked_for(tmp_path: Path, rules: Path) -> None:
    ruleset = usable_ruleset(str(rules))
    other = tmp_path / "student.yaml"
    other.write_text(WHISTLE.read_text(encoding="utf-8").replace("id: penny-whistle-voicing", "id: mine"))
    entries = entries_of(
        usable_ruleset(str(other)), "r", Case().with_answer(ruleset.findings[0].id, Answer.YES)
    )
    told = export(tmp_path / "log.jsonl", [entries])
    ran = tune(tmp_path, rules, "--export", told)
    assert ran.code == 1
    assert "judged by another ruleset than penny-whistle-voicing" in ran.err
    assert "Learnt from 1 reed" in tune(tmp_path, rules, "--export", told, "--under", "mine").out


def test_what_cannot_be_read_or_written_is_refused_before_the_work(tmp_path: Path, rules: Path) -> None:
    broken = tmp_path / "broken.jsonl"
    broken.write_bytes(b"\xff\xfe\x00")
    no_export = tmp_path / "other.jsonl"
    no_export.write_text('{"a": 1}\n')
    for words, said in (
        (["--export", broken], "is not UTF-8 text"),
        (["--export", no_export], "It is no export of a reed log."),
        (["--export", tmp_path / "none.jsonl"], "could not be read"),
        (["--log", tmp_path / "none.db"], "none.db"),
        (["--trust", "0"], "--trust takes a whole number"),
        (["-o", tmp_path / "x.txt"], "ends in .yaml"),
        (["-o", rules], "is what this is made from"),
        (["-o", tmp_path / "none" / "x.yaml"], "there is no folder"),
    ):
        ran = tune(tmp_path, rules, *words)
        assert (ran.code, ran.out) == (2, ""), words
        assert said in ran.err


def test_nothing_is_written_when_nothing_is_proposed(tmp_path: Path, rules: Path) -> None:
    finding = FindingId("low-notes-break")
    entries = entries_of(usable_ruleset(str(rules)), "r", Case().with_answer(finding, Answer.NO))
    told = export(tmp_path / "log.jsonl", [entries])
    ran = tune(tmp_path, rules, "--export", told, "-o", tmp_path / "ours.yaml")
    assert ran.code == 1
    assert "Nothing is proposed." in ran.out
    assert "nothing was written" in ran.err
    assert not (tmp_path / "ours.yaml").exists()


def test_two_processes_count_as_one_does(tmp_path: Path, rules: Path) -> None:
    told = export(tmp_path / "log.jsonl", cases(usable_ruleset(str(rules)), 70))
    one = tune(tmp_path, rules, "--export", told, "--json", "--processes", "1")
    two = tune(tmp_path, rules, "--export", told, "--json", "--processes", "2")
    assert one.out == two.out
