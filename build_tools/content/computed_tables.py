"""Tables that are worked out from the calculators' own data, so that a figure stands in one place only."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from calculators.bolt_clamp import proof_stress, stress_area
from calculators.contract.printing import fixed
from calculators.contract.units import Quantity, unit_named
from calculators.shared.brake_fluids import GRADES
from calculators.wheel_nut_pattern import SEQUENCES

Rows = tuple[list[str], list[list[str]]]  # columns, rows

Work = Callable[[], Rows]

TABLES: dict[str, Work] = {}
"""By name, as a reference page's `computed:` calls it."""


def table(name: str) -> Callable[[Work], Work]:
    """Registers a function that gives the columns and rows of a table."""

    def register(work: Work) -> Work:
        TABLES[name] = work
        return work

    return register


@table("unit-conversion")
def unit_conversion() -> Rows:
    """One of each unit in the other system, by exact definitions (NIST SP 811, App. B)."""
    pairs = [
        ("length", "in", "mm"),
        ("length", "thou", "mm"),
        ("length", "ft", "m"),
        ("distance", "mi", "km"),
        ("torque", "lbf·ft", "N·m"),
        ("torque", "lbf·in", "N·m"),
        ("torque", "kgf·m", "N·m"),
        ("pressure", "psi", "kPa"),
        ("pressure", "bar", "psi"),
        ("pressure", "inHg", "kPa"),
        ("volume", "US fl oz", "mL"),
        ("volume", "US pt", "mL"),
        ("volume", "US qt", "L"),
        ("force", "lbf", "N"),
        ("mass", "lb", "kg"),
        ("mass", "oz", "g"),
        ("area", "in²", "mm²"),
    ]
    rows = []
    for kind, one, other in pairs:
        there = unit_named(other, kind).magnitude(unit_named(one, kind).quantity(1))
        rows.append([f"1 {one}", f"{_figures(there)} {other}", f"1 {other}", f"{_figures(1 / there)} {one}"])
    return ["One", "is", "One", "is"], rows


@table("inch-fractions")
def inch_fractions() -> Rows:
    """Thirty-seconds of an inch in thousandths and millimetres; exact by definition (1 in = 25.4 mm)."""
    rows = []
    for count in range(1, 33):
        fraction = Fraction(count, 32)
        rows.append([f"{fraction} in", f"{fixed(float(fraction), 4)} in", f"{fixed(float(fraction) * 25.4, 2)} mm"])
    return ["Fraction", "Decimal", "Metric"], rows


@table("fluid-grades")
def fluid_grades() -> Rows:
    """Limits of new fluid by grade, from calculators/shared/brake_fluids.py."""
    rows = []
    for grade in GRADES.values():
        memory = " (from memory)" if "most_at_cold" in grade.from_memory else ""
        rows.append(
            [
                grade.name,
                _celsius(grade.dry),
                _celsius(grade.wet),
                f"{grade.most_at_cold:,.0f} mm²/s{memory}",
                f"{grade.least_at_hot} mm²/s",
            ]
        )
    return [
        "Grade",
        "Boils, dry, at least at",
        "Boils, wet, at least at",
        "Viscosity at −40 °C, at most",
        "Viscosity at 100 °C, at least",
    ], rows


THREADS = (
    (6, 1.0),
    (8, 1.25),
    (8, 1.0),
    (10, 1.5),
    (10, 1.25),
    (12, 1.75),
    (12, 1.5),
    (12, 1.25),
    (14, 2.0),
    (14, 1.5),
    (16, 2.0),
    (16, 1.5),
)
CLASSES = ("8.8", "10.9")
DRY, OILED, SHARE = 0.20, 0.15, 0.75


@table("bolt-torque")
def bolt_torque() -> Rows:
    """Torque that clamps at 75 % of the proof load, dry and oiled, from the stress areas and proof stresses of calculators/bolt_clamp.py."""
    rows = []
    for diameter, pitch in THREADS:
        row = [f"M{diameter} × {pitch:g}"]
        for name in CLASSES:
            d = Quantity(diameter, "mm")
            clamp = SHARE * proof_stress(d, name) * stress_area(d, Quantity(pitch, "mm"), name)
            row += [_torque(factor * clamp * d) for factor in (OILED, DRY)]
        rows.append(row)
    return ["Thread", *(f"Class {name}, {state}" for name in CLASSES for state in ("oiled", "dry"))], rows


@table("wheel-nut-order")
def wheel_nut_order() -> Rows:
    """The order of tightening by the number of studs, from calculators/wheel_nut_pattern.py."""
    return ["Studs, numbered clockwise", "Order"], [[str(studs), ", ".join(map(str, order))] for studs, order in SEQUENCES.items()]


SPINDLES = (
    ("3/4 in, 16 to the inch", "16", "TPI"),
    ("3/4 in, 20 to the inch", "20", "TPI"),
    ("1 in, 14 to the inch", "14", "TPI"),
    ("24 mm, pitch 1.5 mm", "1.5", "mm"),
    ("24 mm, pitch 2 mm", "2", "mm"),
)
STEPS = (("six slots, one hole", 60), ("six slots, two holes at 90°", 30), ("sheet lock, steps of 15°", 15))


@table("lock-steps")
def lock_steps() -> Rows:
    """Travel along the thread for one step of the lock: pitch × angle / 360°."""
    rows = []
    for name, number, unit in SPINDLES:
        pitch = 25.4 / float(number) if unit == "TPI" else float(number)
        rows.append([name, *(f"{fixed(pitch * angle / 360, 3)} mm ({fixed(pitch * angle / 360 / 25.4, 4)} in)" for _, angle in STEPS)])
    return ["Spindle thread", *(f"One step, {name}" for name, _ in STEPS)], rows


def _figures(number: float) -> str:
    """At most six figures, without zeros at the end."""
    text = f"{number:.6g}"
    return text if "e" not in text else f"{number:.8f}".rstrip("0")


def _celsius(degrees: float) -> str:
    return f"{degrees:g} °C ({degrees * 9 / 5 + 32:g} °F)"


def _torque(quantity: Quantity) -> str:
    metric = quantity.to("newton * meter").magnitude
    inch = quantity.to("foot_pound").magnitude
    return f"{metric:.0f} N·m ({inch:.0f} lbf·ft)"
