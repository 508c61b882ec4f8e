"""Reading content: text stays text, and every mistake is said with its place."""

import pytest

from build_tools.content import model
from build_tools.content.load import load
from build_tools.content.problems import ContentError
from build_tools.content.validate import validate
from build_tools.content.yaml_reader import LARGEST_FILE, read
from build_tools.paths import PROJECT

STEP = "id: a\ndo: Loosen the nut.\n"


def problems_of(text: str) -> list[str]:
    """What is said about a file that cannot be read."""
    with pytest.raises(ContentError) as caught:
        read(text, "f.yml")
    return [str(problem) for problem in caught.value.problems]


def mistakes(cls, text: str) -> list[str]:
    """What is said about a file that reads well but does not fit the model."""
    document = read(text, "f.yml")
    return [str(problem) for problem in validate(cls, document.data, document.origin)[1]]


@pytest.mark.parametrize(
    "typed", ["012", "1:30", "no", "on", "3.10", "0.010", "1,5", "3/32", "22_000", "~", "null", "2026-11-25", "1e3", ".5", "0x1F"]
)
def test_every_scalar_stays_as_it_was_written(typed):
    assert read(f"value: {typed}", "f.yml").data == {"value": typed}


def test_a_byte_order_mark_and_windows_line_ends_are_read(tmp_path):
    (tmp_path / "site_data").mkdir()
    (tmp_path / "site_data" / "cautions.yml").write_bytes(
        "\ufeffcautions:\r\n  - {id: hot-rotor, signal: caution, hazard: The rotor is hot., consequence: Burns., avoid: [Let it cool.]}\r\n".encode()
    )
    assert load(tmp_path / "site_data").cautions["hot-rotor"].signal == "caution"


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        ("do: Torque: see the sheet", "f.yml:1:11:", "put the text in quotation marks"),
        ("do:\n\t- x", "f.yml:2:1:", "A tab stands here"),
        ('do: "Loosen', "f.yml:", "quotation mark is opened here and never closed"),
        ("", "f.yml:1:1:", "The file is empty"),
        ("id: a\nid: b", "f.yml:2:1:", "stands here a second time"),
        ("a: &x [*x]", "f.yml:1:4:", "write it out"),
        ("a: \x00", "f.yml:1:4:", "invisible control character stands here"),
    ],
)
def test_what_cannot_be_read_is_said_in_one_line_with_its_place(text, place, says):
    (line,) = problems_of(text)
    assert line.startswith(place) and says in line and "\n" not in line


def test_repetition_marks_cannot_make_a_file_endless():
    bomb = "a: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
        f"{name}: &{name} [{', '.join([f'*{before}'] * 9)}]\n" for before, name in zip("abcdefg", "bcdefgh", strict=True)
    )
    (line,) = problems_of(bomb)
    assert "write it out" in line


def test_a_file_too_large_or_not_utf8_is_refused(tmp_path):
    folder = tmp_path / "site_data"
    folder.mkdir()
    (folder / "cautions.yml").write_bytes(b"x" * (LARGEST_FILE + 1))
    (folder / "sources.yml").write_bytes("sources:\n  - title: Überprüfung".encode("latin-1"))
    with pytest.raises(ContentError) as caught:
        load(folder)
    first, second = map(str, caught.value.problems)
    assert first.startswith("site_data/cautions.yml:1:1:") and "F102" in first
    assert second.startswith("site_data/sources.yml:2:12:") and "UTF-8" in second


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        (STEP + "takes_of: [nut]", "f.yml:3:1:", "Did you mean 'takes_off'?"),
        ("id: a", "f.yml:1:1:", "The entry 'do' is missing"),
        (STEP + "for: corner", "f.yml:3:6:", "Expected: one of side, axle, lift, vehicle"),
        (STEP + "critical: perhaps", "f.yml:3:11:", "'perhaps'"),
        (STEP + "when: {}", "f.yml:3:1:", "leave 'when' out"),
        (STEP + "when: hub", "f.yml:3:7:", "Example: when: {bearing: tapered-roller}"),
        (STEP + "if_not: {beyond: {go: b, stop: No.}}", "f.yml:3:10:", "exactly one of go, again and stop"),
        (STEP + "enter: {calculator: rotor-thickness, text: x}", "f.yml:3:1:", "exactly one of calculator"),
        ("id: A nut\ndo: x", "f.yml:1:5:", "lower case words joined by hyphens"),
        ("id: a\ndo:", "f.yml:2:", "is empty"),
        ("id: a\ndo: [x]", "f.yml:2:1:", "holds a list, where text belongs"),
    ],
)
def test_a_wrong_entry_is_said_with_its_place(text, place, says):
    lines = mistakes(model.Step, text)
    assert len(lines) == 1, lines
    assert lines[0].startswith(place) and says in lines[0], lines


def test_all_mistakes_are_said_at_once():
    text = (
        "id: Bad id\ntitle: T\npurpose: p\nend_state: e\npeople: {count: 0, skill: s, minutes: soon}\nconditions: none\ntools: []\nsupplies: none\n"
        "cautions: none\nchanges:\n  - {revision: 1, date: 25.11.2026, reason: r}\nsources: common-practice\nsteps:\n  - {id: a, doo: x}\n  - {use: b, for: side}\n"
    )
    lines = mistakes(model.Procedure, text)
    assert sorted(int(line.split(":")[1]) for line in lines) == [1, 5, 5, 7, 11, 14, 14, 15], lines


def test_an_empty_list_must_say_none():
    assert any("f.yml:1:1:" in line and "write none" in line for line in mistakes(model.Procedure, "tools: []"))


def test_a_file_in_the_wrong_place_and_an_id_that_is_not_the_file_name(tmp_path):
    folder = tmp_path / "site_data"
    (folder / "vehicles").mkdir(parents=True)
    (folder / "notes.yml").write_text("a: b")
    (folder / "vehicles" / "one.yml").write_text("id: two\nname: Demo (invented)\ninvented: true\n")
    with pytest.raises(ContentError) as caught:
        load(folder)
    text = str(caught.value)
    assert "site_data/notes.yml:1:1: F105 This file is in a place where nothing is read" in text
    assert "site_data/vehicles/one.yml:1:5: F107 The file is called 'one.yml', so the id in it must be 'one'" in text


def test_the_stock_content_loads():
    handbook = load(PROJECT / "site_data")
    assert handbook.axes and handbook.cautions and handbook.terms


@pytest.mark.parametrize("name", ["sheet.yml", "cautions.yml", "rules.yml", "terms.yml"])
def test_a_list_file_that_holds_something_else_is_said_with_an_example(tmp_path, name):
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "shop.yml").write_text("name: Demo shop (invented)\n", "utf-8")
    (shop / name).write_text("foo: bar\n", "utf-8")
    with pytest.raises(ContentError) as found:
        load(PROJECT / "site_data", shop)
    codes = {problem.code for problem in found.value.problems}
    assert codes == {"F109"}
