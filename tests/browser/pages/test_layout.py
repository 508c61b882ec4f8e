"""Choosing the layout shows exactly the steps that apply, in both browsers, opened from disk."""

import json
import re

import pytest

from tests.browser.procedure_page import axe_violations, choose, make_page, reading, step

CHOSEN = "#layout=rotor:hub,bearing:tapered-roller,nut:castle,abs:none"


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    return make_page(tmp_path_factory.mktemp("a folder with ümlaut #1") / "site")


@pytest.fixture
def context(browser):
    with reading(browser) as context:
        yield context


@pytest.fixture
def page(context, file):
    page = context.new_page()
    page.goto(file.as_uri())
    page.locator(".layout-picker fieldset").first.wait_for()
    return page


def count_line(page):
    return page.locator(".other-steps").inner_text()


def test_nothing_answered_shows_all_and_says_when_it_applies(page):
    assert page.locator(".step:visible").count() == page.locator(".step").count()
    assert step(page, "set-bearing/seat").locator(".step__applies").text_content() == "Applies if wheel bearing: tapered rollers."
    assert "steps marked «applies if»" in count_line(page)
    # A list item has no line of its own; it gets one.
    assert "Applies if Wheel bearing: tapered rollers" in page.locator(".ticks li").nth(1).inner_text()


def test_answers_show_exactly_what_applies(page):
    for axis, value in [("rotor", "hub"), ("bearing", "tapered-roller"), ("nut", "castle"), ("abs", "none")]:
        choose(page, axis, value)
    hidden = {"make-safe/service-state", "tear-down/rotor-off", "hub-unit/play", "hub-unit/noise"}
    shown = set(page.locator(".step:visible").evaluate_all("all => all.map((box) => box.dataset.step)"))
    every = set(page.locator(".step").evaluate_all("all => all.map((box) => box.dataset.step)"))
    assert shown == every - hidden
    assert "4 steps of other layouts hidden" in count_line(page)
    assert not page.locator("#hub-unit").is_visible()  # an empty part goes with its heading
    assert not page.locator(".caution").is_visible()
    assert page.locator(".step__applies:visible, .applies:visible").count() == 0


def test_hidden_steps_can_be_listed_and_shown(page, file):
    page.goto(file.as_uri() + CHOSEN)
    page.locator(".other-steps summary").click()
    lines = page.locator(".other-steps__list li")
    assert lines.count() == 4
    assert "1.2 Put the brake system in its service state. (applies if Brake control: brake-by-wire)" in lines.first.inner_text()
    page.get_by_role("button", name="Show them").click()
    assert step(page, "hub-unit/play").is_visible()
    assert "other-layout" in step(page, "hub-unit/play").get_attribute("class")
    page.get_by_role("button", name="Hide them").click()
    assert not step(page, "hub-unit/play").is_visible()


def test_answer_can_be_taken_back(page):
    choose(page, "rotor", "hub")
    assert not step(page, "tear-down/rotor-off").is_visible()
    choose(page, "rotor", "hub")
    assert step(page, "tear-down/rotor-off").is_visible()


def test_question_shows_once_its_condition_holds(page):
    assert page.locator('[data-axis="nut"]').count() == 0
    choose(page, "bearing", "tapered-roller")
    assert page.locator('[data-axis="nut"]').is_visible()
    choose(page, "nut", "castle")
    assert "nut:castle" in page.url
    choose(page, "bearing", "hub-unit")
    assert page.locator('[data-axis="nut"]').count() == 0
    assert "nut:castle" not in page.url  # an answer counts only while its question does


def test_question_that_fell_away_leaves_nothing_open(page):
    pin = page.locator(".ticks li", has_text="split pin")
    assert "Applies if Wheel bearing: tapered rollers and Spindle nut: castle nut" in pin.text_content()
    choose(page, "bearing", "hub-unit")
    assert not pin.is_visible()


def test_layout_that_the_procedure_does_not_cover_is_refused(browser, tmp_path):
    file = make_page(tmp_path / "site", {"front-brake-service": {"when": {"axle": "front", "abs": "none"}}})
    context = browser.new_context()
    page = context.new_page()
    page.goto(file.as_uri())
    choose(page, "abs", "by-wire")  # asked, although the procedure is for one answer only
    page.locator(".layout-picker__message", has_text="does not cover").wait_for()
    context.close()


def test_axle_settled_by_the_page_is_not_asked(page):
    assert page.locator('[data-axis="axle"]').count() == 0


