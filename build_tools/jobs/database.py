"""The job files of many bays in one SQLite database, and as CSV for a spreadsheet.

A file is taken whole or not at all. Taking the same file again, or a longer one of the same job, adds only what is new.
Tables and columns: build_tools/jobs/database.sql; what to ask of them: docs/passing-on.md.
"""

from __future__ import annotations

import csv
import datetime
import hashlib
import json
import os
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from build_tools.jobs.job_record import LARGEST_FILE, OF_ANOTHER, JobEntry, JobFile, JobFileError, canonical, read_job

SCHEMA = Path(__file__).with_suffix(".sql")
TABLES = ("jobs", "entries", "readings", "torques", "parts")
APPLICATION = 0x57454A31  # «WEJ1»: how the database is known again
WAIT = 30  # seconds for another program that has it open
# A cell that starts so is a formula to a spreadsheet, whatever the file says (full-width signs too).
_FORMULA = re.compile(r"[\s\x00]*[=+\-@＝＋－＠|]|[\t\r\n]")

Cell = str | int | float | None  # what SQLite holds of these


class DatabaseError(ValueError):
    """Nothing was gathered, or one file was refused. The message is one line."""


@dataclass
class Collected:
    """What one run did; `problems` holds a line for each file that was refused."""

    files: int = 0
    jobs: int = 0
    entries: int = 0
    problems: list[str] = field(default_factory=list)


def collect(folder: Path, database: Path) -> Collected:
    """Take in all job files below a folder. Raises DatabaseError where the database is not one of these; OSError."""
    done = Collected()
    names = _sound(folder, done)
    with closing(_opened(database)) as store:
        for name in names:
            try:
                _add_file(store, name, *_read(folder, name), done)
            except (DatabaseError, JobFileError) as refusal:
                done.problems.append(f"{name}: {refusal}")
            except sqlite3.OperationalError as error:
                raise DatabaseError(
                    f"{database}: {error}. What was taken before it is kept: close what has it open, and run it again."
                ) from None
    return done


# ---------------------------------------------------------------- files


def _sound(folder: Path, done: Collected) -> list[str]:
    """The names of the files that can be taken. Of files that contradict each other none is: who knows which is right."""
    first: dict[str, tuple[str, str]] = {}
    refused: dict[str, str] = {}
    names = []
    for path in sorted(folder.rglob("*.json")):
        name = path.relative_to(folder).as_posix()
        try:
            text, job = _read(folder, name)
        except (JobFileError, DatabaseError) as refusal:
            refused[name] = f"{name}: {refusal}"
            continue
        names.append(name)
        for key, fingerprint in _fingerprints(job):
            known, other = first.setdefault(key, (fingerprint, name))
            if known != fingerprint:
                refused.setdefault(name, f"{name}: {_contradiction(text, key, other)}")
                refused.setdefault(other, f"{other}: {_contradiction(_read(folder, other)[0], key, name)}")
    done.problems += refused.values()
    return [name for name in names if name not in refused]


def _read(folder: Path, name: str) -> tuple[str, JobFile]:
    """Text and job of a file. Raises JobFileError, DatabaseError."""
    path = folder / name
    if path.is_symlink() or not path.is_file():
        raise DatabaseError("this is a link or a device, not a file; put the job file itself here")
    if path.stat().st_size > 4 * LARGEST_FILE:  # bytes of a character
        raise DatabaseError(f"the file is larger than {LARGEST_FILE // 1_000_000} MB, so it is no saved job")
    try:
        text = path.read_text("utf-8-sig")  # a byte-order mark is no part of it, as in the page
    except UnicodeDecodeError:
        raise DatabaseError(
            "the file is not saved as UTF-8, so the page did not save it so; take the file as it was saved, or save it again from the page"
        ) from None
    except OSError as error:
        raise DatabaseError(f"the file cannot be read: {error.strerror}") from None
    return text, read_job(text)


def _fingerprints(job: JobFile) -> Iterator[tuple[str, str]]:
    """Of the job and each of its entries: id, SHA-256 of all that it says."""
    yield f"job {job.job.id}", _digest(job.job.model_dump(mode="json"))
    for entry in job.entries:
        yield entry.id, _digest(entry.model_dump(mode="json", by_alias=True))


