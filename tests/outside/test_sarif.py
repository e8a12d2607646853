"""`check --sarif` against the published format.

Source: Static Analysis Results Interchange Format (SARIF) Version 2.1.0 Plus Errata 01, OASIS
Standard, 28 August 2023. No installable package carries its JSON schema, and this project does not
copy it; the schema below is written by us after the objects that we write (`result` and `run`
compared with the published schema, the others from memory), each
closed as the published ones are (sections 3.13 sarifLog, 3.14 run, 3.18 tool, 3.19 toolComponent,
3.49 reportingDescriptor, 3.27 result, 3.11 message, 3.28 location, 3.29 physicalLocation, 3.4
artifactLocation, 3.30 region).
"""

import json
from pathlib import Path
from typing import Any, Final
from urllib.parse import unquote, urlsplit

import jsonschema
import pytest

from kb.problem import CheckName, Problem, Severity
from kb.text import Span
from tests.support.running import ROOT, run_here
from tui.cli.check.sarif import sarif_log

INPUTS: Final = ROOT / "tests" / "commands" / "inputs"


def closed(required: list[str], **properties: Any) -> dict[str, Any]:
    return {"type": "object", "required": required, "properties": properties, "additionalProperties": False}


def listed(item: dict[str, Any]) -> dict[str, Any]:
    return {"type": "array", "items": item}


TEXT: Final = {"type": "string"}
COUNT: Final = {"type": "integer", "minimum": 1}
REGION: Final = closed([], startLine=COUNT, startColumn=COUNT, endLine=COUNT, endColumn=COUNT)
ARTIFACT: Final = closed([], uri={"type": "string", "format": "uri-reference"}, uriBaseId=TEXT)
PHYSICAL: Final = closed(["artifactLocation"], artifactLocation=ARTIFACT, region=REGION)
# Sections 3.55 fix, 3.56 artifactChange, 3.57 replacement, from memory: a replacement has a
# deletedRegion, a change an artifactLocation and replacements, a fix artifactChanges.
REPLACEMENT: Final = closed(["deletedRegion"], deletedRegion=REGION, insertedContent=closed([], text=TEXT))
CHANGE: Final = closed(
    ["artifactLocation", "replacements"],
    artifactLocation=ARTIFACT,
    replacements={**listed(REPLACEMENT), "minItems": 1},
)
FIX: Final = closed(
    ["artifactChanges"],
    description=closed([], text=TEXT),
    artifactChanges={**listed(CHANGE), "minItems": 1, "uniqueItems": True},
)
RESULT: Final = closed(
    ["message"],
    fixes={**listed(FIX), "uniqueItems": True},
    ruleId=TEXT,
    ruleIndex={"type": "integer", "minimum": -1},
    level={"enum": ["none", "note", "warning", "error"]},
    message=closed(["text"], text=TEXT),
    locations=listed(closed([], physicalLocation=PHYSICAL)),
)
DRIVER: Final = closed(
    ["name"], name=TEXT, version=TEXT, rules={**listed(closed(["id"], id=TEXT)), "uniqueItems": True}
)
RUN: Final = closed(
    ["tool"],
    tool=closed(["driver"], driver=DRIVER),
    columnKind={"enum": ["utf16CodeUnits", "unicodeCodePoints"]},
    results=listed(RESULT),
)
SCHEMA: Final = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    **closed(["version", "runs"], **{"$schema": TEXT, "version": {"const": "2.1.0"}, "runs": listed(RUN)}),
}


def results(words: list[str], tmp_path: Path) -> list[dict[str, Any]]:
    told = json.loads(run_here(["check", "--sarif", *words], tmp_path).out)
    jsonschema.Draft202012Validator(SCHEMA).validate(told)
    (run,) = told["runs"]
    rules = [rule["id"] for rule in run["tool"]["driver"]["rules"]]
    # Section 3.27.6: ruleIndex is the place of the rule whose id is ruleId.
    assert all(rules[result["ruleIndex"]] == result["ruleId"] for result in run["results"])
    return list(run["results"])


@pytest.mark.parametrize("name", ["lamp", "broken", "warned", "doubtful"])
def test_the_log_has_the_published_shape(name: str, tmp_path: Path) -> None:
    results([str(INPUTS / f"{name}.yaml")], tmp_path)


def test_it_says_what_the_plain_json_says(tmp_path: Path) -> None:
    files = [str(INPUTS / "broken.yaml"), str(INPUTS / "warned.yaml")]
    plain = json.loads(run_here(["check", "--json", *files], tmp_path).out)["problems"]
    found = results(files, tmp_path)
    assert len(found) == len(plain) == 5
    for problem, result in zip(plain, found, strict=True):
        place = result["locations"][0]["physicalLocation"]
        region = place["region"]
        assert result["ruleId"] == problem["check"]
        assert result["level"] == problem["severity"]
        assert problem["message"] in result["message"]["text"]
        assert [region[key] for key in ("startLine", "startColumn", "endLine", "endColumn")] == [
            problem[key] for key in ("line", "column", "end_line", "end_column")
        ]
        assert unquote(urlsplit(place["artifactLocation"]["uri"]).path) == problem["file"]
        fixes = result.get("fixes", [])
        assert [
            change["insertedContent"]["text"]
            for fix in fixes
            for change in fix["artifactChanges"][0]["replacements"]
        ] == [change["text"] for change in problem["mend"]]
    assert any("fixes" in result for result in found)


def test_a_file_name_becomes_a_valid_uri() -> None:
    problem = Problem(Span("a folder/rö#1%.yaml", 1, 1, 1, 2), CheckName("x"), "m", "", Severity.WARNING)
    told: Any = sarif_log([problem])
    uri = told["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
    assert uri == "a%20folder/r%C3%B6%231%25.yaml"
