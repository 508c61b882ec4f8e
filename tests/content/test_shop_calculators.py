"""A shop's own calculators: in its handbook's catalogue and the page's pack; a mistake in one is one line."""

import json
import os
import re
import subprocess
import sys

import pytest

from build_tools.content import decision_rules
from build_tools.content.load import load
from build_tools.content.problems import ContentError
from build_tools.content.shop import scaffold, shop_calculator_host, shop_calculator_watch, shop_calculators
from build_tools.pages.render import Pages, calculator_data, uris
from build_tools.paths import PROJECT
from build_tools.publishing.mkdocs_build import build_site
from calculators import MODULES, SHOP, catalogue, names
from calculators.decision.rules_file import read_rules

SOUND = (scaffold.BEGINNINGS / "calculator.py").read_text("utf-8").replace("MODULE", "stand_load").replace("TITLE", "Load")


def said(text: str, module: str = "stand_load") -> list[str]:
    with pytest.raises(ContentError) as caught:
        shop_calculators.read_all({module: (f"shop/calculators/{module}.py", text)})
    assert names() == [name.replace("_", "-") for name in MODULES]
    return [str(problem) for problem in caught.value.problems]


def ask(folder, request: str) -> str:
    """What the page's Python would answer: the pack's own files on the search path, in a process of their own."""
    for name, text in shop_calculators.packed({"stand_load": ("f.py", SOUND)}).items():
        path = folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(text)
    done = subprocess.run(
        [sys.executable, "-c", "import sys; from calculators.calls.browser import evaluate; print(evaluate(sys.argv[1]))", request],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(PROJECT), str(folder)])},
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout


def test_it_is_declared_like_the_others():
    (found,) = shop_calculators.read_all({"stand_load": ("f.py", SOUND)}).values()
    assert found.name == "stand-load"
    assert list(found.inputs) == ["axle_load", "rating"] and found.cautions == ["vehicle-falls"]
    assert found.worked_example().verdict.code == "within" and "450\u00a0kg" in found.worked_example().verdict.text
    assert shop_calculators.read_all({}) == {}


def test_it_answers_like_the_others(tmp_path):
    said = ask(tmp_path, '{"calculator": "stand-load", "given": {"axle_load": "1000 kg", "rating": "450 kg"}, "system": "metric"}')
    assert '"code": "beyond"' in said and "500\\u00a0kg" in said  # 1000 ÷ 2 by hand
    assert '"code": "within"' in ask(
        tmp_path, '{"calculator": "stand-load", "given": {"axle_load": "2000 lb", "rating": "1001 lb"}, "system": "inch"}'
    )


@pytest.mark.parametrize("name", [module.replace("_", "-") for module in MODULES])
def test_what_a_calculator_declares_is_the_same_after_it_was_data(name):
    """Each of the handbook's own, as if it were a shop's: the page that is made of it has not one letter changed."""
    found = catalogue()[name]
    made = shop_calculators._rebuilt(name.replace("-", "_"), json.loads(json.dumps(shop_calculator_host._as_data(found))))
    assert calculator_data(made) == calculator_data(found)
    assert [made.inputs_given({"quantity": kind}).keys() for kind in made.quantities] == [
        found.inputs_given({"quantity": kind}).keys() for kind in found.quantities
    ]


def test_its_code_never_runs_in_the_process_that_builds(tmp_path):
    text = SOUND + f"\n__import__('sys').modules['calculators'].MODULES = ()\nassert __import__('os').getpid() != {os.getpid()}\n"
    assert list(shop_calculators.read_all({"stand_load": ("f.py", text)})) == ["stand-load"]
    assert len(names()) == len(MODULES)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("raise SystemExit(0)", ":4:1: K108 The calculator ends the program here"),
        ("exit(0)", ":4:1: K108|:4:1: K105"),
        ("__import__('os')._exit(0)", ":1:1: K108 The calculator ended its program without an answer"),
        ("raise KeyboardInterrupt", ":4:1: K105 .*KeyboardInterrupt"),
        ("__import__('os').abort()", ":1:1: K108"),
        ("__import__('os').write(3, b'{}\\n')", ":1:1: K109|:1:1: K104"),
        ("print('{}', flush=True)", ":1:1: K104"),
        ("while True: pass", ":1:1: K106 The calculator gave no answer within 1 second"),
        ("__import__('time').sleep(100)", ":1:1: K106"),
        ("held = []\nwhile True: held.append(bytearray(10_000_000))", ":5:1: K107 The calculator takes too much memory"),
        ("held = bytearray(7_000_000_000)", ":4:1: K107"),
        ("(" * 90_000, ":4:200: K102|:4:201: K102"),
        ("-" * 900_000 + "1", ":1:1: K1"),
        ("x = '\0'", ":1:1: K102"),
        (
            "class E(Exception):\n    def __str__(self): raise ValueError\nraise E",
            ":6:1: K105 The calculator stopped here: no reason given",
        ),
        ("raise ValueError('x' * 9_000_000 + chr(10))", ":4:1: K105"),
    ],
)
def test_a_hostile_file_is_one_line_and_takes_nothing_with_it(text, says, monkeypatch):
    monkeypatch.setattr(shop_calculator_watch, "SECONDS", 1.0 if "K106" in says else 30.0)
    (line,) = said(f"# an invented file\nfrom __future__ import annotations\n\n{text}\n")
    assert re.search(says, line) and "\n" not in line and len(line) < 900, line


