"""What can be wrong with an entry. Every error is a ValueError with its facts as attributes."""

from __future__ import annotations

from dataclasses import dataclass

BOX = "\N{WHITE SQUARE}"  # for signs that do not print, or turn a line round


@dataclass(frozen=True)
class Candidate:
    """One way to read an ambiguous entry: `entry` can be typed as it stands, `text` is for the reader."""

    entry: str
    text: str


class EntryError(ValueError):
    """An entry that cannot be used.

    `input` is the input's name (None: the call as a whole), `typed` what was read,
    `message` one line with what was read, what is expected and a correct example.
    """

    def __init__(self, message: str, *, input: str | None = None, typed: str = ""):
        self.message = "".join(sign if sign.isprintable() else BOX for sign in " ".join(message.split()))
        self.input = input
        self.typed = typed
        super().__init__(message)

    def __str__(self) -> str:
        return f"{self.input}: {self.message}" if self.input else self.message


class UnreadableEntry(EntryError):
    """Text that is not a number with a known unit, an integer, or one of the choices."""


class OutOfBand(EntryError):
    """A value outside the hard band: no such part exists."""


class MissingInput(EntryError):
    """A required input was not given."""


class UnknownInput(EntryError):
    """The calculator has no input of this name."""


class UnknownCalculator(EntryError):
    """No calculator of this name."""


class Contradiction(EntryError):
    """Entries that cannot all be true together."""


class AmbiguousEntry(EntryError):
    """An entry that can be read in more than one way; `candidates` are the readings."""

    def __init__(self, message: str, candidates: list[Candidate], *, input: str | None = None, typed: str = ""):
        self.candidates = candidates
        super().__init__(message, input=input, typed=typed)


class ExampleDiffers(ValueError):
    """A worked example does not print what it says; `differences` lists (value, says, prints)."""

    def __init__(self, calculator: str, differences: list[tuple[str, str, str]]):
        self.calculator = calculator
        self.differences = differences
        super().__init__(f"{calculator}: " + "; ".join(f"{n} says {a!r}, prints {b!r}" for n, a, b in differences))
