"""Job files of many bays in one database: nothing twice, nothing changed, nothing broken taken in, and the questions of the docs answered."""

from __future__ import annotations

import copy
import csv
import json
import os
import re
import shutil
import sqlite3
import sys
from contextlib import closing

import pytest

from build_tools import commands
from build_tools.jobs.database import DatabaseError, collect, write_csv
from build_tools.jobs.job_record import FORMAT, checksum
from build_tools.paths import PROJECT
from calculators.calls.browser import evaluate
from tests.jobs.record_cases import ENTRY

DOCS = (PROJECT / "docs" / "passing-on.md").read_text("utf-8")
QUERIES = re.findall(r"```sql\n(.*?)```", DOCS, re.DOTALL)
PAST = sorted((PROJECT / "tests/jobs/job_files").glob("*.json"))


def job(number: int, vehicle: str = "Red van", started: str = "2026-11-25T13:00:00+01:00") -> dict:
    return {"id": f"{number:032x}", "name": f"{vehicle} {started[:10]}", "vehicle": vehicle, "started": started}


def entry(number: int, of: dict, **change) -> dict:
    return copy.deepcopy(ENTRY) | {"id": f"{number:032x}", "job": of["id"], "time": of["started"]} | change


def result(number: int, of: dict, calculator: str, given: dict, **change) -> dict:
    """An entry as the page makes it of what the calculator answers."""
    answer = json.loads(evaluate(json.dumps({"calculator": calculator, "given": given, "system": change.pop("system", "metric")})))[
        "result"
    ]
    return entry(
        number,
        of,
        kind="result",
        step="measure-rotor/read-thickness",
        typed={"calculator": calculator, "given": given},
        understood={"inputs": answer["inputs"], "values": answer["values"], "shown": "x"},
        limits={},
        verdict={key: answer["verdict"][key] for key in ("code", "text")},
        **change,
    )


def torque(number: int, of: dict, actual: str, **change) -> dict:
    made = result(number, of, "torque-check", {"target": "110 N·m", "actual": actual}, **change)
    typed = {"fastener": "wheel-nut", "stage": "final", "target": "110 N·m", "actual": actual, "tool": "wrench 3"}
    return made | {"kind": "torque", "step": "close-up/torque-nuts", "typed": typed}


def save(path, of: dict, entries: list[dict]) -> None:
    content = {"format": FORMAT, "job": of, "entries": entries}
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(content | {"checksum": checksum(content)}, indent=1, ensure_ascii=False), "utf-8")


def rows(database, question: str) -> list[tuple]:
    with closing(sqlite3.connect(database)) as store:
        return store.execute(question).fetchall()


def everything(database) -> dict[str, list[tuple]]:
    return {
        table: rows(database, f"SELECT * FROM {table} ORDER BY 1, 2, 3, 4") for table in ("jobs", "entries", "readings", "torques", "parts")
    }


@pytest.fixture
def bays(tmp_path):
    return tmp_path / "bays"


@pytest.fixture
def database(tmp_path):
    return tmp_path / "jobs.sqlite"


FIRST = job(1)


# ---------------------------------------------------------------- taken in


def test_files_of_every_version_are_taken(bays, database):
    bays.mkdir()
    for path in PAST:
        shutil.copy(path, bays)
    done = collect(bays, database)
    assert done.problems == [] and done.files == len(PAST)
    assert done.entries == sum(len(json.loads(path.read_text("utf-8"))["entries"]) for path in PAST)


def test_the_same_or_a_longer_file_adds_nothing_twice(bays, database):
    entries = [entry(10, FIRST, kind="done"), torque(11, FIRST, "109 N·m"), entry(12, FIRST, kind="complete", typed={"shown": "1 done"})]
    save(bays / "bay-1" / "job.json", FIRST, entries[:2])
    save(bays / "bay-2" / "copy.json", FIRST, entries[:2])
    done = collect(bays, database)
    assert (done.files, done.jobs, done.entries) == (2, 1, 2)
    before = everything(database)
    assert collect(bays, database).entries == 0 and everything(database) == before
    save(bays / "bay-1" / "job-later.json", FIRST, entries)
    done = collect(bays, database)
    assert (done.jobs, done.entries, done.problems) == (0, 1, [])
    after = everything(database)
    assert len(after["entries"]) == 3 and set(before["entries"]) < set(after["entries"]) and after["torques"] == before["torques"]