def _digest(data: dict[str, Any]) -> str:
    return hashlib.sha256(canonical(data).encode()).hexdigest()


def _contradiction(text: str, key: str, other: str) -> str:
    """That an id says something else elsewhere, with the line where it stands here."""
    found = re.search(rf'"id"\s*:\s*"{key.removeprefix("job ")}"', text)
    line = text.count("\n", 0, found.start()) + 1 if found else 1
    what = "the job" if key.startswith("job ") else f"entry {key}"
    return f"line {line}: {what} says something else here than in {other}; find out which file was changed, and take that one away"


# ---------------------------------------------------------------- the database


def _opened(path: Path) -> sqlite3.Connection:
    """The database at a path, new where there is none. Raises DatabaseError where another one is there."""
    fresh = not path.exists() or path.stat().st_size == 0
    try:
        store = sqlite3.connect(path, timeout=WAIT, isolation_level=None)
    except sqlite3.OperationalError as error:
        raise DatabaseError(
            f"{path} cannot be opened: {error}. Name a file in a folder that is there, for example: --into jobs.sqlite"
        ) from None
    try:
        if fresh:
            store.executescript(f"BEGIN EXCLUSIVE; PRAGMA application_id = {APPLICATION};\n{SCHEMA.read_text('utf-8')}\nCOMMIT;")
        elif store.execute("PRAGMA application_id").fetchone()[0] != APPLICATION:
            raise DatabaseError(f"{path} is a database of something else. Name a new file, for example: --into jobs.sqlite")
        store.execute("PRAGMA foreign_keys = ON")
    except sqlite3.DatabaseError as error:
        store.close()
        raise DatabaseError(f"{path} cannot be used: {error}. Name a new file, for example: --into jobs.sqlite") from None
    except DatabaseError:
        store.close()
        raise
    return store


def _add_file(store: sqlite3.Connection, name: str, text: str, job: JobFile, done: Collected) -> None:
    """Add what is new of one file, all of it or nothing. Raises DatabaseError where it contradicts what is there."""
    store.execute("BEGIN IMMEDIATE")
    try:
        new_job = _add_job(store, text, job)
        known = dict(store.execute("SELECT id, fingerprint FROM entries WHERE job = ?", [job.job.id]))
        new = 0
        for entry, (key, fingerprint) in zip(job.entries, list(_fingerprints(job))[1:], strict=True):
            if key not in known:
                _add_entry(store, name, text, entry, fingerprint)
                new += 1
            elif known[key] != fingerprint:
                raise DatabaseError(_contradiction(text, key, _file_of(store, key)))
        store.execute("COMMIT")
    except BaseException:
        store.execute("ROLLBACK")
        raise
    done.files, done.jobs, done.entries = done.files + 1, done.jobs + new_job, done.entries + new


def _add_job(store: sqlite3.Connection, text: str, file: JobFile) -> int:
    row = (file.job.id, file.job.name, file.job.vehicle, file.job.started)
    there = store.execute("SELECT id, name, vehicle, started FROM jobs WHERE id = ?", row[:1]).fetchone()
    if there is None:
        store.execute("INSERT INTO jobs VALUES (?, ?, ?, ?)", row)
    elif there != row:
        raise DatabaseError(_contradiction(text, f"job {file.job.id}", "the database"))
    return there is None


def _file_of(store: sqlite3.Connection, key: str) -> str:
    name: str = store.execute("SELECT file FROM entries WHERE id = ?", [key]).fetchone()[0]
    return f"{name}, taken in before"


