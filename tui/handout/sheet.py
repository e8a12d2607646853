"""The empty page: its head, its security policy, its frame; and how words come onto it.

The page is a tree of elements that the standard library writes out, so that no text of a ruleset can
become an element or an attribute. Its policy lets nothing in: no script, no request, and of all
styles only the one whose digest stands in the policy.
"""

from base64 import b64encode
from dataclasses import dataclass, replace
from hashlib import sha256
from re import compile as pattern
from typing import Final
from xml.etree.ElementTree import Element, tostring

from tui.draw.cells import fitted
from tui.draw.svg import Value, add, shown
from tui.handout.style import STYLE

_LANGUAGE: Final = pattern("[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*")
OURS: Final = "en"
"""The language of the tool's own words."""
LONGEST_TITLE: Final = 120


@dataclass(frozen=True, slots=True)
class Link:
    """Words that lead to another place of the same page."""

    to: str
    words: str


@dataclass(frozen=True, slots=True)
class Pen:
    """Writes onto a page, and marks which words are the ruleset's and which the tool's."""

    language: str

    def ours(self, parent: Element, tag: str, text: str, /, **values: Value) -> Element:
        """Add an element with words of the tool."""
        foreign: dict[str, Value] = {} if self.language.split("-")[0].lower() == OURS else {"lang": OURS}
        return add(parent, tag, text, **foreign, **values)

    def told(self, parent: Element, tag: str, text: str, /, **values: Value) -> Element:
        """Add an element with words of the ruleset or the log, which may run from right to left."""
        return add(parent, tag, text, dir="auto", **values)

    def row(self, parent: Element, label: str, *parts: str | Link) -> None:
        """Add a term of a list with what it stands for."""
        self.ours(parent, "dt", label)
        say(add(parent, "dd", dir="auto"), *parts)


def say(element: Element, *parts: str | Link) -> None:
    """Write running text with links into an element."""
    for part in parts:
        if isinstance(part, Link):
            add(element, "a", part.words, href=f"#{part.to}")
        elif len(element):
            element[-1].tail = (element[-1].tail or "") + shown(part)
        else:
            element.text = (element.text or "") + shown(part)


@dataclass(frozen=True, slots=True)
class Page:
    """A page that is being written."""

    root: Element
    nav: Element
    main: Element
    pen: Pen

    def section(self, id_: str, title: str) -> Element:
        """Begin a section, and list it in the page's contents."""
        section = add(self.main, "section", id=id_)
        self.pen.ours(section, "h2", title)
        entry = add(self.nav, "li")
        self.pen.ours(entry, "a", title, href=f"#{id_}")
        return section

    def flowing(self) -> "Page":
        """Give a page whose sections run on in columns where it is printed.

        One run for many sections: a run of its own for each leaves the ends of pages blank.
        """
        return replace(self, main=add(self.main, "div", class_="flow"))

    def written(self) -> str:
        """Give the page as the text of an HTML file."""
        return "<!DOCTYPE html>\n" + tostring(self.root, encoding="unicode", method="html") + "\n"


def begin_page(title: str, language: str) -> Page:
    """Begin a page in the ruleset's language."""
    pen = Pen(language if _LANGUAGE.fullmatch(language) else OURS)
    root = Element("html", {"lang": pen.language})
    head = add(root, "head")
    add(head, "meta", charset="utf-8")
    add(head, "meta", http_equiv="Content-Security-Policy", content=policy())
    add(head, "meta", name="viewport", content="width=device-width, initial-scale=1")
    add(head, "meta", name="color-scheme", content="light dark")
    add(head, "meta", name="referrer", content="no-referrer")
    add(head, "title", fitted(shown(title), LONGEST_TITLE))
    add(head, "style").text = STYLE  # ours, and written as it is: the policy holds its digest
    body = add(root, "body")
    pen.ours(body, "a", "Skip to the page", href="#page", class_="skip")
    frame = add(body, "div", class_="frame")
    nav = add(frame, "nav", aria_label="Contents", id="the-contents")
    contents = add(nav, "ul")
    pen.ours(nav, "a", "↑", href="#the-contents", class_="up", aria_label="Up to the contents")
    main = add(frame, "main", id="page")
    return Page(root, contents, main, pen)


def policy() -> str:
    """Give the content-security policy: nothing, but for the page's own style."""
    digest = b64encode(sha256(STYLE.encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
