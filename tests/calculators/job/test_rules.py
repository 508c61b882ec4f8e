"""The rules of a job's state, one by one, on small pages; the numbers are those of the rules."""

from __future__ import annotations

import json
import random

import pytest

from build_tools.paths import PROJECT
from calculators.decision.when import holds
from calculators.job.alone import is_alone, reasons, usual_answer
from calculators.job.book import read_book
from calculators.job.branches import work_of
from calculators.job.case import case_of
from calculators.job.entries import line_up
from calculators.job.handbook import Handbook
from calculators.job.plan import settled_layout
from tests.calculators.job.world import NOW, SLIP_ON, Job, mini, state_of

READ = {"id": "read", "needs": ["result"], "reads": {"calculator": "rotor-thickness", "judges": ["rotor"]}, "out": {"beyond": "after"}}
NEW = {"id": "new", "needs": ["result"], "reads": {"calculator": "rotor-thickness", "judges": ["rotor"], "of": "new"}}
PLAN = {"id": "plan", "for": "axle", "needs": ["result"], "choice": ["replace", "keep"], "means": {"replace": {"rotor": ["replace"]}, "keep": {"rotor": ["use again", "service"]}}}  # fmt: skip
FIT = {"id": "fit", "effects": {"fits": ["rotor"]}}
NUTS = (
    {"id": "loosen", "effects": {"loosens": ["nut"]}},
    {"id": "tighten", "needs": ["torque"], "final": True, "critical": True, "effects": {"torques": ["nut"]}},
)


def ids(job: Job) -> list[str]:
    return [entry["id"] for entry in line_up(job.entries, NOW).standing]


# ---------------------------------------------------------------- 1 order


def test_1_the_chain_is_the_order_whatever_the_clock_says():
    job = Job(mini(READ, {"id": "after"}))
    beyond = job.read("read", "LF", "within")
    job.read("read", "LF", "beyond")
    job.entries[-1]["time"] = "2026-11-25T07:00:00.000+00:00"  # the clock was set back
    assert ids(job)[-2] == beyond
    assert [each.place for each in job.state().beyond] == ["LF"]


def test_1_without_a_chain_time_decides_then_the_order_of_the_file_never_the_ids():
    for seed in "abcdefgh":
        job = Job(mini({"id": "one"}), chained=False, seed=seed)
        for _ in range(4):
            job.done("one", "LF")
            job.entries[-1]["time"] = "2026-11-25T09:00:00.000+00:00"
        assert ids(job) == [entry["id"] for entry in job.entries]
    job.entries.reverse()
    assert ids(job)[1:] == [entry["id"] for entry in job.entries if entry["kind"] == "done"]


def test_1_times_compare_as_instants_and_a_future_one_counts_as_now():
    job = Job(mini({"id": "one"}), chained=False)
    for time in ("2026-11-25T13:30:00+05:00", "2026-11-25T09:00:00+00:00", "2031-01-01T00:00:00+00:00", "2026-11-25T09:30:00+00:00"):
        job.done("one", "LF", time=time)
    assert ids(job)[1:] == [entry["id"] for entry in job.entries[1:]]


def test_1_a_circle_of_entries_is_read_all_the_same():
    job = Job(mini({"id": "one"}))
    job.done("one", "LF", typed={"after": "f" * 32})
    first = job.entries[-1]
    job.done("one", "RF")
    first["typed"]["after"] = job.entries[-1]["id"]
    assert len(ids(job)) == 3


# ---------------------------------------------------------------- 2 going back

BACK = (
    {"id": "first"},
    {"id": "between", "for": "axle"},
    {"id": "vehicle", "for": "vehicle"},
    {"id": "ask", "needs": ["result"], "choice": ["good", "bad"], "out": {"bad": "first"}},
    {"id": "later"},
)


def test_2_going_back_reopens_target_asking_step_and_what_lies_between():
    job = Job(mini(*BACK))
    for place in ("LF", "RF"):
        job.done("first", place)
    job.done("between", "front")
    job.done("vehicle", "vehicle")
    job.choose("ask", "LF", "bad")
    reopened = (("first", "LF"), ("between", "front"), ("vehicle", "vehicle"), ("ask", "LF"))
    assert {job.spot(step, place).state for step, place in reopened} == {"back"}
    assert job.spot("first", "RF").state == "done"
    for step, place in (("first", "LF"), ("between", "front"), ("vehicle", "vehicle")):
        job.done(step, place)
    assert job.spot("ask", "LF").state == "back"  # the question is asked again
    job.choose("ask", "LF", "good")
    assert job.spot("ask", "LF").state == "done"


def test_2_a_better_answer_alone_does_not_take_the_way_back_away():
    job = Job(mini(*BACK))
    job.done("first", "LF")
    job.choose("ask", "LF", "bad")
    job.choose("ask", "LF", "good")
    assert job.spot("first", "LF").state == "back"
    job.undo(job.entries[2]["id"])
    assert job.spot("first", "LF").state == "done"


