"""What must hold for every entry: read or refused in one line, and never judged differently in another unit."""

from __future__ import annotations

import json
import re
from itertools import chain, combinations, pairwise
from math import isclose, sqrt

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from calculators import catalogue, named
from calculators.calls.browser import evaluate
from calculators.contract.entries import Entry
from calculators.contract.errors import EntryError, MissingInput
from calculators.contract.inputs import Input
from calculators.contract.printing import without_exponent
from calculators.contract.units import UNITS_OF, Quantity
from tests.calculators.corpus import JOBS, all_jobs, specs_for, system_of, understood

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


@given(
    st.one_of(st.text(max_size=40), st.text(alphabet=SHOP_CHARACTERS, max_size=24)),
    st.sampled_from(SPECS),
    st.sampled_from(["metric", "inch"]),
)
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
        key: [Quantity(v, "mm").to(unit) for v in value]
        if isinstance(value, list)
        else Quantity(value, "mm").to(unit)
        if isinstance(value, float)
        else value
        for key, value in millimetres.items()
    }
    return catalogue()[name].run(**given_quantities)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(length("21.9", "22.1"), min_size=1, max_size=8),
    length("21.9", "22.1"),
    st.sampled_from([0.0, 0.01, 0.02]),
    length("0.01", "0.05"),
)
def test_the_unit_never_changes_the_verdict_on_a_rotor(readings, discard, u, limit):
    lengths = {"readings": readings, "discard": discard, "tool_uncertainty": u, "variation_limit": limit}
    metric, inch = (run_in("rotor-thickness", unit, **lengths) for unit in ("mm", "inch"))
    assert metric.verdict.code == inch.verdict.code
    # and it is the verdict of ISO 14253-1, strict at equality, computed in whole hundredths of a millimetre
    thinnest, limit_at, u_at = (round(100 * x) for x in (min(readings), discard, u))
    if len(readings) == 1:  # no variation can be told, and its limit was given
        assert metric.values["variation"].value is None
        assert metric.verdict.code == (
            "beyond" if thinnest + u_at <= limit_at else "too-close" if thinnest - u_at <= limit_at else "cannot-tell"
        )
        return
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
@given(
    length("0.0", "0.5"),
    length("0.02", "0.1"),
    length("0.11", "0.25"),
    st.sampled_from([0.0, 0.01]),
    st.sampled_from([1.0, 1.5, 2.0]),
    st.sampled_from([6, 8, 12]),
    st.sampled_from([1, 2]),
)
def test_the_unit_never_changes_the_verdict_on_end_play(measured, least, most, u, pitch, slots, holes):
    given_values = {
        "measured": measured,
        "target_min": least,
        "target_max": most,
        "tool_uncertainty": u,
        "thread_pitch": pitch,
        "nut_slots": slots,
        "pin_holes": holes,
    }
    metric, inch = (run_in("bearing-end-play", unit, **given_values) for unit in ("mm", "inch"))
    assert metric.verdict.code == inch.verdict.code
    assert metric.values["positions_to_turn"].value == inch.values["positions_to_turn"].value
    if metric.verdict.code == "adjust":  # the chosen lock is in the window, by arithmetic
        left = measured - pitch * metric.values["turn_angle"].value / 360
        assert least - 1e-9 <= left <= most + 1e-9
        assert left > u


@settings(max_examples=100, deadline=None)
@given(
    st.decimals("21.9", "22.1", places=3),
    st.sampled_from(["22 mm", "22.00 mm", "0.866 in", "0.8661 in"]),
    st.sampled_from(["metric", "inch"]),
)
def test_text_and_verdict_never_contradict_each_other(reading, discard, system):
    """Value and limit, read again from the printed sentence, stand as the verdict says, in both systems."""
    result = catalogue()["rotor-thickness"].run(system=system, readings=f"{reading} mm", discard=discard)
    sentence = result.verdict.text.partition(" for this tool")[0].partition(". ")[0]
    thinnest, thinnest_other, limit, limit_other = (float(number) for number in re.findall(r"[0-9]+\.?[0-9]*(?=\s(?:mm|in))", sentence))
    margin = result.values["margin"].value
    for shown, shown_limit in ((thinnest, limit), (thinnest_other, limit_other)):
        assert (shown > shown_limit) == (margin > 0), sentence
        assert (shown < shown_limit) == (margin < 0), sentence