def test_what_a_calculator_read_and_found_stands_in_rows(bays, database):
    readings = "25.13; 25.12; 25.13; 25.12; 25.13; 25.12; 25.13; 25.11"
    save(bays / "a.json", FIRST, [result(10, FIRST, "rotor-thickness", {"readings": readings, "discard": "24.4 mm"})])
    collect(bays, database)
    found = rows(database, "SELECT number, value, unit FROM readings WHERE role = 'input' AND name = 'readings' ORDER BY number")
    assert found == [(number, float(text), "mm") for number, text in enumerate(readings.split("; "), 1)]
    assert rows(database, "SELECT value FROM readings WHERE name = 'thinnest'") == [(25.11,)]
    # nothing was given for it: no figure, and the page's words
    assert rows(database, "SELECT value, text FROM readings WHERE name = 'distance_left'") == [
        (None, "needs the new thickness and the distance run")
    ]
    assert rows(database, "SELECT utc, time FROM entries") == [("2026-11-25T12:00:00.000Z", FIRST["started"])]


def test_torques_and_parts_stand_in_rows(bays, database):
    decided = entry(
        12,
        FIRST,
        typed={"calculator": "wheel-end-decision"},
        understood={"actions": [], "parts_list": [{"item": "Brake pads", "quantity": 1, "per": "axle", "why": "worn"}, {"item": "Grease"}]},
    )
    unjudged = torque(11, FIRST, "100 N·m") | {"understood": {"shown": "not judged: an angle"}, "verdict": None}
    save(bays / "a.json", FIRST, [torque(10, FIRST, "100 N·m"), unjudged, decided])
    collect(bays, database)
    assert rows(database, "SELECT fastener, target, actual, tool, actual_value, difference, unit, verdict FROM torques ORDER BY entry") == [
        ("wheel-nut", "110 N·m", "100 N·m", "wrench 3", 100.0, -10.0, "N·m", "beyond"),
        ("wheel-nut", "110 N·m", "100 N·m", "wrench 3", None, None, None, None),
    ]
    assert rows(database, "SELECT number, item, quantity, per, why FROM parts") == [
        (1, "Brake pads", "1", "axle", "worn"),
        (2, "Grease", "", "", ""),
    ]


def test_entries_cannot_be_changed_or_removed(bays, database):
    save(bays / "a.json", FIRST, [entry(10, FIRST)])
    collect(bays, database)
    with closing(sqlite3.connect(database)) as store:
        for change in ("UPDATE entries SET note = 'x'", "DELETE FROM entries"):
            with pytest.raises(sqlite3.IntegrityError, match="an entry is never"):
                store.execute(change)


# ---------------------------------------------------------------- refused


def test_of_two_files_that_contradict_each_other_neither_is_taken(bays, database):
    save(bays / "a.json", FIRST, [entry(10, FIRST), entry(11, FIRST)])
    save(bays / "b.json", FIRST, [entry(10, FIRST), entry(11, FIRST, note="changed by hand")])
    save(bays / "c.json", job(2), [entry(20, job(2))])
    done = collect(bays, database)
    assert [line.split(":")[0] for line in done.problems] == ["b.json", "a.json"]
    line = (bays / "b.json").read_text("utf-8")[: (bays / "b.json").read_text("utf-8").index(f"{11:032x}")].count("\n") + 1
    assert f"line {line}: entry {11:032x} says something else here than in a.json" in done.problems[0]
    assert rows(database, "SELECT vehicle FROM jobs") == [("Red van",)] and rows(database, "SELECT id FROM entries") == [(f"{20:032x}",)]


def test_a_file_that_contradicts_what_was_taken_before_is_refused_whole(bays, database):
    save(bays / "a.json", FIRST, [entry(10, FIRST)])
    collect(bays, database)
    before = everything(database)
    (bays / "a.json").unlink()
    save(bays / "b.json", FIRST, [entry(12, FIRST), entry(10, FIRST, by="Somebody else")])
    save(bays / "c.json", FIRST | {"vehicle": "Blue van"}, [entry(10, FIRST)])
    problems = collect(bays, database).problems
    # together they contradict each other on the job, too
    assert len(problems) == 2 and everything(database) == before
    (bays / "c.json").unlink()
    (problem,) = collect(bays, database).problems
    assert "than in a.json, taken in before" in problem and everything(database) == before
    save(bays / "b.json", FIRST | {"vehicle": "Blue van"}, [entry(10, FIRST)])
    (problem,) = collect(bays, database).problems
    assert "the job says something else here than in the database" in problem and everything(database) == before


