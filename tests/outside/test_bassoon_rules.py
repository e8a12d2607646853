"""Published rules for bassoon reeds: "if the reed does this, do that", asked of the ruleset and no more.

How a rule is asked is said in `tests/support/published.py`. Where the sources name several remedies, or
where a wire comes before the knife (Ajuste y raspado 2018; Colwell and others 2018), each of them may be
first.

The source stands with each case, by its id in the ruleset; docs/sources.md says how much of it was read.
`practice`: common practice, no source.
"""

import pytest

from kb.ids import SourceId
from tests.support.published import FIRST_OF_100, Rule, advised, right_at_once, rule, shipped, sources_behind

BASSOON = "bassoon"
CLOSE = ("flatten-wire-1", "narrow-wire-2")
OPEN = ("flatten-wire-2", "round-wire-1")
BREATH_AND_JAW = ("give-air", "loosen-jaw")
RULES = (
    rule("instrumental-music", "fast-low-f-fails", *OPEN),
    rule("instrumental-music", "tenor-f-fails", "flatten-wire-1"),
    rule("instrumental-music", "e-and-f-flat", "clip-hair", "flatten-wire-1"),
    rule("instrumental-music", "g3-sharp", "dust-blade"),
    rule("instrumental-music", "crow-high", "dust-blade", "scrape-back", "loosen-jaw"),
    rule("instrumental-music", "crow-deep", "clip-hair", "give-air"),
    rule("instrumental-music", "crow-silent", "tighten-wire-2", "tighten-wire-1", "soak"),
    rule("instrumental-music", "low-late", *OPEN, "loosen-jaw", "soak"),
    rule("instrumental-music", "high-fails", "flatten-wire-1", "thin-rails", *BREATH_AND_JAW),
    rule("instrumental-music", "no-hold", *OPEN),
    rule("instrumental-music", "opening-wide high-fails", "flatten-wire-1"),
    rule("instrumental-music", "opening-small low-late", *OPEN),
    rule("instrumental-music", "closes-in-play wire-2-tall", "flatten-wire-2", "round-wire-2"),
    rule("instrumental-music", "tonguing-slow", *CLOSE, "lighten-tongue"),
    rule("ajuste", "sound-dirty", "flatten-wire-2"),
    rule("ajuste", "sound-loose", "narrow-wire-2"),
    rule("zones-french", "sound-dark tip-thick", "thin-tip", "wash-film"),
    rule("zones-french", "dies-early", "thin-corners", "thin-tip", "flatten-wire-1", "give-air"),
    rule("zones-french", "buzzes", "tighten-wire-2", "tighten-wire-1", "polish", "round-corners"),
    rule("zones-french", "slurs-click heart-thick", "lighten-heart", "blend-heart", "practise-slur"),
    rule("zones-french", "start-late tip-thick", "thin-tip"),
    rule("wurmback", "low-late back-stiff", "scrape-back", *OPEN),
    rule("wurmback", "articulation-fluffy step-seen", "blend-transition"),
    rule("first-tone", "open-f-sags slur-better-turned", "turn-over"),
    rule("first-tone", "flat-everywhere better-with-air", "give-air"),
    rule("first-tone", "crow-high better-without-bite", "loosen-jaw"),
    rule("first-tone", "crow-deep crow-lacks-high", "clip-hair", "give-air"),
    rule("air-balance", "falls-when-soft", "give-air"),
    rule("picking", "c-sharp-flat", "shape-vowel", "clip-hair"),
    rule("longer-reeds", "crow-high low-late back-stiff", "scrape-back", "loosen-jaw"),
    rule("longer-reeds", "crow-high low-late hard-to-blow", "scrape-back", "dust-blade"),
    rule("low-notes-page", "low-late better-with-key-shut", "close-whisper-key"),
    rule("brusky-panic", "tenor-cracks other-reeds-too", "see-repairer", "change-bocal", "vent-in-time"),
    rule("burns", "tenor-cracks", "vent-in-time"),
    rule("burns", "low-late better-without-bite", "loosen-jaw"),
    rule("burns", "high-fails better-without-bite", "loosen-jaw"),
    rule("leaks", "leaks-at-bocal", "round-wire-3", "seat-straight"),
    rule("leaks", "leaks bubbles-at-tube", "seal-tube", "rebind", "tighten-wire-2"),
    rule("weblog-2010", "low-a-sharp other-reeds-too", "set-key-height"),
    rule("weblog-2010", "wide-slur-noise", "practise-slur"),
    rule("environment", "dead-today weather-turned", "wait-for-weather", "overnight"),
    rule("stees", "opening-small soaked-cold", "warm-soak"),
    rule("longer-life-2016", "wires-loosen-often", "damp-case"),
    rule("ewell-lectures", "closes-off-centre", "balance-blade", "balance-quarter"),
    rule("ewell-lectures", "quarters-uneven one-blade-stiffer", "balance-blade"),
    rule("ruiz", "hard-to-blow stiffer-than-before newly-made", "second-scrape", "flatten-wire-2"),
    rule("stowell", "sizzles", "blow-out-water"),
    rule("daye", "high-needs-force plaque-pinched", "wedge-in"),
    rule("reed-lore", "bites-to-pitch bocal-pitch-low", "clip-hair", "flatten-wire-1", "loosen-jaw"),
    rule("resistance-page", "high-fails rails-thick", "thin-rails", "flatten-wire-1"),
    rule("practice", "overblows", *OPEN),
    rule("practice", "opening-wide opening-small", "look-again"),
)


@pytest.mark.parametrize("published", RULES, ids=lambda one: one.name)
def test_the_published_remedy_is_among_the_first_three(published: Rule) -> None:
    assert set(published.first) & set(advised(BASSOON, published)[:3]), advised(BASSOON, published)[:5]


def test_the_published_remedy_comes_first_in_most_cases() -> None:
    assert right_at_once(BASSOON, RULES) * 100 >= FIRST_OF_100 * len(RULES)


@pytest.mark.parametrize("published", RULES, ids=lambda one: one.name)
def test_the_ruleset_itself_names_the_source_of_the_rule(published: Rule) -> None:
    assert SourceId(published.source) in sources_behind(shipped(BASSOON), published)
