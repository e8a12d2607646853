"""Published repair problems as rulesets, weighed through the command line.

A repair shop has one symptom, "trouble", that every fault shows for certain and nothing else does;
each remedy mends its faults for certain. So the published rules of repair apply to it as printed.
"""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from kb.ids import CauseId, FindingId, PriorityId, RemedyId, RulesetId
from kb.model import Cause, Effect, Finding, Priority, Remedy, Ruleset, Show
from tests.support.running import run_here
from tests.support.strategies import to_yaml

SHOP = PriorityId("shop")
TROUBLE = FindingId("trouble")


def repair_shop(
    chances: Sequence[float],
    costs: Sequence[float],
    *,
    cures: Sequence[Sequence[int]] | None = None,
    signs: Mapping[str, tuple[float, Sequence[int]]] | None = None,
    worth: float = 1000.0,
) -> Ruleset:
    """Make a shop: `chances[i]` of fault i, `costs[j]` minutes for repair j.

    `cures[j]` are the faults that repair j mends (its own number if not said); `signs` gives for
    each sign its minutes and the faults that show it for certain.
    """
    looks = signs or {}
    mended = cures or [[number] for number in range(len(costs))]
    faults = [CauseId(f"fault-{number}") for number in range(len(chances))]
    return Ruleset(
        RulesetId("shop"),
        "Shop",
        "1.0.0",
        priorities=(Priority(SHOP, "Shop", worth=worth),),
        findings=(
            Finding(TROUBLE, "Trouble?", "Trouble?", priority=SHOP, leak=0.0),
            *(
                Finding(FindingId(name), f"{name}?", f"{name}?", is_sign=True, minutes=minutes, leak=0.0)
                for name, (minutes, _) in looks.items()
            ),
        ),
        causes=tuple(
            Cause(
                fault,
                fault,
                chances[number],
                (
                    Show(TROUBLE, 1.0),
                    *(Show(FindingId(name), 1.0) for name, (_, shown) in looks.items() if number in shown),
                ),
            )
            for number, fault in enumerate(faults)
        ),
        operations=tuple(
            Remedy(
                RemedyId(f"repair-{number}"),
                f"Repair {number}",
                "Repair it.",
                cures=tuple(Effect(faults[fault], 1.0) for fault in mended[number]),
                minutes=cost,
            )
            for number, cost in enumerate(costs)
        ),
    )


def weighed(ruleset: Ruleset, folder: Path, *given: str) -> Any:
    """Give what `weigh --json` says of a ruleset when these answers (`id=answer`) are given."""
    path = folder / "weighed.yaml"
    path.write_text(to_yaml(ruleset), encoding="utf-8")
    words = [word for one in given for word in ("--given", one)]
    ran = run_here(["weigh", str(path), *words, "--json"], folder)
    assert ran.code in {0, 1}, ran.err
    return json.loads(ran.out)


def costs_of(found: Any) -> dict[str, float]:
    """Give the cost of every step that was weighed, by id."""
    return {one["id"]: one["cost"] for one in found["ranked"]}