# ---------------------------------------------------------------- 3 beyond


def replaced(job: Job) -> None:
    job.read("read", "LF", "beyond")
    job.choose("plan", "front", "replace")
    job.done("fit", "LF")


def test_3_a_later_answer_settles_nothing():
    job = Job(mini(READ, {"id": "after"}, PLAN, FIT, NEW))
    job.read("read", "LF", "beyond")
    job.choose("plan", "front", "replace")
    assert len(job.state().beyond) == 1


def test_3_the_same_step_read_again_within_settles_it():
    job = Job(mini(READ, {"id": "after"}))
    job.read("read", "LF", "beyond")
    job.read("read", "LF", "too-close")
    assert len(job.state().beyond) == 1
    job.read("read", "LF", "within")
    assert job.state().beyond == []


def test_3_replaced_needs_the_new_part_read_within_where_a_step_does():
    job = Job(mini(READ, {"id": "after"}, PLAN, FIT, NEW))
    replaced(job)
    assert len(job.state().beyond) == 1
    job.read("new", "LF", "within")
    assert job.state().beyond == []
    job = Job(mini(READ, {"id": "after"}, PLAN, FIT))
    replaced(job)
    assert job.state().beyond == []


def test_3_fitted_before_it_was_decided_is_the_old_part():
    job = Job(mini(READ, {"id": "after"}, PLAN, FIT))
    job.read("read", "LF", "beyond")
    job.done("fit", "LF")
    job.choose("plan", "front", "replace")
    assert len(job.state().beyond) == 1


def test_3_left_unrepaired_closes_the_page_as_not_repaired():
    job = Job(mini(READ, {"id": "after"}))
    job.read("read", "LF", "beyond")
    beyond = job.entries[-1]["id"]
    job.add("text", "read", "LF", typed={"note": "refused", "told": "", "unrepaired": beyond})
    assert "beyond" in job.codes()
    job.add("text", "read", "LF", typed={"note": "refused", "told": "the owner", "unrepaired": beyond})
    assert "beyond" not in job.codes() and job.spot("read", "LF").state == "done"
    page = job.state().pages["job"]
    assert page.closes == "not repaired"
    job.read("read", "RF", "within")
    for place in ("LF", "RF"):
        job.done("after", place)
    job.add("complete")
    assert not job.state().pages["job"].closed  # complete it never is
    job.add("complete", typed={"not_repaired": 1})
    assert job.state().pages["job"].closed["as"] == "not repaired"


def test_3_what_belongs_to_no_part_is_settled_by_its_own_step():
    job = Job(mini(*NUTS, {"id": "again", "needs": ["torque"], "effects": {"torques": ["nut"]}}))
    job.torque("tighten", "LF", "beyond")
    job.torque("again", "LF")
    assert [each.step for each in job.state().beyond] == ["job/tighten"]
    job.torque("tighten", "LF")
    assert job.state().beyond == []


def test_3_an_estimate_closes_with_its_beyond_listed():
    job = Job(mini({**READ, "out": {}}, ends="estimate"))
    for place in ("LF", "RF"):
        job.read("read", place, "beyond")
    page = job.state().pages["job"]
    assert page.may_complete and page.closes == "estimate" and len(job.state().beyond) == 2


def test_3_a_beyond_that_was_led_back_over_or_past_stands():
    ask = {"id": "ask", "needs": ["result"], "choice": ["past", "back"], "out": {"past": "end", "back": "ask"}}
    job = Job(mini(ask, {**READ, "out": {}}, {"id": "end"}))
    job.choose("ask", "LF", "back")
    job.read("read", "LF", "beyond")
    job.choose("ask", "LF", "past")
    assert job.spot("read", "LF").state == "past" and "beyond" in job.codes()


# ---------------------------------------------------------------- 4, 5 decision and answers


def test_4_a_new_part_never_speaks_for_the_old_one():
    job = Job(mini(READ, NEW, {"id": "after"}))
    job.read("read", "LF", "beyond")
    job.read("new", "LF", "within")
    del job.entries[-1]["typed"]["of"]  # an older record does not say it; the step does
    book = read_book(job.handbook, line_up(job.entries, NOW))
    work = work_of(book, job.handbook.pages["job"], "front", [True] * 3)
    case = case_of(book, work, SLIP_ON, {"axes": {}, "parts": []})
    assert case["readings"]["left"]["rotor-thickness"]["verdict"]["code"] == "beyond"


