"""The page writer's Python, inside the page: a shop's files are checked and rendered by the same code as in a build.

JSON text in, JSON text out; nothing escapes as an exception. A request holds one of

    {"look": {"files": {"procedures/our-job.yml": "…"}, "at": "procedures/our-job.yml"}}
        → {"result": {"problems": [{file, line, column, message, example, form}], "data": …, "page": {file, kind, title, html, entries}}}
    {"save": {"files": {…}}}                                  → {"result": {"problems": […], "pages": [page], "vehicles": [sheet]}}
    {"write": {…}}      plain data of a file                     → {"result": {"text": YAML}}
    {"choices": {}}     what a form offers                       → {"result": {"cautions": [[id, label], …], …}}

`data` is null where the file cannot be read, `page` is null where something is to be mended or the file makes no page.
"""

from __future__ import annotations

import dataclasses
import json
import re
from collections.abc import Mapping
from functools import cache
from html import escape
from pathlib import Path
from typing import IO, Any

import markdown
import yaml

from build_tools.checks.check import check
from build_tools.checks.vehicles import sheet_notices
from build_tools.content.handbook import Handbook
from build_tools.content.load import add_files, add_stock, drawing_titles, files_of, worth_saying
from build_tools.content.problems import ContentError, Problem
from build_tools.content.shop import shop_changes
from build_tools.content.shop.shop_markdown import EXTENSIONS, ShopMarkdown
from build_tools.content.yaml_reader import decode, read
from build_tools.pages import search
from build_tools.pages.render import Pages
from build_tools.paths import PROJECT

STOCK = PROJECT / "stock.json"
SHOP = "shop"  # as if the files lay in a folder of that name
LARGEST = 300_000  # characters of all files together: shop-data.js is read by every page


def evaluate(text: str) -> str:
    """Answer a request with {"result": …} or {"problem": "one line"}. Never raises."""
    try:
        ((kind, given),) = json.loads(text).items()
        answer: dict[str, Any] = {"result": {"look": look, "save": save, "write": write, "choices": choices}[kind](given)}
    except Exception as error:  # the border of the page: whatever happens becomes one line there
        answer = {"problem": f"the page could not be worked on ({type(error).__name__}: {str(error)[:200]}); please report it"}
    return json.dumps(answer, ensure_ascii=False)


def look(given: dict[str, Any]) -> dict[str, Any]:
    """The file `at` among a shop's `files`: every problem of the shop, its plain data, and the page it makes."""
    at = given["at"]
    handbook, problems, data = taken(given["files"], at)
    return {"problems": problems, "data": data, "page": None if problems else page_of(handbook, at)}


def save(given: dict[str, Any]) -> dict[str, Any]:
    """Every page and every vehicle's sheet of a shop's files, or what is to be mended before."""
    handbook, problems, _ = taken(given["files"])
    pages = [] if problems else [page for at in sorted(given["files"]) if (page := page_of(handbook, at))]
    vehicles = [handbook.vehicles[key] for kind, key in sorted(handbook.from_shop) if kind == "vehicles"]
    return {
        "problems": problems,
        "pages": pages,
        "vehicles": [vehicle.model_dump(mode="json", exclude_none=True, exclude={"replaces_stock"}) for vehicle in vehicles],
    }


def taken(files: dict[str, str], at: str = "") -> tuple[Handbook, list[dict[str, Any]], Any]:
    """The handbook with a shop's files in it, what is to be mended, and the plain data of the file `at`."""
    if sum(map(len, files.values())) > LARGEST:
        raise ValueError(f"the pages together have over {LARGEST:,} characters; move some into the shop's own folder")
    handbook = stock()
    given = {"shop.yml": "name: This shop\n", **files}
    problems = add_files(handbook, {name: text.encode("utf-8") for name, text in given.items()}, SHOP, True)
    problems += worth_saying(handbook, shop_changes.apply(handbook))
    data = data_of(files[at]) if at.endswith(".yml") and at in files else None
    own = {key for kind, key in handbook.from_shop if kind == "procedures"}
    problems = sorted({*problems, *check(handbook, only=own)[0], *sheet_notices(handbook)})  # written today: no older sheet
    return handbook, [as_line(problem, files) for problem in problems], data


def as_line(problem: Problem, files: Mapping[str, str]) -> dict[str, Any]:
    """A problem for the page: its place among the files, its sentence, a correct example, and the same in the words of the form."""
    file = problem.file.removeprefix(f"{SHOP}/")
    said = problem.as_data() | {"file": file, "message": problem.sentence, "example": problem.correct}
    return said | {"form": in_form(problem, files[file]) if file.startswith("procedures/") and file in files else None}


