"""wheel-end-decision: the worst wins, nothing is left undecided, sets and pairs follow; readings as the calculators give them.

The rules themselves are trade practice; where a regulation, manual or standard says the same, it is named.
"""

from __future__ import annotations

import json
import random
from itertools import chain, combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import catalogue
from calculators.contract.errors import EntryError
from calculators.contract.judge import CODES
from calculators.decision.asked import stock_rules
from calculators.decision.decide import decide
from calculators.decision.readings import WORDS, facts_of
from calculators.decision.rules_file import read_rules
from calculators.decision.when import holds

RULES = stock_rules()
TABLE = read_rules(RULES)
WORST_FIRST = ["replace", "measure again", "service", "use again"]
SIDES = ("left", "right")
SEDAN = {
    "axle": "front", "rotor": "slip-on", "disc": "vented", "caliper": "sliding-one-piston", "slides": "bolt-into-pin", "bracket": "bracketed",
    "bearing": "hub-unit", "parking_brake": "none", "hose_end": "banjo", "abs": "conventional", "hydraulics": "dual-diagonal",
}  # fmt: skip
TRUCK = {**SEDAN, "rotor": "hub", "bearing": "tapered-roller", "nut": "castle", "abs": "none", "hydraulics": "front-rear"}


def best(part: str, layout: dict) -> str:
    """The first finding of a part that fits this layout: findings stand best first."""
    return next(f.id for f in TABLE.parts[part].findings.values() if holds(f.when, layout) is not False)


def sound(layout: dict = SEDAN, **changes) -> dict:
    """An axle on which everything was looked at, found well, serviced where grease is renewed, and checked free."""
    parts = decide({"layout": layout}, RULES | {"rules": []})["actions"]["left"]
    sides = {side: {part: [best(part, layout), {"second_look": "free"}] for part in parts} for side in SIDES}
    for at, findings in changes.items():
        side, _, part = at.partition("_")
        sides[side][part.replace("_", "-")] = findings
    return {"layout": layout, **sides}


def actions(found: dict, rules=RULES) -> dict:
    """side → part → action."""
    return {side: {part: item["action"] for part, item in parts.items()} for side, parts in decide(found, rules)["actions"].items()}


def bought(found: dict) -> dict:
    """Parts to buy; the supplies for the work are tested by themselves."""
    return {entry["item"]: (entry["per"], entry["quantity"]) for entry in decide(found, RULES)["parts_list"] if entry["kind"] == "part"}


def only(part: str) -> dict:
    """The rules of one part alone."""
    return {"parts": [item | {"comes_with": ""} for item in RULES["parts"] if item["part"] == part], "rules": []}


FLUID = "brake fluid, fresh and sealed"


# ---- one action for every combination ----------------------------------------------------------------------------


def combined(ids: list[str]):
    """All sets of a few findings; of many, all sets of up to two and the whole."""
    most = len(ids) if len(ids) <= 8 else 2
    return chain.from_iterable(combinations(ids, size) for size in range(1, most + 1)), [tuple(ids)]


@pytest.mark.parametrize("part", list(TABLE.parts))
def test_every_combination_of_findings_has_exactly_one_action_with_a_reason(part):
    findings = TABLE.parts[part].findings
    rules = only(part)
    for chosen in chain(*combined(list(findings))):
        (left, right) = (
            decide({"left": {part: list(chosen)}, "right": {part: [chosen[0]]}}, rules)["actions"][side][part] for side in SIDES
        )
        assert left["action"] == min((findings[f].action for f in chosen), key=WORST_FIRST.index)
        assert right["action"] in WORST_FIRST
        assert left["reason"].strip() and left["source"].strip()
        assert left["findings"] == [f for f in findings if f in chosen]


@given(st.data())
@settings(max_examples=150, deadline=None)
def test_any_set_of_many_findings_has_the_worst_action(data):
    part = data.draw(st.sampled_from(["pad", "rotor", "caliper", "bearing", "fluid"]))
    findings = TABLE.parts[part].findings
    chosen = data.draw(st.lists(st.sampled_from(list(findings)), min_size=1, unique=True))
    decided = decide({"left": {part: chosen}, "right": {part: chosen}}, only(part))["actions"]["left"][part]
    assert decided["action"] == min((findings[f].action for f in chosen), key=WORST_FIRST.index)


def layouts():
    """Every layout there is: all answers to all questions that arise, without the impossible ones."""
    found: list[dict] = [{}]
    for axis, question in TABLE.axes.items():  # a question stands after those it hangs on
        found = [layout | {axis: value} for layout in found if holds(question.when, layout) for value in question.values] + [
            layout for layout in found if not holds(question.when, layout)
        ]
    return [layout for layout in found if not any(holds(when, layout) for when, _ in TABLE.impossible)]


LAYOUTS = random.Random(7).sample(layouts(), 400)


def test_every_part_of_every_layout_can_be_kept_and_can_be_replaced():
    for layout in LAYOUTS:
        decided = decide({"layout": layout}, RULES | {"rules": []})["actions"]["left"]
        for part in TABLE.parts.values():
            if part.part in decided:
                can = {f.action for f in part.findings.values() if holds(f.when, layout)}
                assert "replace" in can and can & {"use again", "service"}, (part.part, layout)


def test_an_axle_on_which_all_is_well_is_ready_to_close():
    for layout in LAYOUTS[:60]:
        found = sound(layout)
        # a hub that was looked into was opened: its seal, pin, tab and staked nut are new, and that is all
        expected_new = ({"grease-seal", "cotter-pin", "tab-washer"} & set(found["left"])) | (
            {"spindle-nut"} if layout.get("nut") == "staked" else set()
        )
        for side, parts in actions(found).items():
            assert {part for part, action in parts.items() if action == "replace"} == expected_new, (side, layout)
            assert "measure again" not in parts.values()
        assert not decide(found, RULES)["notes"]


def test_what_nobody_looked_at_is_measured_again():
    decided = decide({"layout": SEDAN, "left": {}, "right": {}}, RULES)
    assert {item["action"] for side in SIDES for item in decided["actions"][side].values()} == {"measure again"}
    assert [entry["item"] for entry in decided["parts_list"]] == []
    assert all("Not ready to close up" in note for note in decided["notes"][:2])
    # a list without a finding is no look either, and no default is «use again»
    assert actions(sound(left_hose=[]))["left"]["hose"] == "measure again"


