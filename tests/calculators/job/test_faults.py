"""Faults that the state of a job once let through, each on the stock handbook as it was found; none may come back."""

from __future__ import annotations

from functools import cache

import pytest

from tests.calculators.job.world import HUB, REAR, SLIP_ON, Job, mini, stock, stock_data, work_off

PEDAL = "prove-the-brake/judge-pedal"
BLEEDING = "prove-the-brake/judge-pedal-bleeding"
NUTS = "wheel-and-torque/torque-wheel-nuts"


@cache
def _whole(page: str, layout: str) -> tuple:
    job = Job(stock(), page, {"slip-on": SLIP_ON, "hub": HUB, "rear": REAR}[layout])
    assert work_off(job).pages[page].may_complete
    return tuple(job.entries)


def whole(page: str = "front-brake-service", layout: str = "slip-on") -> Job:
    """A job that was worked off and may be completed."""
    job = Job(stock(), page, SLIP_ON)
    job.entries = [dict(entry) for entry in _whole(page, layout)]
    return job


def may_complete(job: Job) -> bool:
    return job.state().pages[job.page].may_complete


def codes_at(job: Job) -> dict[tuple[str, str], str]:
    return {(each.step, each.place): each.state for each in job.state().pages[job.page].spots}


def test_a_bubbles_are_asked_about_again_after_the_bleeding_was_repeated():
    job = whole()
    job.choose(PEDAL, "vehicle", "spongy")
    page = stock().pages[job.page]
    between = page.steps[page.at["prove-the-brake/load-pedal"] : page.at[BLEEDING]]
    for place in ("LF", "RF"):
        job.choose(BLEEDING, place, "bubbles")
    for step in between:  # everything that reopened, but not the question
        for (address, place), state in codes_at(job).items():
            if address == step.address and state in ("back", "open", "again"):
                job.done(address, place)
    assert [job.spot(BLEEDING, place).state for place in ("LF", "RF")] == ["back", "back"]
    assert not may_complete(job)


def test_b_nothing_is_complete_because_it_does_not_apply():
    job = Job(stock(), "front-brake-service", SLIP_ON)
    for each in job.state().pages[job.page].spots:
        if each.state != "other-layout":
            job.skip(each.step, each.place)
    page = job.state().pages[job.page]
    assert not page.may_complete and sum(not each.is_closed for each in page.spots) > 100


def test_c_wheel_nuts_that_were_signed_with_a_reason_are_loose():
    job = whole()
    for entry in list(job.entries):
        if entry["step"] == NUTS and entry["kind"] != "verified":
            job.undo(entry["id"])
    for place in ("LF", "RF"):
        job.reason(NUTS, place, "no wrench here")
    state = job.state()
    assert {(each.left.kind, each.left.name, each.left.place) for each in state.left} == {
        ("loose", "wheel-nut", "LF"),
        ("loose", "wheel-nut", "RF"),
    }
    assert not may_complete(job) and job.spot(NUTS, "LF").can_be_signed


def test_d_a_new_rotor_within_does_not_make_the_old_one_fit_for_use():
    from calculators.job.book import read_book
    from calculators.job.branches import work_of
    from calculators.job.case import actions_of, case_of, decide
    from calculators.job.entries import line_up
    from tests.calculators.job.world import NOW

    job = Job(stock(), "replace-slip-on-rotors", SLIP_ON)
    job.read("measure-rotor/read-thickness", "LF", "beyond")
    job.find("measure-rotor/note-faces", "LF", "rotor", "sound", "use again")
    job.find("measure-rotor/note-faces", "RF", "rotor", "sound", "use again")
    job.read("check-new-rotors/measure-new-thickness", "LF", "within")
    book = read_book(stock(), line_up(job.entries, NOW))
    page = stock().pages[job.page]
    work = work_of(book, page, "front", [True] * len(page.steps))
    case = case_of(book, work, SLIP_ON, stock_data()["rules"])
    assert case["readings"]["left"]["rotor-thickness"]["verdict"]["code"] == "beyond"
    decision = decide(case, stock_data()["rules"])
    assert actions_of(decision)["left"]["rotor"] != "use again"
    assert len(job.state().beyond) == 1  # nor is the old one's reading settled