def _add_entry(store: sqlite3.Connection, name: str, text: str, entry: JobEntry, fingerprint: str) -> None:
    verdict = entry.verdict
    row = [
        entry.id,
        entry.job,
        _utc(entry.time),
        entry.time,
        entry.procedure,
        entry.revision,
        entry.build,
        entry.step,
        entry.hash,
        entry.place,
        entry.try_,
        entry.kind,
        entry.typed.get(OF_ANOTHER.get(entry.kind, "")),
        verdict.code if verdict else None,
        verdict.text if verdict else None,
        _text(entry.understood.get("shown")) or None,
        entry.by,
        entry.note,
        *(json.dumps(part, ensure_ascii=False) for part in (entry.typed, entry.understood, entry.limits)),
        name,
        fingerprint,
    ]
    try:
        _insert(store, "entries", row)
    except sqlite3.IntegrityError:
        raise DatabaseError(_contradiction(text, entry.id, _file_of(store, entry.id))) from None
    for table, rows in (("readings", _readings(entry)), ("torques", _torques(entry)), ("parts", _parts(entry))):
        for values in rows:
            _insert(store, table, [entry.id, *values])


def _insert(store: sqlite3.Connection, table: str, row: list[Cell]) -> None:
    store.execute(f"INSERT INTO {table} VALUES ({', '.join('?' * len(row))})", row)


# ---------------------------------------------------------------- what an entry holds


def _readings(entry: JobEntry) -> Iterator[list[Cell]]:
    """calculator, role, name, number, value, unit, text."""
    if entry.kind != "result":
        return
    for role, group in (("input", "inputs"), ("value", "values")):
        for name, found in _mapping(entry.understood.get(group)).items():
            for number, one in enumerate(found if isinstance(found, list) else [found], 1):
                one = _mapping(one)
                yield [
                    _text(entry.typed.get("calculator")),
                    role,
                    name,
                    number,
                    _number(one.get("value")),
                    _text(one.get("unit")),
                    _text(one.get("text")),
                ]


def _torques(entry: JobEntry) -> Iterator[list[Cell]]:
    """fastener, stage, target, actual, tool, actual_value, difference, unit, verdict."""
    if entry.kind != "torque":
        return
    typed = [_text(entry.typed.get(key)) for key in ("fastener", "stage", "target", "actual", "tool")]
    actual = _mapping(_mapping(entry.understood.get("inputs")).get("actual"))
    difference = _mapping(_mapping(entry.understood.get("values")).get("difference"))
    yield [
        *typed,
        _number(actual.get("value")),
        _number(difference.get("value")),
        _text(actual.get("unit")) or None,
        entry.verdict.code if entry.verdict else None,
    ]


def _parts(entry: JobEntry) -> Iterator[list[Cell]]:
    """number, item, quantity, per, why: of the parts list of a decision."""
    listed = entry.understood.get("parts_list")
    for number, part in enumerate(listed if isinstance(listed, list) else [], 1):
        yield [number, *(_text(_mapping(part).get(key)) for key in ("item", "quantity", "per", "why"))]


def _mapping(value: object) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else None


def _text(value: object) -> str:
    return "" if value is None else value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _utc(time: str) -> str:
    try:
        moment = datetime.datetime.fromisoformat(time).astimezone(datetime.UTC)
    except OverflowError:
        raise DatabaseError(f"the time {time} is outside the calendar") from None
    return moment.strftime("%Y-%m-%dT%H:%M:%S.") + f"{moment.microsecond // 1000:03}Z"


# ---------------------------------------------------------------- CSV


def write_csv(database: Path, folder: Path) -> list[Path]:
    """Every table as a CSV file of UTF-8 that spreadsheets know as such; what they would run as a formula is made text."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    with closing(_opened(database)) as store:
        for table in TABLES:
            rows = store.execute(f"SELECT * FROM {table} ORDER BY rowid")
            path = folder / f"{table}.csv"
            half = path.with_suffix(".half")
            with half.open("w", encoding="utf-8-sig", newline="") as file:
                sheet = csv.writer(file, quoting=csv.QUOTE_NONNUMERIC)  # a semicolon in a cell starts no new one
                sheet.writerow(column[0] for column in rows.description)
                sheet.writerows([_cell(value) for value in row] for row in rows)
            os.replace(half, path)
            written.append(path)
    return written


def _cell(value: Cell) -> Cell:
    """A figure as a figure; text that a spreadsheet would run behind an apostrophe, which it shows as text."""
    if value is None:
        return ""
    return f"'{value}" if isinstance(value, str) and _FORMULA.match(value) else value