@pytest.mark.parametrize("part", list(TABLE.parts))
def test_what_could_not_be_judged_is_never_used_again(part):
    """«cannot-tell» may be noted on any part, alone or beside another finding."""
    for noted in (["cannot-tell"], [next(iter(TABLE.parts[part].findings)), "cannot-tell"]):
        decided = decide({"left": {part: noted}, "right": {part: noted}}, only(part))
        for side in SIDES:
            assert decided["actions"][side][part]["action"] == "measure again"
            assert decided["actions"][side][part]["rule"] == "cannot-tell"
        assert decided["parts_list"] == []


def test_parts_hang_on_the_layout():
    def parts(**answers):
        return set(decide({"layout": {k: v for k, v in (SEDAN | answers).items() if v}}, RULES)["actions"]["left"])

    assert not {"abutment-way", "parking-shoe", "parking-cable", "parking-actuator"} & parts()
    assert {"abutment-way", "slide-key"} <= parts(slides="abutment") and not {"slide-pin", "pin-bolt", "pin-boot", "pin-bushing"} & parts(
        slides="abutment"
    )
    assert "abutment-way" in parts(bracket="bracketless") and "slide-key" not in parts(bracket="bracketless")
    assert {"parking-shoe", "parking-cable"} <= parts(parking_brake="drum-in-rotor") and "parking-actuator" not in parts(
        parking_brake="drum-in-rotor"
    )
    assert "parking-cable" in parts(parking_brake="screw-in") and "parking-shoe" not in parts(parking_brake="screw-in")
    assert "parking-actuator" in parts(parking_brake="electric") and "parking-cable" not in parts(parking_brake="electric")
    truck = parts(rotor="hub", bearing="tapered-roller", nut="tab-washer")
    assert "tab-washer" in truck and not {"axle-nut", "hub-unit", "cotter-pin", "nut-lock", "lock-washer"} & truck
    fixed = parts(caliper="fixed-four-piston", slides="", bracket="")
    assert not {"bracket", "bracket-bolt", "slide-pin", "abutment-way", "slide-key"} & fixed and {"pad-pin", "caliper-bolt"} <= fixed
    assert not {"pad-pin", "caliper-bolt"} & parts()
    assert parts(caliper="fixed-four-piston", slides="not asked", bracket="not asked") == fixed


def test_a_part_that_the_layout_does_not_have_is_not_asked_for():
    assert "bracket" not in actions(sound(SEDAN | {"bracket": "bracketless"}))["left"]
    assert "cotter-pin" not in actions(sound())["left"] and "cotter-pin" in actions(sound(TRUCK))["left"]
    # an open question leaves the part in, and is named
    decided = decide({"layout": {k: v for k, v in SEDAN.items() if k != "bracket"}, "left": {}, "right": {}}, RULES)
    assert "bracket" in decided["actions"]["left"] and any("bracket" in note for note in decided["notes"] if "does not answer" in note)


def test_the_partner_must_be_looked_at_too():
    found = sound(right_rotor=[])
    assert actions(found)["left"]["rotor"] == actions(found)["right"]["rotor"] == "measure again"
    # but a part that must be replaced is replaced
    assert actions(sound(right_hose=[], left_hose=["bad"]))["left"]["hose"] == "replace"


# ---- rules draw findings -----------------------------------------------------------------------------------------


def test_fluid_is_one_for_the_vehicle():
    found = sound(right_fluid=[], left_fluid=["dirty"])
    assert actions(found)["left"]["fluid"] == actions(found)["right"]["fluid"] == "replace"
    assert bought(found)[FLUID] == ("vehicle", 1)


def a_reading(calculator: str, wanted: dict[str, str]) -> dict:
    """A result of which these facts are true; its figures are made up."""
    values, inputs = {}, {"tool_uncertainty": {"value": 0.01, "unit": "mm"}}
    margin = {"at the limit": -0.5, "too close": 0.0, "above": 0.5}.get(wanted.get(f"{calculator}/thickness"))
    if margin is not None or f"{calculator}/lasts" in wanted:
        values |= {"margin": {"value": 0.5 if margin is None else margin}, "thinnest": {"value": 3.0}}
    if f"{calculator}/lasts" in wanted:
        values["thinnest_at_next"] = {"value": {"yes": 2.9, "no": 1.0, "not known": None}[wanted[f"{calculator}/lasts"]]}
    if f"{calculator}/may-be-cut" in wanted:
        values["may_be_machined"] = {"value": {"yes": True, "no": False, "not known": None}[wanted[f"{calculator}/may-be-cut"]]}
    if wanted.get(f"{calculator}/hub") == "measured":
        inputs["hub_readings"] = [{"value": 0.0, "unit": "mm"}]
    pattern = []
    if wanted.get(f"{calculator}/taper", "not known") != "not known":
        inputs["taper_limit"] = {"value": 1.0, "unit": "mm"}
        pattern += ["tapered"] if wanted[f"{calculator}/taper"] == "over" else []
    if wanted.get(f"{calculator}/thinner", "not known") != "not known":
        inputs["difference_limit"] = {"value": 1.6, "unit": "mm"}
        pattern += [f"{wanted[f'{calculator}/thinner']} worn more"] if wanted[f"{calculator}/thinner"] != "neither" else []
    values["pattern"] = {"value": "; ".join(pattern) or "even"}
    code = wanted.get(calculator, "beyond" if pattern else "within")
    return {"calculator": calculator, "verdict": {"code": code, "text": f"Made up: {code}."}, "values": values, "inputs": inputs}


def found_by(rule: dict, alternative: dict[str, list[str]]) -> dict:
    """An axle on which this alternative of the rule's facts is true on the left."""
    left: dict[str, list] = {}
    readings: dict[str, dict[str, str]] = {}
    for fact, words in alternative.items():
        name, _, detail = fact.partition("/")
        if name not in TABLE.parts:
            readings.setdefault(name, {})[fact] = words[0]
        elif words == ["replace"]:
            left[name] = [next(f.id for f in TABLE.parts[name].findings.values() if f.action == "replace" and not f.buys)]
        elif words == ["found"]:
            left[name] = [detail]
        elif words == ["not found"]:
            assert detail not in left.get(name, [])
        elif (detail, words) == ("work", ["yes"]):
            left[name] = [next(f.id for f in TABLE.parts[name].findings.values() if f.action in ("service", "replace"))]
        elif (detail, words) == ("looked-at", ["yes"]):
            left[name] = [next(iter(TABLE.parts[name].findings))]
        else:
            assert (detail, words) == ("free", ["no"])
    results = {name: a_reading(name, wanted) for name, wanted in readings.items()}
    for name, wanted in readings.items():  # the facts of a made-up result are those that were wanted
        assert wanted.items() <= facts_of({name: results[name]}).items()
    finding = TABLE.parts[rule["part"]].findings[rule["finding"]] if "part" in rule else None
    layout = {axis: values[0] for when in (rule.get("when"), finding and finding.when) for axis, values in (when or [{}])[0].items()}
    return {"layout": layout, "left": left, "right": {}, "readings": {"left": results}}


