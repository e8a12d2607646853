"""What a plain YAML word stands for, by the core schema of YAML 1.2.

Separate because it is a table of rules from a standard (YAML 1.2.2, section 10.3.2), and small
enough to check against it line by line. `yes`, `no`, `on`, `off` are words; `1:30` is text.
"""

import re
from typing import Final

from kb.value import Scalar

_NULL: Final = frozenset({"", "~", "null", "Null", "NULL"})
_TRUE: Final = frozenset({"true", "True", "TRUE"})
_FALSE: Final = frozenset({"false", "False", "FALSE"})
_INT: Final = re.compile(r"[-+]?[0-9]+")
_OCTAL: Final = re.compile(r"0o[0-7]+")
_HEX: Final = re.compile(r"0x[0-9a-fA-F]+")
_FLOAT: Final = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_NO_NUMBER: Final = re.compile(r"[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)")

_NUMBERS_BEGIN: Final = frozenset("0123456789+-.")
_MAY_BE_MORE: Final = _NUMBERS_BEGIN | frozenset("~nNtTfF")
"""First characters of all that is not text; most words are told apart by their first letter."""

_DIGITS: Final = 18
"""More digits than any measure has; Python itself refuses thousands of them with an exception."""


class ImpossibleNumberError(ValueError):
    """Written like a number, and none that could be meant. Its text says why."""


def meaning(text: str) -> Scalar:
    """Give what a plain word stands for.

    >>> meaning("no"), meaning("0.5"), meaning("12"), meaning("1:30"), meaning("~")
    ('no', 0.5, 12, '1:30', None)

    Raises `ImpossibleNumberError` for infinity, for not-a-number, and for more digits than 18.
    """
    if text and text[0] not in _MAY_BE_MORE:
        return text
    if text in _NULL:
        return None
    if text in _TRUE:
        return True
    if text in _FALSE:
        return False
    return _number(text) if text[0] in _NUMBERS_BEGIN else text


def _number(text: str) -> Scalar:
    """Give the number, or the text itself when it is none."""
    # What numbers mostly look like comes first: no text has two of these forms.
    if _INT.fullmatch(text):
        return _whole(text, 10)
    if _FLOAT.fullmatch(text):
        return _finite(text)
    if _OCTAL.fullmatch(text):
        return _whole(text, 8)
    if _HEX.fullmatch(text):
        return _whole(text, 16)
    if _NO_NUMBER.fullmatch(text):
        raise ImpossibleNumberError(f"{text} is no number that can be measured")
    return text


def _whole(text: str, base: int) -> int:
    if len(text.lstrip("+-")) > _DIGITS + (base != 10) * 2:
        raise ImpossibleNumberError(f"this number has more than {_DIGITS} digits")
    return int(text, base)


def _finite(text: str) -> float:
    number = float(text)
    if number in {float("inf"), float("-inf")}:
        raise ImpossibleNumberError("this number is too large for any measure")
    return number