def test_5_a_laxer_answer_needs_a_reason_and_its_beyond_stays():
    job = Job(mini(READ, {"id": "after"}, PLAN))
    beyond = job.read("read", "LF", "beyond")
    job.choose("plan", "front", "keep")
    assert job.spot("plan", "front").state == "contradicted"
    job.choose("plan", "front", "keep", typed={"against": [beyond]}, note="fitted last month")
    assert job.spot("plan", "front").state == "done" and "beyond" in job.codes()
    job.choose("plan", "front", "replace")
    assert job.spot("plan", "front").state == "done"


def test_5_a_later_reading_contradicts_an_answer_with_a_reason():
    job = Job(mini(READ, {"id": "after"}, PLAN))
    first = job.read("read", "LF", "beyond")
    job.choose("plan", "front", "keep", typed={"against": [first]}, note="fitted last month")
    later = job.read("read", "RF", "beyond")
    said = job.state().contradicted[0]
    assert said.by == (later,) and said.later


def test_5_the_decision_contradicts_where_it_rests_on_something_seen():
    def decide(case, rules):
        ground = {"action": "replace", "finding": "at-discard"}
        unseen = {"action": "measure again", "finding": ""}
        return {"actions": {"left": {"rotor": {"action": "replace", "grounds": [ground]}}, "right": {"rotor": {"action": "measure again", "grounds": [unseen]}}}}  # fmt: skip

    job = Job(mini(PLAN, {**PLAN, "id": "side", "for": "side"}))
    job.choose("plan", "front", "keep")
    for place in ("LF", "RF"):
        job.choose("side", place, "keep")
    assert job.spot("plan", "front", decide=decide).why["against"] == ["decision"]
    assert job.spot("side", "LF", decide=decide).state == "contradicted"
    assert job.spot("side", "RF", decide=decide).state == "done"


def test_5_a_recorded_decision_that_says_less_than_it_would_now_is_taken_again():
    def decide(case, rules):
        return {"actions": {"left": {"rotor": {"action": "replace", "grounds": []}}, "right": {}}}

    job = Job(mini({"id": "settle", "for": "axle", "needs": ["result"], "decides": True}))
    job.decide("settle", "front", ("left", "rotor", "use again"))
    assert job.codes(decide=decide) == ["decision"] and job.codes() == []
    job.decide("settle", "front", ("left", "rotor", "replace"))
    assert job.codes(decide=decide) == []


# ---------------------------------------------------------------- 6 usual


@pytest.mark.parametrize(
    "usual, more, expected",
    [
        ("go", {}, "go"),
        ("back", {}, ""),
        ("again", {}, ""),
        ("stop", {}, ""),
        ("past", {}, ""),
        ("go", {"means": {"go": {"rotor": ["use again"]}}}, ""),
        ("", {}, ""),
    ],
)
def test_6_usual_is_only_what_the_data_names_and_never_past_a_step_signed_alone(usual, more, expected):
    ask = {
        "id": "ask", "needs": ["result"], "choice": ["go", "back", "again", "stop", "past"], "usual": usual,
        "out": {"back": "start", "again": "again", "stop": "stop", "past": "end"}, **more,
    }  # fmt: skip
    page = mini({"id": "start"}, ask, {"id": "hard", "critical": True}, {"id": "end"}).pages["job"]
    assert usual_answer(page, 1) == expected


# ---------------------------------------------------------------- 7 overrides


def test_7_a_reason_settles_no_effect_but_done_otherwise_does():
    job = Job(mini(*NUTS))
    job.done("loosen", "LF")
    job.reason("tighten", "LF")
    assert job.spot("tighten", "LF").state == "open" and ("loose", "nut", "LF") in job.left()
    job.reason("tighten", "LF", otherwise={"how": "by the tire bay, 110 N·m", "by": ""})
    assert job.left()
    job.reason("tighten", "LF", otherwise={"how": "by the tire bay, 110 N·m", "by": "C. Sample"})
    assert job.spot("tighten", "LF").state == "done" and not job.left()


@pytest.mark.parametrize("more", [{"critical": True}, {"presses": "pedal"}, {"look": True}])
def test_7_what_a_life_hangs_on_is_not_signed_with_a_mere_reason(more):
    job = Job(mini({"id": "one", **more}))
    entry = job.reason("one", "LF")
    job.look("one", "LF", entry)
    assert job.spot("one", "LF").state == "open"
    entry = job.reason("one", "LF", otherwise={"how": "on the other lift", "by": "C. Sample"})
    job.look("one", "LF", entry)
    assert job.spot("one", "LF").state == "done"


def test_7_a_decision_is_not_signed_with_a_reason():
    job = Job(mini({"id": "settle", "for": "axle", "needs": ["result"], "decides": True}))
    job.reason("settle", "front", otherwise={"how": "by eye", "by": "C. Sample"})
    assert job.spot("settle", "front").state == "open"


def test_7_a_step_signed_alone_is_never_not_applicable():
    job = Job(mini(*NUTS, {"id": "line"}))
    job.skip("tighten", "LF")
    job.skip("line", "LF")
    assert job.spot("tighten", "LF").state == "open" and job.spot("line", "LF").state == "done"


