"""Problems as SARIF 2.1.0 (Static Analysis Results Interchange Format, OASIS 2020), for code hosts."""

from collections.abc import Sequence
from pathlib import PurePath
from typing import Final
from urllib.parse import quote

from kb.problem import Problem, Severity
from kb.text import Span
from tui.cli.main import VERSION
from tui.cli.saying import Json

SCHEMA: Final = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"


def sarif_log(problems: Sequence[Problem]) -> Json:
    """Give a SARIF log with one run that holds all problems."""
    names = sorted({problem.check for problem in problems})
    driver: Json = {"name": "canebrake", "version": VERSION, "rules": [{"id": name} for name in names]}
    run: dict[str, Json] = {
        "tool": {"driver": driver},
        # Our columns count characters; without this, readers take them for UTF-16 units.
        "columnKind": "unicodeCodePoints",
        "results": [_result(problem, names.index(problem.check)) for problem in problems],
    }
    return {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}


def _result(problem: Problem, rule: int) -> Json:
    text = f"{problem.message}: {problem.hint}" if problem.hint else problem.message
    result: dict[str, Json] = {
        "ruleId": problem.check,
        "ruleIndex": rule,
        "level": "error" if problem.severity is Severity.ERROR else "warning",
        "message": {"text": text},
        "locations": [
            {
                "physicalLocation": {
                    "artifactLocation": {"uri": _uri(problem.span.file)},
                    "region": _region(problem.span),
                }
            }
        ],
    }
    if problem.mend:
        result["fixes"] = [_fix(problem)]
    return result


def _fix(problem: Problem) -> Json:
    """Give the mend as a fix (section 3.55): what is deleted, and what is put in its place."""
    return {
        "description": {"text": problem.hint or f"mend {problem.check}"},
        "artifactChanges": [
            {
                "artifactLocation": {"uri": _uri(problem.mend[0].span.file)},
                "replacements": [
                    {"deletedRegion": _region(change.span), "insertedContent": {"text": change.text}}
                    for change in problem.mend
                ],
            }
        ],
    }


def _region(span: Span) -> Json:
    return {
        "startLine": span.line,
        "startColumn": span.column,
        "endLine": span.end_line,
        "endColumn": span.end_column,
    }


def _uri(file: str) -> str:
    path = PurePath(file)
    if path.is_absolute():
        return path.as_uri()
    return quote(path.as_posix(), errors="surrogateescape")
