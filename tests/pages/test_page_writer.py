"""The page writer's Python, run here: the same pages as a build makes, every text kept, nothing hostile through."""

from __future__ import annotations

import json
from html.parser import HTMLParser

import pytest
from mkdocs.config import load_config

from build_tools.content.load import files_of
from build_tools.content.shop import import_pages, shop_markdown
from build_tools.content.yaml_reader import decode, read
from build_tools.exchange import shop_data
from build_tools.pages import page_writer, search
from build_tools.paths import PROJECT

EXAMPLE = "procedures/after-a-loose-wheel.yml"


@pytest.fixture(scope="module", autouse=True)
def stock(tmp_path_factory):
    """In the page this file lies beside the packages."""
    path = tmp_path_factory.mktemp("stock") / "stock.json"
    path.write_text(json.dumps(page_writer.stock_files(PROJECT / "site_data"), ensure_ascii=False), "utf-8")
    before, page_writer.STOCK = page_writer.STOCK, path
    yield
    page_writer.STOCK = before
    page_writer._stock.cache_clear()


@pytest.fixture(scope="module")
def files():
    folder = PROJECT / "build_tools/example_shop"
    return {name: decode(raw, name) for name, raw in files_of(folder).items() if shop_data.FILE.fullmatch(name)}


def ask(**request):
    return json.loads(page_writer.evaluate(json.dumps(request)))


def test_markdown_is_read_as_in_a_build():
    config = load_config(str(PROJECT / "mkdocs.yml"))  # with the three that MkDocs brings
    assert {
        f"markdown.extensions.{name}": config.mdx_configs.get(name, {}) for name in config.markdown_extensions
    } == shop_markdown.EXTENSIONS


@pytest.mark.parametrize(
    ("at", "built"), [(EXAMPLE, "procedures/after-a-loose-wheel.html"), ("pages/house-rules.md", "shop/house-rules.html")]
)
def test_a_page_is_the_one_that_a_build_makes(files, shop_site, at, built):
    """Every section says the same, and every step has the same fingerprint; the page's top also holds the site's frame there."""
    result = ask(look={"files": files, "at": at})["result"]
    assert result["problems"] == []
    written, made = result["page"]["html"], (shop_site / built).read_text("utf-8").split("<footer")[0]
    assert steps_of(written) == steps_of(made) and bool(steps_of(written)) == at.startswith("procedures/")
    sections = [section for section in search.sections(written) if section.anchor]
    assert sections and set(sections) <= set(search.sections(made))
    assert {entry["uri"] for entry in result["page"]["entries"]} == {f"own/page.html?{at}"}


def steps_of(html: str) -> dict[str, str]:
    """Address → fingerprint of each step."""
    elements = Elements()
    elements.feed(html)
    found = [dict(attributes) for _, attributes in elements.found]
    return {each["data-step"]: each["data-hash"] for each in found if "data-step" in each}


def test_every_stock_file_can_be_written_again_without_a_change():
    for name, data in page_writer.stock_files(PROJECT / "site_data").items():
        text = ask(write=data)["result"]["text"]
        assert read(text, name).data == data, name


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>",
        '<img src=x onerror="alert(1)">',
        "[x](javascript:alert(1))",
        "[x](java&#115;cript:alert(1))",
        "<svg onload=alert(1)>",
        "![x](data:text/html;base64,PHNjcmlwdD4=)",
        '<a style="x" href="vbscript:x">y</a>',
        "[x]: javascript:alert(1)\n\n[x]",
    ],
)
def test_markup_in_a_shops_text_is_never_markup(files, text):
    bodies = {"pages/rules.md": f"# Rules\n\n{text}\n", "procedures/ours.yml": json.dumps(procedure(text), ensure_ascii=False)}
    for at in bodies:
        result = ask(look={"files": bodies, "at": at})["result"]
        html = page_writer.page_of(*_whole(bodies, at))["html"] if result["page"] is None else result["page"]["html"]
        elements = Elements()
        elements.feed(html)
        assert {"script", "svg", "iframe"}.isdisjoint(tag for tag, _ in elements.found)
        assert [
            (tag, name, value)
            for tag, attributes in elements.found
            for name, value in attributes
            if name.startswith("on") or name == "style" or name in ("href", "src") and (value or "").split("/")[0].partition(":")[1]
        ] == []


class Elements(HTMLParser):
    """Every element with its attributes, as a browser reads them."""

    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, attrs))


def _whole(files, at):
    handbook, _, _ = page_writer.taken(files, at)
    return handbook, at


def procedure(text: str) -> dict:
    return {
        "id": "ours",
        "title": f"Ours {text}",
        "purpose": text,
        "end_state": text,
        "people": {"skill": text, "minutes": "5"},
        "conditions": [text],
        "tools": "none",
        "supplies": "none",
        "cautions": "none",
        "changes": [{"revision": "1", "date": "2026-11-27", "reason": text}],
        "sources": "common-practice",
        "steps": [{"id": "one", "do": f"Look at it {text}", "why": text, "expect": text, "enter": {"text": text}}],
    }


