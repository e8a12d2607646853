"""A catalogue of translated texts: found by the variable LANGUAGE in the user's own folder, and read.

Apart from `tui.language`, so that those who are content with English load none of it. Catalogues are
gettext's (`.mo`), the variable is the one that gettext reads, so that every translator's tools fit.
"""

import struct
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from gettext import GNUTranslations
from io import BytesIO
from pathlib import Path
from re import compile as pattern
from typing import Final

from kb.disk import DiskError, read_bounded
from kb.letters import HIDDEN
from tui.language import Catalogue

LANGUAGE: Final = "LANGUAGE"
"""The environment variable: languages in the order in which they are liked, with colons between."""
FOLDER: Final = "languages"
"""Where catalogues lie in the folder of canebrake's data: `de.mo`, `pt_BR.mo`."""
OURS: Final = "en"
LARGEST: Final = 4 * 1024 * 1024
_CODE: Final = pattern(r"[A-Za-z]{2,3}(?:_[A-Za-z0-9]{2,4})?(?:@[A-Za-z]{1,16})?")


class CatalogueError(Exception):
    """A catalogue is there and is of no use; the message says why."""


@dataclass(frozen=True, slots=True)
class _Careful:
    """A catalogue whose texts are only shown when they are harmless; the English stands in for the others."""

    read: GNUTranslations

    def gettext(self, message: str, /) -> str:
        """Give a text translated."""
        said = self.read.gettext(message)
        return message if HIDDEN.search(said) else said

    def ngettext(self, one: str, many: str, count: int, /) -> str:
        """Give the form that goes with `count`."""
        said = self.read.ngettext(one, many, count)
        return (one if count == 1 else many) if HIDDEN.search(said) else said


def read_catalogue(environ: Mapping[str, str], data_folder: Path) -> Catalogue | None:
    """Give the first catalogue that is liked and there; None where English comes first or none is there.

    Raises `CatalogueError` for a file that is no catalogue.
    """
    for code in _liked(environ[LANGUAGE]):
        if code.partition("_")[0].lower() in (OURS, "c"):
            return None
        path = data_folder / FOLDER / f"{code}.mo"
        if path.is_file():
            return _Careful(_read(path))
    return None


def _liked(said: str) -> Iterator[str]:
    """Give the languages of the variable: `de_AT.UTF-8` means `de_AT`, and `de` where that is missing."""
    for one in said.split(":"):
        code = one.partition(".")[0]
        if code.upper() == "C" or _CODE.fullmatch(code):
            yield code
            if "_" in code:
                yield code.partition("_")[0]


def _read(path: Path) -> GNUTranslations:
    try:
        content = read_bounded(path, LARGEST)
        if len(content) > LARGEST:
            raise CatalogueError(f"{path} is too large to be a catalogue")
        # A rule for plurals is the one thing in it that is run: gettext takes sums of `n` and nothing else.
        return GNUTranslations(BytesIO(content))
    except DiskError as error:
        raise CatalogueError(str(error)) from error
    except (OSError, ValueError, KeyError, IndexError, struct.error, RecursionError, SyntaxError) as error:
        raise CatalogueError(f"{path} is no catalogue of texts; make it anew with msgfmt") from error