def test_layout_that_does_not_exist_is_refused_with_the_reason(page):
    choose(page, "bearing", "hub-unit")
    choose(page, "rotor", "hub")
    message = page.locator(".layout-picker__message")
    assert "Not hub rotor with Wheel bearing: hub unit." in message.inner_text()
    assert "carries its bearings itself" in message.inner_text()
    assert page.locator('[data-axis="rotor"] [data-value="hub"]').get_attribute("aria-pressed") == "false"
    page.get_by_role("button", name=re.compile("Choose hub rotor, and ask Wheel bearing again")).click()
    assert page.locator('[data-axis="rotor"] [data-value="hub"]').get_attribute("aria-pressed") == "true"
    assert "bearing" not in page.url


def test_address_carries_the_layout_over_a_reload(page):
    choose(page, "rotor", "slip-on")
    assert page.url.endswith("#layout=rotor:slip-on")
    page.reload()
    page.locator('[data-axis="rotor"] [aria-pressed="true"]').wait_for(state="attached")
    assert not step(page, "tear-down/hub-off").is_visible()


def test_ordinary_anchor_still_scrolls_and_keeps_the_layout(page, file):
    page.goto(file.as_uri() + CHOSEN)
    step(page, "set-bearing/fit-pin").get_by_role("link", name="step 4.4").click()
    page.wait_for_function("() => location.hash.includes('at=')")
    assert page.url.endswith(CHOSEN + "&at=set-bearing.read-end-play")
    in_view = "(box) => { const {top} = box.getBoundingClientRect(); return top >= -2 && top < innerHeight / 2; }"
    page.wait_for_timeout(300)
    assert step(page, "set-bearing/read-end-play").evaluate(in_view)
    page.reload()
    page.locator('[data-axis="rotor"] [aria-pressed="true"]').wait_for(state="attached")
    page.wait_for_timeout(300)
    assert step(page, "set-bearing/read-end-play").evaluate(in_view)


def test_plain_anchor_alone(context, file):
    page = context.new_page()
    page.goto(file.as_uri() + "#set-bearing.read-end-play")
    page.locator(".layout-picker fieldset").first.wait_for()
    assert page.url.endswith("#set-bearing.read-end-play")
    assert page.evaluate("scrollY") > 300


def test_link_to_a_step_of_another_layout_shows_it(page, file):
    page.goto(file.as_uri() + CHOSEN + "&at=hub-unit.play")
    assert step(page, "hub-unit/play").is_visible()
    assert not step(page, "hub-unit/noise").is_visible()


def test_link_to_another_page_takes_the_layout_along(page, file):
    page.goto(file.as_uri() + CHOSEN)
    page.get_by_role("link", name="Other job", exact=True).last.click(no_wait_after=True)
    page.wait_for_url("**/other-job.html*")
    page.locator('[data-axis="rotor"] [aria-pressed="true"]').wait_for(state="attached")
    assert page.url.endswith("other-job.html" + CHOSEN + "&at=other-job.look")


@pytest.mark.parametrize(
    ("fragment", "says"),
    [
        ("#layout=rotor:banana", "rotor: banana, which this handbook does not know"),
        ("#layout=&vehicle=no-such", "no-such, which is not in this handbook"),
        ("#layout=rotor:hub,bearing:hub-unit", "does not exist"),
        ("#layout=%E0%A4%A,:::,=&&at=%", "does not know"),
        ("#layout=rotor:%3Cimg%20src=x%20onerror=alert(1)%3E", "<img src=x onerror=alert(1)>"),
    ],
)
def test_broken_address_says_so_and_shows_every_step(context, file, fragment, says):
    page = context.new_page()
    page.goto(file.as_uri() + fragment)
    page.locator(".layout-picker fieldset").first.wait_for()
    assert says in page.locator(".layout-picker__message").inner_text()
    assert page.locator(".step:visible").count() == page.locator(".step").count()
    assert page.locator(".layout-picker__message img").count() == 0


def test_vehicle_sheet_sets_layout_and_values_with_their_sources(page):
    page.select_option("#vehicle-sheet", "demo-a")
    assert page.url.endswith("&vehicle=demo-a")
    assert "rotor:hub" in page.url and "nut:castle" in page.url
    discard = step(page, "inspect/thickness").locator('[data-input="discard"]')
    assert discard.locator("input").input_value() == "22.4 mm"
    assert discard.locator(".field__source").text_content() == "From the sheet of Demo A (invented): stamped on the rotor (invented)"
    assert step(page, "close-up/wheel-nuts").locator(".torque__value").text_content() == "110\u00a0N·m"
    page.reload()
    page.locator('[data-axis="rotor"] [aria-pressed="true"]').wait_for(state="attached")
    assert discard.locator("input").input_value() == "22.4 mm"


