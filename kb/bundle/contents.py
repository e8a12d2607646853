"""What is in a bundle, as a value, and its list (`contents.json`): format number, title, sha256 and size.

The list is JSON in one exact spelling. Whatever is spelled otherwise was not written by canebrake
and is refused, so that there is one reading of it and no second.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import PurePosixPath
from typing import Final

from kb.disk import LIMIT
from kb.filenames import clash_of, fault_of
from kb.letters import HIDDEN

LIST: Final = "contents.json"
FORMAT: Final = 1
LARGEST: Final = 64 * 1024 * 1024
"""Bytes of the largest bundle."""
MOST: Final = 300
"""Members of the fullest bundle."""
_LONGEST_TEXT: Final = 300
_RULES: Final = (".yaml", ".yml")
_TEXTS: Final = (".txt", ".md")
_BEGINS: Final[Mapping[str, tuple[bytes, ...]]] = {
    ".png": (b"\x89PNG\r\n\x1a\n",),
    ".jpg": (b"\xff\xd8\xff",),
    ".jpeg": (b"\xff\xd8\xff",),
    ".webp": (b"RIFF",),
}
"""How pictures begin. No SVG and no PDF: those can carry programs."""


class BundleError(Exception):
    """This is no bundle, or none to be trusted, or it cannot be made. Its text is one sentence."""


@dataclass(frozen=True, slots=True)
class Member:
    """One file of a bundle."""

    name: str
    content: bytes

    @property
    def sha256(self) -> str:
        """The digest of its bytes."""
        return sha256(self.content).hexdigest()


@dataclass(frozen=True, slots=True)
class Proposal:
    """A student's ruleset beside the one that it began from."""

    base: str
    """The member that holds the ruleset as it was."""
    theirs: str
    """The member that holds it as the student would have it."""
    file: str
    """What the ruleset's file is called where it came from."""


@dataclass(frozen=True, slots=True)
class Bundle:
    """Files that are shared as one. Made with `bundle_of`, which holds that they may be."""

    title: str
    members: tuple[Member, ...]
    """By name."""
    rulesets: tuple[str, ...]
    """Members that it was packed for; other rulesets are there because these extend them."""
    licences: tuple[str, ...] = ()
    """Of those, each once, as their rulesets say; empty text where one says none."""
    proposal: Proposal | None = None

    @property
    def files(self) -> dict[str, bytes]:
        """Its members, by name."""
        return {member.name: member.content for member in self.members}


def bundle_of(bundle: Bundle) -> Bundle:
    """Give the bundle with its members in order, or raise `BundleError` if it may not be one."""
    members = tuple(sorted(bundle.members, key=lambda one: one.name))
    names = [member.name for member in members]
    if len(members) > MOST:
        raise BundleError(f"more than {MOST} files are too many for a bundle")
    if sum(len(member.content) for member in members) > LARGEST - 1024 * 1024:
        raise BundleError(f"a bundle holds at most {LARGEST // 1024**2 - 1} MiB")
    for member in members:
        check_name(member.name)
        check_kind(member)
    clash = clash_of([LIST, *names])
    if clash:
        raise BundleError(clash)
    _check_said(bundle, names)
    return replace(bundle, members=members)


def _check_said(bundle: Bundle, names: Sequence[str]) -> None:
    """Hold that what is said of the members is of members, and short."""
    if not bundle.rulesets:
        raise BundleError("there is no ruleset in it")
    proposal = bundle.proposal
    parts = () if proposal is None else (proposal.base, proposal.theirs)
    for name in (*bundle.rulesets, *parts):
        if name not in names or not is_ruleset(name):
            raise BundleError(f"{name[:200]!r} is not among the rulesets in it")
    for text in (bundle.title, *bundle.licences):
        if len(text) > _LONGEST_TEXT or HIDDEN.search(text) or "\n" in text or "\t" in text:
            raise BundleError(f"{text[:40]!r} is too long for one line, or holds invisible characters")
    if proposal is not None:
        check_name(proposal.file)


def check_name(name: str) -> None:
    """Raise `BundleError` when a name is not safe everywhere."""
    fault = fault_of(name)
    if fault:
        raise BundleError(f"the name {name[:200]!r} {fault}")


