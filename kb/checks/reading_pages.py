"""The pages that explain the checks, found beside the installed package or in the project."""

from pathlib import Path
from typing import Final

from kb.checks.catalogue import CATALOGUE
from kb.disk import DiskError, read_bounded

_INSTALLED: Final = Path(__file__).parent / "pages"
_PROJECT: Final = Path(__file__).parents[2] / "docs" / "checks"


def page(name: str) -> str | None:
    """Give the text of the page of the check called `name`; None when no check is called so."""
    if name not in {check.name for check in CATALOGUE}:
        return None
    folder = _INSTALLED if _INSTALLED.is_dir() else _PROJECT
    try:
        return read_bounded(folder / f"{name}.md").decode("utf-8").replace("\r\n", "\n")
    except DiskError as fault:
        raise FileNotFoundError(f"the pages of the checks were not installed: {fault}") from fault
