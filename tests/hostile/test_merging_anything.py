"""Files that are no rulesets, or hardly, merged and compared: an answer, and never a traceback.

The merge holds by itself that nothing of either side was lost (`kb.merge.merged`), so that a run
without an exception says more than that it ended.
"""

import random
import time
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from kb.compare.changes import compare
from kb.load import load_bytes, nowhere
from kb.merge import Given, Merged, merge, where
from kb.merge.lists import gist
from tests.support.layouts import Writer
from tests.support.mutants import as_yaml, document, mutant
from tests.support.strategies import Seeded

GOLDEN = Path(__file__).resolve().parents[1] / "golden" / "penny-whistle-voicing.yaml"
PATIENCE = 10.0


@cache
def sound() -> Any:
    return document(GOLDEN.read_bytes())


def written(rng: random.Random, tree: Any) -> bytes:
    """Write a document in some layout; what has no keys only one way."""
    try:
        return Writer(Seeded(rng)).document(tree).encode() if rng.random() < 0.5 else as_yaml(tree)
    except (AttributeError, IndexError, TypeError):  # the writer knows rulesets only
        return as_yaml(tree)


def try_merge(seed: int) -> None:
    rng = random.Random(seed)
    before = sound() if rng.random() < 0.6 else mutant(rng, sound())
    texts = [written(rng, tree) for tree in (before, mutant(rng, before), mutant(rng, before))]
    begun = time.process_time()
    found = merge(*(Given(name, text) for name, text in zip(("base", "ours", "theirs"), texts, strict=True)))
    assert time.process_time() - begun < PATIENCE
    if isinstance(found, Merged):
        for conflict in found.conflicts:
            where(found.draft, conflict.path)
        again = merge(Given("base", texts[0]), Given("ours", found.draft.content), Given("theirs", texts[2]))
        assert isinstance(again, Merged)
        assert gist(again.draft.tree) == gist(found.draft.tree)
    rulesets = [load_bytes("r.yaml", text, nowhere).ruleset for text in texts[1:]]
    if rulesets[0] is not None and rulesets[1] is not None:
        compare(rulesets[0], rulesets[1])


def test_odd_documents_are_merged_or_refused() -> None:
    for seed in range(60):
        try_merge(seed)


def test_a_priority_whose_id_is_no_text_is_no_name() -> None:
    base = b"priorities:\n  - {id: a}\n  - {id: b}\n"
    theirs = b"priorities:\n  - {id: {x: 1}}\n  - {id: b}\n"
    found = merge(Given("b", base), Given("o", b"# ours\n" + base), Given("t", theirs))
    assert isinstance(found, Merged)
    assert found.draft.text == "# ours\n" + theirs.decode()


@pytest.mark.long
def test_thousands_of_odd_documents_are_merged_or_refused() -> None:
    for seed in range(20_000):
        try_merge(seed)
