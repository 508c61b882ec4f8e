"""What the author of a content file is told: each code of the table, its examples, seeded mistakes, and any bytes at all."""

from __future__ import annotations

import copy
import html
import random
import re
from pathlib import Path

import pytest

from build_tools import commands
from build_tools.checks import check
from build_tools.content import model
from build_tools.content.handbook import Handbook
from build_tools.content.load import add_files, files_of, finish, load_with_problems
from build_tools.content.mistakes import MISTAKES, Mistake
from build_tools.content.problems import Problem, nearest
from build_tools.content.report import report
from build_tools.content.validate import validate
from build_tools.content.yaml_reader import read
from build_tools.pages.render import render
from build_tools.paths import PROJECT

STOCK, NO_PROBLEMS = load_with_problems(PROJECT / "site_data")
JARGON = re.compile(r"\b(mapping|scalar|node|regex|pattern|dict|NoneType|sequence|token|parse|parser|stream|str|int|exception)\b", re.I)

PROCEDURE = {
    "id": "id: own-job",
    "title": "title: Own job",
    "purpose": "purpose: It shows how.",
    "end_state": "end_state: The job is done.",
    "people": "people: {count: 1, skill: brake work, minutes: 10}",
    "conditions": "conditions: none",
    "tools": "tools: [dial-indicator]",
    "supplies": "supplies: none",
    "cautions": "cautions: none",
    "changes": "changes: [{revision: 1, date: 2026-11-27, reason: First issue}]",
    "sources": "sources: common-practice",
    "steps": "steps:\n  - {id: look-first, do: Look at the wheel.}",
}
VEHICLE = {"id": "id: red-van", "name": "name: Red van (invented)"}


def filled(usual: dict[str, str], text: str) -> str:
    """A file of the usual entries, with those of the text in their place."""
    named = set(re.findall(r"(?m)^([a-z_]+):", text))
    return "\n".join([*(line for name, line in usual.items() if name not in named), text]) + "\n"


def steps(text: str) -> str:
    """A procedure with these steps."""
    return filled(PROCEDURE, "steps:\n" + "\n".join(f"  {line}" for line in text.splitlines()))


def smallest(mistake: Mistake, example: str) -> tuple[str, str]:
    """The smallest file that holds an example: its path and text."""
    match mistake.place:
        case "step":
            return "procedures/own-job.yml", steps(example)
        case "procedure":
            return "procedures/own-job.yml", filled(PROCEDURE, example)
        case "vehicle":
            return "vehicles/red-van.yml", filled(VEHICLE, example)
        case "a name":
            return example, filled(PROCEDURE, "")
    return mistake.place, example


def copy_of(handbook: Handbook) -> Handbook:
    """The handbook once more, to be added to."""
    made = copy.copy(handbook)
    for name, value in vars(handbook).items():
        setattr(made, name, copy.copy(value))
    return made


def found_in(files: dict[str, bytes], folder: str = "shop") -> tuple[list[Problem], Handbook]:
    """What is said about a shop's files (path → bytes) beside the handbook, or about files of the handbook itself."""
    handbook = copy_of(STOCK)
    if folder == "shop":
        files = {"shop.yml": b"name: Test shop (invented)\n"} | files
    problems = add_files(handbook, files, folder, is_shop=folder == "shop") + finish(handbook)
    own = {path.split("/")[-1].removesuffix(".yml") for path in files if path.startswith("procedures/")}
    return sorted({*problems, *check.check(handbook, own)[0]}), handbook


def said_of(mistake: Mistake, example: str) -> list[Problem]:
    path, text = smallest(mistake, example)
    stock = path.startswith("site_data/")
    return found_in({path.removeprefix("site_data/"): text.encode()}, "site_data" if stock else "shop")[0]


SHOWN = [mistake for mistake in MISTAKES.values() if mistake.place != "words"]


@pytest.mark.parametrize("mistake", SHOWN, ids=lambda mistake: mistake.code)
def test_the_wrong_example_of_a_code_is_that_mistake_and_no_other(mistake):
    problems = said_of(mistake, mistake.wrong)
    assert {problem.code for problem in problems} == {mistake.code}, [str(problem) for problem in problems]


@pytest.mark.parametrize("mistake", SHOWN, ids=lambda mistake: mistake.code)
def test_the_right_example_of_a_code_is_accepted(mistake):
    assert [str(problem) for problem in said_of(mistake, mistake.right)] == []