def is_ruleset(name: str) -> bool:
    """Whether a member of this name is read as a ruleset."""
    return name.endswith(_RULES)


def check_kind(member: Member) -> None:
    """Raise `BundleError` when a member is not a ruleset, a picture or a text, or not what it is called."""
    suffix = PurePosixPath(member.name).suffix
    if suffix in _RULES:
        if len(member.content) > LIMIT:
            raise BundleError(f"{member.name!r} is larger than {LIMIT // 1024**2} MiB: no person wrote it")
    elif suffix in _TEXTS:
        try:
            member.content.decode()
        except UnicodeDecodeError:
            raise BundleError(f"{member.name!r} is called a text and is none (in UTF-8)") from None
    elif suffix in _BEGINS:
        is_webp = suffix != ".webp" or member.content[8:12] == b"WEBP"
        if not member.content.startswith(_BEGINS[suffix]) or not is_webp:
            raise BundleError(f"{member.name!r} is called a picture and does not begin like one")
    else:
        known = ", ".join((*_RULES, *_TEXTS, *_BEGINS))
        raise BundleError(f"{member.name!r} is no kind of file that is shared ({known})")


def listed(bundle: Bundle) -> bytes:
    """Give the bytes of the list."""
    proposal = bundle.proposal
    return (
        json.dumps(
            {
                "canebrake-bundle": FORMAT,
                "title": bundle.title,
                "licences": bundle.licences,
                "rulesets": bundle.rulesets,
                "proposal": None
                if proposal is None
                else {"base": proposal.base, "theirs": proposal.theirs, "file": proposal.file},
                "members": [
                    {"name": member.name, "size": len(member.content), "sha256": member.sha256}
                    for member in bundle.members
                ],
            },
            indent=1,
        )
        + "\n"
    ).encode()


def read_list(content: bytes, files: Mapping[str, bytes]) -> Bundle:
    """Put list and files together. Raises `BundleError` unless they agree in every byte."""
    try:
        said = json.loads(content)
    except (ValueError, RecursionError):
        said = None
    number = said.get("canebrake-bundle") if isinstance(said, dict) else None
    if not isinstance(number, int) or isinstance(number, bool):
        raise BundleError(f"its {LIST} is not the list of a bundle")
    if number > FORMAT:
        raise BundleError(f"it was packed by a newer canebrake (its format is {number}); use the newer one")
    try:
        told = {one["name"]: (one["size"], one["sha256"]) for one in said["members"]}
        proposal = said["proposal"]
        bundle = Bundle(
            said["title"],
            tuple(Member(name, files[name]) for name in sorted(files)),
            tuple(said["rulesets"]),
            tuple(said["licences"]),
            None if proposal is None else Proposal(proposal["base"], proposal["theirs"], proposal["file"]),
        )
    except (KeyError, TypeError, AttributeError):
        raise BundleError(f"its {LIST} is damaged") from None
    texts = [bundle.title, *bundle.rulesets, *bundle.licences, *told]
    if bundle.proposal is not None:
        texts += [bundle.proposal.base, bundle.proposal.theirs, bundle.proposal.file]
    if not all(isinstance(one, str) for one in texts):
        raise BundleError(f"its {LIST} is damaged")
    _check_told(told, bundle)
    whole = bundle_of(bundle)
    if listed(whole) != content:
        raise BundleError(f"its {LIST} was not written by canebrake, or was changed since")
    return whole


def _check_told(told: Mapping[str, tuple[object, object]], bundle: Bundle) -> None:
    """Hold that each member is in the list as it is, and nothing else is."""
    for member in bundle.members:
        if member.name not in told:
            raise BundleError(f"{member.name!r} is in it and not in its list")
        size, digest = told[member.name]
        if size != len(member.content):
            raise BundleError(f"{member.name!r} has not the size that its list says")
        if digest != member.sha256:
            raise BundleError(f"{member.name!r} is not what was packed: its sha256 differs from the list's")
    missing = sorted(told.keys() - bundle.files.keys())
    if missing:
        raise BundleError(f"{missing[0][:200]!r} is in its list and not in it")