def test_e_a_hose_that_is_off_keeps_the_steps_that_close_it():
    page, ask = "front-brake-service", "join-the-hose/hose-stays"
    job = Job(stock(), page, SLIP_ON)
    replacement = "change-caliper-or-hose/choose-replacement"
    for place in ("LF", "RF"):
        job.choose(replacement, place, "replace")
        job.choose(ask, place, "new")
    for step in ("loosen-line-nut", "pull-hose-clip", "unscrew-hose"):
        job.done(f"change-caliper-or-hose/{step}", "LF")
    for place in ("LF", "RF"):
        job.choose(replacement, place, "keep", note="it was meant so", typed={"against": []})
    state = job.state()
    spots = {(each.step, each.place): each for each in state.pages[page].spots}
    left = {(each.left.kind, each.left.name): each for each in state.left}
    assert {("off", "hose"), ("open", "caliper-inlet"), ("open", "hose-line-joint"), ("unbled", "caliper-inlet")} <= set(left)
    for each in state.left:
        assert any(not spots[remedy.step, remedy.place].is_closed for remedy in each.by if remedy.page == page), each
    assert not may_complete(job)


def test_f_a_clock_that_was_set_back_does_not_put_a_beyond_before_the_within():
    job = Job(stock(), "front-brake-service", SLIP_ON)
    job.read("measure-rotor/read-thickness", "LF", "within", given={})
    job.read("measure-rotor/read-thickness", "LF", "beyond")
    job.entries[-1]["time"] = "2026-11-25T06:00:00.000+00:00"
    assert [each.place for each in job.state().beyond] == ["LF"]


@pytest.mark.parametrize("seed", [str(number) for number in range(20)])
def test_f_two_entries_in_one_millisecond_stand_as_they_were_written(seed):
    job = Job(stock(), "front-brake-service", SLIP_ON, chained=False, seed=seed)
    for code in ("within", "beyond"):
        job.read("measure-rotor/read-thickness", "LF", code)
        job.entries[-1]["time"] = "2026-11-25T09:00:00.000+00:00"
    assert len(job.state().beyond) == 1


def test_g_a_step_done_before_the_last_way_back_is_to_be_done_again():
    """The pairs that lie in one another in `set-bearing`: check-order leads to seat-bearings, undo-lock to loosen-nut."""
    job = whole(layout="hub")
    inner, outer = "set-bearing/undo-lock", "set-bearing/check-order"
    job.add("finding", "set-bearing/turn-and-feel", "LF", typed={"outcome": "rough"}, verdict={"code": "rough", "text": ""})
    job.choose(inner, "LF", "undone")
    for step in ("loosen-nut", "snug-nut"):
        job.done(f"set-bearing/{step}", "LF")
    job.choose(outer, "LF", "cured")
    job.torque("set-bearing/seat-bearings", "LF")
    job.choose("set-bearing/judge-seating", "LF", "even")
    assert job.spot("set-bearing/seat-bearings", "LF").state == "done"
    assert job.spot("set-bearing/snug-nut", "LF").state != "back"  # outside the outer way
    job.choose(inner, "LF", "undone")
    reopened = {
        step
        for (step, place), state in codes_at(job).items()
        if place == "LF" and state in ("back", "again") and step.startswith("set-bearing/")
    }
    assert {"set-bearing/loosen-nut", "set-bearing/snug-nut", "set-bearing/sign-play"} <= reopened
    assert not may_complete(job)


def test_h_the_pedal_of_the_front_axle_does_not_speak_for_the_rear():
    job = whole()
    job.page = "rear-brake-service"
    job.add("layout", None, "rear", typed={"layout": REAR})
    assert job.spot(PEDAL, "vehicle").state == "open"
    assert job.spot("prove-the-brake/check-leaks", "LR").state != "done"
    assert job.state().pages["front-brake-service"].may_complete


def test_h_another_wording_does_not_reopen_a_torqued_nut_and_other_work_does():
    job = whole()
    entry = next(each for each in job.entries if each["step"] == NUTS and each["kind"] == "torque")
    entry["hash"] = "0" * 12
    assert job.spot(NUTS, "LF").state == "changed"
    entry["typed"] = {**entry["typed"], "work": stock().steps[NUTS].work}
    assert job.spot(NUTS, "LF").state == "done"


def test_h_the_last_signature_does_not_close_a_page_with_steps_open():
    job = Job(stock(), "front-brake-service", SLIP_ON)
    job.done("record-and-explain/complete", "vehicle")
    job.add("complete", typed={"shown": "all done"})
    page = job.state().pages[job.page]
    assert not page.may_complete and not page.closed and not page.may_sign_complete


def test_h_an_answer_about_a_part_reaches_the_decision():
    plan = {"id": "plan", "for": "axle", "needs": ["result"], "choice": ["keep"], "means": {"keep": {"rotor": ["use again"]}}}
    note = {"id": "note", "needs": ["finding"], "finds": "rotor"}
    job = Job(mini(note, plan))
    job.find("note", "LF", "rotor", "at-discard", "replace")
    job.choose("plan", "front", "keep")
    assert job.spot("plan", "front").state == "contradicted"
