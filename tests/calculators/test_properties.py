"""What must hold for every entry: read or refused in one line, and never judged differently in another unit."""

from __future__ import annotations

import json
import re
from math import sqrt

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calculators import catalogue
from calculators.errors import EntryError
from calculators.inputs import Input
from calculators.page import evaluate
from calculators.units import Quantity

SPECS = [
    Input(["mm", "in"], name="x"),
    Input(["mm", "in"], name="x", is_list=True),
    Input(["mm", "in"], name="x", is_list=True, negative=True),
    Input(["mm", "TPI"], name="x"),
    Input(["mm", "in"], name="x", kind="diameter"),
    Input(["km", "mi"], name="x"),
    Input(["°C", "°F"], name="x", negative=True),
    Input(["", ""], name="x", kind="share"),
    Input(["", ""], name="x", kind="ratio"),
    Input(choices=["DOT 3", "DOT 4"], name="x", type="choice"),
    Input(name="x", type="integer", kind="number"),
]
SHOP_CHARACTERS = "0123456789.,/-−+ ;\"'½mincftTPIM×x:%e\n"
NAMES = list(catalogue())


@given(st.one_of(st.text(max_size=40), st.text(alphabet=SHOP_CHARACTERS, max_size=24)), st.sampled_from(SPECS), st.sampled_from(["metric", "inch"]))
def test_any_text_is_read_or_refused_in_one_line(text, spec, system):
    try:
        spec.read(text, system)
    except EntryError as error:
        assert [error.input, "\n" in str(error)] == ["x", False]  # noqa: PT017 - most texts raise, some do not


@given(st.decimals(min_value=0, max_value=999, places=3))
def test_plain_decimals_are_read_as_they_stand(number):
    for text in (f"{number} mm", f"{number}".replace(".", ",") + "0 mm"):
        assert SPECS[0].read(text, "metric").quantity.to("mm").magnitude == float(number)


@given(st.integers(0, 40), st.integers(1, 6), st.data())
def test_mixed_numbers(whole, power, data):
    under = 2**power
    over = data.draw(st.integers(1, under - 1))
    assert SPECS[0].read(f"{whole} {over}/{under} in", "metric").number.value == whole + over / under


JSON_VALUES = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=20)),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(st.text(max_size=8), inner, max_size=4)),
    max_leaves=8,
)


def answer_of(text: str) -> dict:
    """The answer, which is always JSON with a result or a problem in one line."""
    answer = json.loads(evaluate(text))
    assert set(answer) in ({"result"}, {"problem"})
    if "problem" in answer:
        assert set(answer["problem"]) == {"input", "typed", "message", "candidates"}
        assert answer["problem"]["message"].strip()
        assert "\n" not in answer["problem"]["message"]
        assert "please report" not in answer["problem"]["message"]  # nothing a person can type may come to that
    return answer


@given(st.text(max_size=60))
def test_evaluate_never_raises_on_any_text(text):
    answer_of(text)


@given(JSON_VALUES)
def test_evaluate_never_raises_on_any_json(value):
    answer_of(json.dumps(value))


@settings(deadline=None)
@given(st.sampled_from(NAMES), st.data())
def test_evaluate_never_raises_on_any_entries(name, data):
    inputs = list(catalogue()[name].inputs)
    texts = st.one_of(st.text(alphabet=SHOP_CHARACTERS, max_size=16), JSON_VALUES)
    given_texts = data.draw(st.dictionaries(st.sampled_from([*inputs, "other"]), texts, max_size=6))
    answer_of(json.dumps({"calculator": name, "given": given_texts, "system": data.draw(st.sampled_from(["metric", "inch", "old"]))}))


def length(low: str, high: str):
    return st.decimals(low, high, places=2).map(float)


