"""A vehicle's sheet as a file: saved by the page, built as a shop's sheet, opened for another job; a broken or hostile file changes nothing."""

import json

import pytest

from build_tools.checks import vehicles
from build_tools.content.load import load
from build_tools.paths import PROJECT
from tests.browser.procedure_page import saved, start_job, step
from tests.browser.whole_site import open_procedure, opened_page, text

NUTS = "wheel-and-torque/torque-wheel-nuts"
LAYOUT = (
    "#layout=abs:none,hydraulics:front-rear,rotor:hub,disc:vented,caliper:sliding-one-piston,slides:damper-pin,bracket:bracketed,"
    "bearing:tapered-roller,nut:hex-with-lock,parking_brake:none,hose_end:banjo&vehicle=demo-truck-a"
)
GOOD = {
    "id": "vehicle-x",
    "name": "X (invented)",
    "layout": {"abs": "none"},
    "values": {"wheel_nut.torque": {"value": "101", "unit": "N·m", "source": "invented"}},
}


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    return tmp_path_factory.mktemp("sheets")


@pytest.fixture(scope="module")
def file(chromium, site, files):
    """The sheet of a job with one value typed in."""
    with opened_page(chromium) as page:
        open_procedure(page, site.as_uri() + "/", LAYOUT)
        start_job(page, "Red truck, bay 2")
        field = step(page, NUTS).locator('.field[data-from="vehicle.wheel_nut.torque"]')
        field.locator('input[name="target"]').fill("104 ft-lb")
        field.locator(".keep__from").fill("owner’s manual, p. 12 (invented)")
        field.get_by_role("button", name="Keep").click()
        field.locator(".keep").wait_for(state="detached")
        with page.expect_download() as download:
            page.get_by_role("button", name="Save this vehicle’s sheet").click()
        assert (
            "vehicle-red-truck-bay-2.json" in page.locator(".sheet-file__line").inner_text()
            and "Left out" not in page.locator(".sheet-file__line").inner_text()
        )
        download.value.save_as(files / download.value.suggested_filename)
        assert page.said == []
        return files / download.value.suggested_filename


@pytest.fixture(scope="module")
def page(chromium, site):
    with opened_page(chromium) as page:
        open_procedure(page, site.as_uri() + "/")
        start_job(page, "Blue truck")
        yield page
        assert page.said == []


def test_the_saved_file_builds_as_a_sheet_of_the_shop(file, tmp_path):
    shop = tmp_path / "shop"
    (shop / "vehicles").mkdir(parents=True)
    (shop / "shop.yml").write_text("name: Example shop (invented)\n", "utf-8")
    (shop / "vehicles" / file.name).write_bytes(file.read_bytes())
    handbook = load(PROJECT / "site_data", shop)
    assert [problem for vehicle in handbook.vehicles.values() for problem in vehicles.vehicle_problems(handbook, vehicle)] == []
    made, stock = handbook.vehicles["vehicle-red-truck-bay-2"], handbook.vehicles["demo-truck-a"]
    assert made.invented and made.layout == stock.layout and made.front == stock.front
    typed_in = made.values["wheel_nut.torque"]
    assert (typed_in.value, typed_in.unit, typed_in.source) == ("104", "lbf·ft", "owner’s manual, p. 12 (invented)")
    assert {key: value for key, value in made.values.items() if key != "wheel_nut.torque"} == {
        key: value for key, value in stock.values.items() if key != "wheel_nut.torque"
    }


def take(page, path) -> str:
    """Open a sheet's file; gives the line that the page then shows."""
    page.locator(".sheet-file__line").evaluate("(line) => line.textContent = ''")
    page.locator(".sheet-file input[type=file]").set_input_files(path)
    page.locator(".sheet-file__line:not(:empty)").wait_for()
    return page.locator(".sheet-file__line").inner_text()


def entries(page, folder):
    return json.loads(saved(page, folder).read_text("utf-8"))["entries"]


HOSTILE = {
    "no JSON": ("{\"id\": ", "not whole JSON"),
    "a list": ("[]", "no vehicle sheet"),
    "nothing": ("null", "no vehicle sheet"),
    "a foreign key": (GOOD | {"script": "x"}, "unknown entry “script”"),
    "a key that makes keys": ('{"__proto__": {"x": 1}, "id": "vehicle-x", "name": "X"}', "unknown entry"),
    "no name": ({k: v for k, v in GOOD.items() if k != "name"}, "name"),
    "an unknown answer": (GOOD | {"layout": {"abs": "<img src=x onerror=alert(1)>"}}, "is not known here"),
    "an unknown value": (GOOD | {"values": {"x": {"value": "1", "source": "y"}}}, "no value of a sheet"),
    "no source": (GOOD | {"values": {"wheel_nut.torque": {"value": "110", "unit": "N·m"}}}, "Wheel nut or bolt torque"),
    "another unit": (GOOD | {"values": {"wheel_nut.torque": {"value": "110", "unit": "mm", "source": "y"}}}, "none of N·m, lbf·ft"),
    "no unit": (GOOD | {"values": {"wheel_nut.torque": {"value": "110", "source": "y"}}}, "the unit"),
    "two lines": (GOOD | {"values": {"wheel_nut.torque": {"value": "110\n9", "unit": "N·m", "source": "y"}}}, "Wheel nut or bolt torque"),
    "text that turns round": (GOOD | {"name": "a\u202eb"}, "name"),
    "a number": (GOOD | {"values": {"wheel_nut.torque": {"value": 110, "unit": "N·m", "source": "y"}}}, "Wheel nut or bolt torque"),
    "no such layout": (GOOD | {"front": {"layout": {"rotor": "hub", "bearing": "hub-unit"}, "values": {}}}, "does not exist"),
    "too large": ("[" + "1," * 150_000 + "1]", "larger than 200 kB"),
    "deep": ("[" * 50_000, "not whole JSON"),
}  # fmt: skip


def test_a_broken_or_hostile_file_says_one_line_and_changes_nothing(page, files, tmp_path):
    before = entries(page, tmp_path)
    for name, (content, says) in HOSTILE.items():
        path = files / "vehicle-x.json"
        path.write_text(content if isinstance(content, str) else json.dumps(content), "utf-8")
        line = take(page, path)
        assert says in line and "\n" not in line and len(line) < 400, (name, line)
    assert entries(page, tmp_path / "after") == before
    assert page.locator("img[src=x]").count() == 0


def test_the_file_is_taken_for_another_job(page, file, tmp_path):
    assert take(page, file).startswith("Taken for this job from vehicle-red-truck-bay-2.json: Red truck, bay 2 (invented): ")
    target = step(page, NUTS).locator('.torque [name="target"]')
    assert target.input_value() == "104 lbf·ft"
    assert "owner’s manual, p. 12" in text(step(page, NUTS).locator(".torque__source"))
    assert page.locator('[data-axis="rotor"] [data-value="hub"]').get_attribute("aria-pressed") == "true"
    assert "Antilock and brake control: none" in text(page.locator(".layout-picker__questions > summary"))
    kept = [entry for entry in entries(page, tmp_path) if entry["kind"] == "vehicle"]
    assert {entry["place"] for entry in kept} >= {"front", "vehicle"} and all(entry["typed"]["file"] == file.name for entry in kept)
    assert kept[-1]["typed"]["values"]["vehicle.wheel_nut.torque"]["source"] == "owner’s manual, p. 12 (invented)"
    page.reload()
    page.wait_for_function(
        """() => document.querySelector('[data-step="wheel-and-torque/torque-wheel-nuts"] [name=target]')?.value === "104 lbf·ft" """
    )