@pytest.mark.parametrize(
    ("old", "new_text"),
    [
        ('purpose="Find', 'purpose=5 or "Find'),
        ('where="900', 'where=["<script>"] or "900'),
        ('"Load on each stand")', 'b"Load")'),
    ],
)
def test_what_is_declared_is_text_where_text_belongs(old, new_text):
    assert old in SOUND
    (line,) = said(SOUND.replace(old, new_text, 1))
    assert ":1:1: K109 What the calculator declares is not plain text and numbers." in line, line


def test_a_calculator_cannot_end_the_check_as_a_silent_pass(tmp_path):
    """As its user would: the command, with such a file in the shop's folder."""
    (tmp_path / "calculators").mkdir()
    (tmp_path / "shop.yml").write_text("name: Test shop (invented)\n")
    (tmp_path / "calculators" / "our_lever.py").write_text("import math\nraise SystemExit(0)\n")
    done = subprocess.run(
        [sys.executable, "-m", "build_tools", "check", "--shop", str(tmp_path)], cwd=PROJECT, capture_output=True, text=True
    )
    assert done.returncode == 1 and "calculators/our_lever.py:2:1" in done.stderr and "K108" in done.stderr, done.stderr


@pytest.mark.parametrize(
    ("old", "new_text", "says"),
    [
        (
            '"load": "450 kg"',
            '"load": "460 kg"',
            r":1:1: K105 The calculator stopped here: stand-load: load says '460 kg', prints '450 kg'",
        ),
        ("load = axle_load / 2", "load = axle_load / 0", r":\d+:1: .*(DivisionByZero|ZeroDivisionError)"),
        ("load = axle_load / 2", "load = axle_load /", r":\d+:\d+: K102 Python cannot read this line"),
        ("from typing import Annotated", "from typing import Annotated\nimport os", r":9:1: K103 'os' is not in the page's Python"),
        ("from typing import Annotated", "from typing import Annotated\nfrom numpy import mean", r":9:1: K103 'numpy'"),
        ("def stand_load(", "def other(", r":1:1: K104 The file holds no calculator of its name"),
    ],
)
def test_a_mistake_is_said_in_one_line_with_its_place(old, new_text, says):
    assert old in SOUND
    (line,) = said(SOUND.replace(old, new_text, 1))
    assert line.startswith("shop/calculators/stand_load.py:") and re.search(says, line) and "\n" not in line, line


def test_an_answer_that_names_no_mistake_is_none(monkeypatch):
    """What comes back from the process may be anything."""
    monkeypatch.setattr(shop_calculator_watch, "answer", lambda *_: '{"problems": []}')
    (line,) = said(SOUND)
    assert ":1:1: K109" in line


def shop_with(folder, module: str | None):
    """A shop's folder, with one calculator or none."""
    folder.mkdir()
    (folder / "shop.yml").write_text("name: Test shop (invented)\n", "utf-8")
    if module:
        (folder / "calculators").mkdir()
        (folder / "calculators" / f"{module}.py").write_text(SOUND.replace("stand_load", module), "utf-8")
    return folder