# Over all calculators, from their declarations and one job each (jobs.csv)

WHOLE_JOBS = [(calculator, job) for calculator, job, _ in all_jobs()]


def typed_in(unit, quantity) -> str:
    """A quantity as text in a unit, to 12 figures."""
    return f"{without_exponent(unit.magnitude(quantity), 12)} {unit.symbol}".strip()


def takes(unit, quantity) -> bool:
    """Whether a person could type it to 12 figures: more digits than a float holds are refused as a slip of the finger."""
    return sum(sign.isdigit() for sign in typed_in(unit, quantity)) <= 15


def outcome_of(calculator: str, entries: dict[str, str], system: str):
    """The result, or the kind of refusal with its input."""
    try:
        return named(calculator).run(system=system, **entries)
    except EntryError as error:
        return type(error), error.input


def alike(one, other) -> bool:
    """Values of two results, the same but for the last bits of floats."""
    if isinstance(one, list):
        return isinstance(other, list) and len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return isclose(one, other, rel_tol=1e-8, abs_tol=1e-9)
    return one == other


@pytest.mark.parametrize("calculator, job", WHOLE_JOBS)
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_no_unit_that_an_entry_takes_changes_verdict_or_values(calculator, job, data):
    """Every entry once in the units of the job, once in any other unit its declaration takes, each to 12 figures."""
    system, entries = system_of(job), JOBS[calculator, job]
    specs = specs_for(calculator, entries)
    here, there = {}, {}
    for name, entry in entries.items():
        spec = specs[name]
        if not spec.required and name != "tool_uncertainty" and data.draw(st.integers(0, 9)) == 0:
            continue
        if spec.type != "quantity" or calculator == "convert":
            here[name] = there[name] = entry
            continue
        factor = data.draw(st.sampled_from([1, 1, 0.9, 0.97, 1.01, 1.1]))
        units = sorted({unit for unit in UNITS_OF[spec.kind].values() if unit.symbol}, key=str)
        moved = [Quantity(one.quantity.magnitude * factor, one.quantity.units) for one in understood(calculator, entries, name, system)]
        own = [one.unit for one in understood(calculator, entries, name, system)]
        here[name] = "; ".join(typed_in(unit, quantity) for unit, quantity in zip(own, moved))
        fit = [[each for each in units if takes(each, quantity)] or [unit] for unit, quantity in zip(own, moved)]
        there[name] = "; ".join(typed_in(data.draw(st.sampled_from(choice)), quantity) for choice, quantity in zip(fit, moved))
    first, second = (
        outcome_of(calculator, here, system),
        outcome_of(calculator, there, data.draw(st.sampled_from([system, "metric", "inch"]))),
    )
    if isinstance(first, tuple) or isinstance(second, tuple):
        assert first == second, (here, there)
        return
    assert (first.verdict and first.verdict.code) == (second.verdict and second.verdict.code), (here, there)
    for name, value in first.values.items():
        assert value.unit == second.values[name].unit
        assert alike(value.value, second.values[name].value), (name, here, there)