def test_7_what_was_started_needs_its_counterpart():
    job = Job(mini(*NUTS))
    job.done("loosen", "LF")
    job.torque("tighten", "LF")
    assert not job.left()
    job.done("loosen", "LF")
    assert job.spot("tighten", "LF").state == "again"


# ---------------------------------------------------------------- 8 led past after work began

HOSE = (
    {"id": "choose", "needs": ["result"], "choice": ["replace", "keep"], "out": {"keep": "end"}},
    {"id": "off", "effects": {"takes_off": ["hose"], "opens": ["inlet"]}},
    {"id": "on", "effects": {"fits": ["hose"]}},
    {"id": "on-too", "effects": {"fits": ["hose"]}},
    {"id": "close", "effects": {"closes": ["inlet"]}},
    {"id": "bleed", "effects": {"bleeds": ["inlet"], "leak_checks": ["inlet"]}},
    {"id": "end"},
)


def test_8_what_puts_it_right_stays_until_one_is_signed():
    job = Job(mini(*HOSE))
    job.choose("choose", "LF", "replace")
    job.done("off", "LF")
    job.choose("choose", "LF", "keep")
    assert {step: job.spot(step, "LF").state for step in ("on", "on-too", "close", "bleed")} == dict.fromkeys(("on", "on-too", "close", "bleed"), "open")  # fmt: skip
    job.done("on", "LF")
    assert job.spot("on-too", "LF").state == "past" and job.spot("on", "LF").state == "done"
    job.done("close", "LF")
    job.done("bleed", "LF")
    assert not job.left() and job.spot("choose", "RF").state == "open"


# ---------------------------------------------------------------- 9 undo, signing again, correcting


def test_9_undo_gives_the_sequence_without_the_entry_and_what_rested_on_it_is_out_of_turn():
    job = Job(mini({"id": "sign"}, {"id": "pin", "hold": ["sign"]}))
    first = job.done("sign", "LF")
    job.done("pin", "LF")
    assert job.spot("pin", "LF").state == "done"
    job.undo(first)
    assert job.spot("pin", "LF").state == "out-of-turn"
    job.done("sign", "LF")  # signing again counts where it was made
    assert job.spot("pin", "LF").state == "out-of-turn"
    job.done("pin", "LF")
    assert job.spot("pin", "LF").state == "done"


def test_9_the_undo_of_a_card_takes_back_all_its_lines_and_can_be_undone():
    job = Job(mini({"id": "one"}, {"id": "two"}))
    one, two = job.done("one", "LF"), job.done("two", "LF")
    gone = job.add("withdrawn", typed={"withdraws": two, "lines": [one, two]})
    assert [job.spot(step, "LF").state for step in ("one", "two")] == ["open", "open"]
    job.undo(gone)
    assert [job.spot(step, "LF").state for step in ("one", "two")] == ["done", "done"]


def test_9_a_correction_takes_the_old_place_only_where_no_effect_changes():
    job = Job(mini(READ, {"id": "after", "hold": ["read"]}))
    old = job.read("read", "LF", "within")
    job.done("after", "LF")
    job.read("read", "LF", "within", corrects=old)
    slip = job.entries[-1]["id"]
    assert ids(job)[1] == slip and old not in ids(job) and job.spot("after", "LF").state == "done"
    job.read("read", "LF", "beyond", corrects=slip)
    assert ids(job)[-1] == job.entries[-1]["id"] and slip in ids(job)


# ---------------------------------------------------------------- 10 places

LIFT = (
    {"id": "lift", "for": "lift", "critical": True},
    {"id": "shake", "for": "lift", "critical": True},
    {"id": "wheel-off", "effects": {"takes_off": ["wheel"]}},
    {"id": "wheel-on", "effects": {"fits": ["wheel"]}},
    {"id": "lower", "for": "lift", "lowers": True},
    {"id": "ground", "effects": {"loosens": ["nut"], "torques": ["nut"]}},
)


def lifted(job: Job) -> None:
    for step in ("lift", "shake"):
        job.done(step, "front")
    for step in ("wheel-off", "wheel-on"):
        for place in ("LF", "RF"):
            job.done(step, place)
    job.done("lower", "front")


def test_10_steps_of_a_lift_that_ended_stay_done_and_later_work_on_stands_needs_a_new_one():
    job = Job(mini(*LIFT))
    lifted(job)
    assert {each.state for each in job.state().pages["job"].spots if each.step != "job/ground"} == {"done"}
    job.done("ground", "LF")  # on the ground
    assert job.spot("lift", "front").state == "done"
    job.done("wheel-off", "LF")
    assert [job.spot(step, "front").state for step in ("lift", "shake", "lower")] == ["lift-ended", "lift-ended", "back"]
    for step in ("lift", "shake"):
        job.done(step, "front")
    job.done("wheel-on", "LF")
    assert job.spot("lower", "front").state == "back"
    job.done("lower", "front")
    assert job.spot("lower", "front").state == "done" and not job.left()


