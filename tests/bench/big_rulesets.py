"""How long `check` takes on rulesets of a hundred and of ten thousand entries.

Beside it: a bare start of Python for the small one; for the big one, a run that does nothing but
load the same text with PyYAML's C loader, without places, checks or a sentence to the author.
"""

from collections.abc import Iterator


def ruleset(entries: int) -> str:
    """Give a sound ruleset of `entries` symptoms, causes, remedies and rests: two, one, one, one of five."""
    fifth = entries // 5
    return "\n".join(
        (*_head(), *_symptoms(2 * fifth), *_causes(fifth), *_remedies(fifth), *_rests(fifth), "")
    )


def _head() -> Iterator[str]:
    yield from ("canebrake: 1", "id: big", "title: A generated ruleset", "version: 1.0.0", "language: en")
    yield "sources: {own: {title: Workshop practice, kind: common practice}}"
    yield "priorities:"
    yield from (f"  - {{id: p{n}, title: Priority {n}, worth: {200 - n}}}" for n in range(3))


def _symptoms(count: int) -> Iterator[str]:
    yield "symptoms:"
    for n in range(count):
        yield f"  s{n}:"
        yield f"    priority: p{n % 3}"
        yield f"    ask: Does note number {n} start late when it is played softly?"
        yield "    by: play"
        yield "    minutes: 1"
        yield "    sources: [own]"


def _causes(count: int) -> Iterator[str]:
    yield "causes:"
    for n in range(count):
        yield f"  c{n}:"
        yield f"    title: Cause number {n}"
        yield "    how_common: rare"
        yield f"    shows: {{s{2 * n}: usually, s{2 * n + 1}: often}}"
        yield "    sources: [own]"


def _remedies(count: int) -> Iterator[str]:
    yield "remedies:"
    for n in range(count):
        yield f"  r{n}:"
        yield f"    title: Remedy number {n}"
        yield f"    do: Do what number {n} says, a little at a time."
        yield "    undo: fully"
        yield f"    cures: {{c{n}: often}}"
        yield f"    recheck: [s{2 * n}]"
        yield "    sources: [own]"


def _rests(count: int) -> Iterator[str]:
    yield "rests:"
    for n in range(count):
        effects = f"cures: {{c{n}: rarely}}"
        yield f"  t{n}: {{title: Rest number {n}, do: Wait., hours: 1, {effects}, sources: [own]}}"