# At a limit. Which side is the safe one is said here once more, from the rules of each calculator and not from its code.
LOWER, UPPER, SIZE, WINDOW = "must be above", "must not be over", "its size must not be over", "must not leave"
SAFE_SIDE = {
    ("rotor-thickness", "thinnest"): LOWER, ("rotor-thickness", "variation"): UPPER, ("bearing-end-play", "measured"): WINDOW,
    ("reservoir-level", "displaced_peak"): UPPER, ("reservoir-level", "displaced_volume"): UPPER, ("reservoir-level", "draw_off"): UPPER,
    ("piston-match", "ratio"): WINDOW, ("stopping-check", "distance"): UPPER, ("brake-balance", "difference"): UPPER,
    ("pad-wear", "thinnest"): LOWER, ("pad-wear", "inner_taper"): SIZE, ("pad-wear", "outer_taper"): SIZE, ("pad-wear", "inner_taper_across"): SIZE, ("pad-wear", "outer_taper_across"): SIZE, ("pad-wear", "inner_outer_difference"): SIZE,
    ("lateral-runout", "total_runout"): UPPER, ("torque-adapter", "setting"): WINDOW, ("torque-check", "actual"): WINDOW, ("bolt-clamp", "proof_fraction"): UPPER,
    ("bedding-heat", "peak"): UPPER, ("axle-compare", "difference"): SIZE, ("fluid-condition", "boiling_point"): LOWER, ("pedal-reserve", "travel_used"): UPPER,
}  # fmt: skip
OF_TWO_READINGS = {"variation", "total_runout", "inner_taper", "outer_taper", "difference"}  # their uncertainty is √2·U


class Seen:
    """One run with all that led to its text."""

    def __init__(self, calculator: str, entries: dict[str, str], system: str, monkeypatch: pytest.MonkeyPatch):
        from calculators.contract import declaration, result

        kept = []

        def keep(name, answer, specs, values, understood_entries, system):
            kept.append((answer, result.Printer(answer, specs, values, understood_entries, system)))
            return result.print_result(name, answer, specs, values, understood_entries, system)

        monkeypatch.setattr(declaration, "print_result", keep)
        self.calculator, self.result = calculator, named(calculator).run(system=system, **entries)
        ((self.answer, self.printer),) = kept

    def quantity(self, name) -> Quantity:
        """A value, an input or a limit."""
        if not isinstance(name, str):
            return name
        return self.answer.values[name] if name in self.answer.values else self.printer.entries[name].quantity

    def text(self, name) -> str | None:
        """How it is printed; None for a limit that is a fixed figure."""
        if not isinstance(name, str):
            return None
        return self.result.values[name].text if name in self.answer.values else self.printer.input(name)

    def judged(self):
        """Each judgement with a value and the limits it was held against."""
        return [(judgement.code, value, limits) for judgement in self.answer.judgements for value, limits in judgement.held_against.items()]


def shown(text: str) -> dict[str, float]:
    """Numbers of a printed text by their unit: «24.08 mm (0.9480 in)»."""
    return {
        unit.replace("\u00a0", " "): float(number) for number, unit in re.findall("(-?[0-9]+[.]?[0-9]*)(?:\u00a0?([^ ()0-9;,]+))?", text)
    }


def figure(limit, unit: str) -> float:
    """A fixed limit in a printed unit."""
    kinds = [
        units
        for units in UNITS_OF.values()
        for each in units.values()
        if each.symbol == unit and each.quantity(1).check(limit.dimensionality)
    ]
    return next(each for each in kinds[0].values() if each.symbol == unit).magnitude(limit)


def keeps(side: str, value: float, limits: list[float], u: float = 0) -> bool:
    """Whether a value is on the safe side of its limits by u, equality going the strict way; floats may differ by 1e-9."""
    slack = 1e-9 * max(map(abs, [value, *limits]))
    if side == LOWER:
        return all(value - u > limit - slack for limit in limits)
    if side == WINDOW:
        return min(limits) - slack <= value <= max(limits) + slack
    size = abs(value) if side == SIZE else value
    return all(size + u <= abs(limit) + slack for limit in limits)


