"""Which questions can be judged by their words. Shared by the checks on wording."""

from kb.model import Finding, Ruleset


def in_english(ruleset: Ruleset) -> tuple[Finding, ...]:
    """Give the findings whose questions are English; of other languages these checks know no word."""
    return ruleset.findings if ruleset.language.partition("-")[0].lower() == "en" else ()


def english_words(text: str) -> list[str]:
    """Give the words of a text, in small letters and without the marks round them."""
    return [
        word for part in text.casefold().replace("-", " ").split() if (word := part.strip(".,;:!?()'\"/"))
    ]
