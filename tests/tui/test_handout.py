"""Handouts: what stands on them, that they need nothing, and that text stays text."""

import re
from base64 import b64encode
from dataclasses import fields, is_dataclass, replace
from functools import cache
from hashlib import sha256
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from engine.belief import believe
from engine.case import case_of_entries
from kb.ids import FindingId, QuantityId, RemedyId
from kb.load import Loaded, load_bytes, load_file
from kb.log.entry import Answered, Graded, Measured, Remarked, RemedyDone, SittingOpened, What
from kb.log.replay import history
from kb.model import Answer, Hazard, Ruleset, Undo
from kb.value import Place
from tests.support.running import run_here
from tests.support.small import entry
from tui.draw.known import known_of
from tui.draw.palette import contrast
from tui.draw.printing import NO_PDF
from tui.handout.cited import drawn_on
from tui.handout.guide import safety
from tui.handout.history import ReedStory, likely
from tui.handout.page import handout, reed_page
from tui.handout.scope import about, of_causes, whole
from tui.handout.style import STYLE

ROOT = Path(__file__).resolve().parents[2]
GOLDEN = ROOT / "tests" / "golden" / "penny-whistle-voicing.yaml"
BASSOON = ROOT / "rulesets" / "bassoon.yaml"
RICH = """
canebrake: 1
id: rich
title: Everything
version: 1.0.0
instrument: bassoon
licence: CC0
about: About it.
sources: {own: {title: A, kind: common practice, author: B, year: '1', in: C, url: 'https://example.org', read: D}}
priorities: [{id: response, title: Response, goal: Goal, ask: All well?}]
sitting: {minutes: 20, cuts: 4}
opening: [late]
tools: {knife: {title: Knife, hazard: blade}}
zones:
  all: {title: Blade, polygon: [[-7, 0], [7, 0], [4, 28], [-4, 28]]}
  tip: {title: Tip, polygon: [[-7, 0], [7, 0], [6.5, 4], [-6.5, 4]]}
  one: {title: Wire, wire: 1}
quantities:
  tip-opening: {title: Opening, unit: mm, limits: [0, 4], target: [1.1, 1.4]}
thickness:
  medium: {title: Medium, unit: mm, from: tip, lanes: [spine, rail], points: [{at: 10, lane: spine, target: 0.5}]}
symptoms:
  late: {priority: response, title: Late, ask: Late?, by: play, help: How., tie: {note: C2, dynamic: p}, sources: [own]}
signs:
  wide: {title: Wide, ask: Wide?, by: measure, read: {quantity: tip-opening, above: 1.4}}
causes:
  thick: {title: Thick, how_common: common, why: Why., shows: {late: usually, wide: rarely}, zone: tip, sources: [own]}
  far: {title: Far, how_common: rare, elsewhere: true, shows: {late: rarely}}
remedies:
  thin: {title: Thin, do: Scrape., zone: tip, tool: knife, caution: Mind it., why: So., too_far: Then.,
    undo: never, cures: {thick: usually}, provokes: {far: rarely}, recheck: [late], unless: [wide], from_sitting: 2,
    differs: [{source: own, says: No.}], sources: [own]}
rests: {sleep: {title: Sleep, do: Wait., hours: 12, new_sitting: true, cures: {far: often}}}
glossary: {word: Meaning}
"""  # noqa: E501 - one entry, one line
HOSTILE = [
    "</title></style></svg><script>alert(1)</script>",
    '" onload="alert(1)" x="',
    "' onmouseover='x",
    "<!-- --> <![CDATA[ ]]> <?php ?>",
    "&lt;b&gt; &amp; &#9837; &nope;",
    "<img src=x onerror=alert(1)>",
    "javascript:alert(1)",
    "\x1b[31mred\x07 and \u202eturned and \ufffe\uffff \ud800",
    "竹が鳴らない 先端が厚い",
    "العربية والعبرية",
    "e\u0301\u0323\u0300" * 40,
    "W" * 10_000,
]