def test_broken_files_are_named_and_the_others_taken(bays, database, capsys):
    save(bays / "good.json", FIRST, [entry(10, FIRST)])
    whole = (bays / "good.json").read_text("utf-8")
    broken = {
        "cut.json": whole[:-40],
        "edited.json": whole.replace("0.003 in", "0.002 in"),
        "sheet.json": '{"id": "red-van"}',
        "empty.json": "",
        "early.json": None,
    }
    for name, text in broken.items():
        if text is not None:
            (bays / name).write_text(text, "utf-8")
    save(bays / "early.json", job(3), [entry(30, job(3), time="0001-01-01T00:00:00+14:00")])
    (bays / "latin.json").write_bytes("größer".encode("latin-1"))
    (bays / "notes.txt").write_text("not looked at")
    expected = {*broken, "latin.json"}
    if sys.platform != "win32":
        (bays / "link.json").symlink_to(bays / "good.json")
        os.mkfifo(bays / "pipe.json")
        expected |= {"link.json", "pipe.json"}
    assert commands.run(commands.parse(["collect-jobs", str(bays), "--into", str(database)])) == 2
    said = capsys.readouterr()
    lines = said.err.splitlines()
    assert {line.split(":")[0] for line in lines[:-1]} == expected and len(lines) == len(expected) + 1
    assert said.out.startswith("1 files taken: 1 new jobs, 1 new entries")
    assert [row[0] for row in rows(database, "SELECT id FROM jobs")] == [FIRST["id"]]
    for name in expected:
        (bays / name).unlink()
    assert commands.run(commands.parse(["collect-jobs", str(bays), "--into", str(database)])) == 0


def test_a_byte_order_mark_is_no_part_of_the_file(bays, database):
    save(bays / "a.json", FIRST, [entry(10, FIRST)])
    (bays / "a.json").write_bytes(b"\xef\xbb\xbf" + (bays / "a.json").read_bytes())  # an editor put it there; the page reads over it
    done = collect(bays, database)
    assert done.problems == [] and done.entries == 1


@pytest.mark.parametrize(
    "said, make",
    [
        ("wheel-end-job/2", "newer make (wheel-end-job/2)"),
        ("wheel-end-job/0", "older make (wheel-end-job/0)"),
        ("wheel-end-shop/1", "is no job file"),
    ],
)
def test_a_file_of_another_make_says_which(bays, database, said, make):
    save(bays / "a.json", FIRST, [entry(10, FIRST)])
    (bays / "a.json").write_text((bays / "a.json").read_text("utf-8").replace("wheel-end-job/1", said), "utf-8")
    [problem] = collect(bays, database).problems
    assert problem.startswith("a.json: ") and make in problem


@pytest.mark.parametrize(
    "change, says",
    [
        ({"place": "LX"}, "place: is none of 'LF', 'RF'"),
        ({"kind": "dones"}, "kind: is none of 'done', 'result'"),
        ({"colour": "red"}, "colour: does not belong in a job file"),
        ({"by": 3}, "by: is no text"),
    ],
)
def test_what_is_wrong_is_said_in_plain_words(bays, database, change, says):
    save(bays / "a.json", FIRST, [entry(10, FIRST, **change)])
    [problem] = collect(bays, database).problems
    assert problem.startswith("a.json: entries[0].") and says in problem
    assert "nput should" not in problem and "Extra" not in problem


@pytest.mark.parametrize("content", [b"dear shop, " * 200, None])
def test_another_file_or_database_is_not_touched(bays, database, content):
    save(bays / "a.json", FIRST, [entry(10, FIRST)])
    if content is None:
        with closing(sqlite3.connect(database)) as store:
            store.execute("CREATE TABLE stock (item TEXT)")
    else:
        database.write_bytes(content)
    before = database.read_bytes()
    with pytest.raises(DatabaseError, match="--into jobs.sqlite"):
        collect(bays, database)
    assert database.read_bytes() == before


def test_a_folder_that_is_not_there_is_one_line(bays, tmp_path):
    bays.mkdir()
    with pytest.raises(DatabaseError, match="cannot be opened"):
        collect(bays, tmp_path / "nowhere" / "jobs.sqlite")


# ---------------------------------------------------------------- CSV

FORMULAS = ["=1+1", "+49 30 12345", "-2+3", "@SUM(A1)", "\t=1", "\r=1", " =1", "＝1", "|cmd", "=cmd|' /C calc'!A0"]


