"""Where the user's folders of studios and of the cache are, for whoever looks for a ruleset by its id.

Variables of the context and no arguments: a base named by id is looked for in the middle of
loading, by callers that know nothing of folders. Apart from `kb.shelf`, so that saying it loads
nothing else.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

_HOME: ContextVar[Callable[[], Path] | None] = ContextVar("home", default=None)
_CACHE: ContextVar[Callable[[], Path] | None] = ContextVar("cache", default=None)


@contextmanager
def studios_in(home: Callable[[], Path] | None) -> Iterator[None]:
    """Find the rulesets of studios too, while this lasts. `home` is asked for the folder only when needed.

    None: find none of them, for what must stand without them.
    """
    was = _HOME.set(home)
    try:
        yield
    finally:
        _HOME.reset(was)


def studios_home() -> Path | None:
    """Give the folder in which studios are kept, or None where nobody said it."""
    ask = _HOME.get()
    return None if ask is None else ask()


@contextmanager
def cache_in(folder: Callable[[], Path]) -> Iterator[None]:
    """Keep what was read of rulesets in `folder`, while this lasts."""
    was = _CACHE.set(folder)
    try:
        yield
    finally:
        _CACHE.reset(was)


def cache_home() -> Path | None:
    """Give the folder of the cache, or None where nothing is kept."""
    ask = _CACHE.get()
    return None if ask is None else ask()
