"""What `studio` says of a packed file: title, members, licences, problems, fingerprint."""

from collections.abc import Iterator
from dataclasses import dataclass

from kb.bundle.contents import Bundle
from kb.bundle.judging import Judged
from kb.load import shipped
from kb.problem import Severity
from tui.cli.report import counted
from tui.cli.saying import Json
from tui.cli.studio.changes import problem_excerpts, ruleset_change
from tui.draw.cells import hung


@dataclass(frozen=True, slots=True)
class Read:
    """A packed file that is sound as a file; its rulesets may still have problems."""

    said: str
    bundle: Bundle
    fingerprint: str
    judged: tuple[Judged, ...]


def bundle_lines(read: Read, width: int) -> Iterator[str]:
    """Tell what is in a bundle."""
    bundle = read.bundle
    yield from hung(bundle.title, width)
    judged = {one.name: one for one in read.judged}
    for member in bundle.members:
        found = judged.get(member.name)
        if found is None:
            said = f"{len(member.content):,} bytes"
        else:
            said = _ruleset(found)
            said += _part(member.name, bundle) + _unlike(found, member.content)
        yield from hung(f"  {member.name}: {said}", width)
    for one in read.judged:
        yield from problem_excerpts(one, width)
    licences = ", ".join(licence or "not said" for licence in bundle.licences)
    yield from hung(f"Licence: {licences}", width)
    yield from hung(f"Fingerprint of {read.said}: {read.fingerprint}", width)


def _part(name: str, bundle: Bundle) -> str:
    if bundle.proposal is not None and name == bundle.proposal.base:
        return "; as it was"
    return "" if name in bundle.rulesets else "; others extend it"


def _unlike(one: Judged, content: bytes) -> str:
    """Say so where a ruleset has the id and version of one that ships, and another text."""
    ruleset = one.loaded.ruleset
    for ships in shipped():
        if ruleset is not None and (ships.id, ships.version) == (ruleset.id, ruleset.version):
            return (
                ""
                if ships.content == content
                else f"; not the {ruleset.id} {ruleset.version} that ships here"
            )
    return ""


def _ruleset(one: Judged) -> str:
    problems = one.loaded.problems
    errors = sum(problem.severity is Severity.ERROR for problem in problems)
    counts = [(errors, "error"), (len(problems) - errors, "warning")]
    said = ", ".join(counted(count, noun) for count, noun in counts if count) or "no problems"
    ruleset = one.loaded.ruleset
    return said if ruleset is None else f"{ruleset.title} ({ruleset.id} {ruleset.version}); {said}"


def proposal_lines(read: Read, width: int) -> Iterator[str]:
    """Tell what a proposal would change, found anew and not taken from the file, and how it is taken in."""
    proposal = read.bundle.proposal
    if proposal is None:
        return
    found = {one.name: one.loaded.ruleset for one in read.judged}
    before, after = found.get(proposal.base), found.get(proposal.theirs)
    if before is not None and after is not None:
        yield ""
        yield from ruleset_change(before, after, width)
    yield ""
    yield from hung(f"To take it in: canebrake studio merge {read.said} YOUR-FILE -o YOUR-FILE", width)


def bundle_json(read: Read) -> Json:
    """Give the same for programs."""
    judged = {one.name: one for one in read.judged}
    return {
        "file": read.said,
        "title": read.bundle.title,
        "licences": list(read.bundle.licences),
        "fingerprint": read.fingerprint,
        "proposal": read.bundle.proposal is not None,
        "members": [
            {
                "name": member.name,
                "size": len(member.content),
                "sha256": member.sha256,
                "asked_for": member.name in read.bundle.rulesets,
                **(_ruleset_json(judged[member.name]) if member.name in judged else {}),
            }
            for member in read.bundle.members
        ],
    }


def _ruleset_json(one: Judged) -> dict[str, Json]:
    problems, ruleset = one.loaded.problems, one.loaded.ruleset
    errors = sum(problem.severity is Severity.ERROR for problem in problems)
    return {
        "id": None if ruleset is None else ruleset.id,
        "version": None if ruleset is None else ruleset.version,
        "errors": errors,
        "warnings": len(problems) - errors,
    }