def test_10_an_old_entry_of_the_vehicle_counts_for_the_axle_of_its_job():
    job = Job(mini(*LIFT))
    job.done("lift", "vehicle")
    assert job.spot("lift", "front").state == "done"
    both = Job(mini(*LIFT), layout={"rotor": "slip-on"})
    both.done("lift", "vehicle")
    assert [both.spot("lift", place).state for place in ("front", "rear")] == ["done", "done"]


# ---------------------------------------------------------------- 11 several pages

TWO = {"one": (["off", "pedal", "note"], {}), "two": (["on", "pedal", "note"], {})}
SHARED = (
    {"id": "off", "effects": {"takes_off": ["caliper"]}},
    {"id": "on", "effects": {"fits": ["caliper"]}},
    {"id": "pedal", "for": "vehicle", "presses": "pedal"},
    {"id": "note", "shared": True},
)


def test_11_effects_play_over_all_pages_and_hand_over_is_of_the_job():
    job = Job(mini(*SHARED, pages=TWO), "one")
    for place in ("LF", "RF"):
        job.done("off", place)
        job.done("note", place)
    job.done("pedal", "vehicle")
    state = job.state()
    assert len(state.left) == 2 and not state.pages["one"].may_complete and not state.may_hand_over
    job.page = "two"
    for place in ("LF", "RF"):
        job.done("on", place)
    state = job.state()
    assert not state.left and state.pages["one"].may_complete
    assert [(lack.code, lack.about.get("step")) for lack in state.pages["two"].lacking] == [("open", "job/pedal")]
    assert not state.may_hand_over
    job.done("pedal", "vehicle")
    assert job.state().may_hand_over


def test_11_even_a_line_is_done_anew_on_another_page():
    job = Job(mini({"id": "level", "for": "vehicle"}, pages={"one": (["level"], {}), "two": (["level"], {})}), "one")
    job.done("level", "vehicle")
    job.page = "two"
    assert job.spot("level", "vehicle").state == "open"


def test_11_a_step_for_the_vehicle_signed_with_one_axle_is_signed_again_with_the_other():
    job = Job(mini(*SHARED, pages={"job": (["pedal"], {})}))
    job.done("pedal", "vehicle")
    assert job.spot("pedal", "vehicle").state == "done"
    job.add("layout", None, "rear", typed={"layout": SLIP_ON | {"axle": "rear"}})
    assert job.spot("pedal", "vehicle").state == "open"


def test_11_a_page_that_is_not_known_keeps_the_job():
    job = Job(mini(*SHARED, pages=TWO), "gone")
    job.done("off", "LF")
    job.done("on", "LF")
    state = state_of(job.handbook, job.entries)
    assert state.unknown == ["gone"] and not state.left and not state.may_hand_over


def test_11_a_page_that_is_not_written_for_the_layout_is_not_complete():
    job = Job(mini({"id": "one"}, covers=0))
    assert job.codes() == ["layout"]
    job = Job(mini({"id": "one", "hub_only": 0}))
    assert job.codes() == ["layout"]


# ---------------------------------------------------------------- 12 wording


def test_12_words_reopen_nothing_and_other_work_does():
    handbook = mini({"id": "one"})
    job = Job(handbook)
    job.done("one", "LF", hash="0" * 12)
    assert job.spot("one", "LF").state == "changed"
    job.done("one", "LF", hash="0" * 12, typed={"work": handbook.steps["job/one"].work})
    assert job.spot("one", "LF").state == "done" and job.spot("one", "LF").why["reworded"]


def test_12_a_complete_job_stays_as_its_build_judged_it():
    job = Job(mini({"id": "one"}, {"id": "more"}))
    job.add("complete")
    assert not job.state(build="b").pages["job"].closed
    assert job.state(build="newer").pages["job"].closed == {"entry": job.entries[-1]["id"], "as": "complete", "stays": True}
    job.done("one", "LF")
    assert not job.state(build="newer").pages["job"].closed


# ---------------------------------------------------------------- 13 out of turn


def test_13_signed_before_its_hold_opened_wants_a_reason():
    job = Job(mini({"id": "sign"}, {"id": "pin", "hold": ["sign"]}))
    early = job.done("pin", "LF")
    job.done("sign", "LF")
    assert "out-of-turn" in job.codes()
    job.add("text", "pin", "LF", typed={"note": "  ", "explains": early})
    assert "out-of-turn" in job.codes()
    job.add("text", "pin", "LF", typed={"note": "files of two machines", "explains": early})
    assert "out-of-turn" not in job.codes()


