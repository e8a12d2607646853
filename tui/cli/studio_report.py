"""What `studio` says of a packed file: title, members, licences, problems, fingerprint."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from kb.bundle.contents import Bundle
from kb.bundle.judging import Judged
from kb.problem import Severity
from tui.cli.report import counted, problem_lines
from tui.cli.saying import Json
from tui.draw.cells import hung

_PROBLEMS: Final = 5
"""Problems of one ruleset that are shown; `check` shows all."""


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
            said += "" if member.name in bundle.rulesets else "; others extend it"
        yield from hung(f"  {member.name}: {said}", width)
    for one in read.judged:
        for problem in one.loaded.problems[:_PROBLEMS]:
            text = one.loaded.text_of(problem.span.file)
            excerpt = text.excerpt(problem.span) if text else ""
            yield from problem_lines(problem, excerpt, width, width)
    licences = ", ".join(licence or "not said" for licence in bundle.licences)
    yield from hung(f"Licence: {licences}", width)
    yield from hung(f"Fingerprint of {read.said}: {read.fingerprint}", width)


def _ruleset(one: Judged) -> str:
    problems = one.loaded.problems
    errors = sum(problem.severity is Severity.ERROR for problem in problems)
    counts = [(errors, "error"), (len(problems) - errors, "warning")]
    said = ", ".join(counted(count, noun) for count, noun in counts if count) or "no problems"
    ruleset = one.loaded.ruleset
    return said if ruleset is None else f"{ruleset.title} ({ruleset.id} {ruleset.version}); {said}"


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
