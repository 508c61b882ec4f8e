"""Numbers as a shop writes them: 24.1, 24,1, .949, 15/16, 1 1/32, 1½, −0.02. No units here."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from calculators.contract.units import Unit

MOST_DIGITS = 15  # what a binary float holds; more is a slip of the finger
MINUS = str.maketrans({"−": "-", "–": "-", "‒": "-", "⁄": "/", "∕": "/"})

A_COMMA = "a comma before three digits may be a decimal comma or a thousands comma"

# The longest start of an entry that is a number: mixed number, fraction, groups of three after a space, digits.
NUMBER = re.compile(
    r"[+-]?\s*(?:[0-9]+(?:\s+|-)[0-9]+\s*/\s*[0-9]+|[0-9]+\s*/\s*[0-9]+"
    r"|[0-9]{1,3}(?:\s[0-9]{3})+(?![0-9])(?:[.,][0-9]+)?|[0-9.,]*[0-9])"
)
FRACTION = re.compile(r"(?:([0-9]+)(?:\s+|-))?([0-9]+)\s*/\s*([0-9]+)")
THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?")
SPACED_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(?:\s[0-9]{3})+(?:[.,][0-9]+)?")


class NumberError(ValueError):
    """Not a number; `reason` says why in a few words."""

    def __init__(self, reason: str):
        self.reason = reason
        super().__init__(reason)


class NumberQuestion(ValueError):
    """A number only a person can read: `readings` are the ways to read it, `why` what made it doubtful."""

    def __init__(self, why: str, readings: list[Number]):
        self.why = why
        self.readings = readings
        self.unit: Unit | None = None  # this and the next are filled in by who knows them
        self.typed = ""
        super().__init__(why)


@dataclass(frozen=True)
class Number:
    """A number as read: `text` can be typed again, `decimals` and `denominator` say how finely it was read."""

    value: float
    text: str
    decimals: int = 0
    denominator: int = 1

    def negative(self) -> Number:
        """The same number below zero."""
        return replace(self, value=-self.value, text=f"-{self.text}")

    @property
    def step(self) -> float:
        """One step of the last digit, or one over the denominator: what the entry can tell apart."""
        return 1 / self.denominator if self.denominator > 1 else 10.0**-self.decimals

    @property
    def fineness(self) -> tuple[int, int]:
        """Orders entries by how finely they are written: decimals first, then fractions, then whole numbers."""
        return (self.decimals, self.denominator)


def plain(text: str) -> str:
    """Text with one kind of minus, slash and space, and vulgar fractions spelled out: «1½» is «1 1/2»."""
    spelled_out = []
    for character in text:
        fraction = unicodedata.decomposition(character).startswith("<fraction>")
        spelled_out.append(" " + unicodedata.normalize("NFKC", character) if fraction else character)
    text = "".join(spelled_out).translate(MINUS)
    return re.sub(r"[^\S\n]", " ", text).strip()


def read_number(text: str, driven_distance: bool = False) -> Number:
    """The text as a number.

    A comma or a space before three digits separates thousands in a driven distance, and only there.
    Raises NumberError; NumberQuestion where a person must be asked (1,500 and 11/4).
    """
    text = plain(text)
    sign = text[:1] if text[:1] in ("+", "-") else ""
    text = text[len(sign) :].lstrip()
    if sum(character.isdigit() for character in text) > MOST_DIGITS:
        raise NumberError(f"it has more than {MOST_DIGITS} digits")
    try:
        number = _read_fraction(text) if "/" in text else _read_decimal(text, driven_distance)
    except NumberQuestion as question:
        if sign == "-":
            question.readings = [number.negative() for number in question.readings]
        raise
    return number.negative() if sign == "-" else number


def _read_fraction(text: str) -> Number:
    match = FRACTION.fullmatch(text)
    if not match:
        raise NumberError("it is not a fraction")
    whole, over, under = match[1], int(match[2]), int(match[3])
    if under == 0:
        raise NumberError("a fraction cannot have 0 below the line")
    if over < under:
        return _mixed(int(whole or 0), over, under)
    if whole:
        raise NumberError(f"{over}/{under} is not a proper fraction")
    raise NumberQuestion("a fraction over 1 may have lost a space", _improper(match[2], under))


def _improper(over: str, under: int) -> list[Number]:
    """11/4 is 2 3/4, or 1 1/4 with the space left out."""
    readings = [_mixed(int(over) // under, int(over) % under, under)]
    for cut in range(1, len(over)):
        whole, rest = int(over[:cut]), int(over[cut:])
        if 0 < rest < under and over[cut] != "0":
            readings.append(_mixed(whole, rest, under))
    return readings


def _mixed(whole: int, over: int, under: int) -> Number:
    value = whole + over / under
    fraction = f"{over}/{under}" if over else ""
    text = " ".join(part for part in (str(whole) if whole or not over else "", fraction) if part)
    return Number(value, text, denominator=under)


def _read_decimal(text: str, driven_distance: bool) -> Number:
    if re.fullmatch(r"[0-9]+|[0-9]*\.[0-9]+", text):
        return _decimal(text)
    if driven_distance and SPACED_THOUSANDS.fullmatch(text):
        return _decimal(re.sub(r"\s", "", text).replace(",", "."))
    if THOUSANDS.fullmatch(text) and ("." in text or driven_distance):
        return _decimal(text.replace(",", ""))
    if re.fullmatch(r"[0-9]*,[0-9]+", text):
        before, after = text.split(",")
        as_decimal = _decimal(f"{before}.{after}")
        if len(after) != 3 or before in ("", "0"):
            return as_decimal
        as_thousands = [_decimal(before + after)] if THOUSANDS.fullmatch(text) else []
        raise NumberQuestion(A_COMMA, [as_decimal, *as_thousands])
    if THOUSANDS.fullmatch(text):
        raise NumberQuestion(A_COMMA, [_decimal(text.replace(",", ""))])
    raise NumberError("its points, commas and digits do not make a number")


def _decimal(text: str) -> Number:
    whole, _, decimals = text.partition(".")
    whole = whole.lstrip("0") or "0"
    text = f"{whole}.{decimals}" if decimals else whole
    return Number(float(text), text, decimals=len(decimals))