def check_at_limit(seen: Seen) -> int:
    """No unsafe pass, and no text that says the opposite of its verdict; how many judgements were looked at."""
    u = seen.printer.entries.get("tool_uncertainty")
    for code, name, limits in seen.judged():
        side = SAFE_SIDE[seen.calculator, name]  # a new judgement says its safe side there first
        if side == WINDOW and len(limits) == 1:
            side = LOWER if limits[0].endswith("_min") else UPPER
        value = seen.quantity(name)
        bounds = [seen.quantity(limit) for limit in limits]
        scale = bounds[0].to_base_units().units
        margin = 0.0 if u is None else u.quantity.to_base_units().magnitude * (sqrt(2) if name in OF_TWO_READINGS else 1)
        margin = 0.0 if side == WINDOW else margin
        numbers = [bound.to(scale).magnitude for bound in bounds]
        if code == "within":
            assert keeps(side, value.to(scale).magnitude, numbers, margin), (name, seen.result.verdict.text)
        if code not in ("within", "beyond", "adjust") or len(seen.printer.entries) == 0:
            continue
        for unit, number in shown(seen.text(name)).items():
            said = [shown(seen.text(limit) or "").get(unit) if isinstance(limit, str) else figure(limit, unit) for limit in limits]
            if None in said:
                continue
            exact = all(number == limit or number != pytest.approx(limit, rel=1e-9) for limit in said)
            if code == "within":
                assert keeps(side, number, said) and not (side == LOWER and number in said), (name, seen.result.verdict.text)
            elif code == "beyond" and exact:
                slack = 1e-9 * abs(number)
                outside = {
                    LOWER: number <= said[0],
                    UPPER: number > said[0] - slack and number != said[0],
                    SIZE: abs(number) > abs(said[0]),
                }
                assert outside.get(side, True), (name, seen.result.verdict.text)
        if code in ("within", "beyond") and name != "draw_off":
            assert seen.text(name) in seen.result.verdict.text, name
    return len(seen.judged())


def value_less_limit(calculator: str, plain: dict, name: str, limit) -> float | None:
    """How far the judged value lies over its limit, by the formula alone."""
    try:
        answer = named(calculator).function(**plain)
    except EntryError:
        return None
    value = answer.values.get(name, plain.get(name))
    bound = plain[limit] if isinstance(limit, str) else limit
    if not hasattr(value, "magnitude") or bound is None:
        return None
    return (value.to_base_units() - bound.to_base_units()).magnitude


def scaled(given, factor: float):
    if isinstance(given, list):
        return [scaled(one, factor) for one in given]
    return Quantity(given.magnitude * factor, given.units)


def factor_at_limit(calculator: str, plain: dict, moved: str, name: str, limit) -> float | None:
    """The factor on one input that brings the judged value to its limit, by bisection; None where there is none near."""

    def over(factor: float) -> float | None:
        return value_less_limit(calculator, plain | {moved: scaled(plain[moved], factor)}, name, limit)

    steps = [0.3, 0.5, 0.6, 0.75, 0.9, 1.1, 1.3, 1.6, 2.0, 3.0]
    found = [(factor, over(factor)) for factor in steps]
    for (low, below), (high, above) in pairwise(found):
        if below is None or above is None or below * above > 0 or below == above:
            continue
        for _ in range(50):
            middle = (low + high) / 2
            at = over(middle)
            if at is None:
                return None
            low, high = (middle, high) if at * below > 0 else (low, middle)
        return (low + high) / 2
    return None


def near_limit(entries: list[Entry], factor: float) -> list[str]:
    """Entries of a list brought to the limit: exactly, and at the nearest digit of the entry and one digit to either side."""
    exact = "; ".join(f"{without_exponent(e.number.value * factor, 12)} {e.unit.symbol}".strip() for e in entries)
    texts = [exact]
    for more in (0, 1):
        for step in (-1, 0, 1):
            numbers = []
            for entry in entries:
                decimals = (entry.number.decimals or 1) + more
                number = round(entry.number.value * factor, decimals) + step * 10**-decimals
                numbers.append(f"{number:.{decimals}f} {entry.unit.symbol}".strip())
            texts.append("; ".join(numbers))
    return texts


JUDGED = sorted({calculator for calculator, _ in SAFE_SIDE})