# entry of a procedure or step → its label in docs/scripts/shop/writer-form.js
LABELS = {
    "title": "Title",
    "purpose": "What it is for, in one sentence",
    "end_state": "Done when",
    "minutes": "Minutes, for one who has done it before",
    "conditions": "What must be so before the first step, a line each",
    "tools": "Tools",
    "supplies": "Supplies",
    "cautions": "Safety messages for the whole page",
}
STEP_LABELS = {
    "do": "Do",
    "why": "Why",
    "expect": "What is true when it has worked",
    "for": "Signed for",
    "enter": "Written down",
    "text": "What is asked",
    "findings": "Part",
    "calculator": "Calculator",
    "cautions": "Safety messages before this step",
    "record": "Stands on the customer’s page",
}


def in_form(problem: Problem, text: str) -> dict[str, Any] | None:
    """A problem as the form's writer meets it: which step (from 0, else -1) and entry, the label there, what to do; None where the form shows no such entry."""
    try:
        path = _path_at(read(text, "").origin.node, problem.line - 1, problem.column - 1)
    except ContentError:
        return None
    missing = re.search(r"The entry '([a-z_]+)' is missing", problem.message) if problem.code == "E101" else None
    names = [*path, *([missing[1]] if missing else [])]
    step = names[1] if names[:1] == ["steps"] and len(names) > 1 else -1
    labels = LABELS if step == -1 else STEP_LABELS
    entry = next((name for name in reversed(names) if name in labels), "")
    if not entry and step == -1:
        return None
    label = labels.get(entry, "")
    place = ": ".join([*([f"Step {step + 1}"] if step >= 0 else []), *([label] if label else [])])
    match problem.code:
        case "E101" | "E105" | "E107":
            says = f"Fill in “{label}”." if label else problem.sentence
        case "E108":
            says = f"Write “{label}” as a whole number in figures alone, without a unit."
        case "J109":
            says = "This step holds two actions. Keep one here, and write the other with “Add a step”."
        case _:
            says = problem.sentence
    begins, _, example = problem.correct.partition(": ")
    return {
        "step": step,
        "entry": entry,
        "place": place,
        "message": says,
        "example": example if begins == entry and "\n" not in example and example[:1] not in "[{" else "",
    }


def _path_at(node: yaml.Node, line: int, column: int) -> list[Any]:
    """The way to the last entry that begins at or before a place and holds it."""
    place = (line, column)
    if isinstance(node, yaml.MappingNode):
        inside = [(key.value, value) for key, value in node.value if (key.start_mark.line, key.start_mark.column) <= place]
    else:
        inside = (
            list(enumerate(each for each in node.value if (each.start_mark.line, each.start_mark.column) <= place))
            if isinstance(node, yaml.SequenceNode)
            else []
        )
    if not inside or isinstance(node, yaml.MappingNode) and (node.start_mark.line, node.start_mark.column) == place:
        return []  # said of the whole: which of its entries, the message tells
    name, value = inside[-1]
    return [name, *_path_at(value, line, column)]


@cache
def _stock() -> Handbook:
    # Without the steps of 0.1.0: that version had no such page, so no record of one is older.
    handbook = Handbook(drawings=drawing_titles(PROJECT / "docs" / "drawings"))
    add_stock(handbook, json.loads(STOCK.read_text("utf-8")))
    return handbook


def stock() -> Handbook:
    """The handbook as it ships, in containers that may be added to."""
    known = _stock()
    return dataclasses.replace(known, **{f.name: getattr(known, f.name).copy() for f in dataclasses.fields(known) if f.name != "shop"})


def data_of(text: str) -> Any:
    """The plain data of a YAML text; None where it cannot be read."""
    try:
        return read(text, "").data
    except ContentError:
        return None


# ---- the page ----------------------------------------------------------------------------------------------------


def page_of(handbook: Handbook, at: str) -> dict[str, Any] | None:
    """The page that a file makes, as a site shows it, with its sections for the search; None for a file without a page."""
    folder, _, name = at.partition("/")
    pages = Pages(handbook)
    if folder == "procedures":
        text, more = pages.procedure(handbook.procedures[Path(name).stem]), []
    elif folder == "pages":
        text, more = pages.shop_page(name, handbook.shop_pages[name]), [ShopMarkdown()]
    else:
        return None
    meta, body = _front(text)
    html = markdown.markdown(body, extensions=[*EXTENSIONS, *more], extension_configs=EXTENSIONS)
    if folder == "pages":
        html = _mark(meta) + _links(html)
    sections = search.sections(html)
    title = sections[0].title if sections and sections[0].title else Path(name).stem.replace("-", " ").capitalize()
    if folder == "pages" and "<h1" not in html:
        html = f"<h1>{escape(title)}</h1>{html}"
    entries = search.entries([search.Page(uri=f"own/page.html?{at}", title=title, kind="shop", sections=tuple(sections))])
    return {"file": at, "kind": folder.rstrip("s"), "title": title, "html": html, "entries": entries}


