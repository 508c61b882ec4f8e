"""bearing-end-play. Threads of ASME B1.1, the window of RP 618A, lock positions found by trying every opening."""

from __future__ import annotations

from fractions import Fraction
from xml.etree import ElementTree

import pytest

from calculators import catalogue
from calculators.contract.errors import AmbiguousEntry, Contradiction, OutOfBand
from calculators.shared.locks import gaps, lock_angles

BEARING = catalogue()["bearing-end-play"]
SVG = "{http://www.w3.org/2000/svg}"
WINDOW = {"target_min": "0.001 in", "target_max": "0.005 in"}  # RP 618A
SPINDLE = {"thread_pitch": "3/4-16", "nut_slots": "6"}


def run(system="inch", **given):
    return BEARING.run(system=system, **given)


def value(result, name):
    return result.values[name].value


def test_worked_example_is_recomputed():
    BEARING.worked_example()


# Lock positions


@pytest.mark.parametrize(
    "slots, holes, angle, fits, positions",
    [
        (6, 1, 90, 1, 6), (6, 2, 90, 1, 12), (6, 2, 45, 1, 12), (4, 2, 90, 1, 4), (8, 1, 90, 6, 24), (10, 2, 90, 1, 20),  # as given for the trade
        (6, 2, 60, 1, 6), (6, 2, 120, 1, 6), (12, 1, 90, 1, 12), (8, 2, 45, 1, 8), (4, 1, 90, 6, 12), (5, 1, 90, 1, 0), (5, 2, 36, 1, 0), (5, 1, 90, 6, 30), (9, 1, 90, 3, 0),
    ],
)  # fmt: skip
def test_positions_in_one_turn(slots, holes, angle, fits, positions):
    assert len(lock_angles(slots, holes, angle, fits)) == positions
    # Which nut angles put both mouths of a hole over openings of the retainer? In exact fractions, opening by opening.
    openings = {Fraction(360 * k, slots) + Fraction(360 * j, fits) for k in range(slots) for j in range(fits)}
    openings = {o % 360 for o in openings}
    found = set()
    for hole in (Fraction(0), Fraction(angle))[:holes]:
        for opening in openings:
            turn = (hole - opening) % 360
            if (hole + 180 - turn) % 360 in openings:
                found.add(turn)
    assert len(found) == positions
    assert sorted(float(turn) for turn in found) == pytest.approx(lock_angles(slots, holes, angle, fits))


def test_unevenly_spaced_locks():
    assert lock_angles(6, 2, 45)[:4] == [0, 45, 60, 105]
    assert gaps(lock_angles(6, 2, 45))[:2] == [45, 15]
    result = run(measured="0.010", **WINDOW, **SPINDLE, pin_holes="2", hole_angle="45")
    assert value(result, "travel_per_position") is None
    assert any("unevenly" in note for note in result.notes)


@pytest.mark.parametrize(
    "thread, holes, inches, millimetres",
    [
        ("3/4-16", "1", "0.010417", "0.264583"),
        ("1-14", "2", "0.005952", "0.151190"),
        ("20 TPI", "2", "0.004167", "0.105833"),
    ],  # pitch × 60° or 30° / 360°, exact
)
def test_travel_from_one_lock_to_the_next(thread, holes, inches, millimetres):
    result = run(measured="0.010", **WINDOW, thread_pitch=thread, nut_slots="6", pin_holes=holes)
    assert f"{value(result, 'travel_per_position'):.6f}" == millimetres
    assert f"{value(result, 'travel_per_position') / 25.4:.6f}" == inches
    assert result.values["travel_per_position"].unit == "mm"


def test_the_lock_angles_are_listed_from_where_the_nut_stands():
    assert value(run(measured="0.010", **WINDOW, **SPINDLE), "lock_angles") == [0, 60, 120, 180, 240, 300]
    assert value(run(measured="0.010", **WINDOW, **SPINDLE, offset_to_next_lock="20"), "lock_angles") == [20, 80, 140, 200, 260, 320]


