"""tool-uncertainty against a budget of the GUM (JCGM 100:2008) worked in decimals, and the standard library's deviation."""

from __future__ import annotations

import statistics
from decimal import Decimal, getcontext

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, Contradiction, MissingInput, OutOfBand, UnreadableEntry

TOOL = catalogue()["tool-uncertainty"]
getcontext().prec = 30
REPEATS_OF_2_UM = "24.098; 24.100; 24.102"  # deviations −2, 0, 2 µm: √(8/2) = 2 µm


def run(system="metric", resolution="0.01", permissible_error="0.004", **given):
    return TOOL.run(system=system, resolution=resolution, permissible_error=permissible_error, **given)


def micrometres(result, name):
    return result.values[name].value * 1000


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def budget(error: str, step: str, repeat: str = "0") -> Decimal:
    """Root sum of squares in µm: rectangles of half-widths error and step/2 (GUM 4.3.7: a²/3), and one deviation."""
    return ((Decimal(error) ** 2 + (Decimal(step) / 2) ** 2) / 3 + Decimal(repeat) ** 2).sqrt()


def test_worked_example_is_recomputed():
    TOOL.worked_example()


def test_budget_of_a_micrometer():
    # ±4 µm permissible, 10 µm resolution, 2 µm repeat: u 4.203 µm, U 8.406 µm
    result = run(repeats=REPEATS_OF_2_UM)
    assert f"{micrometres(result, 'standard_uncertainty'):.3f}" == "4.203"
    assert f"{micrometres(result, 'expanded_uncertainty'):.3f}" == "8.406"
    assert plain(result.values["expanded_uncertainty"].text) == "0.00841 mm (0.000331 in)"
    assert result.verdict is None


@pytest.mark.parametrize("error, step", [("4", "10"), ("4", "1"), ("5", "1"), ("25.4", "20"), ("0", "10"), ("30", "50")])
def test_budget_without_repeats(error, step):
    result = run(resolution=f"{step} µm", permissible_error=f"{error} µm")
    assert micrometres(result, "standard_uncertainty") == pytest.approx(float(budget(error, step)), rel=1e-10)
    assert micrometres(result, "expanded_uncertainty") == pytest.approx(2 * float(budget(error, step)), rel=1e-10)


@pytest.mark.parametrize("step", ["0.01", "0.02", "0.001"])
def test_a_digital_step_alone_is_0_29_of_itself(step):
    # JCGM 100:2008, F.2.2.1: a digital indicator of resolution δx has u = 0.29·δx
    found = run(resolution=f"{step} mm", permissible_error="0 mm").values["standard_uncertainty"].value
    assert f"{found / float(step):.2f}" == "0.29"


@pytest.mark.parametrize("repeats", ["24.10; 24.11; 24.10; 24.12; 24.10", "0.01; -0.01; 0.00", "8.00; 8.00"])
def test_repeats_against_the_standard_library(repeats):
    deviation = Decimal(str(statistics.stdev(float(x) * 1000 for x in repeats.split(";"))))
    result = run(repeats=repeats)
    assert micrometres(result, "standard_uncertainty") == pytest.approx(float(budget("4", "10", str(deviation))), rel=1e-9)


@pytest.mark.parametrize("error_in, step_in", [("0.001", "0.001"), ("0.0005", "0.0001")])
def test_army_tolerances_in_inches(error_in, step_in):
    # TB 9-5210-208-35: vernier caliper ±0.001 in; TB 9-5210-207-24: inside micrometer ±0.0005 in; 25.4 mm to the inch exactly
    result = run("inch", resolution=step_in, permissible_error=error_in)
    exact = budget(error_in, step_in) * Decimal("25.4")
    assert result.values["standard_uncertainty"].value == pytest.approx(float(exact), rel=1e-10)


def test_both_systems_find_the_same():
    metric = run(resolution="0.0254 mm", permissible_error="0.0508 mm")
    inch = run("inch", resolution="0.001", permissible_error="0.002")
    for name in metric.values:
        assert metric.values[name].value == pytest.approx(inch.values[name].value, rel=1e-12)


def test_the_largest_part_and_few_repeats_are_said():
    assert "The largest part is the resolution." in run().notes
    assert "The largest part is the permissible error." in run(permissible_error="0.03").notes
    spread = run(repeats="24.10; 24.15; 24.20").notes
    assert "The largest part is the spread of the repeats." in spread and any("only a hint" in note for note in spread)
    assert any("No repeats given" in note for note in run().notes)
    assert not any("hint" in note for note in run(repeats="24.10; 24.11; 24.10; 24.12; 24.10").notes)


@pytest.mark.parametrize("given, error", [
    ({"repeats": "24.10"}, Contradiction),                     # one reading repeats nothing
    ({"repeats": "24.10; 25.10"}, AmbiguousEntry),             # 100 steps apart
    ({"resolution": "10"}, AmbiguousEntry),                    # 10 µm?
    ({"resolution": "0.0005"}, AmbiguousEntry),                # inches
    ({"resolution": "0"}, OutOfBand),
    ({"resolution": "2 mm"}, OutOfBand),
    ({"permissible_error": "-0.004"}, UnreadableEntry),
    ({"permissible_error": "4 kg"}, UnreadableEntry),
    ({"permissible_error": ""}, MissingInput),
])  # fmt: skip
def test_refusals_and_questions(given, error):
    with pytest.raises(error) as caught:
        run(**given)
    assert "\n" not in str(caught.value)