def test_every_code_in_use_is_in_the_table_and_none_beside():
    sources = "".join(path.read_text("utf-8") for path in (PROJECT / "build_tools").rglob("*.py"))
    assert set(re.findall(r'"([A-Z][0-9]{3})"', sources)) == set(MISTAKES)


def test_every_code_has_a_page_with_both_examples():
    pages = render(STOCK)
    for code, mistake in MISTAKES.items():
        page = html.unescape(pages[f"mistakes/{code.lower()}.md"])
        assert mistake.right in page and mistake.wrong.replace("\t", "→ ") in page and f"# {code} " in page
        assert f'href="{code.lower()}.html"' in pages["mistakes/index.md"]


def test_the_table_is_in_plain_words():
    for mistake in MISTAKES.values():
        assert not JARGON.search(f"{mistake.title} {mistake.explain}"), mistake.code
        assert len(mistake.title) <= 75 and not mistake.title.endswith("."), mistake.code


# ---- seeded mistakes -------------------------------------------------------------------------------------------------
# tests/content/mistakes/*.txt: «#### name», then «== path | how» with a text for each file, then «-- said» with what is
# said. How: step, procedure, vehicle (the rest of the file is usual), windows (line ends and byte order mark), bytes
# (with \x escapes), repeated N. Written anew by `python tests/content/test_mistakes.py`.

SEEDED = Path(__file__).parent / "mistakes"
LONGEST, WIDTH = 40, 100


def raw(how: str, text: str) -> bytes:
    """The bytes of a seeded file."""
    match how.split():
        case ["step"]:
            return steps(text).encode()
        case ["procedure"]:
            return filled(PROCEDURE, text).encode()
        case ["vehicle"]:
            return filled(VEHICLE, text).encode()
        case ["windows"]:
            return ("\ufeff" + filled(PROCEDURE, text).replace("\n", "\r\n")).encode()
        case ["bytes"]:
            return text.encode().decode("unicode_escape").encode("latin-1")
        case ["repeated", number]:
            return (text + "\n").encode() * int(number)
    return (text + "\n").encode() if text else b""


def seeded(path: Path) -> dict[str, tuple[str, dict[str, bytes], str]]:
    """Name → the case as it is written, its files, what is said."""
    cases = {}
    for case in path.read_text("utf-8").split("#### ")[1:]:
        name, _, rest = case.partition("\n")
        given, _, said = rest.partition("-- said\n")
        files = {}
        for file in re.split(r"(?m)^== ", given)[1:]:
            head, _, text = file.partition("\n")
            place, _, how = head.partition(" | ")
            files[place] = raw(how, text.removesuffix("\n"))
        cases[name] = (given, files, said.strip("\n"))
    return cases


def answer(files: dict[str, bytes]) -> str:
    """What is said about the files of a case, as on a terminal; where nothing is wrong, the text of the steps that were kept."""
    problems, handbook = found_in(files)
    if problems:
        return re.sub(r"site_data/\S+:\d+", "site_data/…", report(problems))  # where it stands today
    job = handbook.procedures.get("own-job")
    return "No mistakes." + "".join(f"\n{step.id}: {step.do}" for step in (job.steps if job else ()))


CASES = {f"{path.stem}: {name}": case for path in sorted(SEEDED.glob("*.txt")) for name, case in seeded(path).items()}


@pytest.mark.parametrize("name", CASES)
def test_a_seeded_mistake_is_said_as_it_was_approved(name):
    _, files, said = CASES[name]
    told = answer(files)
    assert told == said
    problems, _ = found_in(files)
    assert not problems or "\x1b" not in told and max(map(len, told.splitlines())) <= WIDTH
    for problem in problems:
        assert len(problem.message.split()) <= LONGEST, problem.message
        assert problem.message[0] not in "abcdefghijklmnopqrstuvwxyz" and problem.message[-1] in ".…?", problem.message
        assert not JARGON.search(re.sub(r"'[^']*'", "", f"{problem.message} {problem.expected}")), problem.message
        assert problem.correct and problem.as_data()["code"] in MISTAKES


