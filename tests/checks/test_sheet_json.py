"""Vehicle sheets as JSON: the same checks and places as YAML; a VIN that cannot be right is a mistake of the sheet."""

import json
import shutil

import pytest

from build_tools.checks import vehicles
from build_tools.content.load import load
from build_tools.content.problems import ContentError
from build_tools.paths import PROJECT

SHEET = {
    "id": "vehicle-red",
    "name": "Red van (invented)",
    "vin": None,
    "layout": {"abs": "none"},
    "values": {"wheel_nut.torque": {"value": "110", "unit": "N·m", "source": "invented"}},
}


def problems(tmp_path, text: str, name: str = "vehicle-red.json") -> list[str]:
    stock, shop = tmp_path / "stock", tmp_path / "shop"
    stock.mkdir()
    for needed in ("layout.yml", "sheet.yml"):
        shutil.copy(PROJECT / "site_data" / needed, stock)
    (shop / "vehicles").mkdir(parents=True)
    (shop / "shop.yml").write_text("name: Example shop (invented)\n", "utf-8")
    (shop / "vehicles" / name).write_text(text, "utf-8")
    try:
        handbook = load(stock, shop)
    except ContentError as error:
        return [str(problem) for problem in error.problems]
    found = [str(problem) for vehicle in handbook.vehicles.values() for problem in vehicles.vehicle_problems(handbook, vehicle)]
    assert found or handbook.vehicles["vehicle-red"].values["wheel_nut.torque"].value == "110"
    return found


@pytest.mark.parametrize(
    "text", [json.dumps(SHEET), json.dumps(SHEET, indent="\t", ensure_ascii=False), json.dumps(SHEET, separators=(",", ":"))]
)
def test_a_sheet_as_json_is_taken(tmp_path, text):
    assert problems(tmp_path, text) == []


def test_a_sheet_as_yaml_with_a_vin(tmp_path):
    # seventeen ones fit their check digit: 89 leaves 1
    assert (
        problems(
            tmp_path,
            'id: vehicle-red\nname: Red\nvin: "11111111111111111"\nvalues: {wheel_nut.torque: {value: "110", unit: N·m, source: x}}\n',
            "vehicle-red.yml",
        )
        == []
    )


@pytest.mark.parametrize("text, place, says", [
    ('{\n "id": "vehicle-red",\n "name": ', "3:10", "not a whole sheet"),
    ('{\n "id": "vehicle-red",\n "name": "Red",\n "colour": "red"\n}', "4:2", "No entry is called 'colour'"),
    ('{\n "id": "vehicle-blue",\n "name": "Red"\n}', "2:8", "so the id in it must be 'vehicle-red'"),
    ('{\n "id": "vehicle-red",\n "id": "vehicle-red",\n "name": "Red"\n}', "3:2", "second time"),
    ('{"id": "vehicle-red", "name": "Red", "values": {\n"wheel_nut.torque": {"value": "110", "unit": "mm", "source": "x"}}}', "2:", "the unit is 'mm'"),
    ('{"id": "vehicle-red", "name": "Red",\n "vin": "11111111111111112"}', "2:", ""),
    ('{"id": "vehicle-red", "name": "Red",\n "vin": "21111111111111111"}', "2:", "misread or mistyped"),
    ('{"id": "vehicle-red", "name": "Red",\n "vin": "1111111111111111O"}', "2:", "O at position 17"),
    ('{"id": "vehicle-red", "name": "Red", "values": {\n"vin": {"value": "2111", "source": "x"}}}', "2:", "it has 4 characters"),
    ('{"id": "vehicle-red",\n "name": "\\ud83d\\ude00"}', "2:", "Write the character itself"),
    ("[" * 5000, "1:", ""),
    ("", "1:1", "not a whole sheet"),
])  # fmt: skip
def test_every_mistake_is_one_line_with_its_place(tmp_path, text, place, says):
    found = problems(tmp_path, text)
    assert found and all("\n" not in line for line in found)
    assert any(f"vehicle-red.json:{place}" in line and says in line for line in found), found


def test_a_maker_that_uses_no_check_digit_is_no_mistake(tmp_path):
    # ISO 3779: position 9 is the maker's own outside North America
    assert problems(tmp_path, json.dumps(SHEET | {"vin": "W1111111111111111"})) == []