def test_an_odd_count_of_openings_has_no_lock():
    result = run(measured="0.010", **WINDOW, thread_pitch="3/4-16", nut_slots="5")
    assert result.verdict.code == "cannot-tell"
    assert value(result, "positions_per_turn") == 0
    assert value(result, "lock_angles") == []
    assert value(result, "positions_to_turn") is None


# Verdicts


@pytest.mark.parametrize(
    "measured, code", [("0.0009", "beyond"), ("0.0011", "within"), ("0.003", "within"), ("0.005", "within"), ("0.0051", "beyond")]
)
def test_the_window_of_the_trades_recommended_practice(measured, code):
    # RP 618A: 0.001 to 0.005 in; an exact reading, on a nut of which no lock lands in the window
    assert run(measured=f"{measured} in", **WINDOW, **SPINDLE, tool_uncertainty="0").verdict.code == code


def test_in_the_window_there_is_nothing_to_turn():
    result = run(measured="0.0030", **WINDOW, **SPINDLE, tool_uncertainty="0.0005")
    assert result.verdict.code == "within"
    assert (value(result, "positions_to_turn"), value(result, "turn_angle")) == (0, 0)
    assert value(result, "resulting_end_play") == pytest.approx(0.0762)


def test_one_lock_tighter_lands_in_the_window():
    # 0.013 − 0.0625·60/360 = 0.0025833 in
    result = run(measured="0.0130", **WINDOW, **SPINDLE, tool_uncertainty="0.0005")
    assert result.verdict.code == "adjust"
    assert (value(result, "positions_to_turn"), value(result, "turn_angle")) == (1, 60)
    assert value(result, "resulting_end_play") / 25.4 == pytest.approx(0.013 - 0.0625 / 6)
    assert value(result, "looser_end_play") / 25.4 == pytest.approx(0.013)
    assert value(result, "tighter_end_play") / 25.4 == pytest.approx(0.013 - 0.0625 / 3)
    assert "tighten" in result.verdict.text
    assert "clockwise" not in " ".join([result.verdict.text, *result.notes])


def test_one_lock_looser_is_a_negative_turn():
    # 24 positions of 1.5 mm: 0.0625 mm a lock
    result = run(
        system="metric",
        measured="0.02",
        target_min="0.05 mm",
        target_max="0.15 mm",
        thread_pitch="1.5",
        nut_slots="8",
        retainer_fits="6",
        tool_uncertainty="0.005",
    )
    assert result.verdict.code == "adjust"
    assert value(result, "positions_to_turn") == -1  # 0.02 + 1.5/24 = 0.0825; two more would be 0.145
    assert value(result, "turn_angle") == -15
    assert value(result, "resulting_end_play") == pytest.approx(0.0825)
    assert value(result, "reachable") == pytest.approx([0.145, 0.0825])
    assert "loosen" in result.verdict.text


def test_the_looser_of_two_equally_near_the_middle():
    # middle 0.10 mm, 0.0625 mm a lock: 0.13125 and 0.06875 are equally far from it
    result = run(
        system="metric",
        measured="0.25625 mm",
        target_min="0.05 mm",
        target_max="0.15 mm",
        thread_pitch="1.5 mm",
        nut_slots="8",
        retainer_fits="6",
        tool_uncertainty="0.005",
    )
    assert value(result, "resulting_end_play") == pytest.approx(0.13125)
    assert value(result, "reachable") == pytest.approx([0.13125, 0.06875])


def test_no_lock_in_the_window_shows_both_neighbors():
    # 3/4-16, 60°: 0.0104 in a step, the window is 0.004 in wide
    result = run(measured="0.0100", **WINDOW, **SPINDLE, tool_uncertainty="0.0005")
    assert result.verdict.code == "beyond"
    assert value(result, "positions_to_turn") is None
    assert value(result, "turn_angle") is None
    assert value(result, "reachable") == []
    assert value(result, "looser_end_play") / 25.4 == pytest.approx(0.0100)
    assert value(result, "tighter_end_play") / 25.4 == pytest.approx(0.0100 - 0.0625 / 6)  # below 0: preload
    assert "another nut" in result.verdict.text


