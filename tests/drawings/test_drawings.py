"""The drawings: drawn anew they are what the handbook ships, and they obey the pages' policy."""

import itertools
import math
import xml.etree.ElementTree as ElementTree

import pytest

from build_tools.content.load import load
from build_tools.drawings import ALL
from build_tools.drawings.setups import _star
from build_tools.paths import PROJECT

FOLDER, STOCK = PROJECT / "docs" / "drawings", PROJECT / "site_data"
SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("name", ALL)
def test_shipped_drawing_is_the_one_drawn_from_geometry(name):
    assert (FOLDER / f"{name}.svg").read_text(encoding="utf-8") == ALL[name]().svg()


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.svg")), ids=lambda path: path.stem)
def test_drawing_can_stand_under_the_policy(path):
    root = ElementTree.parse(path).getroot()
    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None and title.text and description is not None and description.text
    for element in root.iter():
        assert element.tag not in (f"{SVG}style", f"{SVG}script", f"{SVG}image", f"{SVG}use")
        assert "style" not in element.attrib
        assert not any(name.startswith("on") or name.endswith("href") for name in element.attrib)


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.svg")), ids=lambda path: path.stem)
def test_shapes_stay_on_the_sheet(path):
    root = ElementTree.parse(path).getroot()
    width, height = (float(side) for side in root.attrib["viewBox"].split()[2:])
    for circle in root.iter(f"{SVG}circle"):
        x, y, r = (float(circle.attrib[name]) for name in ("cx", "cy", "r"))
        assert r - 0.5 <= x <= width - r + 0.5 and r - 0.5 <= y <= height - r + 0.5


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.svg")), ids=lambda path: path.stem)
def test_words_can_be_read_on_a_phone_and_stay_on_the_sheet(path):
    """A drawing of 400 units is 358 px wide on a phone of 390 px; nothing there is read below 16 px."""
    root = ElementTree.parse(path).getroot()
    for group in root.iter(f"{SVG}g"):
        if group.find(f"{SVG}text") is not None:
            assert float(group.attrib["font-size"]) * 358 / 400 >= 16
    for words in root.iter(f"{SVG}text"):
        width = 8.4 * len(words.text)  # of the widest of the usual sans-serif faces, on an average
        left = {"start": 0, "end": -width}.get(words.get("text-anchor"), -width / 2) + float(words.attrib["x"])
        assert left >= 0 and left + width <= 400, words.text
        bubbles = [
            c for c in root.iter(f"{SVG}circle") if c.get("r") == "12.5" and abs(float(c.get("cy")) + 6.3 - float(words.get("y"))) < 18
        ]
        if words.get("text-anchor") == "start":
            assert not [c for c in bubbles if left < float(c.get("cx")) - 12.5 < left + width], words.text
        assert "font-size" not in words.attrib


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.svg")), ids=lambda path: path.stem)
def test_call_outs_do_not_cover_each_other(path):
    bubbles = [(float(c.attrib["cx"]), float(c.attrib["cy"])) for c in ElementTree.parse(path).iter(f"{SVG}circle") if c.get("r") == "12.5"]
    assert all(math.dist(a, b) >= 25 for a, b in itertools.combinations(bubbles, 2))


def test_every_answer_of_the_layout_has_its_drawing_without_words():
    """Beside an answer a drawing is about 130 px wide on a phone: too small for words."""
    for axis in load(STOCK).axes.values():
        for value in axis.values:
            assert value.drawing, f"{axis.id}: {value.id}"
            assert not list(ElementTree.parse(FOLDER / f"{value.drawing}.svg").iter(f"{SVG}text")), value.drawing


@pytest.mark.parametrize(
    ("count", "clockwise_places"),
    # Tightening across, common practice, no source: five in a star, even counts in opposite pairs.
    [(4, [0, 2, 1, 3]), (5, [0, 2, 4, 1, 3]), (6, [0, 3, 2, 5, 4, 1])],
)
def test_star_goes_across(count, clockwise_places):
    assert _star(count) == clockwise_places