def test_13_a_hold_that_an_outcome_leads_past_is_open():
    ask = {"id": "ask", "needs": ["result"], "choice": ["past", "go"], "out": {"past": "pin"}}
    job = Job(mini(ask, {"id": "sign"}, {"id": "pin", "hold": ["sign"]}))
    assert job.spot("pin", "LF").why["waits"] == [["job/sign", "LF"]]
    job.choose("ask", "LF", "past")
    job.done("pin", "LF")
    assert job.spot("pin", "LF").state == "done"


# ---------------------------------------------------------------- 14 conflicts


def test_14_two_tabs_that_say_different_things_of_one_place_are_a_conflict():
    job = Job(mini(READ, {"id": "after"}))
    before = job.entries[-1]["id"]
    one = job.read("read", "LF", "within", after=before)
    other = job.read("read", "LF", "beyond", after=before)
    assert job.spot("read", "LF").state == "conflict" and "conflict" in [lack.code for lack in job.state().lacking]
    job.undo(other)
    assert job.spot("read", "LF").state == "done"
    job.undo(job.entries[-1]["id"])
    job.read("read", "LF", "within", settles=[one, other])
    assert job.spot("read", "LF").state == "done"


def test_14_the_same_said_twice_or_at_another_place_is_none():
    job = Job(mini(READ, {"id": "after"}))
    before = job.entries[-1]["id"]
    job.read("read", "LF", "within", after=before)
    job.read("read", "LF", "within", after=before)
    job.read("read", "RF", "beyond", after=before)
    assert job.state().conflicts == []


# ---------------------------------------------------------------- 15 layout corrected


def test_15_what_left_the_layout_is_shown_until_it_is_put_right():
    job = Job(mini({"id": "off", "hub_only": 0, "effects": {"takes_off": ["hub"]}}, {"id": "on", "hub_only": 0, "effects": {"fits": ["hub"]}}, {"id": "end"}), layout={"axle": "front", "rotor": "hub"})  # fmt: skip
    job.done("off", "LF")
    job.add("layout", None, "front", typed={"layout": SLIP_ON})
    assert job.spot("off", "LF").state == "other-layout" and job.spot("on", "LF").state == "open"
    assert job.spot("on", "RF").state == "other-layout"
    job.done("on", "LF")
    assert job.spot("on", "LF").state == "other-layout" and not job.left()


def test_15_the_other_axle_stays_too():
    job = Job(mini({"id": "off", "effects": {"takes_off": ["hub"]}}, {"id": "on", "effects": {"fits": ["hub"]}}))
    job.done("off", "LF")
    job.add("layout", None, None, typed={"layout": SLIP_ON | {"axle": "rear"}})
    assert job.spot("on", "LF").state == "open" and job.state().pages["job"].axle == "rear"


# ---------------------------------------------------------------- 16 called away, conditions


def test_16_a_call_and_a_long_time_ask_the_same():
    hook = {"id": "hook", "sets": ["caliper on its hook"]}
    asked = []
    for away in (True, False):
        job = Job(mini(*NUTS, hook, {"id": "unhook", "clears": ["caliper on its hook"]}))
        job.done("loosen", "LF")
        job.done("hook", "LF")
        if away:
            job.add("called-away")
        later = NOW if away else "2026-11-25T11:00:00+00:00"
        state = job.state(now=later)
        assert state.interruption and state.interruption.away == away
        asked.append([(each.about, each.name, each.step, each.place) for each in state.questions])
        assert "interruption" in job.codes(now=later)
        job.add("back", time=later)
        assert job.state(now=later).interruption is None
    assert asked[0] == asked[1]
    assert ("loose", "nut", "job/loosen", "LF") in asked[0] and ("set", "caliper on its hook", "job/hook", "LF") in asked[0]


def test_16_a_condition_is_cleared_by_its_step_only():
    job = Job(mini({"id": "hook", "sets": ["hung"]}, {"id": "unhook", "clears": ["hung"]}))
    job.done("hook", "LF")
    job.reason("unhook", "LF")
    assert ("set", "hung", "LF") in job.left()
    job.done("unhook", "LF")
    assert not job.left()


# ---------------------------------------------------------------- 18 without Python


def test_18_what_was_not_judged_does_not_count():
    job = Job(mini(READ, {"id": "after", "hold": ["read"]}))
    job.add("result", "read", "LF", typed={"calculator": "rotor-thickness", "given": {"readings": "24 mm"}})
    assert job.spot("read", "LF").state == "unjudged" and job.spot("after", "LF").state == "waits"
    job.read("read", "LF", "within")
    assert job.spot("read", "LF").state == "done"


def test_18_what_is_refused_when_it_is_judged_stays_visible():
    job = Job(mini(READ, {"id": "after"}))
    kept = job.add("result", "read", "LF", typed={"calculator": "rotor-thickness", "given": {"readings": "20 mm"}})
    job.read("read", "LF", "too-close", judges=kept)
    assert job.spot("read", "LF").state == "open" and job.spot("read", "LF").why["refused"] == kept
    assert kept in ids(job)


