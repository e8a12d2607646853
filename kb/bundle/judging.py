"""The rulesets of a bundle, read and checked in memory as every other face reads them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from kb.bundle.contents import is_ruleset
from kb.home import studios_in
from kb.load import Loaded, among, load_bytes


@dataclass(frozen=True, slots=True)
class Judged:
    """One ruleset among shared files."""

    name: str
    loaded: Loaded

    @property
    def is_sound(self) -> bool:
        """Whether it has no errors."""
        return self.loaded.ruleset is not None


def judged(files: Mapping[str, bytes]) -> tuple[Judged, ...]:
    """Load every ruleset among `files`, by name, with its bases from among them or from those that ship.

    Not from studios: what is shared must be whole for people who have no other studio.
    """
    with studios_in(None):
        return tuple(_judged(files))


def _judged(files: Mapping[str, bytes]) -> Iterator[Judged]:
    for name in sorted(files):
        if is_ruleset(name):
            folder = name.rpartition("/")[0]
            yield Judged(name, load_bytes(name, files[name], among(files, folder)))