class Read(HTMLParser):
    """Reads a page as a browser does."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data

    def kinds(self) -> set[tuple[str, str]]:
        """Give every kind of element with every name of attribute that stands on it."""
        return {(tag, name) for tag, attrs in self.tags for name in ("", *attrs)}

    def values(self, name: str) -> list[str]:
        return [value for _, attrs in self.tags if (value := attrs.get(name)) is not None]


def usable(loaded: Loaded) -> Ruleset:
    assert loaded.ruleset is not None, loaded.problems
    return loaded.ruleset


@cache
def page_of(path: Path) -> str:
    return handout(whole(usable(load_file(path))))


@cache
def bassoon() -> Ruleset:
    return usable(load_file(BASSOON))


@cache
def rich() -> Ruleset:
    return usable(load_bytes("rich.yaml", RICH.encode()))


def shouting(value: Any, text: str, *, is_text: bool = False) -> Any:
    """Put `text` into every field of a ruleset that is not an id, a number or a word of the format."""
    if isinstance(value, Place):
        return value
    if is_dataclass(value) and not isinstance(value, type):
        ids = {"id", "zone", "tool", "finding", "cause", "source", "quantity", "remedy", "priority", "digest"}
        changed = {
            field.name: shouting(getattr(value, field.name), text, is_text=field.name not in ids)
            for field in fields(value)
            if field.name not in {"recheck", "unless", "after", "sources", "opening", "words", "place"}
            or (field.name == "sources" and isinstance(value, Ruleset))
        }
        return replace(value, **changed)
    if isinstance(value, tuple):
        return tuple(shouting(one, text, is_text=is_text) for one in value)
    return text if type(value) is str and is_text and value else value


@pytest.mark.parametrize("text", HOSTILE, ids=lambda text: ascii(text[:12]))
def test_hostile_text_in_every_field_makes_no_element_and_no_attribute(text: str) -> None:
    plain, hostile = rich(), shouting(rich(), text)
    assert hostile.title == hostile.findings[0].ask == hostile.glossary[0][1] == hostile.language == text
    before, after = Read(handout(whole(plain))), Read(handout(whole(hostile)))
    allowed = before.kinds() | {(tag, "lang") for tag, _ in before.kinds()}
    assert after.kinds() <= allowed
    assert after.values("http-equiv") == before.values("http-equiv")
    assert after.values("content") == before.values("content")
    assert after.values("href") == before.values("href")
    assert after.values("id") == before.values("id")
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f\u202e\ud800]", after.text)
    if text.isprintable():
        assert after.text.count(text) > 20


def test_the_text_of_a_hostile_reed_stands_on_its_page_literally() -> None:
    text = HOSTILE[0]
    page = reed_of(rich(), name=text, remark=text)
    assert Read(page).kinds() <= Read(reed_of(rich())).kinds()
    assert Read(page).text.count(text) >= 2


@pytest.mark.parametrize("path", [GOLDEN, BASSOON], ids=lambda path: path.stem)
def test_a_page_needs_nothing_and_lets_nothing_in(path: Path) -> None:
    page = page_of(path)
    read = Read(page)
    assert not {"script", "link", "img", "iframe", "object", "embed", "form", "image", "use"} & {
        tag for tag, _ in read.tags
    }
    assert not read.values("src")
    assert not read.values("style")
    assert all(link.startswith("#") for link in read.values("href"))
    policy = read.values("content")[0]
    digest = b64encode(sha256(re.findall(r"<style>(.*?)</style>", page, re.DOTALL)[0].encode()).digest())
    assert policy == (
        f"default-src 'none'; style-src 'sha256-{digest.decode()}'; base-uri 'none'; form-action 'none'"
    )


@pytest.mark.parametrize("path", [GOLDEN, BASSOON], ids=lambda path: path.stem)
def test_every_link_leads_somewhere_and_headings_skip_no_level(path: Path) -> None:
    read = Read(page_of(path))
    ids = read.values("id")
    assert len(set(ids)) == len(ids)
    assert {link[1:] for link in read.values("href")} <= set(ids)
    levels = [int(tag[1]) for tag, _ in read.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(later <= earlier + 1 for earlier, later in pairwise(levels))
    first = next(attrs for tag, attrs in read.tags if tag == "a")
    assert first["href"] == "#page"


def test_every_question_cause_remedy_caution_and_source_of_a_ruleset_is_told() -> None:
    ruleset = bassoon()
    text = " ".join(Read(page_of(BASSOON)).text.split())
    told = [one.ask for one in ruleset.findings] + [one.title for one in ruleset.causes]
    told += [part for one in ruleset.operations for part in (one.title, one.do, one.caution)]
    told += [one.title for one in ruleset.sources] + [one.title for one in ruleset.tools]
    told += [one.title for one in ruleset.zones]
    told += [meaning for _, meaning in ruleset.glossary]
    assert not [part for part in told if part and " ".join(part.split()) not in text]
    assert "The chances are the author's judgement" in text


def test_questions_stand_by_priority_and_then_from_the_eye_to_the_instrument() -> None:
    ruleset = bassoon()
    ids = [id_ for id_ in Read(page_of(BASSOON)).values("id") if id_.startswith("finding-")]
    ways = ["look", "feel", "measure", "crow", "play"]
    ranks = [priority.id for priority in ruleset.priorities]
    keys = []
    for id_ in ids:
        finding = ruleset.finding[FindingId(id_.removeprefix("finding-"))]
        rank = len(ranks) if finding.priority is None else ranks.index(finding.priority)
        tells_reed = id_.removeprefix("finding-") not in whole(ruleset).elsewhere
        keys.append((rank, tells_reed, ways.index(finding.by.value) if finding.by else len(ways)))
    assert keys == sorted(keys)
    assert len(ids) == len(ruleset.findings)


def test_a_page_about_one_symptom_tells_what_may_be_behind_it_and_no_more() -> None:
    ruleset = bassoon()
    scope = about(ruleset, "low-late")
    assert scope is not None
    behind = {cause.id for cause in ruleset.causes if any(one.finding == "low-late" for one in cause.shows)}
    assert {cause.id for cause in scope.causes} == behind
    helping = {one.id for one in ruleset.operations if {effect.cause for effect in one.cures} & behind}
    assert {one.id for one in (*scope.remedies, *scope.rests)} == helping
    steps = [attrs for tag, attrs in Read(handout(scope)).tags if tag == "details" and "class" in attrs]
    assert len(steps) == len(scope.findings) + len(scope.causes) + len(scope.remedies) + len(scope.rests)
    assert [at for at, attrs in enumerate(steps) if "open" in attrs] == [0]
    text = " ".join(Read(handout(scope)).text.split())
    assert Read(handout(scope)).values("id").count("finding-low-late") == 1
    assert text.index("Is it this?") < text.index(ruleset.finding[FindingId("low-late")].ask)
    assert about(ruleset, "nothing") is None


def test_what_is_used_at_the_desk_comes_before_what_is_looked_up() -> None:
    sections = [id_ for id_ in Read(page_of(BASSOON)).values("id") if "-" not in id_ and id_ != "page"]
    assert sections == [
        *("how", "order", "questions", "remedies", "rests", "tools"),
        *("causes", "map", "places", "measures", "words", "sources"),
    ]


def test_entries_are_numbered_as_they_stand_and_every_number_leads_to_its_entry() -> None:
    page = page_of(BASSOON)
    ids = Read(page).values("id")
    heads = re.findall(r'class="number">([QCR])(\d+)<', page)
    for letter in "QCR":
        numbers = [int(number) for one, number in heads if one == letter]
        assert numbers == list(range(1, len(numbers) + 1))
    named = dict(re.findall(r'class="number">([QCR]\d+)</span>.*?id="([a-z0-9-]+)"', page, flags=re.DOTALL))
    links = re.findall(r'<a href="#([a-z0-9-]+)">([QCR]\d+)\b', page)
    assert links
    assert {to for to, _ in links} <= set(ids)
    assert [link for link in links if named[link[1]] != link[0]] == []


def inside(page: str, id_: str) -> str:
    """Give the part of a page that stands in one entry."""
    return page.split(f' id="{id_}">')[1].split("</details>", maxsplit=1)[0]


def steps_in(part: str) -> list[str]:
    return re.findall(r'href="#step-([a-z0-9-]+)"', part)


def test_behind_a_question_stands_what_helps_the_mildest_first_by_number_and_title() -> None:
    ruleset = bassoon()
    scope = about(ruleset, "crow-high")
    assert scope is not None
    part = inside(handout(scope), "finding-crow-high").split("the mildest first")[1]
    helps = [ruleset.operation[RemedyId(id_)] for id_ in steps_in(part)]
    assert {one.id for one in helps} == {one.id for one in (*scope.remedies, *scope.rests)}
    assert helps[0].id == "loosen-jaw"
    undo = [list(Undo).index(one.undo) for one in helps]
    assert undo == sorted(undo)
    assert part.count("cannot be undone") == sum(one.undo is Undo.NEVER for one in helps) > 0
    assert f">{scope.numbers['loosen-jaw']} {ruleset.operation[RemedyId('loosen-jaw')].title}</a>" in part


MILD = """
canebrake: 1
id: mild
title: Mild
version: 1.0.0
priorities: [{id: pitch, title: Pitch}]
opening: [dry]
symptoms: {high: {priority: pitch, title: High, ask: High?}}
signs:
  dry: {title: Dry, ask: Dry?}
  thin: {title: Too thin, ask: Thin already?}
  trusted: {title: Trusted too, ask: The trusted one too?}