def test_a_lock_that_may_be_preload_is_never_chosen():
    # leaves 0.000483 in with U 0.0005 in: in the window 0 to 0.005, but it may be preload
    result = run(measured="0.0109", target_max="0.005 in", **SPINDLE, tool_uncertainty="0.0005")
    assert result.verdict.code == "beyond"
    assert value(result, "reachable") == []


def test_the_offset_is_turned_first():
    # 20° to the next lock: 0.004 − 0.0625·20/360 = 0.000528 in; the lock before, 40° back: 0.010944 in; none in the window
    result = run(measured="0.0040", **WINDOW, **SPINDLE, tool_uncertainty="0.0005", offset_to_next_lock="20")
    assert value(result, "tighter_end_play") / 25.4 == pytest.approx(0.004 - 0.0625 * 20 / 360)
    assert value(result, "looser_end_play") / 25.4 == pytest.approx(0.004 + 0.0625 * 40 / 360)
    # 0.0060 in and 20° to go: 0.0025278 in
    result = run(measured="0.0060", **WINDOW, **SPINDLE, tool_uncertainty="0.0005", offset_to_next_lock="20")
    assert (value(result, "positions_to_turn"), value(result, "turn_angle")) == (1, 20)
    assert value(result, "resulting_end_play") / 25.4 == pytest.approx(0.006 - 0.0625 * 20 / 360)


def test_standing_at_a_lock_is_said_to_be_assumed():
    assert any("taken to stand at a lock" in note for note in run(measured="0.0130", **WINDOW, **SPINDLE).notes)
    assert not any("taken to stand" in note for note in run(measured="0.0130", **WINDOW, **SPINDLE, offset_to_next_lock="20").notes)


def test_what_always_stands_beside_the_answer():
    notes = " ".join(run(measured="0.0130", **WINDOW, **SPINDLE).notes)
    assert "Measure again after locking" in notes
    assert "jam nut" in notes
    assert "only loosen to a lock" in notes


@pytest.mark.parametrize("measured, u", [("0", "0.0005"), ("0.0005", "0.0005"), ("0.0004", None), ("0.000", None)])
def test_no_more_than_the_tool_can_tell_may_be_preload(measured, u):
    result = run(measured=f"{measured} in", **WINDOW, **SPINDLE, **({"tool_uncertainty": u} if u else {"tool_uncertainty": "0.0005"}))
    assert result.verdict.code == "cannot-tell"
    assert "preload" in result.verdict.text
    assert value(result, "positions_to_turn") is None
    assert value(result, "positions_per_turn") == 6  # the geometry is known all the same


@pytest.mark.parametrize(
    "target",
    [{"target_min": "-0.001 in", "target_max": "0.005 in"}, {"target_min": "-0.003 in", "target_max": "-0.001 in"}, {"target_max": "0"}],
)
def test_a_preloaded_design_is_never_answered_by_a_turn(target):
    result = run(measured="0.010 in", **target, **SPINDLE)
    assert result.verdict.code == "cannot-tell"
    assert value(result, "positions_to_turn") is None


@pytest.mark.parametrize(
    "measured, code", [("0.02", "within"), ("0.045", "within"), ("0.050", "too-close"), ("0.055", "too-close"), ("0.056", "beyond")]
)
def test_a_hub_unit_is_judged_by_its_upper_limit(measured, code):
    result = run(system="metric", measured=f"{measured} mm", target_max="0.05 mm", tool_uncertainty="0.005 mm")
    assert result.verdict.code == code
    for name in ("positions_per_turn", "travel_per_position", "positions_to_turn", "reachable"):
        assert value(result, name) is None
        assert "needs" in result.values[name].text
    assert "pin_holes" not in result.inputs


