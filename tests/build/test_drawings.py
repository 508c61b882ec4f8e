"""The drawings: drawn anew they are what the handbook ships, and they obey the pages' policy."""

import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest

from build_tools.drawings import ALL
from build_tools.drawings.setups import _star

FOLDER = Path(__file__).resolve().parents[2] / "docs" / "drawings"
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


@pytest.mark.parametrize(
    ("count", "clockwise_places"),
    # Tightening across, common practice, no source: five in a star, even counts in opposite pairs.
    [(4, [0, 2, 1, 3]), (5, [0, 2, 4, 1, 3]), (6, [0, 3, 2, 5, 4, 1])],
)
def test_star_goes_across(count, clockwise_places):
    assert _star(count) == clockwise_places