@pytest.mark.parametrize("rule", RULES["rules"], ids=[rule["id"] for rule in RULES["rules"]])
def test_no_rule_and_no_alternative_of_a_rule_is_dead(rule):
    for alternative in rule["because"]:
        decided = decide(found_by(rule, alternative), RULES | {"rules": [rule]})["actions"]
        at = {"side": ["left"], "partner": ["right"], "axle": ["left", "right"]}[rule["over"]]
        for side in at:
            assert rule["finding"] in decided[side][rule["part"]]["findings"]
        without = decide(found_by(rule, alternative), RULES | {"rules": []})["actions"]
        assert any(rule["finding"] not in without[side][rule["part"]]["findings"] for side in at)  # it is the rule that drew it


@pytest.mark.parametrize("supply", RULES["supplies"], ids=[supply["id"] for supply in RULES["supplies"]])
def test_no_supply_and_no_alternative_of_it_is_dead(supply):
    for alternative in supply["because"]:
        found = found_by(supply, alternative)
        decided = decide(found, RULES | {"supplies": [supply]})["parts_list"]
        (entry,) = [entry for entry in decided if entry["kind"] == "supply"]
        assert entry["item"] == supply["item"] and entry["why"] and {"left"} <= {each["side"] for each in entry["from"]}
        named = {fact.partition("/")[0] for fact in alternative}
        assert named & {each["part"] for each in entry["from"]}


def test_no_two_rules_say_the_same():
    said = [json.dumps({key: rule[key] for key in rule if key != "id"}, sort_keys=True) for rule in [*RULES["rules"], *RULES["supplies"]]]
    assert len(set(said)) == len(said)
    ids = [rule["id"] for rule in [*RULES["rules"], *RULES["supplies"]]]
    assert len(set(ids)) == len(ids)


@st.composite
def axles(draw):
    layout = draw(st.sampled_from(LAYOUTS[:40]))
    found = {"layout": layout, "left": {}, "right": {}, "readings": {"left": {}, "right": {}}}
    for side in SIDES:
        for name in decide({"layout": layout}, RULES | {"rules": []})["actions"][side]:
            fitting = [f.id for f in TABLE.parts[name].findings.values() if holds(f.when, layout)]
            listed = draw(st.lists(st.sampled_from(fitting), max_size=2, unique=True))
            look = draw(st.sampled_from([None, None, "free", "failed"]))
            found[side][name] = [*listed, {"second_look": look}] if look and listed else listed
        for name in ("rotor-thickness", "lateral-runout", "pad-wear", "bearing-end-play", "fluid-condition"):
            facts = {fact: draw(st.sampled_from(words)) for fact, words in WORDS.items() if fact.startswith(f"{name}/")}
            if draw(st.booleans()):
                found["readings"][side][name] = a_reading(name, facts | {name: draw(st.sampled_from(CODES))})
    return found