causes:
  strong: {title: Strong, how_common: common, shows: {high: often}}
  bite: {title: Biting, how_common: common, elsewhere: true, shows: {high: rarely, trusted: often}}
  dried: {title: Dried, how_common: common, shows: {dry: always}}
  uneven: {title: Uneven, how_common: common, shows: {thin: often}}
remedies:
  cut: {title: Cut, do: Cut., undo: never, minutes: 1, cures: {strong: always}, unless: [thin],
    after: [level]}
  bend: {title: Bend, do: Bend., undo: partly, minutes: 1, cures: {strong: usually}, recheck: [high, thin]}
  press: {title: Press, do: Press., undo: fully, minutes: 9, cures: {strong: rarely}, after: [clip]}
  warm: {title: Warm, do: Warm., undo: fully, minutes: 3, cures: {strong: rarely}}
  relax: {title: Relax, do: Relax., undo: fully, minutes: 5, cures: {bite: often}}
  wet: {title: Wet, do: Wet., undo: fully, minutes: 2, cures: {dried: always}}
  clip: {title: Clip, do: Clip., undo: never, cures: {uneven: often}, provokes: {strong: 0.3}}
  rub: {title: Rub, do: Rub it hard., undo: never, cures: {uneven: often}, provokes: {strong: 0.04}}
  level: {title: Level, do: Level., undo: never, cures: {uneven: often}}
  idle: {title: Idle, do: Idle., undo: fully, cures: {uneven: rarely}}
