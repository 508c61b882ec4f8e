"""An entry as it is written in a shop, taken apart into number and unit; lists of entries.

pint never sees a reader's text: «10 Nm» and «3,750» mean something else to it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from calculators.contract.numerals import NUMBER, Number, NumberError, NumberQuestion, plain, read_number
from calculators.contract.units import INCH_MARKS, UNITS_OF, Quantity, Unit, adopt, spelled, symbols_of

NO_BREAK_SPACE = "\N{NO-BREAK SPACE}"

FEET_AND_INCHES = re.compile(r"([0-9]+)\s*(?:ft|feet|foot|')\s*([0-9][0-9./\s]*?)\s*(?:in|inches|inch|\"|'')", re.I)
INCH_THREAD = re.compile(
    r"(?:#?[0-9]+|[0-9]+/[0-9]+|[0-9]+[\s-][0-9]+/[0-9]+|[0-9]*\.[0-9]+)\s*\"?\s*-\s*([0-9]+)(?:\s*UN[A-Z]*)?(?:[\s-]*[123][AB])?", re.I
)
METRIC_THREAD = re.compile(r"M\s*([0-9]+(?:[.,][0-9]+)?)(?:\s*[x×*]\s*([0-9]+(?:[.,][0-9]+)?))?", re.I)
RATIO = re.compile(r"([0-9.,]+)\s*:\s*1")


class EntryTextError(ValueError):
    """Text that is no entry of this kind; `reason` says why."""

    def __init__(self, reason: str):
        self.reason = reason
        super().__init__(reason)


@dataclass(frozen=True)
class Entry:
    """One entry: as typed, its number and unit as understood, and whether the unit was typed."""

    typed: str
    number: Number
    unit: Unit
    unit_typed: bool
    default: bool = False

    @property
    def quantity(self) -> Quantity:
        """The entry as a quantity; converted once, here."""
        return self.unit.quantity(self.number.value)

    @property
    def again(self) -> str:
        """The entry with its unit, to be typed again."""
        return f"{self.number.text} {self.unit.symbol}".strip()


@dataclass(frozen=True)
class Whole:
    """A whole number or a choice, as typed and as understood."""

    typed: str
    value: int | str
    default: bool = False


def single(entry: Entry | Whole | list[Entry]) -> Entry:
    """The entry of an input that takes one quantity. Raises TypeError for any other input: no value is held against it."""
    if not isinstance(entry, Entry):
        raise TypeError(f"{entry} is not one quantity")
    return entry


def split_list(text: str) -> list[str]:
    """The entries of a list: semicolons, new lines, comma and space, or spaces where nothing is a fraction.

    Raises EntryTextError on an empty place between two separators or fractions parted by spaces alone.
    """
    text = plain(text).strip("\n")
    pieces = [piece.strip() for piece in re.split(r"[;,]?\s*\n\s*|;|,\s+", text.rstrip("; \n,"))]
    if len(pieces) == 1:
        return _split_spaces(pieces[0])
    if "" in pieces:
        raise EntryTextError("there is an empty place between two separators")
    return pieces


def _split_spaces(text: str) -> list[str]:
    text = re.sub(r"^([+-])\s+", r"\1", text)
    words = re.split(r"\s+(?=[+-]?[0-9.,]*[0-9])", text)
    if len(words) == 1 or FEET_AND_INCHES.fullmatch(text):
        return [text]
    if FEET_AND_INCHES.search(text):
        raise EntryTextError("feet and inches are parted from the next entry by a semicolon")
    if re.search(r"[0-9]\s*/\s*[0-9]", text):
        match = NUMBER.match(text)
        if match and not re.search("[0-9]", text[match.end() :]):
            return [text]
        raise EntryTextError("fractions are parted by semicolons, as in 15/16; 1 1/32")
    if any(word.endswith(("+", "-")) for word in words):
        raise EntryTextError("a sign stands right before its number, as in -0.02 0.01")
    return words


def read_unit(text: str, kind: str) -> Unit | None:
    """The unit of this kind the text spells; None for no text. Raises EntryTextError."""
    if not text.strip():
        return None
    if re.fullmatch(r"m[pP][aA]", text.strip()):
        raise EntryTextError("mPa is a thousandth of a pascal; write MPa, bar or psi")
    word = spelled(text)
    if word in UNITS_OF[kind] and word:
        return UNITS_OF[kind][word]
    if word.startswith("us") and word[2:] in UNITS_OF[kind]:
        return UNITS_OF[kind][word[2:]]
    for other, units in UNITS_OF.items():
        if word in units and word:
            raise EntryTextError(f"{units[word].symbol} is a unit of {other}, not of {kind}")
    raise EntryTextError(f"the unit “{text.strip()[:20]}” is not known here ({', '.join(symbols_of(kind)) or 'none'})")


def read_entry(text: str, kind: str, default_unit: Unit) -> Entry:
    """One entry of this kind; a bare number is in the default unit.

    Raises EntryTextError or NumberError; NumberQuestion where a person must be asked.
    """
    typed = text.strip()
    text = plain(text).translate(INCH_MARKS)
    special = _special_form(text, kind)
    if special:
        return Entry(typed, *special, unit_typed=True)
    number_text, unit_text = take_apart(text)
    unit = read_unit(unit_text, kind)
    try:
        number = read_number(number_text, driven_distance=kind == "distance")
    except NumberQuestion as question:
        question.unit = unit
        raise
    if kind == "share" and unit is None and number.value > 1:
        raise ShareQuestion(number)
    return Entry(typed, number, unit or default_unit, unit_typed=unit is not None)


def typed_in(given: object, kind: str) -> bool:
    """Whether an entry, as text or as a quantity, has a unit of this kind that was typed."""
    unit = next(iter(UNITS_OF[kind].values()))
    if hasattr(given, "magnitude"):
        try:
            return adopt(given).check(unit.quantity(1).dimensionality)
        except Exception:  # pint's errors share no parent below Exception
            return False
    if not isinstance(given, str):
        return False
    text = plain(given).translate(INCH_MARKS)
    try:
        return _special_form(text, kind) is not None or read_unit(take_apart(text)[1], kind) is not None
    except NumberQuestion:
        return True
    except (EntryTextError, NumberError):
        return False


class ShareQuestion(ValueError):
    """A bare number over 1 where a fraction is expected: 10 may be 10 %."""

    def __init__(self, number: Number):
        self.number = number
        self.typed = ""  # filled in by who knows it
        super().__init__(number.text)


def take_apart(text: str) -> tuple[str, str]:
    """Number text and unit text of one entry. Raises EntryTextError, with the reason a person needs."""
    lowered = text.casefold().lstrip("+- ")
    if re.match(r"nan\b|inf", lowered):
        raise EntryTextError("not a number")
    match = NUMBER.match(text)
    if not match:
        raise EntryTextError("it does not start with a number")
    number, rest = match[0], text[match.end() :]
    if re.match(r"e[+-]?[0-9]", rest, re.I) or re.match(r"\s*[x×*]\s*10", rest):
        raise EntryTextError("powers of ten are not taken; write the digits out")
    if re.match(r"\s*-\s*[0-9]", rest):
        raise EntryTextError("a range is not one reading")
    if re.match(r"\s*[+-]?\s*[0-9]|\s*;|\s*,", rest) or re.search(r"[;\n]", rest):
        raise EntryTextError("this place takes one entry")
    if re.match(r"\.\s*$|\.\s", rest):
        raise EntryTextError("a number does not end with a point")
    return number, rest


def _special_form(text: str, kind: str) -> tuple[Number, Unit] | None:
    """Number and unit of the forms that are more than number and unit: threads, ratios, feet and inches."""
    units = UNITS_OF[kind]
    if kind == "pitch" and (match := INCH_THREAD.fullmatch(text)):
        if int(match[1]) == 0:
            raise EntryTextError("a count of threads is above 0")
        return read_number(match[1]), units["tpi"]
    if kind in ("pitch", "diameter") and (match := METRIC_THREAD.fullmatch(text)):
        size = match[1] if kind == "diameter" else match[2]
        if not size:
            raise EntryTextError(f"M{match[1]} does not tell its pitch")
        return read_number(size), units["mm"]
    if kind == "diameter" and (match := INCH_THREAD.fullmatch(text)) and not text.startswith("#"):
        return read_number(text[: match.start(1)].rstrip('" -')), units["in"]
    if kind == "ratio" and (match := RATIO.fullmatch(text)):
        return read_number(match[1]), units[""]
    if kind == "length" and (match := FEET_AND_INCHES.fullmatch(text)):
        inches = read_number(match[2])
        if inches.value >= 12:
            raise EntryTextError("12 inches or more after feet are two entries: part them by a semicolon")
        value = int(match[1]) * 12 + inches.value
        return Number(value, f"{value:.10f}".rstrip("0").rstrip("."), inches.decimals), units["in"]
    return None


__all__ = ["Entry", "EntryTextError", "NumberError", "NumberQuestion", "ShareQuestion", "Whole", "read_entry", "split_list", "typed_in"]
