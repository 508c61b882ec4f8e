"""The command that puts small mistakes into the calculators: which it makes, and what it says of the tests."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import Counter

import pytest

from build_tools import commands
from build_tools.dev import mutants
from build_tools.paths import PROJECT

TOY = '''"""A toy: 1 + 1."""
from __future__ import annotations

LIMIT = 3


def fits(size: int | None, most: int = LIMIT) -> bool:
    return size + 0 <= most


def unused(size):
    return size
    return size * 2
'''
TOY_TESTS = """
import pytest
from toy.toy import fits

@pytest.mark.parametrize("size", [2, 3, 4])
def test_fits(size):
    assert fits(size) is (size <= 3)
"""


def test_its_options():
    options = commands.parse(["mutants", "--module", "judge", "--module", "wear", "--sample", "20", "--seed", "7"])
    assert (options.module, options.sample, options.seed, options.again, options.setup) == (["judge", "wear"], 20, 7, False, "mutants")


def test_a_module_that_is_not_there():
    with pytest.raises(ValueError, match=r"no module juge in calculators/ \(example: --module judge\)"):
        mutants.chosen_modules(PROJECT / "calculators", ["juge"])


def test_all_modules_without_a_name():
    names = mutants.chosen_modules(PROJECT / "calculators", None)
    assert {"contract/judge", "rotor_thickness", "__init__"} <= set(names) and "__main__" not in names
    assert mutants.chosen_modules(PROJECT / "calculators", ["judge"]) == ["contract/judge"]


def test_no_number_of_mutants_is_refused(capsys):
    with pytest.raises(SystemExit):
        commands.parse(["mutants", "--sample", "0"])
    assert "--sample" in capsys.readouterr().err


# R. G. Newcombe, Statistics in Medicine 17 (1998), p. 857, table I, method 3 (score), from memory: 81 of 263 and 15 of 148.
@pytest.mark.parametrize(("killed", "tried", "low", "high"), [(81, 263, "0.2553", "0.3662"), (15, 148, "0.0624", "0.1605")])
def test_interval(killed, tried, low, high):
    assert [f"{edge:.4f}" for edge in mutants.interval(killed, tried, whole=False)] == [low, high]


def test_table_weighs_modules_by_their_size():
    # By hand: (300 × 0.5 + 100 × 0.9) / 400 = 60 %; effective size 1 / (0.75² / 10 + 0.25² / 10) = 16; Wilson's interval of 60 % of 16.
    counts = {"big": Counter(killed=5, survived=5), "small": Counter(killed=9, survived=1), "empty": Counter()}
    table = mutants.summary(counts, {"big": 300, "small": 100, "empty": 0})
    assert [line.split()[:5] for line in table[1:]] == [
        ["big", "300", "10", "5", "5"],
        ["small", "100", "10", "9", "1"],
        ["all", "400", "20", "14", "6"],
    ]
    assert table[-1].endswith(" 60.0 % (36.4 to 79.7 %)")


def test_difference_shows_the_changed_words():
    assert mutants.difference("a = 1\nb = x < y\n", "a = 1\nb = x <= y\n") == ("b = x < y", "b = x <= y")


def test_drawings_are_left_out():
    pytest.importorskip("cosmic_ray")
    source = (
        "def draw(figure: Figure):\n    figure.line(1 + 2)\n\ndef drawn():\n    return Figure(1 + 2)\n\ndef wide():\n    return 1 + 2\n"
    )
    assert {line for *_, line in mutants.places(source)} == {8}


def test_mutants_of_a_toy():
    pytest.importorskip("cosmic_ray")
    found = {str(one) for one in mutants.mutants("toy", TOY, None, 1)}
    assert "toy.py:8: return size + 0 <= most → return size - 0 <= most" in found
    assert "toy.py:8: return size + 0 <= most → return size + 0 < most" in found
    assert not any("int & None" in one for one in found)
    some = mutants.mutants("toy", TOY, 3, 1)
    assert len(some) == 3 and [one.key for one in some] == [one.key for one in mutants.mutants("toy", TOY, 3, 1)]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that can fork")
def test_outcomes_on_a_toy(tmp_path):
    pytest.importorskip("cosmic_ray")
    (tmp_path / "toy").mkdir()
    (tmp_path / "toy" / "toy.py").write_text(TOY, "utf-8")
    (tmp_path / "toy" / "__init__.py").write_text("", "utf-8")
    (tmp_path / "tests").mkdir()
    (tmp_path / "tests" / "test_toy.py").write_text(TOY_TESTS, "utf-8")
    (tmp_path / "pytest.ini").write_text("[pytest]\npythonpath = .\n", "utf-8")
    code = (
        "import sys; from pathlib import Path; from build_tools.dev.mutants import work\n"
        "work(Path('toy').resolve(), [Path('tests').resolve()], ['toy'], Path('log'))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(PROJECT)},
        timeout=100,
    )
    assert done.returncode == 0, done.stderr
    outcomes = {
        one["text"].partition(" → ")[2]: one["outcome"] for one in map(json.loads, (tmp_path / "log").read_text("utf-8").splitlines())
    }
    assert outcomes["return size + 0 < most"] == "killed"
    assert outcomes["return size + 1 <= most"] == "killed"
    assert outcomes["LIMIT = 4"] == "killed"  # done at import, so imported afresh
    assert outcomes["return size - 0 <= most"] == "survived"  # says the same
    assert outcomes["return size * 3"] in ("same", "not reached")
    assert "survived: toy.py:8: return size + 0 <= most → return size - 0 <= most" in done.stdout
