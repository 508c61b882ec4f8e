"""What is declared once must reach every reader: examples recomputed, lists and forms whole, sources honest."""

from __future__ import annotations

import ast
import json
import re
import sys
from pathlib import Path
from typing import Annotated, get_args, get_type_hints

import pytest

import calculators
from calculators import catalogue
from calculators.calls.browser import evaluate
from calculators.contract.declaration import Example, calculator
from calculators.contract.errors import ExampleDiffers, UnreadableEntry
from calculators.contract.inputs import Input
from calculators.contract.result import Answer, Value
from calculators.contract.sources import COMMON_PRACTICE, Source
from calculators.contract.units import Quantity

PACKAGE = Path(calculators.__file__).parent
VECTORS = json.loads((Path(__file__).parent / "vectors.json").read_text(encoding="utf-8"))

# The names, inputs and values other documents call these calculators by: the contract of the set.
CONTRACT = {
    "rotor-thickness": (
        "readings[] discard machine_to? new? variation_limit? tool_uncertainty? points? groove_depth? cut_per_side? distance_run? distance_next?",
        "thinnest margin variation conformance_probability thickness_after_cut may_be_machined deepest_cut wear_per_distance distance_left thinnest_at_next",
    ),
    "bearing-end-play": (
        "measured target_max target_min? tool_uncertainty? thread_pitch? nut_slots? pin_holes? hole_angle? retainer_fits? offset_to_next_lock?",
        "positions_per_turn lock_angles[] travel_per_position positions_to_turn turn_angle resulting_end_play reachable[] looser_end_play tighter_end_play",
    ),
    "fluid-volume": (
        "line_bores[] line_lengths[] piston_diameters[] piston_extensions[] reservoir flush_multiple? waste? bottle?",
        "line_volume caliper_volume system_volume fluid_needed bottles",
    ),
}
FIXED_UNITS = {"mm", "km", "mm/km", "m", "mL", "mm²", "g", "N", "N·m", "mL/min", "min", "J", "°C", "K", "m/s²", "°", ""}
NAMES = list(catalogue())


def spelled_out(name: str, is_list: bool, optional: bool = False) -> str:
    return name + ("[]" if is_list else "") + ("?" if optional else "")


@pytest.mark.parametrize("name", list(CONTRACT))
def test_inputs_and_values_are_those_of_the_contract(name):
    found = catalogue()[name]
    inputs, values = CONTRACT[name]
    assert {spelled_out(s.name, s.is_list, not s.required) for s in found.inputs.values()} == set(inputs.split())
    assert {spelled_out(v.name, v.is_list) for v in found.values.values()} == set(values.split())


@pytest.mark.parametrize("name", NAMES)
def test_the_worked_example_prints_what_it_says(name):
    found = catalogue()[name]
    assert found.example.printed
    assert found.example.where
    found.worked_example()


@pytest.mark.parametrize("name", NAMES)
def test_a_declaration_is_whole_and_is_json(name):
    found = catalogue()[name]
    described = json.loads(json.dumps(found.describe(), allow_nan=False))
    for key in ("title", "purpose", "inputs", "values", "formula", "limits_of_model", "sources", "cautions"):
        assert described[key], key
    for item in described["inputs"]:
        assert item["help"].strip() and item["label"].strip(), item["name"]
    assert {value["unit"] for value in described["values"]} <= FIXED_UNITS


@pytest.mark.parametrize("name", NAMES)
def test_every_value_is_always_a_key_and_null_says_what_is_missing(name):
    found = catalogue()[name]
    given = {key: text for key, text in found.example.given.items() if found.inputs[key].required}
    answer = json.loads(evaluate(json.dumps({"calculator": name, "given": given, "system": found.example.system})))
    if "problem" in answer:  # some need more than the required entries; the line says which
        assert answer["problem"]["input"] in found.inputs
        return
    values = answer["result"]["values"]
    assert set(values) == set(found.values)
    for key, value in values.items():
        assert value["unit"] == found.values[key].unit or found.values[key].alone  # in the unit asked for
        assert value["text"].strip(), key
        assert isinstance(value["value"], list) is (found.values[key].is_list and value["value"] is not None)


