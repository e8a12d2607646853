"""How near the advice comes to the best that anyone could do, on tiny problems solved by trying everything.

The problems and their optimum are of `tests.support.optimum`, which shares no code with the engine;
the cost of a policy is exact, every answer that could come being followed. Beside the advice stands a
policy that looks one step ahead to the best fixed sequence.
"""

from collections.abc import Iterator

from tests.support.followed import Played, mean, played
from tests.support.optimum import cost_of_policy, one_step, solved

PROBLEMS = 100
SAME = 1e-9


def _line(what: str, ratios: list[float]) -> str:
    best = sum(ratio <= 1 + SAME for ratio in ratios)
    return f"  {what:<34}{len(ratios):>9}{mean(ratios):>9.4f}{max(ratios):>9.4f}{best:>9}"


def near_optimum(count: int = PROBLEMS) -> Iterator[str]:
    """Give the lines of the table; a ratio is expected minutes ÷ those of the optimum."""
    games = list(played(solved(count)))
    short = [cost_of_policy(one.problem.desk, one_step(one.problem.desk)) for one in games]
    yield f"advice beside the optimum, the first {count} tiny problems with something to win"
    yield f"  {'expected minutes ÷ optimum':<34}{'problems':>9}{'mean':>9}{'worst':>9}{'optimal':>9}"
    yield _line("following the advice", [1 + game.above for game in games])
    for symptoms in sorted({game.symptoms for game in games}):
        of = [1 + game.above for game in games if game.symptoms == symptoms]
        yield _line(f"  with {symptoms} symptom{'s' * (symptoms > 1)}", of)
    yield _line(
        "looking one step ahead only",
        [cost / game.problem.least for cost, game in zip(short, games, strict=True)],
    )
    worst: Played = max(games, key=lambda game: game.above)
    yield f"  worst: problem {worst.problem.seed}, {worst.cost:.2f} minutes against {worst.problem.least:.2f}"


if __name__ == "__main__":
    for line in near_optimum():
        print(line, flush=True)