@pytest.mark.parametrize("order", [("stand_load", "jack_load"), ("jack_load", None), (None, "jack_load")])
def test_what_is_loaded_is_the_handbooks_alone(tmp_path, order):
    """Nothing in the process changes, and each handbook keeps and shows its own beside those loaded before and after it."""
    before, modules = catalogue(), set(sys.modules)
    handbooks = {module: load(PROJECT / "site_data", shop_with(tmp_path / str(module), module)) for module in order}
    for module, handbook in handbooks.items():
        own = [module.replace("_", "-")] if module else []
        assert list(handbook.catalogue) == [*before, *own]
        assert [name for kind, name in handbook.from_shop if kind == "calculators"] == own
        assert {uri for uri in uris(handbook) if uri.startswith("calculators/")} == {
            f"calculators/{name}.md" for name in ("index", *before, *own)
        }
        pages = Pages(handbook)
        assert list(pages.calculators) == list(handbook.catalogue)
        assert all("Load" in pages.calculator(name) for name in own)
    assert catalogue() == before and not [name for name in {*sys.modules} - modules if name.startswith(SHOP)]


def test_a_rule_may_rest_on_it_and_is_read_where_it_is_not(tmp_path):
    """The rules say which calculators are the shop's own; the command line and its catalogue know nothing of them."""
    shop = shop_with(tmp_path / "shop", "stand_load")
    (shop / "rules.yml").write_text(
        "rules:\n  - {id: ours, because: {stand-load: beyond}, part: caliper, finding: partner-new, over: partner}\n", "utf-8"
    )
    handbook = load(PROJECT / "site_data", shop)
    assert list(decision_rules.problems(handbook)) == []
    data = json.loads(decision_rules.as_json(handbook))
    assert data == json.loads(json.dumps(decision_rules.export(handbook))) and data["calculators"] == ["stand-load"]
    assert read_rules(data).rules[-1].because == [{"stand-load": ["beyond"]}]
    with pytest.raises(ValueError, match="no fact is called “stand-load”"):
        read_rules({key: value for key, value in data.items() if key != "calculators"})


def test_it_never_takes_the_place_of_the_handbooks():
    assert "none of the handbook's" in said(SOUND, "rotor_thickness")[0]


HOSTILE = {
    "example_loop": "while above(load, rating): pass",
    "example_end": "if above(load, rating): raise SystemExit(0)",
    "example_fill": "while above(load, rating): HELD.append('x' * 50_000_000)",
}


@pytest.fixture(scope="module")
def own_site(tmp_path_factory):
    """A handbook with a shop's calculators, some of which turn hostile where the rating is too small."""
    folder = tmp_path_factory.mktemp("own")
    scaffold.new_shop(folder / "our-shop")
    for module, line in HOSTILE.items():
        text = (
            SOUND.replace("stand_load", module)
            .replace("load = axle_load / 2\n", f"load = axle_load / 2\n    {line}\n")
            .replace("@calculator(", "HELD: list[str] = []\n\n\n@calculator(", 1)
        )
        assert line in text
        (folder / "our-shop" / "calculators" / f"{module}.py").write_text(text, "utf-8")
    build_site(folder / "site", folder / "our-shop")
    return folder / "site"


def entered(page, rating: str) -> None:
    page.fill("form.calculator [name=rating]", rating)


def opened(chromium, site, name: str):
    page = chromium.new_page()
    page.goto((site / "calculators" / f"{name}.html").as_uri())
    page.fill("form.calculator [name=axle_load]", "1000 kg")
    return page


@pytest.mark.timeout(900)
def test_it_runs_in_the_page(chromium, own_site):
    page = opened(chromium, own_site, "example-calculator")
    entered(page, "450 kg")
    page.locator(".verdict--beyond").wait_for(timeout=60_000)
    assert "500" in page.locator(".calculator__answer").inner_text()
    assert page.locator(".shop-mark").count() == 1
    page.close()


@pytest.mark.timeout(900)
@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("example-loop", "took more than 5 seconds and was stopped"),
        ("example-end", "stopped on this entry"),
        ("example-fill", "stopped on this entry|was stopped"),
    ],
)
def test_one_that_turns_hostile_in_the_page_is_one_line_and_the_next_entry_is_answered(chromium, own_site, name, says):
    page = opened(chromium, own_site, name)
    entered(page, "2000 kg")
    page.locator(".verdict--within").wait_for(timeout=60_000)
    entered(page, "450 kg")
    page.locator(".calculator__state", has_text=re.compile(says)).wait_for(timeout=120_000)
    assert page.locator(".verdict").count() == 0 and "\n" not in page.locator(".calculator__state").inner_text()
    entered(page, "2100 kg")
    page.locator(".verdict--within").wait_for(timeout=120_000)
    page.close()
