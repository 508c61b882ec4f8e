"""Saved jobs: those of earlier versions still open and come out no kinder, and the command says what a file lacks."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from build_tools.content.page_order import steps_of
from build_tools.jobs import job_command
from build_tools.jobs.job_record import checksum, read_job
from build_tools.paths import PROJECT
from calculators.job.book import read_book
from calculators.job.branches import work_of
from calculators.job.case import case_of, decide
from calculators.job.entries import line_up
from calculators.job.handbook import read_handbook
from calculators.job.plan import applying
from calculators.job.settled import is_changed
from calculators.job.state import as_data
from tests.calculators.job.world import NOW, SLIP_ON, Job, loaded, state_of, stock, stock_data, work_off

PAST = sorted((PROJECT / "tests/build/job_files").glob("*.json"))


@pytest.fixture(autouse=True)
def loaded_once(monkeypatch):
    """The command reads the handbook anew each time; the tests need it once."""
    monkeypatch.setattr(job_command, "load", lambda *places: None)
    monkeypatch.setattr(job_command, "steps_data", lambda handbook: stock_data()["steps"])
    monkeypatch.setattr(job_command, "export", lambda handbook: stock_data()["rules"])


def saved(tmp_path, job: Job):
    """The job as a file that the page would save."""
    entries = job.entries
    content = {"format": "wheel-end-job/1", "job": {"id": "a" * 32, "name": "Demo A", "vehicle": "Demo A", "started": entries[0]["time"]}, "entries": entries}  # fmt: skip
    path = tmp_path / "job.json"
    path.write_text(json.dumps({**content, "checksum": checksum(content)}), "utf-8")
    return path


@pytest.mark.parametrize("path", PAST, ids=lambda path: path.name)
def test_a_recorded_job_opens_and_nothing_is_done_that_was_not(path):
    text = path.read_text("utf-8")
    read_job(text)
    entries = json.loads(text)["entries"]
    state = state_of(stock(), entries)
    known = {entry["id"]: entry for entry in entries}
    for page in state.pages.values():
        assert not page.may_complete and not page.closed
        for spot in page.spots:
            if spot.state == "done":
                entry = known[spot.why["entry"]]
                assert entry["place"] in (spot.place, "vehicle") and not is_changed(stock().steps[spot.step], entry)
    json.dumps(as_data(state))


def test_a_job_that_was_worked_off_may_be_handed_over(tmp_path, capsys):
    job = Job(stock(), "lift-and-support", SLIP_ON)
    work_off(job)
    path = saved(tmp_path, job)
    read_job(path.read_text("utf-8"))
    assert job_command.main(path, None, None, as_json=False) == 0
    assert "may be handed over" in capsys.readouterr().out
    assert job_command.main(path, "lift-and-support", None, as_json=True) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["hand_over"] == {"may": True, "lacking": []} and told["pages"]["lift-and-support"]["may_complete"]


def test_what_is_lacking_is_said_in_plain_lines(tmp_path, capsys):
    job = Job(stock(), "service-speed-sensor", SLIP_ON)
    job.done("make-safe/crack-wheel-nuts", "LF")
    job.done("make-safe/take-wheel-off", "LF")
    assert job_command.main(saved(tmp_path, job), None, None, as_json=False) == 1
    said = capsys.readouterr().out
    assert "LF: wheel off the vehicle" in said and "may not be handed over yet" in said


def test_an_empty_job_is_not_complete(tmp_path):
    assert job_command.main(saved(tmp_path, Job(stock(), "lift-and-support", SLIP_ON)), None, None, as_json=False) == 1


@pytest.mark.parametrize("content", ["", "{}", "[1, 2", '{"format": "wheel-end-job/2"}'])
def test_what_cannot_be_read_is_said_in_one_line(tmp_path, capsys, content):
    path = tmp_path / "job.json"
    path.write_text(content, "utf-8")
    assert job_command.main(path, None, None, as_json=False) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_a_missing_file_and_an_unknown_page_too(tmp_path, capsys):
    assert job_command.main(tmp_path / "none.json", None, None, as_json=False) == 2
    path = saved(tmp_path, Job(stock(), "lift-and-support", SLIP_ON))
    assert job_command.main(path, "no-such-page", None, as_json=False) == 2
    assert capsys.readouterr().err.count("\n") == 2


def test_the_steps_are_small_enough_to_ship_and_read_as_they_were_written():
    data = stock_data()["steps"]
    assert len(json.dumps(data["steps"], separators=(",", ":"))) < 500_000
    handbook = read_handbook(data)
    assert set(handbook.pages) == set(data["pages"]) and len(handbook.steps) > 1000
    assert all(page.steps and len(page.steps) == len(page.when) for page in handbook.pages.values())
    assert not set(handbook.renamed) & set(handbook.steps)
    for procedure in loaded().procedures.values():
        page, placed = handbook.pages[procedure.id], steps_of(procedure, loaded().procedures)
        assert [each.address for each in placed] == [step.address for step in page.steps]
        assert [each.when for each in placed] == [None if number < 0 else handbook.when[number] for number in page.when]


def test_steps_of_another_make_are_refused():
    with pytest.raises(ValueError, match="not of the make"):
        read_handbook({"format": "wheel-end-steps/2"})


def test_what_is_decided_now_is_held_against_what_was_recorded():
    """With the handbook's own rules: whatever was signed, a decision that says less is taken again, and one that says as much stands."""
    page, rules = "front-brake-service", stock_data()["rules"]
    job = Job(stock(), page, SLIP_ON)
    work_off(job)
    said = job.state(decide=decide, rules=rules).pages[page].lacking
    assert "decision" in {lack.code for lack in said} and "undecided" not in {lack.code for lack in said}
    book = read_book(stock(), line_up(job.entries, NOW))
    plan = stock().pages[page]
    decision = decide(case_of(book, work_of(book, plan, "front", applying(stock(), plan, SLIP_ON)), SLIP_ON, rules), rules)
    rows = [(side, part, item["action"]) for side, parts in decision["actions"].items() for part, item in parts.items()]
    job.decide("settle-decision/settle-decision", "front", *rows)
    assert "decision" not in {lack.code for lack in job.state(decide=decide, rules=rules).pages[page].lacking}