@pytest.mark.parametrize("calculator, job", [(c, j) for c, j in WHOLE_JOBS if c in JUDGED])
def test_at_a_limit_nothing_passes_unsafely_and_no_text_says_the_opposite(calculator, job, monkeypatch):
    """Each judged value is brought to each limit through the first input that can, then typed to a digit on either side, in both systems."""
    system, entries = system_of(job), JOBS[calculator, job]
    first = Seen(calculator, entries, system, monkeypatch)
    assert first.judged()
    specs = specs_for(calculator, entries)
    understood_entries = {name: understood(calculator, entries, name, system) for name in entries}
    plain = dict.fromkeys(named(calculator).inputs)
    for name, found in first.printer.entries.items():
        plain[name] = (
            [one.quantity for one in found] if isinstance(found, list) else getattr(found, "quantity", getattr(found, "value", None))
        )
    movable = [
        name for name in entries if specs[name].type == "quantity" and name != "tool_uncertainty" and not specs[name].kind == "pitch"
    ]
    typed = {n: "; ".join(e.again for e in understood_entries[n]) if specs[n].type == "quantity" else entries[n] for n in entries}
    looked = reached = 0
    for _, name, limits in first.judged():
        for limit in limits:
            before = reached
            for moved in movable:
                factor = factor_at_limit(calculator, plain, moved, name, limit) if reached == before else None
                for text in near_limit(understood_entries[moved], factor) if factor else ():
                    for shown_in in ("metric", "inch"):
                        try:
                            looked += check_at_limit(Seen(calculator, typed | {moved: text}, shown_in, monkeypatch))
                            reached += 1
                        except EntryError:
                            continue  # outside a band, or against another entry
    assert reached >= 6 and looked >= reached


def test_every_judgement_of_the_catalogue_has_its_safe_side(monkeypatch):
    judged = {
        (calculator, name)
        for calculator, job in WHOLE_JOBS
        for _, name, _ in Seen(calculator, JOBS[calculator, job], system_of(job), monkeypatch).judged()
    }
    assert judged <= set(SAFE_SIDE)
    assert {calculator for calculator, _ in judged} == set(JUDGED)


@pytest.mark.parametrize("calculator, job", WHOLE_JOBS)
def test_a_missing_entry_never_leaves_a_number(calculator, job):
    """Every required entry alone, any two, and all of them missing or blank: one line that names one of them, and no result."""
    entries, required = JOBS[calculator, job], [spec.name for spec in named(calculator).inputs.values() if spec.required]
    for gone in chain(combinations(required, 1), combinations(required, 2), [tuple(required)]):
        left = {name: entry for name, entry in entries.items() if name not in gone}
        for blank in ("", "  "):
            answer = json.loads(
                evaluate(json.dumps({"calculator": calculator, "given": left | dict.fromkeys(gone, blank), "system": system_of(job)}))
            )
            assert set(answer) == {"problem"}, gone
            assert answer["problem"]["input"] in gone or answer["problem"]["candidates"], gone
            assert "\n" not in answer["problem"]["message"]
    for name in required:
        with pytest.raises(EntryError) as caught:
            named(calculator).run(system=system_of(job), **{n: entry for n, entry in entries.items() if n != name})
        assert caught.value.input == name or calculator in ("axle-compare", "convert")  # there one entry says how another is read


@pytest.mark.parametrize("calculator, job", WHOLE_JOBS)
@settings(max_examples=10, deadline=None)
@given(data=st.data())
def test_without_its_optional_entries_a_value_is_there_or_says_what_it_needs(calculator, job, data):
    inputs = named(calculator).inputs
    # What is read decides which entries can be: a height is no size. At a step it is fixed, so it is never the one left out.
    kept = {"quantity", *(name for name, each in inputs.items() if each.required)}
    entries = {name: entry for name, entry in JOBS[calculator, job].items() if name in kept or data.draw(st.booleans())}
    try:
        result = named(calculator).run(system=system_of(job), **entries)
    except MissingInput as error:
        assert error.input in set(inputs) - set(entries)  # noqa: PT017 - some do, some do not
        return
    for name, value in result.values.items():
        assert value.text.strip(), name
        if value.value is None:
            assert not re.fullmatch(r"[-0-9.]+\s?\S*", value.text), name