@pytest.mark.parametrize("number, request_", list(enumerate(VECTORS)))
def test_every_request_of_the_vectors_is_answered(number, request_):
    answer = json.loads(evaluate(json.dumps(request_)))
    assert set(answer) in ({"result"}, {"problem"})
    assert "please report" not in json.dumps(answer)


def test_the_vectors_hold_results_questions_and_refusals():
    answers = [json.loads(evaluate(json.dumps(request))) for request in VECTORS]
    assert len(answers) >= 40
    assert {"within", "too-close", "beyond", "adjust", "cannot-tell"} <= {
        a["result"]["verdict"]["code"] for a in answers if "result" in a and a["result"]["verdict"]
    }
    assert any(a["problem"]["candidates"] for a in answers if "problem" in a)
    assert any(not a["problem"]["candidates"] for a in answers if "problem" in a)


# A declaration of three lines shows what follows from it


@calculator(
    title="Half", purpose="Halve a length.", values=[Value("half", "mm")], formula=["half = whole / 2"], limits_of_model=["None."], source=COMMON_PRACTICE,
    example=Example({"whole": "3"}, {"half": "1.50 mm (0.0591 in)"}, "3 / 2; 1.5 / 25.4 = 0.05906"),
)  # fmt: skip
def half_of(whole: Annotated[Quantity, Input(["mm", "in"], "A length.")]) -> Answer:
    """Half of a length."""
    return Answer({"half": whole / 2})


@pytest.mark.parametrize("name", calculators.names())
def test_an_optional_entry_without_none_in_its_type_is_always_filled_in(name):
    declared = catalogue()[name]
    types = get_type_hints(declared.function)
    for spec in declared.inputs.values():
        always = spec.default is not None and spec.only_if is None
        if always and not isinstance(spec.default, str):
            always = any(declared.inputs[other].required for other in spec.default.names)
        may_be_none = type(None) in get_args(types[spec.name])
        assert may_be_none != (spec.required or always), spec.name


def test_the_name_comes_from_the_function_and_the_label_from_the_name():
    assert half_of.name == "half-of"
    assert half_of.inputs["whole"].label == "Whole"
    assert half_of.inputs["whole"].required
    assert half_of.worked_example().values["half"].value == 1.5


def test_a_wrong_example_is_found():
    wrong = calculator(
        title="Half",
        purpose="-",
        values=[Value("half", "mm")],
        formula=[""],
        limits_of_model=[""],
        source=COMMON_PRACTICE,
        example=Example({"whole": "3"}, {"half": "1.6 mm"}),
    )(half_of.function)
    with pytest.raises(ExampleDiffers, match=r"half says '1\.6 mm'"):
        wrong.worked_example()


def test_an_unknown_system_is_refused():
    with pytest.raises(UnreadableEntry, match="metric or inch"):
        half_of.run(system="imperial", whole="3")


def test_the_kind_of_a_source_is_one_of_three():
    with pytest.raises(ValueError, match="published, common practice, memory"):
        Source("x", "X", kind="hearsay")
    assert str(COMMON_PRACTICE).endswith("[common practice]")
    assert Source("x", "X", "2019").at("p. 3").describe() == {
        "id": "x",
        "title": "X",
        "edition": "2019",
        "kind": "published",
        "place": "p. 3",
    }


# The package itself


def test_it_imports_nothing_but_itself_pint_and_the_standard_library():
    allowed = {"calculators", "pint", *sys.stdlib_module_names}
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = (
                [alias.name for alias in node.names]
                if isinstance(node, ast.Import)
                else [node.module]
                if isinstance(node, ast.ImportFrom)
                else []
            )
            assert {name.partition(".")[0] for name in names} <= allowed, path.name


def test_nothing_is_read_from_files_beside_the_code():
    # the page runs the package from an archive
    for path in PACKAGE.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"(?<!\w)open\(", text) and "__file__" not in text, path.name
        # a file the reader names; and the packed rules, which an archive gives out as well (test_decision_entry.py)
        assert "read_text" not in text or path.name in ("command_line.py", "asked.py"), path.name


def test_nothing_depends_on_docstrings_or_asserts():
    # the page runs the package compiled without both
    for path in PACKAGE.rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        assert not [node for node in ast.walk(tree) if isinstance(node, ast.Assert)], path.name
        assert "__doc__" not in path.read_text(encoding="utf-8"), path.name