def test_without_the_rules_nothing_is_decided_and_nothing_complete():
    job = Job(stock(), "front-brake-service", SLIP_ON)
    work_off(job)

    def missing(case, rules):
        raise ImportError("no pint here")

    assert "undecided" in job.codes(decide=missing)


def test_the_state_loads_before_pint_and_without_the_build():
    code = "import sys, calculators.job.state; print(sorted({'pint', 'pydantic', 'yaml', 'build_tools'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], cwd=PROJECT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


class Decided(Job):
    """Records what the handbook's own decision says, from findings that let every part be used again."""

    rules = property(lambda self: stock_data()["rules"])

    def find(self, step, place, part, finding, action):
        known = next(each["findings"] for each in self.rules["parts"] if each["part"] == part)
        kept = next((each["id"] for each in known if each["action"] == "use again" and not each.get("drawn")), finding)
        return super().find(step, place, part, kept, "use again")

    def decide(self, step, place, *rows):
        book, plan = read_book(stock(), line_up(self.entries, NOW)), stock().pages[self.page]
        case = case_of(book, work_of(book, plan, "front", applying(stock(), plan, SLIP_ON)), SLIP_ON, self.rules)
        decision = decide(case, self.rules)
        said = [(side, part, item["action"]) for side, parts in decision["actions"].items() for part, item in parts.items()]
        return super().decide(step, place, *said)

    def state(self, **how):
        return super().state(**{"decide": decide, "rules": self.rules, **how})


def test_a_whole_job_closes_by_the_handbooks_own_decision():
    job = Decided(stock(), "front-brake-service", SLIP_ON)
    state = work_off(job, 14, prefer={"plan-parts/list-rotors": "keep"})
    assert state.may_hand_over, [lack.line for lack in state.pages[job.page].lacking]
    job.read("measure-rotor/read-thickness", "LF", "beyond")  # found late: the answers and the decision no longer hold
    codes = set(job.codes())
    assert {"beyond", "contradicted", "decision"} <= codes, codes
