"""The figures of a vehicle's sheet: the same bands and cross-checks as the entries, in the build and in the page."""

from __future__ import annotations

import json
import subprocess

import pytest

from build_tools import commands
from build_tools.browser.node import node
from build_tools.checks import vehicles
from build_tools.checks.sheet_values import edges_in, faults, unit_of
from build_tools.checks.vehicles import sheet_notices
from build_tools.content.load import load
from build_tools.content.model import Sourced
from build_tools.pages.render import page_data
from build_tools.paths import PROJECT
from calculators.contract.bands import BANDS
from calculators.contract.guard import in_hard, in_usual

STOCK = load(PROJECT / "site_data")
END = {field.id: field for field in STOCK.fields.values() if field.of == "end"}
WHOLE = {field.id: field for field in STOCK.fields.values() if field.of == "vehicle"}
# path, value, unit, sure, and what is said: the four of the first lines once passed `check`
CASES = [
    ({"rotor.discard": ("0.88", "mm")}, {"rotor.discard": "V106"}),
    ({"rotor.new": ("0.5", "mm")}, {"rotor.new": "V106"}),
    ({"rotor.runout_limit": ("50", "mm")}, {"rotor.runout_limit": "V106"}),
    ({"axle_nut.torque": ("1,200", "N·m")}, {}),  # no plain number: said by V105
    ({"axle_nut.torque": ("1200", "N·m")}, {"axle_nut.torque": "V106"}),
    ({"rotor.discard": ("0.88", "in")}, {}),
    ({"rotor.variation_limit": ("0.005", "in")}, {"rotor.variation_limit": "V107"}),
    ({"rotor.variation_limit": ("0.005", "in", "an old heavy truck")}, {}),
    ({"rotor.discard": ("22", "mm"), "rotor.new": ("24", "mm"), "rotor.machine_to": ("23", "mm")}, {}),
    ({"rotor.discard": ("24", "mm"), "rotor.new": ("24", "mm")}, {"rotor.discard": "V108"}),
    ({"rotor.discard": ("23", "mm"), "rotor.machine_to": ("23", "mm")}, {}),  # or equal
    ({"rotor.discard": ("23.5", "mm"), "rotor.machine_to": ("23", "mm")}, {"rotor.discard": "V108"}),
    ({"rotor.machine_to": ("0.95", "in"), "rotor.new": ("24", "mm")}, {"rotor.machine_to": "V108"}),  # 24.13 mm
    ({"rotor.discard": ("15", "mm"), "rotor.new": ("24", "mm")}, {"rotor.discard": "V107"}),  # 62 %
    ({"rotor.discard": ("15", "mm", "read twice"), "rotor.new": ("24", "mm")}, {}),
    ({"pad.limit": ("7", "mm", "truck"), "pad.new": ("6.5", "mm")}, {"pad.limit": "V108"}),
    ({"end_play.min": ("0.05", "mm"), "end_play.max": ("0.05", "mm")}, {}),
    ({"end_play.min": ("0.06", "mm"), "end_play.max": ("0.05", "mm")}, {"end_play.min": "V108"}),
    ({"end_play.min": ("-0.02", "mm"), "end_play.max": ("0", "mm")}, {}),  # a preloaded design
    ({"caliper.piston_diameters": ("42; 42; 2; 42", "mm")}, {"caliper.piston_diameters": "V106"}),
    ({"bleeder.torque": ("106", "lbf·in")}, {}),
    ({"bleeder.torque": ("106", "lbf·ft")}, {"bleeder.torque": "V106"}),
    ({"spindle.pitch": ("16", "TPI")}, {}),
    ({"spindle.pitch": ("16", "mm")}, {"spindle.pitch": "V106"}),
]  # fmt: skip


def values(given) -> dict[str, Sourced]:
    return {path: Sourced(value=one[0], unit=one[1], source="manual", sure=one[2] if len(one) > 2 else None) for path, one in given.items()}


@pytest.mark.parametrize("given, codes", CASES)
def test_the_build_judges_a_sheet(given, codes):
    assert {path: fault.code for path, fault in faults(END, values(given))} == codes


def test_wheel_nuts_of_the_whole_vehicle():
    assert [fault.code for _, fault in faults(WHOLE, values({"wheel_nut.torque": ("1200", "N·m")}))] == ["V106"]
    assert [fault.code for _, fault in faults(WHOLE, values({"wheel_nut.torque": ("450", "N·m")}))] == ["V107"]


