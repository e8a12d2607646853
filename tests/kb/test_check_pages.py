"""Each check is tested by its own page: its blocks give exactly the problems marked in them."""

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from engine.review.questions import QUESTIONS, review
from engine.review.sample import Sample
from kb.checks.catalogue import CATALOGUE, Check, Stage
from kb.checks.runner import run
from kb.load import Loaded, Offered, Wanted, load_bytes
from kb.problem import Problem, Severity, in_order
from tui.wiring import chance_of

FOLDER = Path(__file__).parents[2] / "docs" / "checks"
HEADINGS = ("What it finds", "Why it matters at the desk", "Example", "Better", "When to allow it")
BLOCK = re.compile(r"^```yaml([^\n]*)\n(.*?)^```$", re.DOTALL | re.MULTILINE)
MARK = re.compile(r"# <- ([a-z0-9, -]+)$")
BEHAVIOUR = {check.name for check in CATALOGUE if check.stage is Stage.BEHAVIOUR}


@dataclass(frozen=True)
class Block:
    page: str
    said: str
    text: str

    def marked(self) -> list[tuple[int, str]]:
        found = []
        for number, line in enumerate(self.text.splitlines(), 1):
            mark = MARK.search(line)
            found += [(number, name.strip()) for name in mark[1].split(",")] if mark else []
        return sorted(found)

    def load(self) -> Loaded:
        frame = (FOLDER / "frame.yaml").read_bytes()
        text = self.text if "alone" in self.said else framed(self.text)
        content = text.encode("latin-1" if "Latin-1" in self.said else "utf-8")

        def base(wanted: Wanted) -> Offered | None:
            known = {"frame.yaml": frame, "example.yaml": content}
            return Offered(wanted.file, known[wanted.file], base) if wanted.file in known else None

        return load_bytes("example.yaml", content, base)

    @cache  # noqa: B019 - the pages are few, and asked twice
    def problems(self) -> tuple[Problem, ...]:
        """Give what `check` finds; on the page of a question about behaviour, `check --deep`."""
        loaded = self.load()
        if loaded.ruleset is None or self.page not in BEHAVIOUR:
            return loaded.problems
        sample = Sample(loaded.ruleset, lambda number: chance_of(1, number))
        return in_order(run(loaded.ruleset, deep=dict(review(sample))))


def framed(text: str) -> str:
    """Write below an example what it takes to be laid over the frame, unless it says so itself."""
    needed = {
        "canebrake": "1",
        "id": "example",
        "title": "Example",
        "version": "1.0.0",
        "extends": "{file: frame.yaml}",
    }
    return text + "".join(
        f"{key}: {value}\n" for key, value in needed.items() if not re.search(f"^{key}:", text, re.MULTILINE)
    )


def blocks(page: Path) -> list[Block]:
    return [Block(page.stem, found[1], found[2]) for found in BLOCK.finditer(page.read_text("utf-8"))]


PAGES = sorted(page for page in FOLDER.glob("*.md"))
BLOCKS = [
    pytest.param(block, id=f"{page.stem}-{number}")
    for page in PAGES
    for number, block in enumerate(blocks(page), 1)
]


@pytest.mark.parametrize("block", BLOCKS)
def test_a_block_gives_exactly_the_problems_marked_in_it(block: Block) -> None:
    problems = block.problems()
    found = sorted((problem.span.line, str(problem.check)) for problem in problems)
    assert found == block.marked(), problems


@pytest.mark.parametrize("block", BLOCKS)
def test_a_block_makes_a_ruleset_unless_an_error_is_marked_in_it(block: Block) -> None:
    errors = {check.name for check in CATALOGUE if check.severity is Severity.ERROR}
    has_error = any(name in errors for _, name in block.marked())
    assert (block.load().ruleset is None) == has_error


@pytest.mark.parametrize("check", CATALOGUE, ids=[check.name for check in CATALOGUE])
def test_each_check_has_a_page_that_marks_it_first_and_then_does_better(check: Check) -> None:
    page = FOLDER.parents[1] / check.page
    text = page.read_text("utf-8")
    assert text.startswith(f"# {check.name}\n\n*{check.severity.value}, ")
    assert tuple(re.findall(r"^## (.*)$", text, re.MULTILINE)) == HEADINGS
    example, better = blocks(page)
    assert {name for _, name in example.marked()} == {check.name}
    assert better.marked() == []


def test_catalogue_pages_and_index_name_the_same_checks() -> None:
    names = [check.name for check in CATALOGUE]
    index = re.findall(
        r"^\| \[([a-z0-9-]+)\]\(\1\.md\)", (FOLDER / "README.md").read_text("utf-8"), re.MULTILINE
    )
    assert index == names
    assert {page.stem for page in PAGES} == {*names, "README"}


def test_catalogue_and_folder_hold_the_same_modules() -> None:
    folder = Path(__file__).parents[2] / "kb" / "checks"
    beside = {"__init__", "asked", "cases", "catalogue", "found", "reading_pages", "runner", "ways"}
    modules = {path.stem.replace("_", "-") for path in folder.glob("*.py") if path.stem not in beside}
    assert modules == {check.name for check in CATALOGUE if check.stage is Stage.RULESET}


def test_catalogue_and_questions_about_behaviour_name_the_same() -> None:
    assert {question.name for question in QUESTIONS} == BEHAVIOUR
    folder = Path(__file__).parents[2] / "engine" / "review"
    modules = {path.stem.replace("_", "-") for path in folder.glob("*.py")}
    assert modules - {"--init--", "questions", "sample"} == BEHAVIOUR


@pytest.mark.parametrize(
    "check", [check for check in CATALOGUE if check.judged], ids=lambda check: check.name
)
def test_a_module_says_the_name_and_severity_of_its_row(check: Check) -> None:
    module = check.module()
    assert (check.name, check.severity) == (module.NAME, module.SEVERITY)


@pytest.mark.parametrize(
    "check", [check for check in CATALOGUE if check.judged], ids=lambda check: check.name
)
def test_emptying_a_check_would_be_noticed_by_its_page(check: Check, monkeypatch: pytest.MonkeyPatch) -> None:
    example = blocks(FOLDER.parents[1] / check.page)[0]
    monkeypatch.setattr(check.module(), "check", lambda _ruleset: iter(()))
    found = sorted((problem.span.line, str(problem.check)) for problem in example.load().problems)
    assert found != example.marked()


def test_severities_of_problems_are_those_of_the_catalogue() -> None:
    severities = {check.name: check.severity for check in CATALOGUE}
    for page in PAGES:
        for block in blocks(page):
            for problem in block.problems():
                assert problem.severity is severities[problem.check]
