"""Uncertainty of a measuring tool from its resolution, its permissible error and how well it repeats."""

from __future__ import annotations

import math
from typing import Annotated, Any

from calculators.contract.cross_checks import ask_or_note, spread
from calculators.contract.declaration import Example, calculator
from calculators.contract.errors import Contradiction
from calculators.contract.inputs import Input
from calculators.contract.result import Answer, Value
from calculators.contract.sources import COMMON_PRACTICE, JCGM_100
from calculators.contract.units import Quantity

COVERAGE = 2
FEW_REPEATS = 5


def cross_check(entries: dict[str, Any]) -> list[str]:
    """Repeats of one place lie near each other."""
    repeats = entries.get("repeats")
    if repeats and spread(repeats) > 50 * entries["resolution"].quantity:
        return ask_or_note(
            entries, ["repeats", "resolution"], "the repeats differ by more than 50 times the resolution; they should be of one place"
        )
    return []


@calculator(
    title="Tool uncertainty",
    purpose="Find the uncertainty of a micrometer, caliper or dial indicator, for the entry “tool uncertainty” of the other calculators.",
    source=[JCGM_100.at("4.2, 4.3.7, 5.1.2, 6.2.1"), COMMON_PRACTICE],
    values=[
        Value("standard_uncertainty", "mm", "Standard uncertainty u"),
        Value("expanded_uncertainty", "mm", "Expanded uncertainty U (k = 2)"),
    ],
    formula=[
        "permissible error, as a rectangle: u₁ = permissible error / √3",
        "resolution, as a rectangle of half a step: u₂ = (resolution / 2) / √3",
        "repeats: u₃ = standard deviation of one reading, √(Σ(x − mean)² / (n − 1)); 0 where none are given",
        "u = √(u₁² + u₂² + u₃²)",
        "U = 2·u",
    ],
    limits_of_model=[
        "Cold part, cold tool, zero checked: a rotor 40 °C warmer than the tool adds about 0.01 mm (0.0004 in).",
        "The tool keeps its permissible error only while it is checked against a gauge block or a setting rod.",
        "U with k = 2 covers about 95 % where the errors are many and small; few repeats tell little.",
        "Repeat by taking the tool off and setting it again, at one marked place.",
    ],
    cautions=["hot-parts", "not-the-makers-manual"],
    example=Example(
        given={"resolution": "0.01", "permissible_error": "0.004", "repeats": "24.098; 24.100; 24.102"},
        printed={"standard_uncertainty": "0.00420 mm (0.000165 in)", "expanded_uncertainty": "0.00841 mm (0.000331 in)", "verdict": "none"},
        where="budget worked by hand: ±4 µm and a 10 µm step as rectangles, 2 µm repeat: u 4.203 µm, U 8.406 µm; the readings are made to repeat to 2 µm",
    ),
    cross_check=cross_check,
)  # fmt: skip
def tool_uncertainty(
    resolution: Annotated[
        Quantity,
        Input(["mm", "in"], "The smallest step the tool shows, or that is read between its marks.", "tool resolution", also=["µm", "thou"]),
    ],
    permissible_error: Annotated[
        Quantity,
        Input(
            ["mm", "in"],
            "The most the tool may be wrong, to either side, by its standard or its certificate.",
            "tool error",
            "Permissible error (±)",
            also=["µm", "thou"],
        ),
    ],
    repeats: Annotated[
        list[Quantity] | None,
        Input(["mm", "in"], "Readings of one place, two or more, five better.", "repeat readings", "Repeated readings", negative=True),
    ] = None,
) -> Answer:
    """The formulas of `tool-uncertainty`; lengths in any unit of length. Raises Contradiction."""
    if repeats is not None and len(repeats) < 2:
        raise Contradiction(
            "one reading repeats nothing; give two or more of one place, for example 24.10; 24.11; 24.10, or none", input="repeats"
        )
    parts = {
        "the permissible error": permissible_error.to("mm").magnitude / math.sqrt(3),
        "the resolution": resolution.to("mm").magnitude / 2 / math.sqrt(3),
        "the spread of the repeats": _standard_deviation(repeats),
    }
    u = Quantity(math.hypot(*parts.values()), "mm")
    notes = [f"The largest part is {max(parts, key=lambda part: parts[part])}."]
    if repeats is None:
        notes.append("No repeats given: the hand that holds the tool is not in the figure.")
    elif len(repeats) < FEW_REPEATS:
        notes.append(f"Fewer than {FEW_REPEATS} repeats: their spread is only a hint.")
    return Answer(values={"standard_uncertainty": u, "expanded_uncertainty": COVERAGE * u}, notes=notes)


def _standard_deviation(repeats: list[Quantity] | None) -> float:
    """Of one reading, in mm."""
    if repeats is None:
        return 0.0
    readings = [repeat.to("mm").magnitude for repeat in repeats]
    mean = math.fsum(readings) / len(readings)
    return math.sqrt(math.fsum((reading - mean) ** 2 for reading in readings) / (len(readings) - 1))
