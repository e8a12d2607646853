"""`canebrake compare`: limits of time, interruption, and what is told of a sample."""

import json
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path

import pytest

from tests.support.running import environment, run_here
from tui.cli.commands import run_commands
from tui.wiring import Surroundings

GOLDEN = Path(__file__).resolve().parents[1] / "golden"
HILL, HARBOUR = str(GOLDEN / "penny-whistle-hill.yaml"), str(GOLDEN / "penny-whistle-harbour.yaml")
WHISTLE = str(GOLDEN / "penny-whistle-voicing.yaml")


def timed(words: list[str], home: Path, clock: Callable[[], datetime]) -> tuple[int, str, str]:
    out, err = StringIO(), StringIO()
    around = Surroundings(StringIO(), out, err, environment(home), clock=clock)
    return int(run_commands(words, around)), out.getvalue(), err.getvalue()


def ticking(seconds: float) -> Callable[[], datetime]:
    times: Iterator[datetime] = (
        datetime(2026, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds * n) for n in range(10_000)
    )
    return lambda: next(times)


def test_it_stops_when_its_time_is_up_and_says_how_far_it_came(tmp_path: Path) -> None:
    code, out, err = timed(["compare", HILL, HARBOUR, "--seconds", "10"], tmp_path, ticking(4))
    assert code == 1
    assert "10 seconds have passed: stopped after 2 of 12 reeds" in err
    assert "2 virtual reeds (1 drawn from A, 1 from B, seed 1)" in " ".join(out.split())
    # Nothing in n of n says little of what is rarer than about 3/n (the rule of three: Hanley and
    # Lippman-Hand, JAMA 1983, from memory), which for n of 2 is no limit at all, and exactly 78 %.
    assert "fewer than 78 % of such reeds" in " ".join(out.split())


def test_interrupted_it_tells_what_it_found_until_then(tmp_path: Path) -> None:
    tick = ticking(0)
    left = iter(range(6))

    def clock() -> datetime:
        if next(left, None) is None:
            raise KeyboardInterrupt
        return tick()

    code, out, err = timed(["compare", HILL, HARBOUR], tmp_path, clock)
    assert code == 130
    assert "interrupted after 5 of 12 reeds; what follows is of those" in err
    assert "Advice: what is done otherwise" in out


def test_what_differs_in_advice_can_be_weighed_again_from_json(tmp_path: Path) -> None:
    ran = run_here(["compare", HILL, HARBOUR, "--json", "--reeds", "6"], tmp_path)
    assert ran.code == 1
    advice = json.loads(ran.out)["advice"]
    assert (advice["reeds_tried"], advice["worked_cases"]) == (6, 1)
    assert advice["differences"]
    for one in advice["differences"]:
        for ruleset, side in ((HILL, one["a"]), (HARBOUR, one["b"])):
            rounds = tmp_path / "rounds.json"
            rounds.write_text(json.dumps(side["rounds"]), encoding="utf-8")
            weighed = run_here(["weigh", ruleset, "--rounds", str(rounds), "--json"], tmp_path)
            step = json.loads(weighed.out)["step"]
            assert (step["kind"], step["id"]) == (side["kind"], side["id"])


@pytest.mark.parametrize("option", ["--no-advice", "--reeds=0"])
def test_without_reeds_nothing_is_said_of_reeds(tmp_path: Path, option: str) -> None:
    ran = run_here(["compare", HILL, HARBOUR, option], tmp_path)
    assert ran.code == 1
    assert "reeds end" not in ran.out
    assert ("No reed was tried" in ran.out) == (option == "--reeds=0")


def test_the_same_file_twice_is_the_same_and_tries_nothing(tmp_path: Path) -> None:
    ran = run_here(["compare", WHISTLE, WHISTLE], tmp_path)
    assert (ran.code, ran.err) == (0, "")
    assert "They mean the same." in ran.out
    assert "Tried" not in ran.out


@pytest.mark.parametrize("width", [20, 40, 80])
def test_no_line_is_wider_than_the_terminal(tmp_path: Path, width: int) -> None:
    ran = run_here(["compare", HILL, HARBOUR, "--reeds", "4"], tmp_path, width=width)
    assert max(map(len, ran.out.splitlines())) <= width


@pytest.mark.parametrize("words", [["--reeds", "many"], ["--seconds", "0"], ["--seed", "-1"]])
def test_a_number_that_is_none_is_refused(tmp_path: Path, words: list[str]) -> None:
    ran = run_here(["compare", HILL, HARBOUR, *words], tmp_path)
    assert ran.code == 2
    assert "takes a whole number from" in ran.err


def test_a_large_sample_says_so_without_a_zero(tmp_path: Path) -> None:
    ran = run_here(["compare", HILL, HARBOUR, "--reeds", "400"], tmp_path)
    assert "fewer than 0.7 % of such reeds" in " ".join(ran.out.split())
