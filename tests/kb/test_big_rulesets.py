"""A ruleset of ten thousand entries: sound, and judged without doing the same work again and again."""

import time

import pytest

from kb.load import load_bytes
from tests.bench.big_rulesets import ruleset


@pytest.mark.parametrize("entries", [100, 10_000])
def test_a_generated_ruleset_is_sound(entries: int) -> None:
    began = time.process_time()
    loaded = load_bytes("big.yaml", ruleset(entries).encode())
    assert loaded.problems == ()
    assert loaded.ruleset is not None
    assert (
        len(loaded.ruleset.findings) + len(loaded.ruleset.causes) + len(loaded.ruleset.operations) == entries
    )
    assert time.process_time() - began < 10  # it takes under one; work that grows with the square, minutes
