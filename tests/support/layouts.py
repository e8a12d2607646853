"""Rulesets written as different authors would: block and flow, comments and blank lines sprinkled in.

Every comment is numbered, so that a test can say which ones an edit lost.
"""

import json
import re
from typing import Any

from kb.model import Ruleset
from tests.support.strategies import Chooser, pick, some, to_yaml

Plain = Any
COMMENT = re.compile(r"# note [0-9]+")


def document_of(choose: Chooser, ruleset: Ruleset) -> dict[str, Plain]:
    """Give a ruleset as plain values, with an opening, trials and a chart that speak of its entries."""
    document: dict[str, Plain] = {}
    for line in to_yaml(ruleset).splitlines():
        key, _, value = line.partition(": ")
        document[key] = json.loads(value)
    findings = [str(one.id) for one in ruleset.findings]
    document["opening"] = list(some(choose, findings))
    remedies = [str(one.id) for one in ruleset.operations]
    document["trials"] = [
        {
            "title": f"Case {number}: it's tried",
            "given": {one: pick(choose, ("yes", "no", "unsure")) for one in some(choose, findings)},
            "expect": {
                "cause": str(pick(choose, ruleset.causes).id),
                "step": list(some(choose, remedies, 2)) or "ready",
            },
        }
        for number in range(choose.whole(1, 3))
    ]
    document["charts"] = {
        "chart-1": {
            "start": "a",
            "steps": {
                "a": {"ask": pick(choose, findings), "yes": "b", "no": "c", "unsure": "c"},
                "b": {"do": pick(choose, remedies), "then": "c"},
                "c": {"stop": "ready"},
            },
        }
    }
    document["sources"] = {"own": {"title": "Own, practice", "kind": "common practice"}}
    for cause in document["causes"].values():
        cause["sources"] = ["own"]
    return document


class Writer:
    """Writes one document; each choice of style is the chooser's."""

    def __init__(self, choose: Chooser, *, comments: bool = True) -> None:
        self.choose = choose
        self.count = 0
        self.comments = comments

    def document(self, plain: dict[str, Plain]) -> str:
        """Write the whole, the top in block style."""
        return "\n".join(self._block_lines(plain, 0)) + pick(self.choose, ("\n", "", "\n\n"))

    def _note(self) -> str:
        self.count += 1
        return f"# note {self.count}"

    def _before(self, indent: int) -> list[str]:
        """Give blank lines and comment lines that stand above an entry."""
        kind = self.choose.whole(0, 9)
        if kind > 3 or not self.comments:
            return [""] if kind == 9 else []
        note = " " * indent + self._note()
        return [["", note], [note], ["", note, ""], [note, " " * indent + self._note()]][kind]

    def _behind(self) -> str:
        return "   " + self._note() if self.comments and self.choose.whole(0, 7) == 0 else ""

    def _block_lines(self, plain: Plain, indent: int) -> list[str]:
        lines: list[str] = []
        before = " " * indent
        if isinstance(plain, dict):
            for key, value in plain.items():
                lines += self._before(indent)
                lines += self._pair(before + self._key(key), value, indent)
            return lines
        for item in plain:
            lines += self._before(indent)
            if isinstance(item, dict) and item and self.choose.whole(0, 1):
                inner = self._block_lines(item, indent + 2)
                while not inner[0].strip() or inner[0].lstrip().startswith("#"):
                    lines.append(inner.pop(0))
                lines += [before + "- " + inner[0].lstrip(), *inner[1:]]
            else:
                lines.append(before + "- " + self._flow(item, indent + 2) + self._behind())
        return lines

    def _pair(self, key: str, value: Plain, indent: int) -> list[str]:
        if isinstance(value, dict | list) and value and self.choose.whole(0, 2):
            step = pick(self.choose, (2, 2, 2, 4))
            return [f"{key}:{self._behind()}", *self._block_lines(value, indent + step)]
        if isinstance(value, str) and len(value) > 4 and self.choose.whole(0, 5) == 0:
            return [f"{key}: >-{self._behind()}", " " * (indent + 2) + value]
        return [f"{key}: {self._flow(value, indent + 2)}{self._behind()}"]

    def _key(self, key: str) -> str:
        return f"'{key}'" if self.choose.whole(0, 9) == 0 else key

    def _flow(self, plain: Plain, indent: int) -> str:
        if not isinstance(plain, dict | list):
            return self._scalar(plain)
        opening, closing = "{}" if isinstance(plain, dict) else "[]"
        if isinstance(plain, dict):
            parts = [f"{self._key(key)}: {self._flow(value, indent + 2)}" for key, value in plain.items()]
        else:
            parts = [self._flow(value, indent + 2) for value in plain]
        if not parts or self.choose.whole(0, 2):
            return opening + ", ".join(parts) + closing
        lines = [opening]
        for number, part in enumerate(parts):
            last = number + 1 == len(parts)
            comma = "" if last and self.choose.whole(0, 1) else ","
            if self.comments and self.choose.whole(0, 5) == 0:
                lines.append(" " * indent + self._note())
            lines.append(f"{' ' * indent}{part}{comma}{self._behind()}")
        return "\n".join((*lines, " " * indent + closing))

    def _scalar(self, plain: Plain) -> str:
        if not isinstance(plain, str):
            return json.dumps(plain)
        kind = self.choose.whole(0, 3)
        if kind == 0:
            return json.dumps(plain, ensure_ascii=False)
        if (
            kind == 1
            or re.fullmatch(r"[A-Za-z][-A-Za-z0-9 ?.]*", plain) is None
            or plain in {"null", "true", "false"}
        ):
            return "'" + plain.replace("'", "''") + "'"
        return plain
