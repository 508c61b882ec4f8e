"""A shop's own calculators: in the catalogue and the page's pack like the others; a mistake in one is one line."""
import re

import pytest

from build_tools import new, shop_calculators
from build_tools.commands import build_site
from build_tools.problems import ContentError
from calculators import MODULES, catalogue, names
from calculators.page import evaluate

SOUND = (new.BEGINNINGS / "calculator.py").read_text("utf-8").replace("MODULE", "stand_load").replace("TITLE", "Load")


def said(text: str, module: str = "stand_load") -> list[str]:
    with pytest.raises(ContentError) as caught:
        shop_calculators.take({module: (f"shop/calculators/{module}.py", text)})
    assert names() == [name.replace("_", "-") for name in MODULES]
    return [str(problem) for problem in caught.value.problems]


def test_it_answers_like_the_others_and_goes_again():
    assert shop_calculators.take({"stand_load": ("f.py", SOUND)}) == ["stand-load"]
    assert names()[-1] == "stand-load"
    verdict = catalogue()["stand-load"].run(axle_load="1000 kg", rating="450 kg").verdict
    assert verdict.code == "beyond" and "500\u00a0kg" in verdict.text  # 1000 ÷ 2 by hand
    assert '"code": "within"' in evaluate('{"calculator": "stand-load", "given": {"axle_load": "2000 lb", "rating": "1001 lb"}, "system": "inch"}')
    shop_calculators.take({})
    assert "stand-load" not in catalogue()


@pytest.mark.parametrize(("old", "new_text", "says"), [
    ('"load": "450 kg"', '"load": "460 kg"', r":1:1: K105 The calculator stopped here: stand-load: load says '460 kg', prints '450 kg'"),
    ("load = axle_load / 2", "load = axle_load / 0", r":\d+:1: .*(DivisionByZero|ZeroDivisionError)"),
    ("load = axle_load / 2", "load = axle_load /", r":\d+:\d+: K102 Python cannot read this line"),
    ("from typing import Annotated", "from typing import Annotated\nimport os", r":9:1: K103 'os' is not in the page's Python"),
    ("from typing import Annotated", "from typing import Annotated\nfrom numpy import mean", r":9:1: K103 'numpy'"),
    ("def stand_load(", "def other(", r":1:1: K104 The file holds no calculator of its name"),
])
def test_a_mistake_is_said_in_one_line_with_its_place(old, new_text, says):
    assert old in SOUND
    (line,) = said(SOUND.replace(old, new_text, 1))
    assert line.startswith("shop/calculators/stand_load.py:") and re.search(says, line) and "\n" not in line, line


def test_it_never_takes_the_place_of_the_handbooks():
    assert "none of the handbook's" in said(SOUND, "rotor_thickness")[0]


def test_it_runs_in_the_page(chromium, tmp_path):
    new.new_shop(tmp_path / "our-shop")
    build_site(tmp_path / "site", tmp_path / "our-shop")
    page = chromium.new_page()
    page.goto((tmp_path / "site" / "calculators" / "example-calculator.html").as_uri())
    page.fill("form.calculator [name=axle_load]", "1000 kg")
    page.fill("form.calculator [name=rating]", "450 kg")
    page.locator(".verdict--beyond").wait_for(timeout=60_000)
    assert "500" in page.locator(".calculator__answer").inner_text()
    assert page.locator(".shop-mark").count() == 1
    page.close()