def test_18_an_angle_was_never_to_be_judged():
    job = Job(mini(*NUTS))
    job.add("torque", "tighten", "LF", typed={"target": "90°", "actual": "90°", "tool": "3"})
    job.add("torque", "tighten", "RF", typed={"target": "110 N·m", "actual": "108 N·m", "tool": "3"})
    assert [job.spot("tighten", place).state for place in ("LF", "RF")] == ["done", "unjudged"]


# ---------------------------------------------------------------- the rest


def test_a_second_look_counts_after_the_entry_and_not_the_one_after_an_interruption():
    job = Job(mini({**NUTS[1], "look": True}))
    entry = job.torque("tighten", "LF")
    assert job.spot("tighten", "LF").state == "look"
    job.add("verified", "tighten", "LF", typed={"verifies": entry, "look": "after an interruption"})
    assert job.spot("tighten", "LF").state == "look"
    job.look("tighten", "LF", entry)
    assert job.spot("tighten", "LF").state == "done"


def test_a_step_that_asks_for_a_reading_is_not_done_by_a_mere_signature():
    job = Job(mini(READ, {"id": "after"}))
    job.done("read", "LF")
    assert job.spot("read", "LF").state == "open"


def test_the_last_signature_of_a_page_comes_last():
    job = Job(mini({"id": "one", "for": "axle"}, {"id": "complete", "for": "vehicle", "completes": True}))
    job.done("one", "front")
    assert job.state().pages["job"].may_sign_complete and not job.state().pages["job"].may_complete
    job.done("complete", "vehicle")
    assert job.state().pages["job"].may_complete
    job.done("one", "front")
    assert not job.state().pages["job"].may_complete


def test_an_entry_of_a_step_that_is_not_known_wants_a_word():
    job = Job(mini({"id": "one", "for": "axle"}))
    job.done("one", "front")
    strange = job.done("gone", "LF")
    assert job.codes() == ["unknown-step"]
    job.add("text", "one", "front", typed={"note": "a step of the older handbook, looked at", "explains": strange})
    assert job.codes() == []


def test_reasons_for_signing_alone_are_named():
    handbook = mini(READ, *NUTS, {"id": "line"}, {"id": "said", "alone": "breaking an axle nut"}, {"id": "after"})
    assert reasons(handbook.steps["job/tighten"]) == ("critical", "torque")
    assert reasons(handbook.steps["job/read"]) == ("reading",) and reasons(handbook.steps["job/said"]) == ("declared",)
    assert all(is_alone(step) == bool(reasons(step)) for step in handbook.steps.values())


def test_conditions_hold_as_in_the_page():
    vectors = json.loads((PROJECT / "tests" / "content" / "when.json").read_text("utf-8"))
    assert len(vectors) > 10
    for each in vectors:
        assert holds(each["when"], each["layout"]) == each["holds"], each["says"]


def test_random_orders_of_the_file_give_one_state():
    job = Job(mini(*BACK, *NUTS))
    job.done("first", "LF")
    job.choose("ask", "LF", "bad")
    job.done("loosen", "LF")
    job.choose("ask", "LF", "good")
    expected = [(each.step, each.place, each.state) for each in job.state().pages["job"].spots]
    rng = random.Random(1)
    for _ in range(20):
        rng.shuffle(job.entries)
        for entry in job.entries:
            entry["time"] = f"2026-11-25T08:{rng.randrange(60):02d}:00.000+00:00"
        assert [(each.step, each.place, each.state) for each in job.state().pages["job"].spots] == expected


# ---------------------------------------------------------------- what mutants showed to be untried


def test_2_of_several_ways_back_the_latest_counts_wherever_it_stands_on_the_page():
    first = {"id": "inner", "needs": ["result"], "choice": ["good", "bad"], "out": {"bad": "start"}}
    job = Job(mini({"id": "start"}, first, {**first, "id": "outer"}))
    job.choose("outer", "LF", "bad")
    job.done("start", "LF")
    job.choose("inner", "LF", "bad")
    assert job.spot("start", "LF").state == "back"


def test_8_a_step_for_the_axle_is_led_past_only_when_both_sides_lead_past_it():
    ask = {"id": "ask", "needs": ["result"], "choice": ["past", "go"], "out": {"past": "end"}}
    job = Job(mini(ask, {"id": "axle", "for": "axle"}, {"id": "side"}, {"id": "end"}))
    job.choose("ask", "LF", "past")
    assert [job.spot("axle", "front").state, job.spot("side", "LF").state, job.spot("side", "RF").state] == ["open", "past", "open"]
    job.choose("ask", "RF", "past")
    assert job.spot("axle", "front").state == "past"


