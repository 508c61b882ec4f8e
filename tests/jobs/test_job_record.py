"""The job record's schema, and that a damaged or hostile file is refused with one line."""

import copy
import json
import math
import shutil
import struct
import subprocess

import pytest
from pydantic import ValidationError

from build_tools.browser.node import node
from build_tools.jobs.job_record import FORMAT, JobEntry, JobFileError, canonical, checksum, json_schema, read_job
from build_tools.paths import PROJECT
from tests.jobs.record_cases import CASES, ENTRY, MISSING

# RFC 8785, appendix B: a double's bits, and how it is written.
RFC_8785_NUMBERS = [
    ("0000000000000000", "0"),
    ("8000000000000000", "0"),
    ("0000000000000001", "5e-324"),
    ("8000000000000001", "-5e-324"),
    ("7fefffffffffffff", "1.7976931348623157e+308"),
    ("ffefffffffffffff", "-1.7976931348623157e+308"),
    ("4340000000000000", "9007199254740992"),
    ("c340000000000000", "-9007199254740992"),
    ("4430000000000000", "295147905179352830000"),
    ("44b52d02c7e14af5", "9.999999999999997e+22"),
    ("44b52d02c7e14af6", "1e+23"),
    ("44b52d02c7e14af7", "1.0000000000000001e+23"),
    ("444b1ae4d6e2ef4e", "999999999999999700000"),
    ("444b1ae4d6e2ef4f", "999999999999999900000"),
    ("444b1ae4d6e2ef50", "1e+21"),
    ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
    ("3eb0c6f7a0b5ed8d", "0.000001"),
    ("41b3de4355555553", "333333333.3333332"),
    ("41b3de4355555554", "333333333.33333325"),
    ("41b3de4355555555", "333333333.3333333"),
    ("41b3de4355555556", "333333333.3333334"),
    ("41b3de4355555557", "333333333.33333343"),
    ("becbf647612f3696", "-0.0000033333333333333333"),
    ("43143ff3c1cb0959", "1424953923781206.2"),
]
PAST = sorted((PROJECT / "tests/jobs/job_files").glob("*.json"))
"""One file for every version of the format that was ever in use; a new version adds its own and keeps the others."""
PAGE_SIDE = """
import { readFileSync } from "node:fs";
import { entryProblem } from "./entries.js";
import { canonical, checksum, readJob, writeJob } from "./job-file.js";
const { entries, numbers, job, files } = JSON.parse(readFileSync(process.argv[2], "utf-8"));
const text = writeJob(job.job, job.entries);
console.log(JSON.stringify({
  problems: entries.map(entryProblem), numbers: numbers.map(canonical), text, read: readJob(text).entries.length,
  opened: files.map((file) => readJob(file).entries.length) }));
"""


def changed(change):
    entry = copy.deepcopy(ENTRY) | change
    return {key: value for key, value in entry.items() if value is not MISSING}


def job_file(**change):
    content = {
        "format": "wheel-end-job/1",
        "job": {"id": "a" * 32, "name": "Demo A 2026-11-25", "vehicle": "Demo A", "started": "2026-11-25T13:00:00+01:00"},
        "entries": [copy.deepcopy(ENTRY)],
    } | change
    return content | {"checksum": checksum(content)} if "checksum" not in change else content