def test_what_the_sheet_lacks_is_asked_for_and_never_guessed(page):
    page.select_option("#vehicle-sheet", "demo-b")
    limit = step(page, "inspect/thickness").locator('[data-input="discard"]')
    assert limit.locator("input").input_value() == ""
    assert "The sheet says 20 without a unit" in limit.locator(".field__source").text_content()
    target = step(page, "close-up/wheel-nuts").locator('.field[data-from="vehicle.wheel_nut.torque"]')
    assert target.locator("input").input_value() == ""
    assert target.locator(".field__source").text_content() == (
        "Not on the vehicle’s sheet. What does the owner’s manual say for these wheels?"
    )


def test_sheet_gone_takes_its_values_along_and_leaves_what_was_typed(page):
    page.select_option("#vehicle-sheet", "demo-a")
    discard = step(page, "inspect/thickness").locator('input[name="discard"]')
    target = step(page, "set-bearing/read-end-play").locator('input[name="target_max"]')
    target.fill("0.004 in")
    page.select_option("#vehicle-sheet", "")
    assert discard.input_value() == ""
    assert target.input_value() == "0.004 in"


def test_sheet_with_an_impossible_layout_is_refused(page):
    page.select_option("#vehicle-sheet", "demo-c")
    assert "The sheet of Demo C was not taken" in page.locator(".layout-picker__message").inner_text()
    assert "rotor" not in page.url


def test_sheets_of_the_shop_are_offered_and_broken_ones_passed_over(browser, tmp_path):
    file = make_page(tmp_path / "site")
    sheets = [
        None,
        "text",
        {"id": 5},
        {
            "id": "van",
            "name": "<b>Van</b>",
            "layout": {"rotor": "banana"},
            "values": {"fluid.grade": "DOT 4"},
            "front": {"layout": {"rotor": "slip-on"}, "values": {"rotor.discard": {"value": "19", "unit": "mm", "source": "stamped"}}},
        },
    ]
    (file.parents[1] / "shop-data.js").write_text(f"self.shopData = {json.dumps({'vehicles': sheets})};", "utf-8")
    context = browser.new_context()
    page = context.new_page()
    page.goto(file.as_uri())
    page.select_option("#vehicle-sheet", "van")
    assert page.locator("#vehicle-sheet option").all_inner_texts()[-1] == "<b>Van</b>"
    assert page.url.endswith("#layout=rotor:slip-on&vehicle=van")
    assert step(page, "inspect/thickness").locator('input[name="discard"]').input_value() == "19 mm"
    context.close()


def test_by_keyboard_the_focus_stays_on_the_answer(page):
    page.locator('[data-axis="rotor"] [data-value="hub"]').focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.dataset.value") == "hub"
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    assert "bearing:tapered-roller" in page.url


def test_missing_drawing_leaves_the_words(page):
    page.wait_for_function('() => !document.querySelector(\'[data-axis="rotor"] [data-value="hub"] img\')')
    assert page.locator('[data-axis="rotor"] [data-value="slip-on"] img').count() == 1
    assert "Rotor, hub and studs are one piece." in page.locator('[data-axis="rotor"] [data-value="hub"]').inner_text()


def test_without_scripts_every_step_is_there(browser, file):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(file.as_uri())
    assert page.locator(".step:visible").count() == page.locator(".step").count()
    assert page.locator(".step__applies:visible").count() == page.locator(".step__applies").count() > 10
    context.close()


@pytest.mark.parametrize("fragment", ["", CHOSEN, CHOSEN + "&vehicle=demo-a"])
def test_accessible(page, file, fragment):
    page.goto(file.as_uri() + fragment)
    page.reload()
    page.locator(".layout-picker__title").wait_for()
    assert axe_violations(page) == []


def test_targets_are_large_enough_for_gloves(page):
    small = """(least) => [...document.querySelectorAll('.layout-picker :is(button, select, summary)')]
        .filter((box) => box.offsetParent && box.getBoundingClientRect().height < least).map((box) => box.textContent)"""
    assert page.evaluate(small, 48) == []
    page.evaluate("document.documentElement.dataset.bay = ''")
    assert page.evaluate(small, 64) == []