@given(axles(), st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_the_order_of_the_rules_does_not_matter_and_every_part_is_decided(found, shuffler):
    shuffled = list(RULES["rules"])
    shuffler.shuffle(shuffled)
    one, other = decide(found, RULES), decide(found, RULES | {"rules": shuffled})
    for side in SIDES:
        for part, item in one["actions"][side].items():
            again = other["actions"][side][part]
            assert (item["action"], item["findings"]) == (again["action"], again["findings"])
            assert item["action"] in WORST_FIRST and item["reason"] and item["source"]
            noted = [TABLE.parts[part].findings[f].action for f in item["findings"]]
            assert all(WORST_FIRST.index(item["action"]) <= WORST_FIRST.index(action) for action in noted)
    json.dumps(one, allow_nan=False)


@given(axles())
@settings(max_examples=40, deadline=None)
def test_axle_sets_are_whole(found):
    """Friction and rotors by the axle: both sides or neither. TM 9-2320-280-20-2: pads on both sides of the axle."""
    decided = decide(found, RULES)["actions"]
    for part in ("pad", "rotor"):
        really = [
            any(
                TABLE.parts[part].findings[f].action == "replace" and not TABLE.parts[part].findings[f].buys
                for f in decided[side][part]["findings"]
            )
            for side in SIDES
        ]
        assert really[0] == really[1]
    if decided["left"]["rotor"]["action"] == "replace" and "partner-new" in decided["right"]["rotor"]["findings"]:
        assert decided["left"]["pad"]["action"] == decided["right"]["pad"]["action"] == "replace"


# ---- readings as the calculators give them -----------------------------------------------------------------------

# TM 9-2320-289-34 p. 7-3: discard 1.215 in, after refinish 1.230 in, variation 0.0005 in, runout 0.004 in.
LIMITS = {"discard": "1.215 in", "machine_to": "1.230 in", "variation_limit": "0.0005 in", "tool_uncertainty": "0.0001 in"}


def rotor(first="1.2402 in", second="1.2402 in", **more) -> dict:
    """A result of eight readings, one of them different; 0.004 in are cut from each face."""
    readings = "; ".join([first, *[second] * 7])
    return catalogue()["rotor-thickness"].run(readings=readings, **LIMITS | {"cut_per_side": "0.004 in"} | more).as_json()


def with_reading(side="left", layout=SEDAN, **results) -> dict:
    return sound(layout) | {"readings": {side: {name.replace("_", "-"): result for name, result in results.items()}}}


def test_a_rotor_within_its_limits_raises_no_objection():
    found = with_reading(rotor_thickness=rotor())
    assert found["readings"]["left"]["rotor-thickness"]["verdict"]["code"] == "within"
    assert actions(found) == actions(sound())


def test_a_rotor_at_its_discard_thickness_takes_rotors_pads_and_hardware_of_the_axle():
    # COMAR 11.19.03.05: below the mark it may be neither used nor machined; 49 CFR 570.59(b).
    decided = decide(with_reading(rotor_thickness=rotor("1.2149 in", "1.2150 in")), RULES)
    for side in SIDES:
        for part in ("rotor", "pad", "hardware"):
            assert decided["actions"][side][part]["action"] == "replace"
    assert "COMAR" in decided["actions"]["left"]["rotor"]["source"]
    listed = {entry["item"]: (entry["per"], entry["quantity"]) for entry in decided["parts_list"] if entry["kind"] == "part"}
    assert listed == {"pads": ("axle", 1), "rotor": ("axle", 1), "pad hardware": ("axle", 1)}


def test_a_rotor_too_close_to_tell_is_measured_again_and_ordered_until_settled():
    decided = decide(with_reading(rotor_thickness=rotor("1.21505 in", "1.2151 in", variation_limit="", cut_per_side="")), RULES)
    assert [decided["actions"][side]["rotor"]["action"] for side in SIDES] == ["measure again", "use again"]
    (entry,) = [entry for entry in decided["parts_list"] if entry["item"] == "rotor"]
    assert "Until it has been measured again" in entry["why"]
    assert "Too close to tell" in decided["actions"]["left"]["rotor"]["reason"]


def test_what_is_too_close_is_ordered_only_where_beyond_would_mean_a_new_part():
    def too_close(calculator, layout, **facts):
        return bought(
            with_reading(layout=layout) | {"readings": {"left": {calculator: a_reading(calculator, facts | {calculator: "too-close"})}}}
        )

    assert too_close("pad-wear", SEDAN, **{"pad-wear/thickness": "too close"}) == {"pads": ("axle", 1)}
    assert too_close("fluid-condition", SEDAN) == {FLUID: ("vehicle", 1)}
    assert too_close("bearing-end-play", SEDAN) == {"hub unit or pressed bearing": ("side", 1)}  # ordered, not yet taken apart: no axle nut
    assert "spindle nut" not in too_close("bearing-end-play", TRUCK)  # its play is set, not bought
    assert (
        too_close("rotor-thickness", SEDAN, **{"rotor-thickness/thickness": "above", "rotor-thickness/may-be-cut": "yes"}) == {}
    )  # only its variation
    assert too_close("rotor-thickness", SEDAN, **{"rotor-thickness/thickness": "above", "rotor-thickness/may-be-cut": "no"}) == {
        "rotor": ("axle", 1)
    }


@pytest.mark.parametrize(
    "more, action, partner",
    [
        ({}, "service", "service"),  # the cut leaves 1.2402 − 0.008 − U over 1.230: both rotors are machined
        ({"cut_per_side": "0.006 in"}, "replace", "replace"),  # it would leave less
        ({"machine_to": ""}, "measure again", "use again"),  # nobody knows
    ],
)
def test_a_rotor_that_varies_too_much(more, action, partner):
    result = rotor("1.2410 in", **more)
    assert result["verdict"]["code"] == "beyond"  # 0.0008 in against 0.0005 in
    decided = actions(with_reading(rotor_thickness=result))
    assert (decided["left"]["rotor"], decided["right"]["rotor"]) == (action, partner)


def test_a_rotor_that_will_not_last_is_replaced():
    result = rotor("1.2200 in", "1.2200 in", new="1.280 in", distance_run="40000 mi", distance_next="10000 mi")
    assert result["verdict"]["code"] == "within"
    assert actions(with_reading(rotor_thickness=result))["left"]["rotor"] == "replace"


RUNOUT = "; ".join(f"{x} mm" for x in ("0.05", "0.035", "0", "-0.035", "-0.05", "-0.035", "0", "0.035"))


def test_runout_over_its_limit_waits_for_a_clean_hub_or_is_indexed():
    calculator = catalogue()["lateral-runout"]
    unclean = calculator.run(readings=RUNOUT, limit="0.05 mm", tool_uncertainty="0.002 mm").as_json()
    assert unclean["verdict"]["code"] == "beyond"
    decided = decide(with_reading(lateral_runout=unclean), RULES)["actions"]["left"]["rotor"]
    assert decided["action"] == "measure again" and "runout-unclean" in decided["findings"]
    # a hub that runs out as the rotor does: turned by half a wheel they cancel
    half = "; ".join(f"{x} mm" for x in ("0.025", "0.0175", "0", "-0.0175", "-0.025", "-0.0175", "0", "0.0175"))
    indexed = calculator.run(
        readings=RUNOUT, limit="0.05 mm", tool_uncertainty="0.002 mm", hub_readings=half, studs="4", radius_ratio="1"
    ).as_json()
    assert indexed["verdict"]["code"] == "adjust"
    assert actions(with_reading(lateral_runout=indexed))["left"]["rotor"] == "service"


def pads(**more) -> dict:
    return catalogue()["pad-wear"].run(**{"inner": "6.0 mm; 6.0 mm", "outer": "6.0 mm; 6.0 mm", "limit": "2.0 mm", **more}).as_json()


@pytest.mark.parametrize(
    "more, finding",
    [
        ({"inner": "1.9 mm; 1.8 mm"}, "at-limit"),  # 49 CFR 570.59(c): not less than the least lining
        ({"inner": "3.0 mm; 3.0 mm", "difference_limit": "1.6 mm"}, "inner-thin"),
        ({"outer": "3.0 mm; 3.0 mm", "difference_limit": "1.6 mm"}, "outer-thin"),
        ({"inner": "6.0 mm; 4.0 mm", "taper_limit": "1.0 mm"}, "taper-ends"),
        ({"new": "11 mm", "distance_run": "45000 km", "distance_next": "60000 km"}, "will-not-last"),
    ],
)
def test_worn_pads_are_replaced_on_the_axle(more, finding):
    decided = decide(with_reading(pad_wear=pads(**more)), RULES)["actions"]
    assert finding in decided["left"]["pad"]["findings"]
    assert decided["left"]["pad"]["action"] == decided["right"]["pad"]["action"] == "replace"
    assert decided["left"]["hardware"]["action"] == "replace"
    assert decided["left"]["rotor"]["action"] != "replace"  # new pads do not ask for a new rotor


def test_pads_that_wore_evenly_stay():
    assert actions(with_reading(pad_wear=pads()))["left"]["pad"] == "use again"


def test_uneven_pads_of_a_fixed_caliper_point_at_its_pistons():
    layout = {k: v for k, v in SEDAN.items() if k not in ("slides", "bracket")} | {"caliper": "fixed-four-piston"}
    decided = decide(with_reading(layout=layout, pad_wear=pads(inner="3.0 mm; 3.0 mm", difference_limit="1.6 mm")), RULES)["actions"][
        "left"
    ]["pad"]
    assert "one-thin-fixed" in decided["findings"] and "inner-thin" not in decided["findings"]


def play(measured: str) -> dict:
    # RP 618A: 0.001 to 0.005 in; 3/4-16, six slots.
    given_entries = {
        "measured": measured,
        "target_min": "0.001 in",
        "target_max": "0.005 in",
        "tool_uncertainty": "0.0005 in",
        "thread_pitch": "3/4-16",
        "nut_slots": "6",
    }
    return catalogue()["bearing-end-play"].run(**given_entries).as_json()


@pytest.mark.parametrize(
    "measured, code, action",
    [
        ("0.003 in", "within", "use again"),
        ("0.013 in", "adjust", "service"),
        ("0.008 in", "beyond", "service"),
        ("0.0005 in", "cannot-tell", "measure again"),
    ],
)
def test_end_play_is_a_matter_of_the_nut(measured, code, action):
    result = play(measured)
    assert result["verdict"]["code"] == code
    decided = decide(with_reading(layout=TRUCK, bearing_end_play=result), RULES)["actions"]["left"]
    assert decided["spindle-nut"]["action"] == action
    assert decided["bearing"]["action"] == "use again"
    if action != "use again":
        assert decided["spindle-nut"]["reason"]


def test_play_of_a_hub_unit_over_its_limit_replaces_it_on_that_side_only():
    result = catalogue()["bearing-end-play"].run(measured="0.15 mm", target_max="0.05 mm").as_json()
    decided = actions(with_reading(bearing_end_play=result))
    assert (decided["left"]["hub-unit"], decided["right"]["hub-unit"]) == ("replace", "use again")


def test_fluid_at_its_wet_minimum_is_flushed():
    # 49 CFR 571.116: DOT 3 wet 140 °C.
    result = catalogue()["fluid-condition"].run(grade="DOT 3", boiling_point="139 °C", tool_uncertainty="0 °C").as_json()
    decided = decide(with_reading(fluid_condition=result), RULES)
    assert decided["actions"]["right"]["fluid"]["action"] == "replace"
    assert "571.116" in decided["actions"]["left"]["fluid"]["source"]


def test_a_reading_of_both_sides_and_one_that_belongs_to_no_part():
    fluid = catalogue()["fluid-condition"].run(grade="DOT 5", boiling_point="250 °C").as_json()
    balance = catalogue()["brake-balance"].run(left="1000 N", right="2000 N", limit="25 %").as_json()
    decided = decide(sound() | {"readings": {"axle": {"fluid-condition": fluid, "brake-balance": balance}}}, RULES)
    assert decided["actions"]["left"]["fluid"]["action"] == "measure again"  # cannot tell
    assert any("brake-balance" in note for note in decided["notes"])


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("calculator", sorted({name for part in TABLE.parts.values() for name in part.readings}))
def test_every_verdict_without_figures_leads_somewhere(calculator, code):
    """A result that tells its verdict alone: within is no objection, nothing else passes."""
    for layout in (SEDAN, TRUCK):
        found = sound(layout) | {"readings": {"left": {calculator: {"verdict": {"code": code, "text": "As read."}}}}}
        judged = [name for name, part in TABLE.parts.items() if calculator in part.readings and part.present(layout)]
        decided = actions(found)["left"]
        if code == "within":
            assert decided == actions(sound(layout))["left"]
        else:
            assert any(
                decided[name] in {"beyond": ("replace", "measure again", "service"), "adjust": ("service",)}.get(code, ("measure again",))
                for name in judged
            )


# ---- sets, pairs, and the cause before the effect ----------------------------------------------------------------


def test_a_dirty_hub_is_not_blamed_on_its_rotor():
    """A rotor on a hub that runs out waits for the hub, though no cut is left: a new rotor would follow the hub."""
    readings = {"readings": {"left": {
        "lateral-runout": a_reading("lateral-runout", {"lateral-runout": "beyond", "lateral-runout/hub": "measured"}),
        "rotor-thickness": a_reading("rotor-thickness", {"rotor-thickness/may-be-cut": "no"}),
    }}}  # fmt: skip
    assert actions(sound() | readings)["left"]["rotor"] == "replace"
    held = decide(sound(left_rotor=["hub-runs-out"]) | readings, RULES)["actions"]
    assert (held["left"]["rotor"]["action"], held["right"]["rotor"]["action"]) == ("measure again", "use again")


@pytest.mark.parametrize(
    "parking_brake, part",
    [
        ("drum-in-rotor", "parking-shoe"),
        ("drum-in-rotor", "parking-cable"),
        ("screw-in", "parking-cable"),
        ("electric", "parking-actuator"),
    ],
)
def test_pads_wait_for_the_parking_brake(parking_brake, part):
    layout = SEDAN | {"axle": "rear", "parking_brake": parking_brake}
    decided = actions(sound(layout, **{f"left_{part.replace('-', '_')}": ["bad"]}))
    assert (decided["left"]["pad"], decided["left"][part]) == ("measure again", "replace")
    assert decided["right"][part] == ("replace" if part == "parking-shoe" else "use again")  # shoes by the axle


def test_pads_wait_for_the_ways_of_an_abutment_slide():
    layout = SEDAN | {"slides": "abutment", "bracket": "bracketless"}
    decided = decide(sound(layout, left_slide_key=["bad"]), RULES)
    assert decided["actions"]["left"]["pad"]["action"] == "measure again"
    assert {"key and spring of the abutment slide"} <= {entry["item"] for entry in decided["parts_list"]}


def test_a_drum_over_its_diameter_takes_both_rotors():
    # 49 CFR 570.59(b): drums within their marked maximum.
    decided = actions(sound(SEDAN | {"axle": "rear", "parking_brake": "drum-in-rotor"}, left_rotor=["drum-worn"]))
    assert decided["left"]["rotor"] == decided["right"]["rotor"] == decided["right"]["pad"] == "replace"


def test_oil_in_the_fluid_takes_the_rubber_it_met():
    decided = decide(sound(left_fluid=["petroleum"]), RULES)
    for side in SIDES:
        for part in ("fluid", "hose", "caliper", "crush-washer"):
            assert decided["actions"][side][part]["action"] == "replace"
    assert "master cylinder and valves" in {entry["item"] for entry in decided["parts_list"]}


@pytest.mark.parametrize(
    "cause",
    [
        {"left_slide_pin": ["dry"]},
        {"left_piston": ["stuck"]},
        {"left_bracket": ["rust-under-clips"]},
        {"left_hose": ["closes"]},
        {"left_caliper": ["slides-stuck"]},
        {"left_pin_bushing": ["torn"]},
    ],
)
def test_pads_wait_for_the_cause(cause):
    layout = SEDAN | {"slides": "damper-pin"}
    decided = decide(sound(layout, **cause), RULES)["actions"]
    assert decided["left"]["pad"]["action"] == "measure again"
    assert "cause-not-cured" in decided["left"]["pad"]["findings"]
    (at, finding) = next(iter(cause.items()))
    if finding != ["closes"]:  # a hose that closes takes its partner with it
        assert decided["right"]["pad"]["action"] == "use again"
    done = decide(sound(layout, **{at: [*finding, {"second_look": "free"}], "left_caliper": ["sound", {"second_look": "free"}], "right_hose": ["sound", {"second_look": "free"}]}
                         | ({at: [*finding, {"second_look": "free"}]} if at == "left_caliper" else {})), RULES)["actions"]  # fmt: skip
    assert done["left"]["pad"]["action"] == "use again"


def test_new_pads_over_a_stuck_pin_are_held_back_in_a_note():
    decided = decide(sound(left_slide_pin=["bad"], left_pad=["at-limit"]), RULES)
    assert decided["actions"]["left"]["pad"]["action"] == "replace"
    assert any(note.startswith("Left pads") and "slide pins" in note and "not released" in note for note in decided["notes"])


def test_a_serviced_part_that_fails_its_second_look_is_replaced():
    decided = decide(sound(left_slide_pin=["dry", {"second_look": "failed"}]), RULES)["actions"]["left"]
    assert decided["slide-pin"]["action"] == "replace" and "second look" in decided["slide-pin"]["reason"]
    assert decided["pin-boot"]["action"] == "replace"


def test_calipers_by_side_with_what_comes_inside():
    found = sound(left_piston=["pitted"])
    decided = actions(found)
    assert (decided["left"]["caliper"], decided["right"]["caliper"]) == ("replace", "use again")
    assert decided["left"]["crush-washer"] == "replace" and decided["right"]["crush-washer"] == "use again"
    assert bought(found) == {"caliper": ("side", 1), "crush washers": ("side", 1), FLUID: ("vehicle", 1)}  # the piston comes inside


def test_calipers_by_axle_where_the_shop_says_so():
    own = RULES | {
        "rules": [
            *RULES["rules"],
            {"id": "calipers-by-axle", "because": {"caliper": "replace"}, "part": "caliper", "finding": "partner-new", "over": "partner"},
        ]
    }
    decided = decide(sound(left_caliper=["wet-piston"]), own)
    assert decided["actions"]["right"]["caliper"]["action"] == "replace"
    assert {entry["item"]: entry["quantity"] for entry in decided["parts_list"]}["caliper"] == 2


@pytest.mark.parametrize(
    "finding, both", [("bad", True), ("closes", True), ("fitting-rusted", True), ("damaged-by-accident", False), ("clamped", False)]
)
def test_hoses_by_the_axle_unless_one_was_damaged_by_accident(finding, both):
    # 49 CFR 570.55(d): hoses not cracked, chafed or flattened.
    decided = actions(sound(left_hose=[finding]))
    assert decided["left"]["hose"] == "replace" and decided["left"]["crush-washer"] == "replace"
    assert (decided["right"]["hose"] == "replace") is both


@pytest.mark.parametrize("part, finding", [("bearing", "spalled"), ("race", "damaged"), ("race", "loose")])
def test_cone_and_race_are_a_set(part, finding):
    found = sound(TRUCK, **{f"left_{part}": [finding]})
    decided = actions(found)
    assert decided["left"]["bearing"] == decided["left"]["race"] == "replace"
    finished = finding == "loose"  # a seat that lets a race turn: hub rotors go by the axle, and each takes its bearings
    assert decided["left"]["rotor"] == ("replace" if finished else "use again")
    assert decided["right"]["bearing"] == ("replace" if finished else "use again")
    assert "race" not in bought(found) and bought(found)["wheel bearings"] == ("side", 2 if finished else 1)


def test_a_new_hub_rotor_takes_new_bearings_a_slip_on_rotor_none():
    decided = actions(sound(TRUCK, left_rotor=["cracked"]))
    for side in SIDES:
        assert [decided[side][part] for part in ("rotor", "race", "bearing", "grease-seal")] == ["replace"] * 4
    assert actions(sound(SEDAN | {"bearing": "tapered-roller", "nut": "castle"}, left_rotor=["cracked"]))["left"]["bearing"] == "use again"


def test_seal_and_pin_are_new_wherever_the_hub_was_opened():
    found = sound(TRUCK, left_grease_seal=["hub-closed"], left_cotter_pin=["untouched"])
    assert bought(found)["grease seal"] == bought(found)["cotter pin"] == ("side", 2)
    # a hub nobody looked into keeps them
    closed = sound(TRUCK, **{f"{side}_{part}": [] for side in SIDES for part in ("bearing", "race", "spindle", "keyed_washer")},
                   **{f"{side}_{part}": [finding] for side in SIDES for part, finding in (("grease_seal", "hub-closed"), ("cotter_pin", "untouched"))})  # fmt: skip
    assert actions(closed)["left"]["grease-seal"] == actions(closed)["left"]["cotter-pin"] == "use again"
    assert actions(closed)["left"]["bearing"] == "measure again"


def test_a_wear_sensor_is_bought_without_pads():
    found = sound(left_pad=["sound", "sensor-rubbed"])
    assert bought(found) == {"wear sensor": ("side", 1)}
    assert actions(found)["right"]["pad"] == "use again"


def test_a_rebuilt_caliper_needs_its_kit():
    assert bought(sound(left_caliper=["rebuild"])) == {"caliper seal and boot kit": ("side", 1), FLUID: ("vehicle", 1)}


def supplies(found: dict) -> dict:
    return {entry["item"]: entry for entry in decide(found, RULES)["parts_list"] if entry["kind"] == "supply"}


def test_supplies_follow_from_the_work():
    closed = sound(left_fluid=["good"])
    assert "brake cleaner" in supplies(closed) and "wheel bearing grease" not in supplies(closed)  # pins are greased again
    truck = supplies(sound(TRUCK))
    assert truck["wheel bearing grease"]["from"] == [
        {"side": side, "part": "grease-seal", "rules": ["grease-of-an-open-hub"]} for side in SIDES
    ]
    assert truck["wheel bearing grease"]["amount"] == "not reckoned yet: bearing-grease"
    assert supplies(sound(TRUCK, left_pad=["at-limit"]))["synthetic grease for pad lands"]["per"] == "axle"
    assert (
        supplies(sound(SEDAN | {"bearing": "pressed-cartridge"}, left_hub_unit=["bad"]))["snap ring of the pressed bearing"]["quantity"]
        == 1
    )
    assert not supplies({"layout": SEDAN})  # nothing is decided yet


def test_fluid_is_listed_as_much_as_was_computed():
    needed = (
        catalogue()["fluid-volume"]
        .run(line_bores="3.34 mm", line_lengths="2 m", piston_diameters="54 mm; 54 mm", piston_extensions="5 mm", reservoir="150 mL")
        .as_json()
    )
    found = sound(left_hose=["bad"])
    (line,) = [entry for entry in decide(found, RULES)["parts_list"] if entry["item"] == FLUID]
    assert line["amount"] == "not reckoned yet: fluid-volume" and "cap" in line["note"] and line["per"] == "vehicle"
    (line,) = [
        entry
        for entry in decide(found | {"readings": {"vehicle": {"fluid-volume": needed}}}, RULES)["parts_list"]
        if entry["item"] == FLUID
    ]
    assert line["amount"] == f"at least {needed['values']['fluid_needed']['text']}" and line["quantity"] == 1


@pytest.mark.parametrize("nut, part", [("staked", "spindle-nut"), ("tab-washer", "tab-washer"), ("castle", "cotter-pin")])
def test_what_locks_a_nut_once_is_new_in_an_open_hub(nut, part):
    decided = actions(sound(TRUCK | {"nut": nut}))
    assert decided["left"][part] == decided["right"][part] == "replace"


def test_an_axle_nut_is_new_with_its_bearing():
    decided = actions(sound(left_hub_unit=["bad"]))
    assert (decided["left"]["axle-nut"], decided["right"]["axle-nut"]) == ("replace", "use again")


def test_every_line_of_the_list_says_which_decision_it_comes_from():
    for found in (sound(TRUCK, left_race=["loose"], right_caliper=["rebuild"]), sound(left_hose=["bad"], left_speed_sensor=["ring-bad"])):
        decided = decide(found, RULES)
        for entry in decided["parts_list"]:
            assert entry["from"], entry
            for source in entry["from"]:
                item = decided["actions"][source["side"]][source["part"]]
                known = {rule for ground in item["grounds"] for rule in ground["rules"]} | {supply["id"] for supply in RULES["supplies"]}
                assert source["rules"] and set(source["rules"]) <= known


# ---- where a decision comes from, and rules of a shop ------------------------------------------------------------


def test_a_decision_names_its_rule_and_the_steps_behind_it():
    found = sound(left_hose=[{"finding": "bad", "step": "inspect-before-teardown/judge-hose"}])
    found["readings"] = {"right": {"rotor-thickness": rotor("1.2149 in", "1.2150 in") | {"step": "measure-rotor/read-thickness"}}}
    decided = decide(found, RULES)["actions"]
    assert (decided["left"]["hose"]["rule"], decided["left"]["hose"]["steps"]) == ("hose/bad", ["inspect-before-teardown/judge-hose"])
    assert (decided["right"]["hose"]["rule"], decided["right"]["hose"]["steps"]) == (
        "hoses-by-axle",
        ["inspect-before-teardown/judge-hose"],
    )
    assert (decided["right"]["rotor"]["rule"], decided["right"]["rotor"]["steps"]) == ("rotor-at-discard", ["measure-rotor/read-thickness"])
    assert decided["left"]["pad"]["steps"] == ["measure-rotor/read-thickness"]  # through both rotors
    assert [ground["action"] for ground in decided["left"]["pad"]["grounds"]] == sorted(
        (g["action"] for g in decided["left"]["pad"]["grounds"]), key=WORST_FIRST.index
    )
    assert decide({"layout": SEDAN}, RULES)["actions"]["left"]["hose"]["rule"] == "not-looked-at"
    too_close = decide(
        sound() | {"readings": {"left": {"pad-wear": a_reading("pad-wear", {"pad-wear": "too-close"}) | {"step": "a/b"}}}}, RULES
    )["actions"]["left"]["pad"]
    assert (too_close["rule"], too_close["steps"]) == ("reading/pad-wear", ["a/b"])


def test_findings_of_an_axle_or_the_vehicle_count_for_both_sides():
    one = {"layout": SEDAN, "axle": {"rotor": ["cracked"]}, "vehicle": {"fluid": ["good"]}}
    both = {"layout": SEDAN, "left": {"rotor": ["cracked"], "fluid": ["good"]}, "right": {"rotor": ["cracked"]}}
    assert actions(one) == actions(both)


def test_a_rule_of_the_shop_is_said_with_its_reason():
    own = RULES | {
        "rules": [rule for rule in RULES["rules"] if rule["id"] not in ("rotors-by-axle", "hoses-by-axle")]
        + [{"id": "our-hoses", "because": {"hose": "replace"}, "part": "hose", "finding": "partner-bad", "over": "partner"}],
        "replaced": [
            {"rule": "rotors-by-axle", "by": "our-rotors", "why": "One alone where the other is nearly new."},
            {"rule": "hoses-by-axle", "by": "our-hoses", "why": "Always both"},
        ],
    }
    decided = decide(sound(left_hose=["clamped"], left_rotor=["cracked"]), own)
    assert decided["actions"]["right"]["rotor"]["action"] == "use again" and decided["actions"]["right"]["hose"]["action"] == "replace"
    assert "Rule hoses-by-axle replaced by the shop: Always both." in decided["actions"]["right"]["hose"]["reason"]
    for said in (
        "Rule rotors-by-axle replaced by the shop: One alone where the other is nearly new.",
        "Rule hoses-by-axle replaced by the shop: Always both.",
    ):
        assert said in decided["notes"]


def test_nuts_follow_their_studs():
    assert actions(sound(left_wheel_stud=["broken"]))["left"]["wheel-nut"] == "replace"


# ---- what cannot be read -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "found, says",
    [
        ([], "expected a JSON object"),
        ({"lft": {}}, "unknown key “lft”; did you mean left?"),
        ({"layout": {"rotor": "slipon"}}, "layout.rotor: “slipon”; did you mean slip-on?"),
        ({"layout": {"rotr": "hub"}}, "unknown key “rotr”; did you mean rotor?"),
        ({"layout": {"rotor": ["hub"]}}, "layout.rotor"),
        ({"layout": {"rotor": "hub", "bearing": "hub-unit"}}, "this layout does not exist"),
        ({"left": {"rottor": []}}, "no part is called “rottor”; did you mean rotor?"),
        ({"left": {"rotor": "sound"}}, "left.rotor: expected a list of findings"),
        ({"left": {"rotor": ["sounds"]}}, "left.rotor: no finding is called “sounds”; did you mean sound?"),
        ({"left": {"rotor": [3]}}, "left.rotor: expected a JSON object"),
        ({"left": {"rotor": [{"finding": "sound", "done": 1}]}}, "left.rotor: unknown key “done”"),
        ({"vehicle": {"rotor": ["sound"]}}, "vehicle.rotor: this part is judged by side"),
        ({"left": {"rotor": [{"finding": "sound", "step": 7}]}}, "step: expected its address"),
        ({"readings": {"left": {"pad-wear": {"step": 7}}}}, "its step: expected an address"),
        ({"left": {"rotor": ["sound", {"second_look": "ok"}]}}, "second_look: “ok”; expected free or failed"),
        ({"left": {"rotor": [{"second_look": "free"}]}}, "a second look needs a first one"),
        ({"layout": {"bracket": "bracketless"}, "left": {"bracket": ["sound"]}}, "left.bracket: this layout has no such part"),
        ({"layout": {"rotor": "slip-on"}, "left": {"rotor": ["hub-worn"]}}, "“hub-worn” does not belong to this layout"),
        ({"readings": {"front": {}}}, "readings: unknown key “front”"),
        ({"readings": {"left": {"pad-wear": "within"}}}, "readings.left.pad-wear: expected a JSON object"),
        ({"readings": {"left": {"pad-wear": {"verdict": {"code": "fine"}}}}}, "its verdict must be null or hold a code"),
        ({"readings": {"left": {"pad-wear": {"calculator": "rotor-thickness", "verdict": None}}}}, "this is a result of rotor-thickness"),
        ({"readings": {"left": {"pad-wear": {"values": []}}}}, "its values must be a JSON object"),
        ({"readings": {"left": {"pad-wear": {}}, "axle": {"pad-wear": {}}}}, "stands there twice"),
    ],
)
def test_findings_that_cannot_be_read_are_one_line_with_the_place(found, says):
    with pytest.raises(EntryError) as refused:
        decide(found, RULES)
    assert refused.value.input == "findings" and says in str(refused.value) and "\n" not in str(refused.value)


