"""Which values are usual for a part, unusual (asked about once) or impossible (refused). Data: edit here.

The usual edges take what is common; the hard ones refuse only what cannot be, so that what is rare but published is
asked about once (tests/calculators/published_values.csv holds such figures with their sources).
Every band is engineering judgement (common practice, from memory) unless its note names a source; none is a
vehicle's specification. Both columns are kept as printed in trade tables, rounded in each system; a value is in a
band if either column holds it, so that the same length is never judged differently in another unit.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Edges:
    """Hard low, usual low, usual high, hard high, in one unit."""

    unit: str
    hard_low: float
    low: float
    high: float
    hard_high: float


def edges(unit: str, low: float, high: float, hard_low: float | None = None, hard_high: float | None = None) -> Edges:
    """Edges of a band; hard edges are the usual ones where they are not given."""
    return Edges(unit, low if hard_low is None else hard_low, low, high, high if hard_high is None else hard_high)


@dataclass(frozen=True)
class Band:
    """The three bands of one kind of entry, and when a bare entry is asked about although it is usual.

    `ask_between`: (unit, from, to) where a bare number is more likely another unit.
    `ask_span`: (unit, below, above): the spread of a whole list of bare numbers that is asked about.
    `must_type`: the unit must always be typed: both readings are plausible and judge differently.
    `zero`: 0 is taken although it lies outside. `below_zero`: values at or under zero are taken; the calculator
    answers them (targets of preloaded designs).
    """

    edges: tuple[Edges, ...]
    below: str = "lower than expected here"
    above: str = "higher than expected here"
    examples: tuple[str, str] = ("", "")
    ask_between: tuple[tuple[str, float, float], ...] = field(default=())
    ask_span: tuple[tuple[str, float, float], ...] = field(default=())
    ask_why: str = "it could be in the other unit"
    must_type: bool = False
    zero: bool = False
    below_zero: bool = False
    note: str = ""


BANDS: dict[str, Band] = {
    "rotor thickness": Band(
        (edges("mm", 5, 55, 2.5, 62), edges("in", 0.197, 2.165, 0.098, 2.44)),
        "thinner than any rotor", "thicker than any rotor", ("24.1 mm", "0.949 in"),
        note="Solid rear about 7 to 14 mm, vented front about 18 to 40 mm.",
    ),
    "thickness variation limit": Band(
        (edges("mm", 0.005, 0.05, 0.003, 0.30), edges("in", 0.0002, 0.002, 0.00012, 0.012)),
        "finer than any variation limit", "coarser than any variation limit", ("0.015 mm", "0.0005 in"),
        ask_between=(("mm", 0.003, 0.0099999),), ask_why="that is finer than most limits in mm",
        note="0.0005 in: TM 9-2320-289-34 p. 7-3. 0.015 mm, new part: UN R90. 0.005 in is printed in a public-domain army manual (its number not kept).",
    ),
    "scoring depth": Band(
        (edges("mm", 0, 1.5, 0, 5), edges("in", 0, 0.059, 0, 0.197)),
        above="deeper than scoring goes", examples=("0.3 mm", "0.012 in"),
        ask_between=(("mm", 1e-9, 0.0599999),), ask_why="that is finer than a groove can be read in mm",
        note="Normal up to 0.015 in (0.38 mm): TM 9-2320-289-34 p. 7-3.",
    ),
    "points": Band((edges("", 2, 72),), examples=("8", "8")),
    "cut per side": Band(
        (edges("mm", 0.03, 0.4, 0.02, 0.5), edges("in", 0.0012, 0.016, 0.0008, 0.020)),
        "finer than a lathe cuts", "deeper than a rotor is cut at once", ("0.1 mm", "0.004 in"),
    ),
    "tool uncertainty": Band(
        (edges("mm", 0.002, 0.05, 0.001, 0.2), edges("in", 0.00008, 0.002, 0.00004, 0.008)),
        "finer than any shop tool", "coarser than any measuring tool", ("0.01 mm", "0.0004 in"), zero=True,
        note="Expanded, k = 2. Micrometer about 0.01 mm, vernier caliper about 0.05 mm.",
    ),
    "pad lining": Band(
        (edges("mm", 1, 16, 0, 22), edges("in", 0.039, 0.63, 0, 0.88)),
        "thinner than a lining in use", "thicker than any lining: was the backing plate included", ("6.5 mm", "0.256 in"),
    ),
    "pad lining limit": Band(
        (edges("mm", 1, 6, 0.5, 8), edges("in", 0.039, 0.236, 0.02, 0.315)),
        "thinner than any lining limit", "thicker than any lining limit", ("2.0 mm", "0.079 in"),
        note="1/32 in over rivets, 1/16 in bonded: 49 CFR 570.59(c), over 10,000 lb. 1.6 mm: 49 CFR 393.47.",
    ),
    "pad lining new": Band(
        (edges("mm", 6, 18, 4, 22), edges("in", 0.236, 0.71, 0.157, 0.88)),
        "thinner than any new lining", "thicker than any new lining", ("11 mm", "0.433 in"),
    ),
    "pad backing plate": Band(
        (edges("mm", 3, 9, 1.5, 15), edges("in", 0.118, 0.354, 0.0591, 0.591)), examples=("5 mm", "0.197 in"),
    ),
    "pad difference limit": Band(
        (edges("mm", 0.5, 4, 0.3, 6), edges("in", 0.020, 0.157, 0.012, 0.236)), examples=("1.6 mm", "0.063 in"),
    ),
    "runout limit": Band(
        (edges("mm", 0.025, 0.15, 0.015, 0.36), edges("in", 0.001, 0.006, 0.0006, 0.014)),
        "finer than any runout limit", "coarser than any runout limit", ("0.10 mm", "0.004 in"),
        note="0.004 in: TM 9-2320-289-34 p. 7-3. 0.050 mm, new part alone: UN R90.",
    ),
    "hub runout limit": Band(
        (edges("mm", 0.010, 0.10, 0.008, 0.19), edges("in", 0.0004, 0.004, 0.0003, 0.0075)),
        examples=("0.03 mm", "0.0012 in"),
    ),
    "runout readings": Band(
        (edges("mm", -1, 1, -3, 3), edges("in", -0.039, 0.039, -0.118, 0.118)),
        "beyond an indicator's travel", "beyond an indicator's travel", ("0.02 mm", "0.001 in"),
        ask_span=(("mm", 0.006, 99), ("in", 0, 0.02)), ask_why="thousandths and hundredths look alike",
    ),
    "radius ratio": Band((edges("", 1, 3, 1, 6),), "below 1: the two radii are swapped", examples=("1.6", "1.6")),
    "end play": Band(
        (edges("mm", 0, 0.5, 0, 3), edges("in", 0, 0.020, 0, 0.118)),
        "less than no play", "more than a bearing's play", ("0.08 mm", "0.003 in"),
        ask_between=(("mm", 1e-9, 0.0099999),), ask_why="that is below what a 0.01 mm indicator shows",
    ),
    "end play, least": Band(
        (edges("mm", 0, 0.10, 0, 0.25), edges("in", 0, 0.004, 0, 0.00984)),
        above="more than any least play", examples=("0.03 mm", "0.001 in"), below_zero=True,
        ask_between=(("mm", 1e-9, 0.0099999),), ask_why="that is below what a 0.01 mm indicator shows",
    ),
    "end play, most": Band(
        (edges("mm", 0.02, 0.25, 0.01, 0.25), edges("in", 0.0008, 0.010, 0.0004, 0.010)),
        "less than any most play", "more than any most play", ("0.13 mm", "0.005 in"), below_zero=True,
        note="0.001 to 0.005 in, RP 618A; 0.001 to 0.007 in, a bearing maker, passenger cars (trade press).",
    ),
    "thread pitch": Band(
        (edges("mm", 1, 3, 0.5, 6), edges("in", 0.039, 0.118, 0.0197, 0.236)),
        "finer than any spindle thread", "coarser than any spindle thread", ("1.5 mm", "16 TPI"),
    ),
    "bearing bore": Band((edges("mm", 12, 90, 8, 200), edges("in", 0.47, 3.54, 0.315, 7.87)), examples=("31.75 mm", "1.25 in")),
    "bearing outside diameter": Band(
        (edges("mm", 28, 160, 16, 320), edges("in", 1.10, 6.30, 0.63, 12.6)), examples=("59.1 mm", "2.328 in"),
    ),
    "bearing width": Band((edges("mm", 9, 50, 5, 110), edges("in", 0.35, 1.97, 0.197, 4.33)), examples=("15.9 mm", "0.625 in")),
    "hub cavity diameter": Band((edges("mm", 25, 150, 15, 350), edges("in", 0.98, 5.9, 0.591, 13.8)), examples=("60 mm", "2.36 in")),
    "hub cavity length": Band((edges("mm", 10, 200, 5, 400), edges("in", 0.39, 7.9, 0.197, 15.7)), examples=("50 mm", "1.97 in")),
    "piston diameter": Band(
        (edges("mm", 22, 80, 14, 100), edges("in", 0.87, 3.15, 0.55, 3.94)),
        "smaller than any caliper piston", "bigger than any caliper piston", ("54 mm", "2.125 in"),
    ),
    "piston extension": Band(
        (edges("mm", 0, 40, 0, 100), edges("in", 0, 1.57, 0, 3.94)),
        above="further than a piston comes out", examples=("12 mm", "0.47 in"),
        ask_between=(("mm", 1e-9, 1.6),), ask_why="a piston stands out further than that in mm",
    ),
    "pad and rotor stack": Band((edges("mm", 25, 110, 15, 200), edges("in", 0.98, 4.33, 0.591, 7.87)), examples=("52 mm", "2.05 in")),
    "stack change": Band((edges("mm", -5, 35), edges("in", -0.20, 1.38)), examples=("8 mm", "0.31 in")),
    "line bore": Band(
        (edges("mm", 2, 6.5, 1, 10), edges("in", 0.079, 0.256, 0.0394, 0.394)),
        "narrower than any brake line", "wider than any brake line", ("3.34 mm", "0.131 in"),
        note="A 3/16 in tube has a bore of 3.34 mm (wall thickness from memory).",
    ),
    "hose bore": Band((edges("mm", 2.5, 6.5, 1.5, 10), edges("in", 0.098, 0.256, 0.0591, 0.394)), examples=("3.2 mm", "0.125 in")),
    "line length": Band(
        (edges("m", 0.2, 8, 0.02, 30), edges("ft", 0.66, 26.25, 0.0656, 98.4)),
        "shorter than any line", "longer than any line", ("3.2 m", "10.5 ft"),
    ),
    "gravity head": Band(
        (edges("mm", 50, 1500, 5, 3000), edges("in", 2, 59, 0.197, 118)),
        "too little head (at none or less nothing flows)", "more head than a vehicle has", ("600 mm", "24 in"),
    ),
    "master bore": Band((edges("mm", 15, 45, 8, 80), edges("in", 0.59, 1.77, 0.315, 3.15)), examples=("22.2 mm", "7/8 in")),
    "pedal height": Band((edges("mm", 10, 300, 5, 380), edges("in", 0.4, 11.8, 0.197, 15)), examples=("180 mm", "7.1 in")),
    "pedal applied": Band((edges("mm", 10, 300, 0, 380), edges("in", 0.4, 11.8, 0, 15)), examples=("80 mm", "3.1 in"), zero=True),
    "pedal stop": Band((edges("mm", 5, 200, 0, 380), edges("in", 0.2, 7.9, 0, 15)), examples=("30 mm", "1.2 in"), zero=True),
    "pedal travel": Band(
        (edges("mm", 0, 150, 0, 300), edges("in", 0, 5.9, 0, 11.8)),
        above="further than a pedal goes", examples=("10 mm", "0.4 in"),
        ask_between=(("mm", 1e-9, 0.9999),), ask_why="that is finer than a pedal is measured in mm",
    ),
    "bolt diameter": Band((edges("mm", 5, 24, 3, 76), edges("in", 0.19, 0.945, 0.12, 3)), examples=("M12", "1/2 in")),
    "bolt pitch": Band((edges("mm", 0.7, 3, 0.35, 6), edges("in", 0.0277, 0.118, 0.0138, 0.236)), examples=("1.5 mm", "20 TPI")),
    "wrench length": Band((edges("mm", 100, 1200, 50, 3000), edges("in", 4, 47, 1.97, 118)), examples=("400 mm", "16 in")),
    "adapter length": Band((edges("mm", 10, 300, 3, 1000), edges("in", 0.4, 11.8, 0.118, 39.4)), examples=("50 mm", "2 in")),
    "play at the tyre": Band((edges("mm", 0, 25, 0, 60), edges("in", 0, 1, 0, 2.36)), examples=("2 mm", "0.08 in")),
    "stopping distance": Band((edges("m", 2, 200, 1, 400), edges("ft", 6.6, 656, 3.28, 1310)), examples=("7.6 m", "25 ft")),
    "retorque distance": Band((edges("km", 20, 500, 5, 2000), edges("mi", 12, 310, 3.11, 1240)), examples=("100 km", "60 mi")),
    "odometer": Band((edges("km", 1000, 700_000, 1, 2_000_000), edges("mi", 620, 430_000, 0.62, 1_240_000)), examples=("145,000 km", "90,000 mi")),
    "driven distance": Band((edges("km", 100, 400_000, 100, 2_000_000), edges("mi", 62, 249_000, 62, 1_240_000)), examples=("60,000 km", "37,000 mi")),
    "torque, bleeder": Band((edges("N·m", 4, 20, 2, 40), edges("lbf·ft", 3, 15, 1.48, 29.5)), examples=("9 N·m", "7 lbf·ft")),
    "torque, slide pin bolt": Band((edges("N·m", 15, 110, 8, 220), edges("lbf·ft", 11, 81, 5.9, 162)), examples=("35 N·m", "26 lbf·ft")),
    "torque, bracket bolt": Band((edges("N·m", 35, 320, 20, 640), edges("lbf·ft", 26, 236, 14.8, 472)), examples=("110 N·m", "81 lbf·ft")),
    "torque, caliper bolt": Band((edges("N·m", 35, 320, 20, 640), edges("lbf·ft", 26, 236, 14.8, 472)), examples=("110 N·m", "81 lbf·ft")),
    "torque, banjo bolt": Band((edges("N·m", 10, 60, 5, 120), edges("lbf·ft", 7, 44, 3.69, 88.5)), examples=("30 N·m", "22 lbf·ft")),
    "torque, tube nut": Band((edges("N·m", 8, 25, 4, 50), edges("lbf·ft", 6, 18, 2.95, 36.9)), examples=("15 N·m", "11 lbf·ft")),
    "torque, hose end": Band((edges("N·m", 8, 60, 4, 120), edges("lbf·ft", 6, 44, 2.95, 88.5)), examples=("20 N·m", "15 lbf·ft")),
    "torque, rotor screw": Band((edges("N·m", 4, 35, 2, 80), edges("lbf·ft", 3, 26, 1.48, 59)), examples=("10 N·m", "7 lbf·ft")),
    "torque, sensor bolt": Band((edges("N·m", 3, 30, 1, 60), edges("lbf·ft", 2, 22, 0.738, 44.3)), examples=("8 N·m", "6 lbf·ft")),
    "torque, wheel nut": Band(
        (edges("N·m", 60, 250, 40, 700), edges("lbf·ft", 44, 184, 30, 516)), examples=("120 N·m", "89 lbf·ft"),
    ),
    "torque, seating the nut": Band((edges("N·m", 10, 150, 3, 300), edges("lbf·ft", 7, 111, 2.21, 221)), examples=("68 N·m", "50 lbf·ft")),
    "torque, setting the nut": Band((edges("N·m", 0, 40, 0, 70), edges("lbf·ft", 0, 30, 0, 52)), examples=("5 N·m", "4 lbf·ft")),
    "torque, jam nut": Band((edges("N·m", 40, 550, 20, 700), edges("lbf·ft", 30, 405, 15, 516)), examples=("217 N·m", "160 lbf·ft")),
    "torque, axle nut": Band((edges("N·m", 80, 400, 40, 700), edges("lbf·ft", 59, 295, 30, 516)), examples=("250 N·m", "184 lbf·ft")),
    "torque, hub flange bolt": Band((edges("N·m", 40, 250, 20, 500), edges("lbf·ft", 30, 184, 14.8, 369)), examples=("100 N·m", "74 lbf·ft")),
    "torque, any": Band((edges("N·m", 3, 550, 0.5, 2000), edges("lbf·ft", 2, 405, 0.37, 1475)), examples=("100 N·m", "74 lbf·ft")),
    "wrench tolerance": Band(
        (edges("", 0.01, 0.1, 0.002, 0.25),), "finer than any torque wrench", "coarser than a torque wrench", ("4 %", "4 %"),
        note="4 % above 10 N·m, 6 % up to there: ISO 6789-1, setting wrench of class A, as quoted in wrench makers' manuals.",
    ),
    "line pressure": Band((edges("bar", 5, 200, 1, 500), edges("psi", 73, 2900, 15, 7250)), examples=("70 bar", "1000 psi")),
    "pressure bleeder": Band((edges("bar", 0.5, 2.1, 0.2, 4), edges("psi", 7, 30, 3, 58)), examples=("1.0 bar", "15 psi")),
    "bleeding vacuum": Band((edges("bar", 0.2, 0.95, 0.05, 1.02), edges("inHg", 6, 28, 1.5, 30)), examples=("0.7 bar", "20 inHg")),
    "air gun pressure": Band((edges("bar", 0.2, 2.1, 0.1, 8), edges("psi", 3, 30, 1.5, 116)), examples=("1.5 bar", "22 psi")),
    "ambient pressure": Band((edges("kPa", 70, 106, 45, 112), edges("psi", 10.2, 15.4, 6.5, 16.2)), examples=("101.325 kPa", "14.7 psi")),
    "pedal force": Band((edges("N", 50, 900, 5, 2000), edges("lbf", 11, 202, 1, 450)), examples=("220 N", "50 lbf")),
    "axle brake force": Band(
        (edges("N", 0, 20_000, 0, 60_000), edges("lbf", 0, 4500, 0, 13_500)), examples=("2500 N", "560 lbf"),
        ask_between=(("N", 1e-9, 49.99),), ask_why="a roller tester shows such a force in kN",
    ),
    "ambient temperature": Band((edges("°C", -40, 55, -60, 65), edges("°F", -40, 131, -76, 149)), examples=("20 °C", "68 °F")),
    "rotor temperature": Band((edges("°C", -40, 750, -60, 800), edges("°F", -40, 1382, -76, 1472)), examples=("150 °C", "302 °F")),
    "rotor ceiling temperature": Band((edges("°C", 200, 700, 100, 1000), edges("°F", 392, 1292, 212, 1830)), examples=("400 °C", "752 °F")),
    "boiling point": Band(
        (edges("°C", 100, 320, 95, 330), edges("°F", 212, 608, 203, 626)), examples=("180 °C", "356 °F"),
        must_type=True, ask_why="°C and °F would judge the fluid differently",
    ),
    "fluid temperature": Band((edges("°C", -40, 60, -60, 130), edges("°F", -40, 140, -76, 266)), examples=("20 °C", "68 °F")),
    "viscosity": Band((edges("mm²/s", 1, 2000, 0.5, 3000),), examples=("14 mm²/s", "14 mm²/s")),
    "fluid volume": Band(
        (edges("mL", 1, 3000, 1, 10_000), edges("US fl oz", 0.03, 101.5, 0.03, 338)),
        above="more than one part of a brake holds", examples=("250 mL", "8.5 US fl oz"), zero=True,
    ),
    "reservoir volume": Band(
        (edges("mL", 60, 1000, 1, 3000), edges("US fl oz", 2, 34, 0.03, 101.5)),
        "less than a reservoir holds", "more than a reservoir holds", ("250 mL", "8.5 US fl oz"), zero=True,
    ),
    "reservoir usable": Band((edges("mL", 20, 500, 5, 2000), edges("US fl oz", 0.7, 17, 0.17, 68)), examples=("100 mL", "3.4 US fl oz")),
    "bottle": Band(
        (edges("mL", 200, 5000, 50, 25_000), edges("US fl oz", 6.8, 169.1, 1.7, 845)),
        "smaller than any bottle", "bigger than any bottle", ("500 mL", "16.9 US fl oz"),
    ),
    "reservoir area": Band((edges("cm²", 8, 150, 3, 400), edges("in²", 1.2, 23.3, 0.46, 62)), examples=("30 cm²", "4.7 in²")),
    "bearing mass": Band((edges("kg", 0.03, 3, 0.01, 20), edges("lb", 0.066, 6.6, 0.022, 44)), examples=("0.17 kg", "0.37 lb")),
    "rotor mass": Band((edges("kg", 2, 25, 0.5, 60), edges("lb", 4.4, 55, 1.1, 132)), examples=("8 kg", "17.6 lb")),
    "vehicle mass": Band((edges("kg", 600, 7000, 200, 45_000), edges("lb", 1320, 15_435, 440, 99_200)), examples=("1500 kg", "3300 lb")),
    "speed": Band((edges("km/h", 5, 160, 1, 250), edges("mph", 3, 100, 0.6, 155)), examples=("50 km/h", "30 mph")),
    "specific heat": Band(
        (edges("J/(kg·K)", 400, 600, 300, 1100), edges("Btu/(lb·°F)", 0.096, 0.143, 0.072, 0.263)),
        above="higher than grey iron's", examples=("460 J/(kg·K)", "0.110 Btu/(lb·°F)"),
    ),
    "axle share": Band((edges("", 0.2, 0.9, 0.1, 1),), examples=("0.7", "70 %")),
    "cooling time": Band((edges("s", 60, 1800, 10, 7200),), examples=("300 s", "5 min"), must_type=True, ask_why="minutes and seconds look alike"),
    "grease density": Band((edges("g/cm³", 0.80, 1.10, 0.7, 1.5), edges("lb/in³", 0.029, 0.040, 0.025, 0.054)), examples=("0.90 g/cm³", "0.0325 lb/in³")),
    "steel density": Band((edges("g/cm³", 7.5, 8.1, 7, 8.5), edges("lb/in³", 0.271, 0.293, 0.253, 0.307)), examples=("7.85 g/cm³", "0.2836 lb/in³")),
    "hub cavity volume": Band((edges("mL", 5, 3500), edges("US fl oz", 0.17, 118)), examples=("120 mL", "4 US fl oz")),
    "cavity fraction": Band(
        (edges("", 0.05, 0.6, 0, 1),), above="more than a cavity should hold", examples=("0.3", "30 %"),
        note="30 to 60 % of a housing: bearing makers; a film in a wheel hub: common practice.",
    ),
    "tool resolution": Band(
        (edges("mm", 0.001, 0.1, 0.0001, 1), edges("in", 0.00004, 0.004, 0.000004, 0.04)),
        "finer than any shop tool shows", "coarser than any measuring tool", ("0.01 mm", "0.0001 in"),
    ),
    "tool error": Band(
        (edges("mm", 0.001, 0.1, 0, 0.5), edges("in", 0.00004, 0.004, 0, 0.02)),
        "better than any shop tool", "worse than any measuring tool", ("0.004 mm", "0.0002 in"), zero=True,
        note="Tubular inside micrometer ±0.0003 to 0.0005 in: TB 9-5210-207-24. Vernier caliper ±0.001 in per 6 in: TB 9-5210-208-35.",
    ),
    "repeat readings": Band(
        (edges("mm", -3, 100, -10, 350), edges("in", -0.118, 3.94, -0.394, 13.8)), examples=("24.10 mm", "0.949 in"),
    ),
    "temperature uncertainty": Band(
        (edges("K", 0.2, 15, 0.05, 30), edges("delta °F", 0.36, 27, 0.09, 54)),
        "finer than any shop thermometer", "coarser than a thermometer that can judge", ("3 K", "5 delta °F"), zero=True,
    ),
    "side reading": Band(
        (edges("mm", 0, 62), edges("in", 0, 2.44)), above="more than any reading of a wheel end", examples=("7.4 mm", "0.291 in"),
    ),
    "ride height": Band(
        (edges("mm", 200, 900, 50, 1500), edges("in", 7.9, 35.4, 2, 59)),
        "lower than any wheel arch", "higher than any wheel arch", ("385 mm", "15.2 in"),
        note="Wheel arch over the middle of the hub, cars and light trucks.",
    ),
    "ride height limit": Band(
        (edges("mm", 3, 40, 1, 100), edges("in", 0.12, 1.6, 0.04, 3.9)),
        "finer than a tape measure compares", "more than two sides may differ", ("10 mm", "0.4 in"),
    ),
    "ride height uncertainty": Band(
        (edges("mm", 0.25, 3, 0.1, 10), edges("in", 0.01, 0.12, 0.004, 0.4)),
        "finer than any tape measure", "coarser than any tape measure", ("1 mm", "0.04 in"), zero=True,
    ),
    "side difference limit": Band(
        (edges("mm", 0.02, 5, 0.001, 20), edges("in", 0.0008, 0.2, 0.00004, 0.79)),
        "finer than two sides are compared", "coarser than two sides may differ", ("1.6 mm", "0.063 in"),
    ),
    "side temperature limit": Band(
        (edges("K", 5, 150, 1, 400), edges("delta °F", 9, 270, 1.8, 720)), examples=("20 K", "36 delta °F"),
    ),
    "calipers": Band((edges("", 1, 8),), examples=("2", "2")),
    "match tolerance": Band((edges("", 0.002, 0.1, 0, 0.25),), above="too coarse to match pistons", examples=("2 %", "2 %"), zero=True),
    "imbalance limit": Band((edges("", 0.05, 0.5, 0.01, 0.9),), examples=("25 %", "25 %")),
    "axle weight": Band((edges("kg", 250, 4500, 50, 15_000), edges("lb", 550, 9920, 110, 33_100)), examples=("800 kg", "1760 lb")),
    "fill fraction": Band((edges("", 0.2, 1, 0.05, 1),), examples=("0.3", "30 %")),
    "waste": Band((edges("", 0, 0.5, 0, 2),), above="more waste than fluid used", examples=("0.1", "10 %")),
    "flush multiple": Band((edges("", 1, 4, 0.1, 10),), "less than one filling", "more fillings than a flush takes", ("2", "2")),
    "nut factor": Band((edges("", 0.08, 0.35, 0.05, 0.35),), examples=("0.2", "0.2")),
    "pedal ratio": Band((edges("", 1.8, 7, 1, 10),), examples=("4:1", "4:1")),
    "nut slots": Band((edges("", 4, 18),), "fewer slots than any nut", "more slots than any nut", ("6", "6")),
    "pin holes": Band((edges("", 1, 2),), examples=("1", "1")),
    "hole angle": Band((edges("°", 1, 179),), examples=("90°", "90°")),
    "retainer fits": Band((edges("", 1, 24),), examples=("6", "6")),
    "angle to the next lock": Band((edges("°", 0, 90, 0, 360),), examples=("15°", "15°")),
    "studs": Band((edges("", 3, 10, 3, 12),), examples=("5", "5")),
    "wrench range": Band((edges("N·m", 2, 1000, 0.5, 2000), edges("lbf·ft", 1.5, 737, 0.4, 1475)), examples=("20 N·m", "15 lbf·ft")),
    "adapter angle": Band((edges("°", -180, 180),), "further round than straight back", "further round than straight back", ("90°", "90°")),
    "speed after the stop": Band((edges("km/h", 0, 150, 0, 240), edges("mph", 0, 93, 0, 149)), examples=("0 km/h", "0 mph")),
    "rotors": Band((edges("", 1, 4),), examples=("2", "2")),
    "stops": Band((edges("", 1, 200, 1, 500),), examples=("10", "10"), note="200 stops: burnish of 49 CFR 571.135."),
    "stop interval": Band((edges("s", 10, 900, 5, 3600),), examples=("45 s", "1 min"), must_type=True, ask_why="minutes and seconds look alike"),
    "heat into the rotor": Band((edges("", 0.7, 1, 0.5, 1),), examples=("90 %", "90 %")),
    "tightening stages": Band((edges("", 1, 5),), examples=("3", "3")),
}  # fmt: skip
