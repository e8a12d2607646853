"""What belongs into a bundle: rulesets, the files that they extend, down to the lowest, and what is added.

Every ruleset is loaded as `check` loads it, and the finder of its bases is asked to remember what
it found: so the bundle holds exactly the bytes that the ruleset was judged with.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path, PureWindowsPath

from kb.bundle.contents import Bundle, BundleError, Member, Proposal, bundle_of
from kb.disk import read_bounded
from kb.load import Loaded, Offered, Resolver, Wanted, load_bytes


@dataclass(frozen=True, slots=True)
class Chosen:
    """A ruleset to be packed: its file's name, its bytes, and who finds what it extends."""

    name: str
    content: bytes
    base: Resolver


@dataclass(frozen=True, slots=True)
class Gathered:
    """A ruleset with all that it stands on."""

    loaded: Loaded
    members: tuple[Member, ...]
    """Its own first."""


def gather(chosen: Chosen) -> Gathered:
    """Load a ruleset and keep the files that went into it."""
    found: list[Offered] = []
    loaded = load_bytes(chosen.name, chosen.content, _remembering(chosen.base, found))
    offered = [(chosen.name, chosen.content), *((one.name, one.content) for one in found)]
    return Gathered(loaded, tuple(Member(_own_name(name), content) for name, content in offered))


def bundle_from(gathered: Sequence[Gathered], added: Iterable[Member], title: str = "") -> Bundle:
    """Make a bundle of rulesets without errors. Raises `BundleError` where they do not go together."""
    rulesets = [one.loaded.ruleset for one in gathered if one.loaded.ruleset is not None]
    if len(rulesets) < len(gathered):
        raise BundleError("a ruleset with errors is not shared")
    members = [member for one in gathered for member in one.members]
    return bundle_of(
        Bundle(
            title or "; ".join(dict.fromkeys(ruleset.title for ruleset in rulesets))[:200],
            _each_once([*members, *added]),
            tuple(dict.fromkeys(one.members[0].name for one in gathered)),
            tuple(dict.fromkeys(ruleset.licence for ruleset in rulesets)),
        )
    )


def proposal_from(base: Gathered, theirs: Gathered, compared: str) -> Bundle:
    """Make a bundle of a ruleset as it was and as a student would have it. Raises `BundleError`."""
    ruleset = theirs.loaded.ruleset
    if ruleset is None or base.loaded.ruleset is None:
        raise BundleError("a ruleset with errors is not proposed")
    before, after = (
        tuple(Member(f"{folder}/{member.name}", member.content) for member in one.members)
        for folder, one in (("before", base), ("proposed", theirs))
    )
    return bundle_of(
        Bundle(
            f"A proposal for {ruleset.title}"[:200],
            _each_once([*before, *after, Member("comparison.txt", compared.encode())]),
            (after[0].name,),
            (ruleset.licence,),
            Proposal(before[0].name, after[0].name, base.members[0].name),
        )
    )


def added_file(path: Path) -> Member:
    """Read a picture or a text that shall go along. Raises `kb.disk.DiskError` or `BundleError`."""
    return Member(path.name, read_bounded(path))


def _each_once(members: Iterable[Member]) -> tuple[Member, ...]:
    kept: dict[str, Member] = {}
    for member in members:
        other = kept.setdefault(member.name, member)
        if other.content != member.content:
            raise BundleError(f"two different files are called {member.name!r}; rename one of them")
    return tuple(kept.values())


def _remembering(base: Resolver, found: list[Offered]) -> Resolver:
    def find(wanted: Wanted) -> Offered | None:
        offered = base(wanted)
        if offered is None:
            return None
        found.append(offered)
        return Offered(offered.name, offered.content, _remembering(offered.base, found))

    return find


def _own_name(name: str) -> str:
    """Give a file's name without its folders, whichever system wrote them."""
    return PureWindowsPath(name).name