def test_csv_holds_all_and_no_formula(bays, database, tmp_path):
    entries = [entry(number, FIRST, note=text, by="Zoë; =1") for number, text in enumerate(FORMULAS, 10)]
    save(bays / "a.json", FIRST, [*entries, torque(30, FIRST, "100 N·m")])
    collect(bays, database)
    for path in write_csv(database, tmp_path / "tables"):
        assert path.read_bytes().startswith(b"\xef\xbb\xbf")
        with path.open(encoding="utf-8-sig", newline="") as file:
            head, *body = csv.reader(file)
        stored = rows(database, f"SELECT * FROM {path.stem}")
        assert head == [column[1] for column in rows(database, f"PRAGMA table_info({path.stem})")]
        assert len(body) == len(stored)
        for cells, values in zip(body, stored, strict=True):
            for cell, value in zip(cells, values, strict=True):
                assert cell.removeprefix("'") == ("" if value is None else str(value))
                assert not re.match(r"\s*[=+\-@＝＋－＠|]", cell) or isinstance(value, float)
    raw = (tmp_path / "tables" / "entries.csv").read_text("utf-8-sig")
    assert '"Zoë; =1"' in raw  # within quotes, so that it starts no cell where the semicolon separates
    assert "-10.0" in (tmp_path / "tables" / "torques.csv").read_text("utf-8-sig")  # a figure stays one


# ---------------------------------------------------------------- the docs


def test_the_docs_name_every_column(bays, database):
    bays.mkdir()
    collect(bays, database)
    documented = {table: re.findall(r"`(\w+)`", columns) for table, columns in re.findall(r"(?m)^\| `(\w+)` \| [^|]+ \| ([^|]+) \|$", DOCS)}
    assert documented == {table: [row[1] for row in rows(database, f"PRAGMA table_info({table})")] for table in documented}
    assert set(documented) == {"jobs", "entries", "readings", "torques", "parts"}


def test_the_questions_of_the_docs_are_answered(bays, database):
    """Three visits of one vehicle, one of them in inches, and one vehicle with a loose nut."""
    visits = [
        job(1, started="2026-01-10T09:00:00+01:00"),
        job(2, started="2026-06-10T09:00:00+02:00"),
        job(3, started="2026-11-10T09:00:00+01:00"),
    ]
    given = [("25.10 mm; 25.20 mm", "metric"), ("0.980 in; 0.990 in", "inch"), ("24.70 mm; 24.80 mm", "metric")]
    for number, (visit, (readings, system)) in enumerate(zip(visits, given, strict=True), 1):
        wrong = result(number * 10 + 1, visit, "rotor-thickness", {"readings": "20.00 mm", "discard": "19 mm"}, place="LF")
        withdrawn = entry(number * 10 + 2, visit, kind="withdrawn", step=None, place=None, hash=None, typed={"withdraws": wrong["id"]})
        save(
            bays / f"{number}.json",
            visit,
            [
                wrong,
                withdrawn,
                result(number * 10 + 3, visit, "rotor-thickness", {"readings": readings, "discard": "22.4 mm"}, system=system, place="LF"),
                entry(number * 10 + 4, visit, kind="complete", step=None, place=None, hash=None, typed={"shown": "all"}),
            ],
        )
    other = job(9, "Blue car", "2026-11-20T08:00:00+01:00")
    save(
        bays / "9.json",
        other,
        [
            torque(90, other, "90 N·m", place="LF"),
            torque(91, other, "110 N·m", place="LF", time="2026-11-20T08:10:00+01:00"),
            torque(92, other, "110 N·m", place="RF"),
            torque(93, other, "90 N·m", place="RF", time="2026-11-20T07:10:00Z"),
        ],
    )
    assert collect(bays, database).problems == []
    wear, loose, incomplete = (rows(database, question) for question in QUERIES)
    # 0.980 in = 24.892 mm, since an inch is 25.4 mm
    assert wear == [
        ("Red van", "LF", "2026-01-10", 25.1, None),
        ("Red van", "LF", "2026-06-10", 24.892, 0.208),
        ("Red van", "LF", "2026-11-10", 24.7, 0.192),
    ]
    assert [row[1:7] for row in loose] == [("RF", "wheel-nut", "final", "110 N·m", "90 N·m", "beyond")]
    assert [row[:3] for row in incomplete] == [(other["name"], "Blue car", other["started"])]