@pytest.mark.parametrize(
    "measured, code",
    [
        ("0.0002", "beyond"),
        ("0.0009", "beyond"),
        ("0.0010", "too-close"),
        ("0.0012", "within"),
        ("0.0050", "too-close"),
        ("0.0051", "beyond"),
    ],
)
def test_both_limits_are_judged_without_the_lock_geometry(measured, code):
    # RP 618A: 0.001 to 0.005 in; half of the last digit is 0.00005 in
    result = run(measured=f"{measured} in", target_min="0.001 in", target_max="0.005 in")
    assert result.verdict.code == code
    assert "least end play" in result.verdict.text and "most end play" in result.verdict.text
    assert ("thread pitch and nut slots tell what to do" in result.verdict.text) == (code != "within")


def test_with_the_lock_geometry_a_reading_outside_is_turned_or_beyond():
    assert (
        run(measured="0.0008 in", **WINDOW, thread_pitch="1.5 mm", nut_slots="8", retainer_fits="6").verdict.code == "adjust"
    )  # 0.0625 mm a lock
    assert run(measured="0.0100 in", **WINDOW, **SPINDLE).verdict.code == "beyond"  # 0.0104 in a lock


def test_without_the_least_only_the_most_is_judged_and_the_result_says_so():
    result = run(system="metric", measured="0.010 mm", target_max="0.127 mm")
    assert result.verdict.code == "within"
    assert "Least end play not given: only the most is judged, and a lock may leave any play above 0." in result.notes


def test_defaults_that_are_used_are_marked_and_others_are_absent():
    inputs = run(measured="0.0130", **WINDOW, **SPINDLE).inputs
    for name in ("pin_holes", "retainer_fits", "offset_to_next_lock", "tool_uncertainty"):
        assert inputs[name]["default"] is True
    assert "hole_angle" not in inputs
    assert run(measured="0.0130", **WINDOW, **SPINDLE, pin_holes="2").inputs["hole_angle"]["value"] == 90


# Entries


def test_sixteen_is_a_thread_count_and_never_sixteen_millimetres():
    with pytest.raises(AmbiguousEntry) as caught:
        run(system="metric", measured="0.20", target_max="0.13", thread_pitch="16", nut_slots="6")
    assert [c.entry for c in caught.value.candidates] == ["16 TPI"]
    assert value(run(measured="0.0130", **WINDOW, thread_pitch="16", nut_slots="6"), "travel_per_position") == pytest.approx(1.5875 / 6)


def test_entries_that_contradict_each_other():
    with pytest.raises(Contradiction):
        run(measured="0.003", target_min="0.004 in", target_max="0.003 in")
    with pytest.raises(Contradiction) as caught:
        run(measured="0.0130", **WINDOW, **SPINDLE, offset_to_next_lock="61")
    assert caught.value.input == "offset_to_next_lock"


def test_ten_times_the_target_is_asked_about():
    with pytest.raises(AmbiguousEntry, match="more than 10 times"):
        run(system="metric", measured="0.5", target_max="0.04 mm")


@pytest.mark.parametrize("given", [{"nut_slots": "3"}, {"nut_slots": "19"}, {"pin_holes": "3"}])
def test_nuts_that_do_not_exist(given):
    with pytest.raises(ValueError, match="outside"):
        run(measured="0.0130", **WINDOW, **(SPINDLE | given))


def test_end_play_beyond_any_bearing_is_refused():
    with pytest.raises(OutOfBand):
        run(measured="4 mm", **WINDOW)


# The drawing


def drawn(result):
    """Its words, its description, and its locks: height → whether filled."""
    root = ElementTree.fromstring(result.figure)
    words = {text.text.replace("\N{NO-BREAK SPACE}", " "): text.get("font-weight") == "600" for text in root.iter(f"{SVG}text")}
    locks = {float(circle.get("cy")): circle.get("fill") != "#ffffff" for circle in root.iter(f"{SVG}circle")}
    return words, root.find(f"{SVG}desc").text.replace("\N{NO-BREAK SPACE}", " "), locks