@pytest.mark.parametrize(
    "request_",
    [
        "",
        "[]",
        "{}",
        '{"look": 1}',
        '{"look": {"files": {}, "at": "procedures/x.yml"}}',
        '{"nothing": {}}',
        '{"save": {"files": {"a": 1}}}',
    ],
)
def test_a_wrong_request_is_one_line(request_):
    answer = json.loads(page_writer.evaluate(request_))
    assert list(answer) in (["problem"], ["result"])
    if "problem" in answer:
        assert "\n" not in answer["problem"] and "Traceback" not in answer["problem"]


def test_a_mistake_is_said_with_its_place(files):
    broken = {**files, EXAMPLE: files[EXAMPLE].replace("takes_off", "takes_of")}
    problem = ask(look={"files": broken, "at": EXAMPLE})["result"]["problems"][0]
    assert problem["file"] == EXAMPLE and problem["line"] > 1 and "takes_off" in problem["message"]


def told(change) -> list[dict]:
    """What the form says of a procedure with something wrong in it."""
    data = procedure("Look at it")
    data["steps"] = [{"id": "one", "do": "Look at the rotor."}, {"id": "two", "do": "Look at the pads."}]
    change(data)
    text = ask(write=data)["result"]["text"]
    problems = ask(look={"files": {"procedures/ours.yml": text}, "at": "procedures/ours.yml"})["result"]["problems"]
    return [problem["form"] for problem in problems]


@pytest.mark.parametrize(
    ("change", "place", "says"),
    [
        (lambda data: data["steps"][1].pop("do"), "Step 2: Do", "Fill in “Do”."),
        (lambda data: data["steps"][1].update(do="Look at it. Measure it."), "Step 2: Do", "“Add a step”"),
        (lambda data: data.pop("purpose"), "What it is for, in one sentence", "Fill in “What it is for, in one sentence”."),
        (lambda data: data.update(end_state=""), "Done when", "Fill in “Done when”."),
        (lambda data: data["people"].update(minutes="40 min"), "Minutes, for one who has done it before", "whole number"),
        (lambda data: data["steps"][0].update(enter={"text": ""}), "Step 1: What is asked", "Fill in “What is asked”."),
    ],
)
def test_the_form_is_told_by_its_labels(change, place, says):
    (form,) = told(change)
    assert form["place"] == place and says in form["message"]
    assert not any(sign in form["message"] + form["example"] for sign in ("{", "[", "'do'", "'purpose'", "line "))


def test_every_label_of_the_form_is_the_one_that_a_problem_names():
    form = (PROJECT / "docs/scripts/shop/writer-form.js").read_text("utf-8")
    for label in {*page_writer.LABELS.values(), *page_writer.STEP_LABELS.values()}:
        assert f'"{label}"' in form, label


# ---------------------------------------------------------------- from the browser into the folder


def saved(tmp_path, files) -> str:
    path = tmp_path / "shop-data.js"
    path.write_text(
        f"// Saved.\nself.shopData = {json.dumps({'format': 'wheel-end-shop/1', 'files': files, 'pages': [], 'vehicles': []})};\n", "utf-8"
    )
    return path


def test_pages_written_in_the_browser_go_into_a_folder_and_over_nothing(tmp_path, files):
    path, folder = saved(tmp_path, files), tmp_path / "our-shop"
    fresh, kept = import_pages.import_pages(path, folder)
    assert fresh == sorted(files) and kept == []
    assert {name: (folder / name).read_text("utf-8") for name in files} == files
    (folder / EXAMPLE).write_text("id: mine\n", "utf-8")
    assert import_pages.import_pages(path, folder) == ([], [EXAMPLE])
    assert (folder / EXAMPLE).read_text("utf-8") == "id: mine\n"


@pytest.mark.parametrize(
    "name",
    [
        "../x.yml",
        "/etc/x.yml",
        "procedures/../../x.yml",
        "procedures/a/b.yml",
        "calculators/x.py",
        "C:/x.yml",
        "procedures/X.yml",
        "pages/x.html",
    ],
)
def test_a_name_outside_the_folder_is_refused(tmp_path, name):
    with pytest.raises(import_pages.ImportPagesError, match="no place in a shop's folder"):
        import_pages.import_pages(saved(tmp_path, {name: "x"}), tmp_path / "our-shop")
    assert not (tmp_path / "our-shop").exists()


@pytest.mark.parametrize(
    "text", ["", "self.shopData = null;\n", "self.shopData = {;\n", "alert(1)", "self.shopData = " + "[" * 100_000 + ";\n"]
)
def test_another_file_is_refused_with_one_line(tmp_path, text):
    path = tmp_path / "shop-data.js"
    path.write_text(text, "utf-8")
    with pytest.raises(import_pages.ImportPagesError, match="no pages in it") as caught:
        import_pages.import_pages(path, tmp_path / "our-shop")
    assert "\n" not in str(caught.value)