def test_11_an_answer_that_leads_to_another_job_begins_it_anew_and_is_answered_again():
    ask = {"id": "ask", "needs": ["result"], "choice": ["fine", "dry"], "out": {"dry": "job/fill"}, "away": ["dry"]}
    pages = {"one": (["ask"], {}), "two": (["fill"], {"from": {"job/ask": ["dry"]}})}
    job = Job(mini(ask, {"id": "fill", "critical": True}, pages=pages), "two")
    job.done("fill", "LF")
    assert job.spot("fill", "LF").state == "done"
    job.page = "one"
    job.choose("ask", "LF", "dry")
    assert job.spot("ask", "LF").state == "open"
    job.page = "two"
    assert job.spot("fill", "LF").state == "open"
    job.done("fill", "LF")
    assert job.spot("fill", "LF").state == "done"
    job.page = "one"
    job.choose("ask", "LF", "fine")
    assert job.spot("ask", "LF").state == "done"


def test_11_on_a_page_that_is_not_known_an_answer_that_leads_back_puts_nothing_right():
    bleed = {
        "id": "bleed",
        "needs": ["result"],
        "choice": ["clear", "bubbles"],
        "out": {"bubbles": "open"},
        "effects": {"bleeds": ["inlet"]},
    }
    job = Job(mini({"id": "open", "effects": {"opens": ["inlet"], "closes": ["inlet"]}}, bleed), "gone")
    job.done("open", "LF")
    job.choose("bleed", "LF", "bubbles")
    state = state_of(job.handbook, job.entries)
    assert "unbled" in [each.left.kind for each in state.left] and "unbled" in [lack.code for lack in state.lacking]
    job.choose("bleed", "LF", "clear")
    assert "unbled" not in [each.left.kind for each in state_of(job.handbook, job.entries).left]


def test_7_nothing_is_bled_or_checked_while_it_is_open():
    job = Job(mini(*HOSE[1:]))
    job.done("off", "LF")
    job.done("bleed", "LF")
    job.done("close", "LF")
    assert {kind for kind, name, _ in job.left() if name == "inlet"} == {"unbled", "unchecked"}
    assert job.spot("bleed", "LF").state == "again"


def test_3_a_new_part_that_nobody_fitted_settles_nothing():
    job = Job(mini(READ, {"id": "after"}, PLAN, FIT, NEW))
    job.read("read", "LF", "beyond")
    job.choose("plan", "front", "replace")
    job.read("new", "LF", "within")
    assert len(job.state().beyond) == 1


def test_3_an_estimate_does_not_excuse_a_loose_nut():
    job = Job(mini(*NUTS, ends="estimate"))
    job.done("loosen", "LF")
    job.torque("tighten", "LF", "beyond")
    assert job.spot("tighten", "LF").state == "open" and "loose" in job.codes()


def test_5_names_without_a_reason_are_none():
    job = Job(mini(READ, {"id": "after"}, PLAN))
    beyond = job.read("read", "LF", "beyond")
    job.choose("plan", "front", "keep", typed={"against": [beyond]}, note=" ")
    assert job.spot("plan", "front").state == "contradicted"


def test_12_a_job_of_another_build_that_was_worked_on_since_is_judged_anew():
    job = Job(mini(*SHARED, pages=TWO), "one")
    job.add("complete")
    assert job.state(build="newer").pages["one"].closed["stays"]
    job.page = "two"
    job.done("on", "LF")
    assert not job.state(build="newer").pages["one"].closed


def test_4_what_is_to_be_done_again_is_not_decided_upon():
    note = {"id": "note", "needs": ["finding"], "finds": "rotor"}
    ask = {"id": "ask", "needs": ["result"], "choice": ["good", "bad"], "out": {"bad": "note"}}
    job = Job(mini(note, ask, READ, {"id": "after"}))
    rules = {"axes": {}, "parts": [{"part": "rotor", "findings": [{"id": "sound"}]}]}

    def case():
        book = read_book(job.handbook, line_up(job.entries, NOW))
        return case_of(book, work_of(book, job.handbook.pages["job"], "front", [True] * 4), SLIP_ON, rules)

    job.find("note", "LF", "rotor", "sound", "use again")
    assert case()["left"] == {"rotor": [{"finding": "sound", "step": "job/note"}]}
    job.choose("ask", "LF", "bad")
    assert "left" not in case()


def test_15_a_question_that_the_layout_does_not_raise_is_answered_by_no_value():
    handbook = Handbook({}, {}, ([{"caliper": ["sliding"]}], [{"slides": ["pin"]}]), {"slides": 0}, {})
    assert settled_layout(handbook, {"caliper": "fixed", "slides": "pin"}) == {"caliper": "fixed", "slides": "not asked"}
    assert settled_layout(handbook, {"caliper": "sliding"}) == {"caliper": "sliding"}