@pytest.mark.parametrize(("sound", "change"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_entry(sound, change):
    if sound:
        JobEntry.model_validate(changed(change))
    else:
        with pytest.raises(ValidationError):
            JobEntry.model_validate(changed(change))


@pytest.mark.parametrize(("bits", "written"), RFC_8785_NUMBERS)
def test_numbers_as_rfc_8785_writes_them(bits, written):
    assert canonical(struct.unpack(">d", bytes.fromhex(bits))[0]) == written


def test_canonical_text_as_rfc_8785_orders_and_escapes_it():
    # RFC 8785, 3.2.3 (order of keys) and 3.2.2.2 (escapes), the RFC's own example of property names.
    keys = {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\u0080": "Control",
        "\u00f6": "Latin Small Letter O With Diaeresis",
    }
    assert list(json.loads(canonical(keys)).values()) == [
        "Carriage Return",
        "One",
        "Control",
        "Latin Small Letter O With Diaeresis",
        "Euro Sign",
        "Emoji: Grinning Face",
        "Hebrew Letter Dalet With Dagesh",
    ]
    assert canonical([56, {"d": True, "10": None, "1": []}]) == '[56,{"1":[],"10":null,"d":true}]'
    assert canonical('\u20ac$\u000f\nA\'B"\\\\"/') == '"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"'


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    folder = tmp_path_factory.mktemp("record")
    for name in ("entries.js", "job-file.js"):
        shutil.copy(PROJECT / "docs/scripts/core" / name, folder)
    shutil.copytree(PROJECT / "node_modules/@noble/hashes", folder / "node_modules/@noble/hashes")
    (folder / "package.json").write_text('{"type": "module"}', "utf-8")
    (folder / "answers.js").write_text(PAGE_SIDE, "utf-8")
    given = {
        "entries": [changed(change) for _, _, change in CASES],
        "numbers": [struct.unpack(">d", bytes.fromhex(bits))[0] for bits, _ in RFC_8785_NUMBERS],
        "job": job_file(entries=[ENTRY, *_sound_entries()]),
        "files": [file.read_text("utf-8") for file in PAST],
    }
    (folder / "given.json").write_text(json.dumps(given), "utf-8")
    run = subprocess.run(
        [node(), str(folder / "answers.js"), str(folder / "given.json")],
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=60,
    )
    assert run.returncode == 0, run.stderr
    return json.loads(run.stdout)


def _sound_entries():
    sound = [changed(change) for _, sound, change in CASES if sound]
    return [entry | {"id": f"{number:032x}"} for number, entry in enumerate(sound, 2) if entry["job"] == ENTRY["job"]]


def test_page_accepts_and_refuses_the_same_entries(page):
    differ = [says for (says, sound, _), problem in zip(CASES, page["problems"], strict=True) if (problem is None) != sound]
    assert not differ


def test_page_writes_numbers_as_rfc_8785(page):
    assert page["numbers"] == [written for _, written in RFC_8785_NUMBERS]


def test_file_written_by_the_page_is_read_here(page):
    job = read_job(page["text"])
    assert len(job.entries) == page["read"] == 1 + len(_sound_entries())
    assert job.checksum == checksum(json.loads(page["text"]))


def test_files_of_every_version_are_opened_on_both_sides(page):
    assert {json.loads(file.read_text("utf-8"))["format"] for file in PAST} >= {FORMAT}
    assert [len(read_job(file.read_text("utf-8")).entries) for file in PAST] == page["opened"]
    assert min(page["opened"]) > 20


def test_sound_file():
    job = read_job(json.dumps(job_file()))
    assert job.job.vehicle == "Demo A"
    assert job.entries[0].place == "LF"
    assert job.entries[0].try_ == 1
    assert math.isclose(job.entries[0].understood["inputs"]["measured"]["value"], 0.0762)


def test_order_and_spacing_do_not_matter():
    content = job_file()
    assert read_job(json.dumps(dict(reversed(content.items())), indent=4)).entries


WHOLE = json.dumps(job_file())
BROKEN = {
    "empty": "",
    "cut off": WHOLE[: len(WHOLE) // 2],
    "not JSON": "dear shop, here is the job",
    "a list": "[]",
    "a number": "12",
    "another format": json.dumps(job_file(format="wheel-end-job/9")),
    "NaN": WHOLE.replace("0.0762", "NaN"),
    "an infinite number": WHOLE.replace("0.0762", "1e999"),
    "a number of a thousand digits": WHOLE.replace("0.0762", "9" * 1000),
    "nested a million deep": '{"format":"wheel-end-job/1","entries":' + "[" * 1_000_000,
    "a changed reading": WHOLE.replace("0.003 in", "0.002 in"),
    "another checksum": WHOLE.replace('"checksum": "sha256:', '"checksum": "sha256:0'),
    "an entry of another job": json.dumps(job_file(entries=[ENTRY | {"job": "c" * 32}])),
    "an id twice": json.dumps(job_file(entries=[ENTRY] * 2)),
    "an unknown key": json.dumps(job_file(html="<b>")),
    "a missing part": json.dumps({key: value for key, value in job_file().items() if key != "job"}),
    "entries that are no list": json.dumps(job_file(entries={"0": ENTRY})),
    "an entry with an unknown place": json.dumps(job_file(entries=[ENTRY | {"place": "left"}])),
    "a job without a name": json.dumps(job_file(job={"id": "a" * 32, "name": "", "vehicle": "", "started": "2026-11-25T13:00:00Z"})),
    "larger than allowed": "[" + " " * 20_000_001,
}


@pytest.mark.parametrize("text", BROKEN.values(), ids=BROKEN.keys())
def test_broken_file_is_refused_with_one_line(text):
    with pytest.raises(JobFileError) as refusal:
        read_job(text)
    assert len(str(refusal.value).splitlines()) == 1
    assert len(str(refusal.value)) < 300


def test_refusal_names_the_place():
    with pytest.raises(JobFileError) as refusal:
        read_job(BROKEN["an entry with an unknown place"])
    assert refusal.value.place == "entries[0].place"
    assert "'LF', 'RF'" in str(refusal.value)


def test_json_schema_uses_the_names_of_the_file():
    schema = json_schema()
    entry = schema["$defs"]["JobEntry"]
    assert set(ENTRY) == set(entry["properties"])
    assert entry["additionalProperties"] is False
    assert json.dumps(schema)