def test_a_fault_names_figure_expected_and_an_example():
    [(_, fault)] = faults(END, values({"rotor.discard": ("0.88", "mm")}))
    assert "0.88 mm cannot be; was 0.88 in meant?" in fault.message
    assert fault.expected.startswith("2.5 to 62 mm") and 'rotor.discard: {value: "24.1", unit: mm' in fault.example


def test_the_page_judges_by_the_same_figures(tmp_path):
    """docs/scripts/core/sheet-bands.js, run beside the build: cannot be and contradicts are one there, rare is the other."""
    script = tmp_path / "run.mjs"
    script.write_text(
        f"""
import {{ readFileSync, writeFileSync }} from "node:fs";
const source = readFileSync({json.dumps(str(PROJECT / "docs/scripts/core/sheet-bands.js"))}, "utf-8");
const {{ sheetFaults, withSure, withoutSure }} = await import("data:text/javascript," + encodeURIComponent(source));
const [fields, cases] = JSON.parse(readFileSync(process.argv[2], "utf-8"));
const of = (path) => fields.find((field) => `${{field.of}}.${{field.id}}` === path);
console.log(JSON.stringify(cases.map((given) => Object.fromEntries([...sheetFaults(Object.fromEntries(Object.entries(given).map(([path, [value, unit, sure]]) =>
  [`end.${{path}}`, {{ value, unit, source: withSure("manual", sure) }}])), of)].map(([path, fault]) => [path.slice(4), fault.kind])))));
const kept = withoutSure(withSure("manual", "read twice"));
if (kept.source !== "manual" || kept.sure !== "read twice") throw new Error("source and reason are not kept apart");
""",
        "utf-8",
    )
    data = tmp_path / "data.json"
    data.write_text(json.dumps([page_data(STOCK)["sheet"], [given for given, _ in CASES]]), "utf-8")
    found = json.loads(subprocess.run([node(), str(script), str(data)], check=True, capture_output=True, text=True).stdout)
    for (given, codes), kinds in zip(CASES, found, strict=True):
        assert {path: kind for path, kind in kinds.items() if path in codes} == {
            path: "rare" if code == "V107" else "cannot" for path, code in codes.items()
        }, given
        assert codes or not kinds, given  # of two that contradict each other the page uses neither


def test_edges_agree_with_the_guard():
    """A figure just inside or outside an edge is judged alike by sheet and entry."""
    for field in STOCK.fields.values():
        if not field.band:
            continue
        band = BANDS[field.band]
        for symbol in field.units:
            unit = unit_of(field, symbol)
            edges = edges_in(band, unit)
            for factor in (0.99, 1.01):
                for value in edges:
                    if value <= 0 or band.below_zero:
                        continue
                    number = unit.quantity(value * factor)
                    magnitude = value * factor
                    assert in_hard(band, number) == (edges.hard_low <= magnitude <= edges.hard_high), (field.id, symbol, magnitude)
                    assert in_usual(band, number) == (edges.low <= magnitude <= edges.high), (field.id, symbol, magnitude)


def test_every_figure_of_a_sheet_has_its_band():
    """Without one a slip of the unit would pass; those that are not of one band are named here."""
    unjudged = {"drum.max_diameter", "parking_shoe.limit", "axle_nut.angle", "pushrod.clearance", "pedal.free_play", "bleeding.pressure"}
    assert {field.id for field in STOCK.fields.values() if field.units and not field.band} == unjudged


def test_a_shops_older_sheet_is_a_notice_and_the_page_leaves_the_figure_out(tmp_path, capsys):
    shop = tmp_path / "shop"
    (shop / "vehicles").mkdir(parents=True)
    (shop / "shop.yml").write_text("name: Example shop (invented)\n", "utf-8")
    (shop / "vehicles" / "old-van.yml").write_text(
        'id: old-van\nname: Old van (invented)\nvalues:\n  wheel_nut.torque: {value: "1200", unit: N·m, source: manual}\n', "utf-8"
    )
    handbook = load(PROJECT / "site_data", shop)
    assert not list(vehicles.vehicle_problems(handbook, handbook.vehicles["old-van"]))
    assert [(problem.code, problem.line) for problem in sheet_notices(handbook)] == [("V106", 4)]
    assert commands.run(commands.parse(["check", "--shop", str(shop)])) == 0
    said = capsys.readouterr().out
    assert "old-van.yml:4" in said and "V106" in said and "Notice: 1 figure of the shop's sheets" in said