"""


@cache
def mild() -> Ruleset:
    return usable(load_bytes("mild.yaml", MILD.encode()))


@cache
def high() -> str:
    scope = about(mild(), "high")
    assert scope is not None
    return handout(scope)


def test_what_spares_the_reed_and_then_what_is_quick_comes_first_whatever_its_chance() -> None:
    assert steps_in(inside(high(), "finding-high")) == ["relax", "warm", "press", "bend", "cut"]
    assert steps_in(inside(high(), "cause-strong")) == ["warm", "press", "bend", "cut"]
    cards = re.findall(r'class="inside" id="step-([a-z]+)"', high())
    assert cards == ["relax", "warm", "press", "bend", "cut"]


def test_what_may_bring_a_symptom_stands_apart_from_what_helps_and_nobody_is_told_how_it_is_done() -> None:
    text = " ".join(Read(high()).text.split())
    harms = high().split('id="harms"')[1].split("</section>")[0]
    assert "Not for this: it may make it worse" in harms
    assert "Clip" in harms
    assert "cannot be undone" in harms
    assert "Clip." not in text
    for left_out in ("Rub", "Idle"):  # hardly ever harms; mends something else
        assert left_out not in text
    drawn = Read(high().split('id="map"')[1].split("</section>")[0]).text
    assert "Cut" in drawn
    assert "Clip" not in drawn


def test_a_page_about_one_symptom_begins_with_the_routine_and_with_what_acquits_the_reed() -> None:
    text = " ".join(Read(high()).text.split())
    places = [text.index(said) for said in ("First things first", "Is it this?", "Is it the reed at all?")]
    assert places == sorted(places)
    assert "Dry?" in inside(high(), "finding-high") or "Always first" in text
    aid = inside(high(), "finding-dry")
    assert "Wet" in aid
    assert "see to that first" in aid
    bassoon_page = about(bassoon(), "crow-high")
    assert bassoon_page is not None
    assert "Enough for one day: 15 minutes or 4 steps" in Read(handout(bassoon_page)).text


@pytest.mark.parametrize("id_", ["low-late", "crow-high"])
def test_an_entry_has_one_number_on_every_page_of_a_ruleset(id_: str) -> None:
    scope = about(bassoon(), id_)
    assert scope is not None
    found = dict(
        re.findall(r'class="number">([QCR]\d+)</span>.*?id="([a-z0-9-]+)"', handout(scope), re.DOTALL)
    )
    every = dict(
        re.findall(r'class="number">([QCR]\d+)</span>.*?id="([a-z0-9-]+)"', page_of(BASSOON), re.DOTALL)
    )
    assert len(found) > 20
    assert found.items() <= every.items()


def test_what_guards_a_step_is_on_its_page_and_what_is_not_there_is_named_shortly() -> None:
    cut, bend = inside(high(), "step-cut"), inside(high(), "step-bend")
    assert 'href="#finding-thin"' in cut
    assert 'class="inside" id="finding-thin"' in high()
    assert 'href="#finding-high"' in bend
    assert 'href="#step-clip"' in inside(high(), "step-press")  # in the list of harms
    scope = about(bassoon(), "crow-high")
    assert scope is not None
    for one in scope.remedies:
        assert set(one.unless) <= scope.here


def test_what_comes_first_is_named_behind_the_trouble_that_calls_for_it() -> None:
    row = " ".join(Read(inside(high(), "step-cut")).text.split())
    numbers = whole(mild()).numbers
    assert f"Comes first, if it is neededwhere {numbers['uneven']} Uneven: {numbers['level']} Level" in row


def test_a_page_about_one_entry_carries_only_the_tools_words_measures_and_sources_that_it_names() -> None:
    scope = about(bassoon(), "crow-high")
    assert scope is not None
    page = handout(scope)
    listed = {
        value.removeprefix("source-") for value in Read(page).values("id") if value.startswith("source-")
    }
    linked = {link.removeprefix("#source-") for link in Read(page).values("href") if "#source-" in link}
    assert listed == linked
    tools = Read(page.split('id="tools"')[1].split("</section>")[0]).text
    used = {one.tool for one in (*scope.remedies, *scope.rests)}
    assert {tool.id for tool in bassoon().tools if tool.title in tools} == used
    words = Read(page.split('id="words"')[1].split("</section>")[0]).text
    assert "spine" in words
    assert "rotation" not in words
    assert len(page) < len(page_of(BASSOON)) / 5


def test_a_word_that_explains_a_word_of_the_page_is_explained_too() -> None:
    glossary = (
        ("strong", "of much blade"),
        ("blade, cane", "what vibrates"),
        ("竹", "bamboo"),
        ("oboe", "no"),
    )
    scope = about(replace(mild(), glossary=glossary), "high")
    assert scope is not None
    assert [word for word, _ in drawn_on(scope).glossary] == ["strong", "blade, cane"]


def test_a_legend_tells_the_signs_and_labels_that_are_on_the_page_and_no_others() -> None:
    legend = high().split("What the signs and labels mean")[1].split("</details>")[0]
    terms = re.findall(r"<dt[^>]*>(.*?)</dt>", legend)
    assert terms == [*"●○◆■", "Not if", "Comes first, if it is needed", "Then ask again", "May bring", "Undo"]
    assert "told in the handout of the whole" in Read(legend).text
    assert "Counts from" in re.findall(r"<dt[^>]*>(.*?)</dt>", page_of(BASSOON))


def test_the_whole_page_begins_with_a_quick_way_to_each_symptom_and_has_a_way_back() -> None:
    page = page_of(BASSOON)
    finder = page.split("Find what is wrong")[1].split("</section>")[0]
    symptoms = [one for one in bassoon().findings if one.priority is not None]
    assert set(re.findall(r'href="#finding-([a-z0-9-]+)"', finder)) == {one.id for one in symptoms}
    assert page.index("Find what is wrong") < page.index("How to use this page</h2>")
    assert 'href="#the-contents"' in page
    assert "Find what is wrong" not in high()


def test_a_part_of_the_map_is_named_by_what_shows_in_it() -> None:
    drawn = page_of(BASSOON).split('id="map"')[1]
    names = re.findall(r"<summary[^>]*>(.*?)</summary>", drawn)
    assert any(bassoon().finding[FindingId("crow-high")].title in name for name in names)
    # The parts at the end say what may be provoked: nothing in them helps.
    assert "What may bring it" in drawn
    assert "What may bring it" not in high()


def test_only_hazards_that_the_rules_have_are_warned_of() -> None:
    page = handout(whole(bassoon()))
    assert "Blades, files, reamers, mandrels, pliers and wire ends cut and slip." in page
    free = safety(replace(rich(), tools=tuple(one for one in rich().tools if one.hazard is Hazard.NONE)))
    assert "cut and slip" not in free
    assert "passes on what a mouth carries" in free


def test_what_days_bring_a_little_of_is_left_out_of_a_rest() -> None:
    brought = re.findall(r"May bring</dt><dd[^>]*>(.*?)</dd>", handout(whole(bassoon())))
    assert brought
    assert min(float(chance) for one in brought for chance in re.findall(r" (0\.\d+)", one)) >= 0.01


def reed_of(ruleset: Ruleset, name: str = "Alder 3", remark: str = "A remark.") -> str:
    whats: tuple[What, ...] = (
        SittingOpened(1, 21.0, 48.0),
        Answered(FindingId("late"), Answer.YES),
        Measured(QuantityId("tip-opening"), 1.7),
        RemedyDone(RemedyId("thin")),
        SittingOpened(2),
        Measured(QuantityId("tip-opening"), 1.3),
        Remarked(remark),
        Graded("rehearsal"),
    )
    entries = tuple(entry(number, what) for number, what in enumerate(whats))
    case, _ = case_of_entries(ruleset, entries)
    belief = believe(ruleset, case)
    told = replace(history(entries), name=name)
    scope = of_causes(ruleset, likely(belief))
    return reed_page(scope, ReedStory(told, entries, belief), known_of(name, ruleset, case, belief))


def test_a_reeds_page_tells_what_was_found_done_and_measured_with_pictures() -> None:
    read = Read(reed_of(rich()))
    text = " ".join(read.text.split())
    for said in ("Alder 3", "Sitting 1, 21 °C", "Late: yes", "Opening: 1.7 mm", "Done: Thin", "A remark.",
                 "Grade: rehearsal", "What may be behind it now", "The map"):  # fmt: skip
        assert said in text
    labels = read.values("aria-label")
    assert "Where: Done: Thin" in labels
    assert any("1.7 mm, 1.3 mm" in label for label in labels)
    assert any("within its target" in label for label in labels)


def test_a_sitting_without_a_word_says_so_and_a_lone_reading_without_a_target_is_told_not_drawn() -> None:
    free = replace(rich().quantities[0], target=None)
    whats: tuple[What, ...] = (
        SittingOpened(1),
        SittingOpened(2),
        Measured(QuantityId("tip-opening"), 1.7),
    )
    entries = tuple(entry(number, what) for number, what in enumerate(whats))
    ruleset = replace(rich(), quantities=(free,), thickness=())
    case, _ = case_of_entries(rich(), entries)
    belief = believe(rich(), case)
    story = ReedStory(history(entries), entries, belief)
    read = Read(reed_page(of_causes(ruleset, ()), story, known_of("x", rich(), case, belief)))
    text = " ".join(read.text.split())
    assert text.count("Nothing was noted.") == 1
    assert text.count("Opening: 1.7 mm") == 2  # in the history, and under what was measured
    assert not any("1.7 mm" in label for label in read.values("aria-label"))


def test_a_page_says_for_which_instrument_it_was_made_and_what_a_chance_means() -> None:
    text = " ".join(Read(handout(whole(rich()))).text.split())
    assert "Made for: bassoon. On another instrument the places" in text
    assert "8 such reeds out of 10 show it, not that the trouble is 8 in 10 likely" in text
    assert "Made for" not in Read(handout(whole(replace(rich(), instrument="")))).text


def test_words_of_the_tool_are_marked_on_a_page_in_another_language() -> None:
    german = Read(handout(whole(replace(rich(), language="de-AT"))))
    assert german.tags[0][1]["lang"] == "de-AT"
    headings = [attrs for tag, attrs in german.tags if tag == "h2"]
    assert all(attrs["lang"] == "en" for attrs in headings)
    assert Read(handout(whole(rich()))).values("lang") == ["en"]


def colours(part: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", part))


def test_text_can_be_read_by_day_and_in_the_dark() -> None:
    day, dark = STYLE.split("@media screen and (prefers-color-scheme: dark)")
    light = colours(day)
    for look in (light, light | colours(dark.split("}")[0])):
        # WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text.
        for text in ("ink", "quiet", "link"):
            assert contrast(look[text], look["ground"]) >= 4.5
            assert contrast(look[text], look["card"]) >= 4.5
        assert contrast(look["on-warn"], look["warn"]) >= 4.5


def test_text_in_drawings_can_be_read_in_the_dark() -> None:
    dark = STYLE.split("@media screen and (prefers-color-scheme: dark)")[1].split("@media print")[0]
    fills = re.findall(r"svg \.(?:symptom|sign|cause|remedy|rest) \.box[^{]*\{ fill: (#[0-9a-f]{6})", dark)
    assert len(fills) == 5
    found = {name: re.findall(rf"svg \.{name} {{ fill: (#[0-9a-f]{{6}})", dark) for name in ("ink", "quiet")}
    for fill in (*fills, colours(dark)["ground"], colours(dark)["card"]):
        assert contrast(found["ink"][0], fill) >= 4.5
        assert contrast(found["quiet"][0], fill) >= 4.5


def test_the_same_ruleset_gives_the_same_page_twice() -> None:
    assert handout(whole(rich())) == handout(whole(rich()))


def test_a_handout_is_written_as_html(tmp_path: Path) -> None:
    path = tmp_path / "page.html"
    ran = run_here(["handout", str(GOLDEN), "-o", str(path)], tmp_path)
    assert (ran.code, ran.out, ran.err) == (0, "", "")
    assert path.read_text(encoding="utf-8").startswith("<!DOCTYPE html>\n<html")


def test_a_handout_is_written_as_pdf(tmp_path: Path) -> None:
    pytest.importorskip("weasyprint", exc_type=ImportError)
    path = tmp_path / "page.pdf"
    ran = run_here(["handout", str(GOLDEN), "-o", str(path)], tmp_path)
    if ran.err == f"canebrake: {NO_PDF}.\n":
        pytest.skip("WeasyPrint is installed, and Pango is not")
    assert (ran.code, ran.err) == (0, "")
    assert path.read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize(
    "words, said",
    [
        (["-o", "page.txt"], "FILE.html or FILE.pdf"),
        (["-o", "page.html", "--about", "low-note-break"], "did you mean 'low-notes-break'"),
        (["-o", "page.html", "--reed", "Nobody"], "No reed is in the log yet"),
        (["-o", "page.html", "--reed", "A", "--about", "b"], "not allowed with"),
        (["-o", "no/such/folder/page.html"], "there is no folder"),
        ([], "-o"),
    ],
)
def test_what_cannot_be_written_says_why(words: list[str], said: str, tmp_path: Path) -> None:
    ran = run_here(["handout", str(GOLDEN), *words], tmp_path)
    assert ran.code == 2
    assert said in ran.err


def test_a_ruleset_of_nothing_is_still_a_page() -> None:
    read = Read(handout(whole(Ruleset(rich().id, "Nothing yet", "0.1.0"))))
    assert "Nothing yet" in read.text