def test_the_drawing_shows_the_nut_the_locks_and_the_one_to_turn_to():
    words, said, locks = drawn(run(measured="0.0130", **WINDOW, **SPINDLE, tool_uncertainty="0.0005"))
    # 0.0130, 0.0025833 and −0.0078333 in: steps of 1/96 in, only the middle one between 0.001 and 0.005
    assert {
        "Now 0.0130 in": False,
        "Most 0.005 in": False,
        "Tighten 1: 0.00258 in": True,
        "Least 0.001 in": False,
        "0; below: preload": False,
        "Tighten 2: −0.00783 in": False,
    }.items() <= words.items()
    assert list(locks.values()) == [False, True, False]
    now, chosen, tighter = locks
    assert chosen - now == pytest.approx(tighter - chosen, abs=0.11)
    assert "Tighten 1: 0.00258 in, in the window, the one to turn to" in said


def test_in_the_window_the_drawing_turns_nothing():
    words, said, locks = drawn(run(measured="0.0030", **WINDOW, **SPINDLE, tool_uncertainty="0.0005"))
    assert words["Now 0.0030 in"] and "to turn to" not in said
    assert list(locks.values()) == [False, True, False]  # looser, now, tighter


def test_where_no_lock_lands_in_the_window_none_is_filled():
    words, _, locks = drawn(run(measured="0.0090", **WINDOW, **SPINDLE, tool_uncertainty="0.0005"))
    assert not any(locks.values())
    assert "none of them in the window." in words


def test_between_two_locks_the_nut_stands_at_none():
    _, _, locks = drawn(run(measured="0.0130", **WINDOW, **SPINDLE, tool_uncertainty="0.0005", offset_to_next_lock="60"))
    assert len(locks) == 3  # the nut's own height is none of them
    _, said, _ = drawn(run(measured="0.0030", **WINDOW, **SPINDLE, tool_uncertainty="0.0005", offset_to_next_lock="20"))
    assert "Loosen 1: 0.00994 in" in said and "Tighten 1: −0.00047 in" in said  # 0.003 + 40/360/16, 0.003 − 20/360/16


@pytest.mark.parametrize(
    "given",
    [
        {"measured": "0.0130"}, {"measured": "0.0130", "nut_slots": "6"}, {"measured": "0.0130", "thread_pitch": "3/4-16"},
        {"measured": "0.0004", **SPINDLE, "tool_uncertainty": "0.0005"}, {"measured": "0.0130", "thread_pitch": "3/4-16", "nut_slots": "5"},
    ],
)  # fmt: skip
def test_without_locks_or_without_play_there_is_no_drawing(given):
    assert run(**WINDOW, **given).figure is None


def test_many_locks_are_strokes_and_only_those_that_matter_are_named():
    words, _, _ = drawn(
        run(
            "metric",
            measured="1.40 mm",
            target_min="0.02 mm",
            target_max="0.15 mm",
            thread_pitch="1.0",
            nut_slots="8",
            retainer_fits="6",
            tool_uncertainty="0.005",
        )
    )
    assert [word for word in words if word.startswith("Tighten")] == [
        "Tighten 31: 0.108 mm",
        "Tighten 32: 0.067 mm",
        "Tighten 33: 0.025 mm",
    ]  # 1.4 − n/24


def test_a_play_too_close_to_tell_stays_so_where_no_lock_lands_in_the_window():
    """With the pitch and without it the reading tells as much: leaving the pitch out must not be kinder."""
    entries = {
        "measured": ".009 in", "target_max": ".0087 in", "target_min": ".001 in", "tool_uncertainty": ".0005 in",
        "nut_slots": "4", "pin_holes": "2",
    }  # fmt: skip
    pitched = BEARING.run(**entries, thread_pitch="0.0390 in")
    assert pitched.verdict.code == BEARING.run(**entries).verdict.code == "too-close"
    assert "no lock position lands in it" in pitched.verdict.text
    surely_over = BEARING.run(**entries | {"measured": ".0095 in"}, thread_pitch="0.0390 in")
    assert surely_over.verdict.code == "beyond"
