"""The rooms of the code: each imports only from below it, and none is too wide to look over. `python3 -m build_tools rooms` prints them."""

from __future__ import annotations

import pytest

from build_tools.dev.rooms import LEFT_OUT, PYTHON, SCRIPTS, WIDEST, look
from build_tools.paths import PROJECT


def test_no_import_goes_up_and_no_folder_is_too_wide():
    house = look(PROJECT)
    assert house.faults == []
    assert (
        sum(map(len, house.rooms.values())) > 200
        and house.arrows["build_tools/checks", "build_tools/content build_tools/content/model build_tools/content/shop"] > 20
    )


def written(tmp_path, files: dict[str, str]) -> list[str]:
    for name, text in files.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text, "utf-8")
    return look(tmp_path).faults


@pytest.mark.parametrize(
    "low, high, line",
    [
        ("build_tools/exchange/one.py", "build_tools/pages/other.py", "from build_tools.pages import other"),
        ("build_tools/exchange/one.py", "build_tools/pages/other.py", "def late():\n    from build_tools.pages.other import name"),
        ("calculators/contract/one.py", "calculators/other.py", "import calculators.other"),
        ("docs/scripts/core/one.js", "docs/scripts/job/other.js", 'import {\n  name,\n} from "../job/other.js";'),
    ],
)
def test_an_import_that_goes_up_is_found(tmp_path, low, high, line):
    assert written(tmp_path, {low: line, high: ""}) == [f"{low} imports {high}, which is above it"]
    assert written(tmp_path, {low: "", high: ""}) == []


def test_a_wide_folder_and_a_module_in_no_room_are_found(tmp_path):
    many = {f"build_tools/jobs/module_{number}.py": "" for number in range(WIDEST + 1)}
    assert written(tmp_path, many) == [f"build_tools/jobs: {WIDEST + 1} modules side by side; the most is {WIDEST}"]
    assert written(tmp_path, {"build_tools/attic/one.py": ""})[0] == "build_tools/attic/one.py: in no room"


def test_the_list_of_rooms_is_the_rooms_that_there_are():
    for name in " ".join((*PYTHON, *SCRIPTS, *LEFT_OUT)).split():
        assert (PROJECT / name).exists(), name