def run_in(name: str, unit: str, **millimetres):
    """The result with every length handed over in this unit."""
    given_quantities = {
        key: [Quantity(v, "mm").to(unit) for v in value] if isinstance(value, list) else Quantity(value, "mm").to(unit) if isinstance(value, float) else value
        for key, value in millimetres.items()
    }
    return catalogue()[name].run(**given_quantities)


@settings(max_examples=60, deadline=None)
@given(st.lists(length("21.9", "22.1"), min_size=1, max_size=8), length("21.9", "22.1"), st.sampled_from([0.0, 0.01, 0.02]), length("0.01", "0.05"))
def test_the_unit_never_changes_the_verdict_on_a_rotor(readings, discard, u, limit):
    lengths = {"readings": readings, "discard": discard, "tool_uncertainty": u, "variation_limit": limit}
    metric, inch = (run_in("rotor-thickness", unit, **lengths) for unit in ("mm", "inch"))
    assert metric.verdict.code == inch.verdict.code
    # and it is the verdict of ISO 14253-1, strict at equality, reckoned in whole hundredths of a millimetre
    thinnest, limit_at, u_at = (round(100 * x) for x in (min(readings), discard, u))
    expected = ["within" if thinnest - u_at > limit_at else "beyond" if thinnest + u_at <= limit_at else "too-close"]
    spread = (max(readings) - min(readings), sqrt(2) * u, limit)
    assume(min(abs(spread[0] + spread[1] - limit), abs(spread[0] - spread[1] - limit)) > 1e-6 or u == 0)
    spread_at = round(100 * spread[0])
    if u == 0:
        expected.append("within" if spread_at <= round(100 * limit) else "beyond")
    else:
        expected.append("within" if spread[0] + spread[1] <= limit else "beyond" if spread[0] - spread[1] > limit else "too-close")
    order = ["beyond", "too-close", "within"]
    assert metric.verdict.code == min(expected, key=order.index)


@settings(max_examples=60, deadline=None)
@given(length("0.0", "0.5"), length("0.02", "0.1"), length("0.11", "0.25"), st.sampled_from([0.0, 0.01]), st.sampled_from([1.0, 1.5, 2.0]), st.sampled_from([6, 8, 12]), st.sampled_from([1, 2]))
def test_the_unit_never_changes_the_verdict_on_end_play(measured, least, most, u, pitch, slots, holes):
    given_values = {"measured": measured, "target_min": least, "target_max": most, "tool_uncertainty": u, "thread_pitch": pitch, "nut_slots": slots, "pin_holes": holes}
    metric, inch = (run_in("bearing-end-play", unit, **given_values) for unit in ("mm", "inch"))
    assert metric.verdict.code == inch.verdict.code
    assert metric.values["positions_to_turn"].value == inch.values["positions_to_turn"].value
    if metric.verdict.code == "adjust":  # the chosen lock is in the window, by arithmetic
        left = measured - pitch * metric.values["turn_angle"].value / 360
        assert least - 1e-9 <= left <= most + 1e-9
        assert left > u


@settings(max_examples=100, deadline=None)
@given(st.decimals("21.9", "22.1", places=3), st.sampled_from(["22 mm", "22.00 mm", "0.866 in", "0.8661 in"]), st.sampled_from(["metric", "inch"]))
def test_text_and_verdict_never_contradict_each_other(reading, discard, system):
    """Value and limit, read again from the printed sentence, stand as the verdict says, in both systems."""
    result = catalogue()["rotor-thickness"].run(system=system, readings=f"{reading} mm", discard=discard)
    sentence = result.verdict.text.partition(" for this tool")[0]
    thinnest, thinnest_other, limit, limit_other = (float(number) for number in re.findall(r"[0-9]+\.?[0-9]*(?=\s(?:mm|in))", sentence))
    margin = result.values["margin"].value
    for shown, shown_limit in ((thinnest, limit), (thinnest_other, limit_other)):
        assert (shown > shown_limit) == (margin > 0), sentence
        assert (shown < shown_limit) == (margin < 0), sentence