def test_a_code_of_which_no_example_can_be_shown_is_among_the_seeded():
    shown = "".join(said for _, _, said in CASES.values())
    missing = {code for code, mistake in MISTAKES.items() if mistake.place == "words" and f"  {code}\n" not in shown}
    # K106 takes its ten seconds: tests/content/test_shop_calculators.py; links and pictures need a disk: tests/content/test_plain_files.py
    assert missing == {"E100", "W199", "F108", "F112", "F114", "F115", "F116", "F117", "P103", "S101", "K106"} & missing


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if any(path.startswith("vehicles/") for path in case[1])])
def test_a_mistake_in_a_sheet_is_never_answered_with_a_line_of_a_job(name):
    for problem in found_in(CASES[name][1])[0]:
        assert not problem.file.startswith("shop/vehicles/") or not re.search(r"\b(do|steps|use|cautions): ", problem.correct), problem


@pytest.mark.parametrize(
    "mistake",
    [mistake for mistake in MISTAKES.values() if mistake.code[0] in "FW" and mistake.place == "step"],
    ids=lambda mistake: mistake.code,
)
def test_the_example_of_a_code_fits_every_kind_of_file(mistake):
    assert mistake.right_in("shop/procedures/own-job.yml") == mistake.right
    for file in ("shop/vehicles/red-van.yml", "shop/shop.yml", "shop/components/own.yml", "shop/cautions.yml", "shop/pages/notes.md"):
        assert "do: " not in mistake.right_in(file) and mistake.right_in(file)


@pytest.mark.parametrize(
    ("written", "known", "near"),
    [
        ("coter-pin", ["cotter-pin", "crush-washer"], "cotter-pin"),
        ("cottre-pin", ["cotter-pin"], "cotter-pin"),
        ("cotterpin", ["cotter-pin"], "cotter-pin"),
        ("lug-nut", ["axle-nut", "hub-unit"], ""),
        ("rotor.minimum", ["rotor.finish", "rotor.machine_to"], ""),
        ("inner-bearing", ["outer-bearing"], ""),
        ("pin-bolt", ["pin-boot", "bridge-bolt"], ""),
        ("pin-bott", ["pin-boot", "pin-bolt"], ""),
        ("pads", ["pad", "hose"], "pad"),
        ("", ["pad"], ""),
    ],
)
def test_only_a_slip_of_the_keyboard_is_taken_for_another_name(written, known, near):
    assert nearest(written, known) == near


def test_no_part_is_ever_offered_for_the_name_of_another():
    for kind in ("part", "fastener", "joint", "tool", "supply"):
        names = [component.id for component in STOCK.components.values() if component.kind == kind]
        for name in names:
            assert nearest(name, [other for other in names if other != name]) == "", name


def test_a_picture_under_another_spelling_is_told_the_name_that_its_file_should_have():
    handbook = copy_of(STOCK)
    add_files(
        handbook,
        {
            "shop.yml": b"name: T (invented)\n",
            "procedures/own-job.yml": steps("- {id: look, do: Look at the wheel., figure: our-wheel}").encode(),
        },
        "shop",
        True,
    )
    handbook.pictures["our wheel.JPG"] = Path("our wheel.JPG")
    (problem,) = check.check(handbook, {"own-job"})[0]
    assert problem.code == "N106" and "rename the file to 'our-wheel.jpg'" in problem.message


@pytest.mark.parametrize("name", CASES)
def test_the_authors_own_line_put_right_is_right(name):
    _, files, _ = CASES[name]
    for problem in found_in(files)[0]:
        head, indent = problem.written[: problem.column - 1].lstrip(), len(problem.written) - len(problem.written.lstrip())
        path = problem.file.partition("/")[2]
        if "\n" in problem.example or "…" in problem.example or not head or not problem.example.startswith(head) or path not in files:
            continue
        lines = files[path].decode().split("\n")
        lines[problem.line - 1] = " " * indent + problem.example
        left = found_in(files | {path: "\n".join(lines).encode()})[0]
        assert (problem.code, problem.file, problem.line, problem.column) not in [(p.code, p.file, p.line, p.column) for p in left], problem


