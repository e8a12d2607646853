"""The page of all fields, made from the schema: what each key is, what it takes, and what is usual.

`python -m tests.support.fields` writes it; a test holds it fresh.
"""

from typing import Any, Final

from kb.schema import schema
from tests.support.running import ROOT

PAGE: Final = ROOT / "docs/reference/ruleset.md"

_ENTRIES: Final = (
    ("source", "sources", "A source"),
    ("priority", "priorities", "A priority"),
    ("tool", "tools", "A tool"),
    ("zone", "zones", "A zone"),
    ("quantity", "quantities", "A quantity"),
    ("profile", "thickness", "A target thickness"),
    ("symptom", "symptoms", "A symptom"),
    ("sign", "signs", "A sign"),
    ("read", "read", "What a sign is read from"),
    ("cause", "causes", "A cause"),
    ("remedy", "remedies", "A remedy"),
    ("rest", "rests", "A rest"),
    ("chart", "charts", "A chart"),
    ("chart_step", "steps", "A step of a chart"),
    ("trial", "trials", "A trial"),
    ("round", "rounds", "A round of a trial"),
    ("expect", "expect", "What a trial expects"),
)

_HEAD: Final = """\
# Every key of a ruleset

Made from the schema that editors complete from (`canebrake new --schema`); **bold** keys are required. A ruleset that `extends` another may leave out what its base says. For the whole at work read [write your own ruleset in an evening](../guides/write-your-own.md) and `rulesets/bassoon.yaml`.

Ids are small letters a-z, digits and single hyphens, at most 64 characters. Where a chance is wanted, a word may stand (always 0.97, usually 0.80, often 0.60, sometimes 0.30, rarely 0.10; for how common a cause is: common 0.20, occasional 0.08, rare 0.02) or a number.

## The whole
"""  # noqa: E501 - a paragraph of the page is one line, as in every page


def page() -> str:
    """Give the page as it should be."""
    whole = schema()
    parts = [_HEAD, _table(whole)]
    for name, key, title in _ENTRIES:
        part = whole["$defs"][name]
        parts.append(f"## {title} (`{key}`)\n\n{part.get('description', '')}\n\n{_table(part)}")
    return "\n".join(parts)


def _table(part: Any) -> str:
    rows = ["| key | takes | what it says |", "|---|---|---|"]
    required = part.get("required", ())
    for key, field in part["properties"].items():
        known = _resolved(field)
        if known == {"not": {}}:
            continue
        shown = f"**`{key}`**" if key in required else f"`{key}`"
        said = known.get("description", "").replace("|", "/")
        if known.get("properties"):
            said += " Its keys: " + ", ".join(f"`{inner}`" for inner in known["properties"]) + "."
        rows.append(f"| {shown} | {_takes(known)} | {said} |")
    return "\n".join(rows) + "\n"


def _resolved(field: Any) -> Any:
    target = schema()["$defs"][field["$ref"].rsplit("/", 1)[1]] if "$ref" in field else {}
    return {**target, **field}


def _takes(field: Any) -> str:
    if "enum" in field:
        return ", ".join(f"`{word}`" for word in field["enum"])
    if "const" in field:
        return f"`{field['const']}`"
    kinds = field.get("type", "text")
    names = {
        "string": "text",
        "object": "a mapping",
        "array": "a list",
        "boolean": "true or false",
        "null": "null",
    }
    said = [names.get(kind, "a number") for kind in ([kinds] if isinstance(kinds, str) else kinds)]
    return " or ".join(dict.fromkeys(said))


if __name__ == "__main__":
    PAGE.parent.mkdir(exist_ok=True)
    PAGE.write_text(page(), encoding="utf-8")