def _front(text: str) -> tuple[dict[str, str], str]:
    """What stands between the two lines of --- at the top of a rendered page, and the rest."""
    _, head, body = text.split("---\n", 2)
    return dict(yaml.load(head, Loader=yaml.BaseLoader) or {}), body


def _mark(meta: dict[str, str]) -> str:
    return f'<p class="shop-mark">This shop’s own page: {escape(meta.get("shop", ""))}</p><p class="shop-note">{escape(meta.get("signed", ""))}</p>'


def _links(html: str) -> str:
    """Links between Markdown files lead to the pages made of them, as MkDocs writes them."""
    html = re.sub(r'href="(?![a-z]+:|#|\.\./)([^"#]+\.md)(#[^"]*)?"', r'href="page.html?pages/\1\2"', html)
    return re.sub(r'href="(\.\./[^"#:]+)\.md(#[^"]*)?"', r'href="\1.html\2"', html)


# ---- the form ----------------------------------------------------------------------------------------------------


def write(data: Any) -> dict[str, str]:
    """Plain data as the YAML of a file, in the order in which it is given."""
    text = yaml.dump(data, Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=100)
    return {"text": text}


class _Dumper(yaml.emitter.Emitter, yaml.serializer.Serializer, yaml.representer.SafeRepresenter, yaml.resolver.BaseResolver):
    """Writes text as it is, since every entry is read as text; lists are indented under their key, as the stock files are."""

    def __init__(
        self,
        stream: IO[str],
        default_style: str | None = None,
        default_flow_style: bool = False,
        canonical: bool | None = None,
        indent: int | None = None,
        width: int | None = None,
        allow_unicode: bool | None = None,
        line_break: str | None = None,
        encoding: str | None = None,
        explicit_start: bool | None = None,
        explicit_end: bool | None = None,
        version: tuple[int, int] | None = None,
        tags: Mapping[str, str] | None = None,
        sort_keys: bool = True,
    ) -> None:
        yaml.emitter.Emitter.__init__(
            self, stream, canonical=canonical, indent=indent, width=width, allow_unicode=allow_unicode, line_break=line_break
        )
        yaml.serializer.Serializer.__init__(self, encoding=encoding)
        yaml.representer.SafeRepresenter.__init__(
            self, default_style=default_style, default_flow_style=default_flow_style, sort_keys=sort_keys
        )
        yaml.resolver.BaseResolver.__init__(self)

    def increase_indent(self, flow: bool = False, indentless: bool = False) -> None:
        return super().increase_indent(flow, False)


def choices(_: Any) -> dict[str, list[list[str]]]:
    """What the form offers: id and label of everything a procedure can name."""
    handbook = _stock()

    def components(kind: str) -> list[list[str]]:
        return sorted(([c.id, c.label] for c in handbook.components.values() if c.kind == kind), key=lambda pair: pair[1])

    return {
        "cautions": [[c.id, f"{c.signal.capitalize()}: {c.hazard}"] for c in handbook.cautions.values()],
        "tools": components("tool"),
        "supplies": components("supply"),
        "findings": [[name, handbook.components[name].label] for name in handbook.findings if name in handbook.components],
        "calculators": [
            [c.name, c.title, *(name for name, field in c.inputs.items() if field.required)] for c in handbook.catalogue.values()
        ],
        "procedures": sorted(([p.id, p.title] for p in handbook.procedures.values() if p.kind == "procedure"), key=lambda pair: pair[1]),
    }


def stock_files(folder: Path) -> dict[str, Any]:
    """The stock content as plain data by path: what `STOCK` holds in the page. Raises ContentError."""
    return {name: read(decode(raw, name), name).data for name, raw in files_of(folder).items()}


def pack_content(project: Path) -> dict[str, bytes]:
    """What the pack of the page holds beside code: the stock content, and of every drawing its name and title. Raises ContentError."""
    drawings = {
        path: re.search(r"<title[^>]*>.*?</title>", path.read_text("utf-8"), re.DOTALL)
        for path in (project / "docs/drawings").glob("*.svg")
    }
    titles = {f"docs/drawings/{path.name}": f"<svg>{found[0] if found else ''}</svg>".encode() for path, found in drawings.items()}
    return {STOCK.name: json.dumps(stock_files(project / "site_data"), ensure_ascii=False).encode(), **titles}
