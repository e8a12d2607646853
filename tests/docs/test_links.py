"""Every link between the project's own pages leads somewhere, and every guide can be found from the index."""

import re
from functools import cache
from pathlib import Path

import pytest

from tests.support.running import ROOT

PAGES = (ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md")))
GUIDES = sorted((ROOT / "docs/guides").glob("*.md"))
_BLOCK = re.compile(r"^```.*?^```", re.DOTALL | re.MULTILINE)
_CODE = re.compile(r"`[^`\n]*`")
_HEADING = re.compile(r"^#+ +(.+?) *$", re.MULTILINE)
_LINK = re.compile(r"\]\(<?([^)\s>]+)>?(?: \"[^\"]*\")?\)")
_ELSEWHERE = re.compile(r"[a-z]+:")


def links_of(text: str) -> list[str]:
    """Give the targets of a page's links and pictures that are not on the web."""
    return [
        target
        for target in _LINK.findall(_CODE.sub("", _BLOCK.sub("", text)))
        if not _ELSEWHERE.match(target)
    ]


def anchors_of(text: str) -> set[str]:
    """Give the anchors of a page's headings, as the usual hosts of Markdown pages make them."""
    anchors: set[str] = set()
    for title in _HEADING.findall(_BLOCK.sub("", text)):
        plain = re.sub(r"\[([^]]*)\]\([^)]*\)", r"\1", title).lower()
        slug = re.sub(r"[^\w\- ]", "", plain).replace(" ", "-")
        number = sum(1 for one in anchors if re.fullmatch(re.escape(slug) + r"(-\d+)?", one))
        anchors.add(f"{slug}-{number}" if number else slug)
    return anchors


@cache
def _anchors(path: Path) -> frozenset[str]:
    return frozenset(anchors_of(path.read_text("utf-8")))


def broken(page: Path) -> list[str]:
    """Give the links of a page that lead nowhere."""
    lost = []
    for target in links_of(page.read_text("utf-8")):
        name, _, anchor = target.partition("#")
        path = (page.parent / name).resolve() if name else page
        if not path.exists() or (anchor and anchor not in _anchors(path)):
            lost.append(target)
    return lost


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_link_leads_somewhere(page: Path) -> None:
    assert broken(page) == []


def test_a_link_to_nowhere_is_noticed(tmp_path: Path) -> None:
    page = tmp_path / "a.md"
    page.write_text(
        "# One `two`\n## One two\n[a](#one-two) [b](#one-two-1) [c](#three) [d](b.md) `[e](f.md)`\n"
    )
    assert broken(page) == ["#three", "b.md"]


def test_every_guide_stands_in_the_index() -> None:
    index = ROOT / "docs/README.md"
    targets = links_of(index.read_text("utf-8"))
    named = {(index.parent / target.partition("#")[0]).resolve() for target in targets}
    assert [guide.name for guide in GUIDES if guide not in named] == []
    assert "docs/README.md" in links_of((ROOT / "README.md").read_text("utf-8"))
