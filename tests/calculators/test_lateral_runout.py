"""lateral-runout. Vector sums of tilts (3-4-5), the limit of TM 9-2320-289-34 p. 7-3, and a fit and an interpolation of their own."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, Contradiction, MissingInput, OutOfBand, UnreadableEntry

RUNOUT = catalogue()["lateral-runout"]
SVG = "{http://www.w3.org/2000/svg}"


def run(system="metric", readings="0.02; 0.01; 0; -0.01; -0.02; -0.01; 0; 0.01", limit="0.10", **given):
    return RUNOUT.run(system=system, readings=readings, limit=limit, **given)


def value(result, name):
    return result.values[name].value


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def tilts(count, *parts, lobes=0.0, lobe_count=3):
    """Readings in mm of tilts (peak to peak in µm, angle of the high spot), with lobes of an amplitude in µm."""
    rows = []
    for k in range(count):
        angle = 360 * k / count
        micrometres = sum(tir / 2 * math.cos(math.radians(angle - high)) for tir, high in parts)
        rows.append((micrometres + lobes * math.cos(math.radians(lobe_count * angle))) / 1000)
    return "; ".join(f"{row:.12f}" for row in rows) + " mm"


def test_worked_example_is_recomputed():
    RUNOUT.worked_example()


@pytest.mark.parametrize("count", [5, 7, 8, 12, 16, 72])
def test_two_tilts_add_up_as_vectors(count):
    # 40 µm at 0° and 30 µm at 90° make 50 µm at atan(3/4) = 36.87°: a 3-4-5 triangle
    result = run(readings=tilts(count, (40, 0), (30, 90)))
    assert f"{value(result, 'once_per_turn') * 1000:.6f}" == "50.000000"
    assert f"{value(result, 'high_spot_angle'):.2f}" == "36.87"
    assert value(result, "remainder") == pytest.approx(0, abs=1e-9)


def test_opposed_tilts_leave_their_difference():
    # 40 µm at 0° and 30 µm at 180° leave 10 µm at 0°
    result = run(readings=tilts(12, (40, 0), (30, 180)))
    assert f"{value(result, 'once_per_turn') * 1000:.6f}" == "10.000000"
    assert value(result, "high_spot_angle") == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("high", [0, 1, 90, 180, 270, 359])
def test_the_high_spot_is_counted_in_the_order_of_the_readings(high):
    assert value(run(readings=tilts(12, (60, high))), "high_spot_angle") == pytest.approx(high, abs=1e-6)
    assert 0 <= value(run(readings=tilts(12, (60, high))), "high_spot_angle") < 360


def test_a_three_lobed_rotor_is_no_tilt():
    # lobes of ±10 µm at 0°, 120°, 240°; 12 readings meet every crest and every valley: 20 µm peak to peak
    result = run(readings=tilts(12, (50, 60), lobes=10))
    assert f"{value(result, 'once_per_turn') * 1000:.6f}" == "50.000000"
    assert f"{value(result, 'high_spot_angle'):.4f}" == "60.0000"
    assert f"{value(result, 'remainder') * 1000:.6f}" == "20.000000"


@pytest.mark.parametrize("reading, code", [("0.004 in", "within"), ("0.0041 in", "beyond")])
def test_limit_of_a_light_truck(reading, code):
    # TM 9-2320-289-34 p. 7-3: lateral runout not over 0.004 in (0.102 mm)
    result = run(readings=f"0 in; 0 in; 0 in; 0 in; {reading}; 0 in; 0 in; 0 in", limit="0.004 in", tool_uncertainty="0")
    assert result.verdict.code == code
    assert f"{value(result, 'total_runout'):.4f}" == {"within": "0.1016", "beyond": "0.1041"}[code]


@pytest.mark.parametrize(
    "limit, code", [("0.0543 mm", "within"), ("0.0542 mm", "too-close"), ("0.0457 mm", "beyond"), ("0.0458 mm", "too-close")]
)
def test_runout_has_root_two_of_the_uncertainty(limit, code):
    # ISO 14253-1 with √2·0.003 = 0.00424: 0.05424 and 0.04576 are the edges about 0.050
    result = run(readings="0.025; 0.01; 0; -0.01; -0.025; -0.01; 0; 0.01", limit=limit, tool_uncertainty="0.003")
    assert result.verdict.code == code


# Indexing


def test_the_rotor_is_turned_until_the_tilts_oppose():
    # hub 40 µm at 0°; rotor 30 µm at 90°. Moved on by k of 4 studs: 90°, 180°, 270°, 0° between them: 50, 10, 50, 70 µm
    result = run(
        readings=tilts(12, (40, 0), (30, 90)),
        hub_readings=tilts(12, (40, 0)),
        studs="4",
        radius_ratio="1",
        limit="0.045",
        tool_uncertainty="0.001 mm",
    )
    # on a 1° grid the crest of a 50 µm wave at 36.87° is met within 0.13°: 50 µm to 7 figures less 3e-6
    assert [f"{runout * 1000:.3f}" for runout in value(result, "index_runouts")] == ["50.000", "10.000", "50.000", "70.000"]
    assert value(result, "best_index") == 1
    assert f"{value(result, 'best_index_runout') * 1000:.3f}" == "10.000"
    assert result.verdict.code == "adjust"
    assert "by 1 wheel stud or bolt hole, against the way the wheel was turned" in result.verdict.text


def test_five_studs_against_a_sum_of_vectors_of_its_own():
    # hub 60 µm at 20°, seen 1.5 times as large on the rotor; rotor 70 µm at 100° moved on by 72° a stud
    result = run(
        readings=tilts(16, (90, 20), (70, 100)),
        hub_readings=tilts(16, (60, 20)),
        studs="5",
        radius_ratio="1.5",
        limit="0.10",
        tool_uncertainty="0.001 mm",
    )
    sums = [math.sqrt(90**2 + 70**2 + 2 * 90 * 70 * math.cos(math.radians(80 + 72 * k))) for k in range(5)]  # law of cosines
    assert [runout * 1000 for runout in value(result, "index_runouts")] == pytest.approx(sums, rel=1e-4)
    assert value(result, "best_index") == sums.index(min(sums)) == 1


def test_only_the_tilt_of_the_hub_grows_with_the_radius():
    # hub: tilt 20 µm and 4 lobes of ±5 µm; at twice the radius the tilt doubles and the lobes stay; the rotor is true
    hub = tilts(16, (20, 0), lobes=5, lobe_count=4)
    readings = tilts(16, (40, 0), lobes=5, lobe_count=4)
    result = run(readings=readings, hub_readings=hub, studs="5", radius_ratio="2")
    runouts = value(result, "index_runouts")
    assert runouts == pytest.approx([runouts[0]] * 5, rel=1e-9)  # a true rotor runs alike everywhere


def test_between_readings_the_curve_is_trigonometric():
    # the same sum in Lagrange's form of trigonometric interpolation (Zygmund, Trigonometric Series, X), odd and even n
    for count in (9, 10):
        rows = [0.01 * ((7 * k * k + 3 * k) % 11) / 11 for k in range(count)]
        result = run(
            readings="; ".join(f"{r:.12f} mm" for r in rows), hub_readings="; ".join(["0 mm"] * count), studs="4", radius_ratio="1"
        )

        def at(degree, count=count, rows=rows):
            total = 0.0
            for k, row in enumerate(rows):
                half = math.radians(degree - 360 * k / count) / 2
                if abs(math.sin(half)) < 1e-12:
                    return row
                wave = math.sin(count * half) / (count * math.sin(half))
                total += row * wave * (1 if count % 2 else math.cos(half))
            return total

        grid = [at(degree) for degree in range(360)]
        assert value(result, "index_runouts")[0] == pytest.approx(max(grid) - min(grid), rel=1e-8)


def test_of_equal_runouts_the_shortest_move_wins_and_none_is_the_shortest():
    # a true rotor: every index runs as the hub does
    result = run(
        readings=tilts(12, (40, 0)), hub_readings=tilts(12, (40, 0)), studs="6", radius_ratio="1", limit="0.03", tool_uncertainty="0.001 mm"
    )
    assert value(result, "best_index") == 0
    assert result.verdict.code == "beyond"


def test_of_two_equal_moves_the_one_in_the_order_of_the_readings_wins():
    # tilts in line: moving on or back by one of 3 studs gives the same 120° between them
    result = run(
        readings=tilts(12, (40, 0), (40, 0)),
        hub_readings=tilts(12, (40, 0)),
        studs="3",
        radius_ratio="1",
        limit="0.06",
        tool_uncertainty="0.001 mm",
    )
    runouts = value(result, "index_runouts")
    assert runouts[1] == pytest.approx(runouts[2], rel=1e-9) == pytest.approx(0.040, rel=1e-3)
    assert value(result, "best_index") == 1
    assert result.verdict.code == "adjust"


def test_the_shorter_way_is_said():
    # rotor 80 µm at 252° opposes the hub at 0° after 4 of 5 studs on (252 + 288 = 540 = 180), that is one back
    result = run(
        readings=tilts(15, (80, 0), (80, 252)),
        hub_readings=tilts(15, (80, 0)),
        studs="5",
        radius_ratio="1",
        limit="0.05",
        tool_uncertainty="0.001 mm",
    )
    assert value(result, "best_index") == 4
    assert "by 1 wheel stud or bolt hole, the way the wheel was turned" in result.verdict.text


def test_over_the_limit_where_no_index_helps():
    # the rotor alone has 120 µm on a hub of 10 µm: 110 µm at the best
    result = run(
        readings=tilts(12, (10, 0), (120, 0)),
        hub_readings=tilts(12, (10, 0)),
        studs="4",
        radius_ratio="1",
        limit="0.10",
        tool_uncertainty="0.001 mm",
    )
    assert result.verdict.code == "beyond"
    assert value(result, "best_index") == 2
    assert f"{value(result, 'best_index_runout') * 1000:.3f}" == "110.000"
    assert "No index is surely within" in result.verdict.text


def test_notes_on_lobes_and_on_a_dirty_hub():
    few = run(readings=tilts(5, (50, 0)))
    assert any("lobes" in note for note in few.notes)
    dirty = run(readings=tilts(12, (50, 0)), hub_readings=tilts(12, (20, 0), lobes=20), studs="5", radius_ratio="1")
    assert any("clean it to bare metal" in note for note in dirty.notes)
    lobed = run(readings=tilts(12, (10, 0), lobes=60), limit="0.05")
    assert any("no index takes it away" in note for note in lobed.notes)


# null, refusals, questions


def test_a_rotor_that_runs_true_has_no_high_spot():
    result = run(readings="0.01; 0.01; 0.01; 0.01; 0.01; 0.01; 0.01; 0.01")
    assert value(result, "total_runout") == value(result, "once_per_turn") == value(result, "remainder") == 0
    assert value(result, "high_spot_angle") is None
    assert result.verdict.code == "within"
    two_lobes = run(readings="0.02; 0; -0.02; 0; 0.02; 0; -0.02; 0")
    assert value(two_lobes, "high_spot_angle") is None and value(two_lobes, "remainder") == pytest.approx(0.04)


def test_without_hub_readings_the_index_is_null_and_says_what_it_needs():
    result = run(studs="5")
    for name in ("index_runouts", "best_index", "best_index_runout"):
        assert value(result, name) is None and "needs hub readings" in result.values[name].text


def test_both_systems_judge_alike():
    inch = run("inch", readings="0.001; 0.0005; 0; -0.0005; -0.001; -0.0005; 0; 0.0005", limit="0.002", tool_uncertainty="0.0001")
    metric = run(readings="0.0254; 0.0127; 0; -0.0127; -0.0254; -0.0127; 0; 0.0127 mm", limit="0.0508 mm", tool_uncertainty="0.00254 mm")
    assert inch.verdict.code == metric.verdict.code == "too-close"
    for name in ("total_runout", "once_per_turn", "high_spot_angle", "remainder"):
        assert value(inch, name) == pytest.approx(value(metric, name), abs=1e-9)


HUB = {"hub_readings": "0; 0; 0; 0; 0; 0; 0; 0"}


@pytest.mark.parametrize("given, error", [
    ({"readings": "0.02; 0; -0.02; 0"}, Contradiction),                         # four cannot tell lobes from a tilt
    ({"readings": "; ".join(["0.02"] * 73)}, Contradiction),
    ({**HUB, "radius_ratio": "1.5"}, MissingInput),
    ({**HUB, "studs": "5"}, MissingInput),
    ({"hub_readings": "0; 0; 0; 0; 0; 0", "studs": "5", "radius_ratio": "1.5"}, Contradiction),
    ({**HUB, "studs": "2", "radius_ratio": "1.5"}, UnreadableEntry),
    ({**HUB, "studs": "5", "radius_ratio": "0.6"}, OutOfBand),                  # the radii are swapped
    ({"limit": "0.004"}, AmbiguousEntry),                                       # inches
    ({"limit": "0.5 mm"}, OutOfBand),
    ({"readings": "0.002; 0.001; 0; 0; 0; 0; 0; 0"}, AmbiguousEntry),           # thousandths of an inch look like that
    ({"readings": "0.02; 0.01; x; 0; 0; 0; 0; 0"}, UnreadableEntry),
    ({"readings": ""}, MissingInput),
])  # fmt: skip
def test_refusals_and_questions(given, error):
    with pytest.raises(error) as caught:
        run(**given)
    assert "\n" not in str(caught.value)


def test_the_figure_shows_every_reading_and_the_best_index():
    result = run(readings=tilts(12, (40, 0), (30, 90)), hub_readings=tilts(12, (40, 0)), studs="4", radius_ratio="1")
    drawn = ElementTree.fromstring(result.figure)
    words = [plain(text.text) for text in drawn.iter(f"{SVG}text")]
    assert {str(k) for k in range(1, 13)} <= set(words)
    assert {"Dashed: with the rotor moved on by", "1 wheel stud or bolt hole"} <= set(words)
    assert [path for path in drawn.iter(f"{SVG}path") if "stroke-dasharray" in path.attrib]


def test_every_word_is_true_on_a_wheel_with_bolts_too():
    result = run(
        readings=tilts(12, (40, 0), (30, 90)),
        hub_readings=tilts(12, (40, 0)),
        studs="4",
        radius_ratio="1",
        limit="0.045",
        tool_uncertainty="0.001 mm",
    )
    calculator = catalogue()["lateral-runout"]
    said = [
        calculator.purpose,
        *calculator.formula,
        *calculator.limits_of_model,
        *(value.label for value in calculator.values.values()),
        result.verdict.text,
        *result.notes,
        result.figure,
        run(studs="5").values["best_index"].text,
    ]
    assert [text for text in said if re.search(r"\bstuds?\b(?!\)| or bolt hole)", re.sub(r"360°/studs", "", text))] == []