@pytest.mark.parametrize(
    ("cls", "name"),
    [
        (cls, name)
        for cls in vars(model).values()
        if isinstance(cls, type) and issubclass(cls, model.Entry)
        for name, info in cls.model_fields.items()
        if info.examples
    ],
)
def test_the_example_of_an_entry_is_accepted(cls, name):
    info = cls.model_fields[name]
    entry = info.alias or name
    problems = validate(cls, read(f"{entry}: {info.examples[0]}", "f.yml").data, read(f"{entry}: {info.examples[0]}", "f.yml").origin)[1]
    assert [str(problem) for problem in problems if f"'{entry}'" in problem.message and problem.code not in ("E101", "E115", "E116")] == []


def test_mistakes_end_with_1_and_a_command_that_fails_with_2(tmp_path, capsys, monkeypatch):
    (tmp_path / "shop.yml").write_text("name: Test shop (invented)\ncolour: red\n")
    monkeypatch.setattr(check.layout_walk, "walk", lambda *_: ([], 0))
    assert commands.run(commands.parse(["check", "--shop", str(tmp_path)])) == 1
    said = capsys.readouterr().err
    assert "shop.yml:2:1  E102" in said and said.splitlines()[-1].startswith("Each code is explained in") and "\x1b" not in said
    with pytest.raises(SystemExit) as ended:
        commands.parse(["check", "--shop", str(tmp_path / "nowhere")])
    assert ended.value.code == 2


def test_color_is_never_alone():
    problem = found_in({"pages/notes.md": b"<b>x</b>"})[0][0]
    colored = report([problem], color=True)
    assert "\x1b[1m" in colored and re.sub(r"\x1b\[[01]m", "", colored) == report([problem])


# ---- any bytes at all ------------------------------------------------------------------------------------------------


def mutated(text: bytes, chance: random.Random) -> bytes:
    """A stock file with one to four slips of hand or disk."""
    for _ in range(chance.randint(1, 4)):
        at, other = chance.randrange(len(text)), chance.randrange(len(text))
        start, end = min(at, other), min(max(at, other), min(at, other) + 400)
        match chance.randrange(7):
            case 0:
                text = text[:at] + bytes([chance.randrange(256)]) + text[at + 1 :]
            case 1:
                text = text[:start] + text[end:]
            case 2:
                text = text[:at] + text[start:end] + text[at:]
            case 3:
                text = (
                    text[:at]
                    + chance.choice(
                        [
                            b"\t",
                            b": ",
                            b"\n",
                            b"- ",
                            b"{",
                            b"]",
                            b"'",
                            b'"',
                            b"&a ",
                            b"*a",
                            b"!x ",
                            b"#",
                            b"%",
                            b"@",
                            b"|",
                            b"\r",
                            b"\x00",
                            b"\xff",
                            b"\xc2\x85",
                            b"? ",
                        ]
                    )
                    + text[at:]
                )
            case 4:
                text = text[:at] or b"\n"
            case 5:
                text = text[:at] + text[at:].replace(b" ", b"", 1)
            case 6:
                lines = text.split(b"\n")
                chance.shuffle(lines)
                text = b"\n".join(lines)
    return text


@pytest.mark.timeout(600)
def test_no_bytes_in_a_content_file_lead_to_anything_but_mistakes():
    chance = random.Random(20261127)
    files = files_of(PROJECT / "site_data")
    pages = files_of(PROJECT / "build_tools" / "example_shop")
    many = sorted({**files, **{name: text for name, text in pages.items() if name.startswith("pages/")}}.items())
    said = 0
    for number in range(2000):
        name, text = chance.choice(many)
        handbook = copy_of(STOCK)
        for key in [key for key, origin in handbook.origins.items() if origin.file.endswith(f"/{name}")]:
            getattr(handbook, key[0], {}).pop(key[1], None) if key[0] != "layout" else None
        problems = add_files(handbook, {name: mutated(text, chance)}, "shop", is_shop=True)
        if number % 40 == 0:
            problems += finish(handbook) + check.check(handbook, ())[0]
        for problem in problems:
            assert problem.line >= 1 and problem.column >= 1 and problem.code in MISTAKES
        assert all(len(line) <= WIDTH and line.isprintable() for line in report(problems[:5]).splitlines()) if problems else True
        said += bool(problems)
    assert said > 1200


if __name__ == "__main__":
    for path in sorted(SEEDED.glob("*.txt")):
        cases = seeded(path)
        path.write_text(
            "".join(f"#### {name}\n{given}-- said\n{answer(files)}\n\n" for name, (given, files, _) in cases.items()), "utf-8", newline="\n"
        )