PART = {
    "part": "rotor",
    "findings": [{"id": "sound", "says": "sound", "action": "use again", "reason": "It is.", "source": "common practice"}],
}


@pytest.mark.parametrize(
    "rules, says",
    [
        ([], "expected a JSON object"),
        ({"parts": []}, "there is no part"),
        ({"parts": [PART], "rule": []}, "unknown key “rule”; did you mean rules?"),
        ({"parts": [PART], "calculators": "stand-load"}, "calculators: expected a JSON list"),
        ({"parts": [PART], "calculators": [1]}, "calculators: expected a list of names"),
        ({"parts": [PART, PART]}, "parts[1]: rotor stands there twice"),
        ({"parts": [PART | {"findings": []}]}, "a part needs findings"),
        ({"parts": [PART | {"findings": PART["findings"] * 2}]}, "sound stands there twice; a finding has one action"),
        ({"parts": [PART | {"findings": [PART["findings"][0] | {"action": "reuse"}]}]}, "action: “reuse”"),
        ({"parts": [PART | {"findings": [PART["findings"][0] | {"reason": ""}]}]}, "reason is missing"),
        ({"parts": [PART | {"comes_with": "hub"}]}, "comes_with: no part is called “hub”"),
        ({"parts": [PART | {"when": {}}]}, "an empty condition"),
        ({"parts": [PART | {"findings": [PART["findings"][0] | {"id": "free"}]}]}, "free has its own meaning"),
        ({"parts": [PART], "supplies": [{"id": "a", "because": {"rotor/work": "yes"}, "item": "cloth"}]}, "why is missing"),
        (
            {"parts": [PART], "supplies": [{"id": "a", "because": {"rotr/work": "yes"}, "item": "cloth", "why": "w"}]},
            "no fact is called “rotr/work”",
        ),
        ({"parts": [PART], "replaced": [{"rule": "a", "by": "b"}]}, "why is missing"),
        (
            {"parts": [PART], "rules": [{"id": "a", "because": {"rotor/sound": "not found"}, "part": "rotor", "finding": "sound"}]},
            "only a finding that no rule draws",
        ),
        ({"parts": [PART], "rules": [{"id": "a", "part": "rotor", "finding": "sound"}]}, "because is missing"),
        (
            {"parts": [PART], "rules": [{"id": "a", "because": {"rotr": "replace"}, "part": "rotor", "finding": "sound"}]},
            "no fact is called “rotr”; did you mean rotor?",
        ),
        (
            {"parts": [PART], "rules": [{"id": "a", "because": {"rotor": "service"}, "part": "rotor", "finding": "sound"}]},
            "rotor is never “service”",
        ),
        (
            {"parts": [PART], "rules": [{"id": "a", "because": {"rotor-thickness": "over"}, "part": "rotor", "finding": "sound"}]},
            "rotor-thickness is never “over”",
        ),
        ({"parts": [PART], "rules": [{"id": "a", "because": {"rotor": "replace"}, "part": "pad", "finding": "sound"}]}, "part: “pad”"),
        (
            {"parts": [PART], "rules": [{"id": "a", "because": {"rotor": "replace"}, "part": "rotor", "finding": "sound", "over": "both"}]},
            "over: “both”",
        ),
    ],
)
def test_rules_that_cannot_be_read_are_one_line_with_the_place(rules, says):
    with pytest.raises(EntryError) as refused:
        decide({}, rules)
    assert refused.value.input == "rules" and says in str(refused.value) and "\n" not in str(refused.value)


JSON_VALUES = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.text(max_size=12), st.sampled_from(["sound", "rotor", "free"])),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(st.sampled_from(["layout", "left", "right", "readings", "rotor", "pad-wear", "verdict", "values", "parts", "rules", "findings"]), inner, max_size=4)),
    max_leaves=10,
)  # fmt: skip


@given(JSON_VALUES, JSON_VALUES)
@settings(deadline=None)
def test_any_json_is_decided_or_refused(found, rules):
    for pair in ((found, RULES), ({}, rules)):
        try:
            decide(*pair)
        except EntryError as refused:
            assert "\n" not in str(refused)  # noqa: PT017 - most are refused, some are not
