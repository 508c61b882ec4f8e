"""Files → the handbook: stock content and a shop's folder, every mistake found in one pass and said with its place.

`add_files` takes texts and no paths, so that a page can use it as well.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path, PurePosixPath
from types import GenericAlias
from typing import Any

import yaml
from pydantic import BaseModel

from build_tools.content import model
from build_tools.content.handbook import Handbook
from build_tools.content.meaning import earlier
from build_tools.content.mistakes import MISTAKES
from build_tools.content.problems import ContentError, Problem, alike, nearest, one_line, one_of, quoted
from build_tools.content.shop import page_limits, plain_files, shop_calculators, shop_changes
from build_tools.content.validate import MOST_SAID, validate
from build_tools.content.yaml_reader import LARGEST_FILE, Document, Loc, Origin, at, decode, read, read_json, too_large
from build_tools.paths import PROJECT

_ListRule = tuple[str | None, str, type[BaseModel], str]
_Single = model.Procedure | model.Vehicle | model.ReferencePage | model.Caution

# file or folder → (key of the list in the file, None where the file is the list; kind; type; attribute that names an item)
_LISTS: dict[str, _ListRule] = {
    "sheet.yml": ("fields", "fields", model.SheetField, "path"),
    "cautions.yml": ("cautions", "cautions", model.Caution, "id"),
    "sources.yml": ("sources", "sources", model.Source, "id"),
    "terms.yml": (None, "terms", model.Term, "id"),
    "decisions.yml": ("parts", "findings", model.PartFindings, "part"),
    "rules.yml": ("rules", "rules", model.DecisionRule, "id"),
    "components": ("components", "components", model.Component, "id"),
    "changes": ("changes", "changes", model.StepChange, "step"),
}
_SINGLES: dict[str, type[_Single]] = {
    "procedures": model.Procedure,
    "vehicles": model.Vehicle,
    "references": model.ReferencePage,
    "cautions": model.Caution,
}
# kind of file → type, and the key of its list where it holds one; what build_tools/content/json_schema.py writes
FILES: dict[str, tuple[type[BaseModel] | GenericAlias, str | None]] = {
    "shop": (model.Shop, None),
    "procedure": (model.Procedure, None),
    "vehicle": (model.Vehicle, None),
    "caution": (model.Caution, None),
    "page": (model.PageHead, None),
    "reference": (model.ReferencePage, None),
    "layout": (model.LayoutFile, None),
    **{name.removesuffix(".yml"): (cls, key) if key else (GenericAlias(list, (cls,)), None) for name, (key, _, cls, _) in _LISTS.items()},
}
PICTURES = plain_files.PICTURES


def load(stock: Path, shop: Path | None = None) -> Handbook:
    """Read the stock content and, where given, a shop's folder. ContentError holds every mistake found."""
    handbook, problems = load_with_problems(stock, shop)
    if problems:
        raise ContentError(problems)
    return handbook


def load_with_problems(stock: Path, shop: Path | None = None) -> tuple[Handbook, list[Problem]]:
    """What could be read of the stock content and of a shop's folder, and every mistake found."""
    handbook, problems = Handbook(drawings=drawing_titles(), earlier=earlier("0.1.0")), []
    for folder in filter(None, (stock, shop)):
        problems += add_folder(handbook, folder, folder is shop)
    return handbook, problems + finish(handbook)


def drawing_titles(folder: Path = PROJECT / "docs" / "drawings") -> dict[str, str]:
    """Name → title of every drawing of the handbook."""
    titles = {}
    for path in sorted(folder.glob("*.svg")):
        found = re.search(r"<title[^>]*>(.*?)</title>", path.read_text("utf-8"), re.DOTALL)
        titles[path.stem] = html.unescape(found[1].strip()) if found else path.stem.replace("-", " ")
    return titles


def add_folder(handbook: Handbook, folder: Path, is_shop: bool) -> list[Problem]:
    """Take in every file of a folder; every mistake found is given back, and what is sound is taken all the same."""
    problems: list[Problem] = []
    files: dict[str, bytes] = {}
    pictures: list[plain_files.Found] = []
    held: dict[str, str] = {}
    for found in plain_files.below(folder):
        is_picture = is_shop and found.name.startswith("pictures/") or found.name == "pictures"
        if found.name and not (is_picture or _is_content(found.name) or found.says and PurePosixPath(found.name).parts[0] in _ENDINGS):
            continue
        place = f"{folder.name}/{found.name}".rstrip("/")
        other = held.setdefault(plain_files.alike(found.name), found.name)
        if found.says:
            mistake = Problem(place, 1, 1, "F115", found.says, f"pictures/{found.path.name}" if is_picture else "")
        elif other != found.name:
            mistake = Problem(place, 1, 1, "F118", f"Many systems hold this and {quoted(other)} as one file; rename one of them.")
        elif is_picture:
            pictures.append(found)
            continue
        elif found.size > LARGEST_FILE:
            mistake = too_large(place, found.size)
        else:
            try:
                files[found.name] = found.path.read_bytes()
                continue
            except OSError as error:
                mistake = Problem(place, 1, 1, "F115", f"It cannot be opened: {error.strerror}.")
        problems.append(_shown(mistake))
        if found.name:
            handbook.unread.add(_kind_of(PurePosixPath(found.name)))
    problems += add_files(handbook, files, folder.name, is_shop)
    return problems + [_shown(problem) for found in pictures for problem in _add_picture(handbook, found, f"{folder.name}/{found.name}")]


def _shown(problem: Problem) -> Problem:
    """A problem of which the name of the file can be written, whatever signs stand in it."""
    return replace(problem, file=one_line(problem.file), example=one_line(problem.example))


def add_stock(handbook: Handbook, files: dict[str, Any]) -> None:
    """Take in the stock content as data that was read before, by path: nothing in it is asked for its place any more."""
    start = yaml.Mark("", 0, 0, 0, None, 0)
    for name, data in files.items():
        _add_document(
            handbook, Document(data, Origin(f"site_data/{name}", yaml.ScalarNode("", "", start, start))), PurePosixPath(name), False
        )


def finish(handbook: Handbook) -> list[Problem]:
    """Once all files are added: a shop's calculators join the handbook's, and its changes go into the handbook's steps."""
    problems: list[Problem] = []
    try:
        own = shop_calculators.read_all(handbook.calculator_files)
        handbook.catalogue = {**handbook.catalogue, **own}
        handbook.from_shop |= {("calculators", name) for name in own}
    except ContentError as error:
        problems += error.problems
        handbook.unread.add("calculators")
    return problems + worth_saying(handbook, shop_changes.apply(handbook))


def files_of(folder: Path) -> dict[str, bytes]:
    """Path below the folder → bytes, of every file that may be content by its name; hidden files are left alone."""
    return {found.name: found.path.read_bytes() for found in plain_files.below(folder) if not found.says and _is_content(found.name)}


def _is_content(name: str) -> bool:
    """Whether a file is content, or would be under another name."""
    path = PurePosixPath(name)
    return (
        path.suffix.lower() in (".yml", ".yaml")
        or path.parts[0] in _ENDINGS
        and path.suffix.lower() in (".json", ".md", ".markdown", ".txt", ".py")
    )


_YAML = (".yml",)
_ENDINGS = {"pages": (".md",), "calculators": (".py",), "vehicles": (*_YAML, ".json")} | dict.fromkeys(
    ("procedures", "references", "components", "cautions", "changes"), _YAML
)


def add_files(handbook: Handbook, files: Mapping[str, bytes], folder: str, is_shop: bool) -> list[Problem]:
    """Add the files of one folder (path → bytes); every mistake found. What cannot be read is left out, and `unread` says its kind."""
    problems = []
    for name, raw in files.items():
        path = PurePosixPath(name)
        fault = plain_files.name_fault(name)
        try:
            mistakes = (
                [_shown(Problem(f"{folder}/{name}", 1, 1, "F118", *fault))]
                if fault
                else _add_file(handbook, path, raw, f"{folder}/{name}", is_shop)
            )
        except ContentError as error:
            mistakes = error.problems
        if mistakes:
            handbook.unread.add(_kind_of(path))
            problems += mistakes
    if is_shop and "shop.yml" not in files:
        problems.append(
            Problem(f"{folder}/shop.yml", 1, 1, "F108", "The shop's folder has no file shop.yml.", "name: Example shop (invented)")
        )
    return problems


def worth_saying(handbook: Handbook, problems: Iterable[Problem]) -> list[Problem]:
    """The problems without those that only follow from a file that could not be read."""
    return [problem for problem in problems if not handbook.unread.intersection(MISTAKES[problem.code].rests_on)]


def _kind_of(path: PurePosixPath) -> str:
    """The kind of content that a path holds, or was meant to hold."""
    top = path.parts[0] if len(path.parts) > 1 else f"{path.stem}.yml"
    top = alike(top, [*_LISTS, *_SINGLES, "layout.yml", "calculators"])
    return _LISTS[top][1] if top in _LISTS else top.removesuffix(".yml")


def _add_file(handbook: Handbook, path: PurePosixPath, raw: bytes, name: str, is_shop: bool) -> list[Problem]:
    endings = _ENDINGS.get(path.parts[0], _YAML) if len(path.parts) > 1 else _YAML
    if path.suffix not in endings:
        near = path.with_suffix(endings[0]).name
        return [Problem(name, 1, 1, "F106", f"The name of a file in this place ends with {' or '.join(endings)}; rename it.", near, near)]
    if path.parts[0] == "calculators":
        handbook.calculator_files[path.stem] = name, decode(raw, name)
        return []
    if path.parts[0] == "pages":
        if is_shop:
            uri = path.relative_to("pages").as_posix()
            head, text = read_page(decode(raw, name), name)
            if over := page_limits.fault(text):
                return [at(text, name, over[0], 1, over[1])]
            handbook.page_files[uri], handbook.page_heads[uri], handbook.shop_pages[uri] = name, head, text
        return []
    document = (read_json if path.suffix == ".json" else read)(decode(raw, name), name)
    return _add_document(handbook, document, path, is_shop)


def _add_document(handbook: Handbook, document: Document, path: PurePosixPath, is_shop: bool) -> list[Problem]:
    top = path.parts[0]
    if path.as_posix() == "layout.yml" and not is_shop:
        layout, problems = validate(model.LayoutFile, document.data, document.origin)
        if layout:
            handbook.axes = {axis.id: axis for axis in layout.axes}
            handbook.impossible = layout.impossible
            handbook.origins["layout", ""] = document.origin
        return problems
    if path.as_posix() == "shop.yml" and is_shop:
        handbook.shop, problems = validate(model.Shop, document.data, document.origin)
        return problems
    if top in _SINGLES and len(path.parts) == 2:
        item, problems = validate(_SINGLES[top], document.data, document.origin)
        if item is None:
            return problems
        return _file_name(path, item, document.origin) or _add(handbook, top, item.id, item, document.origin, (), is_shop)
    if top in _LISTS and len(path.parts) == (1 if top.endswith(".yml") else 2):
        return _add_list(handbook, document, _LISTS[top], is_shop)
    return [_misplaced(document.origin.file, path, is_shop)]


def _file_name(path: PurePosixPath, item: _Single, origin: Origin) -> list[Problem]:
    """A file is named after what it holds."""
    if item.id == path.stem:
        return []
    mended = model.FORMS[model.ID].mended(path.stem)
    if mended != path.stem and mended:
        return [
            origin.problem(
                ("id",),
                "F113",
                f"The file is called {quoted(path.name)}; rename it, in lower case words joined by hyphens.",
                f"{mended}{path.suffix}",
                f"{mended}{path.suffix}",
            )
        ]
    return [
        origin.problem(("id",), "F107", f"The file is called {quoted(path.name)}, so the id in it must be '{path.stem}'.", fits=path.stem)
    ]


def _misplaced(name: str, path: PurePosixPath, is_shop: bool) -> Problem:
    places = [
        "shop.yml" if is_shop else "layout.yml",
        *(name if name.endswith(".yml") else f"{name}/" for name in (*_LISTS, *_SINGLES)),
        *(["pages/"] if is_shop else []),
    ]
    near = nearest(path.name if len(path.parts) == 1 else f"{path.parts[0]}/", places)
    return Problem(
        name,
        1,
        1,
        "F105",
        "This file is in a place where nothing is read.",
        f"{near if near.endswith('/') else 'procedures/'}{path.name}" if not near.endswith(".yml") else near,
        near,
        one_of(places, 20),
    )


def _add_list(handbook: Handbook, document: Document, rule: _ListRule, is_shop: bool) -> list[Problem]:
    key, kind, cls, name = rule
    top = () if key is None else (key,)
    data = document.data
    if key is not None:
        data = data[key] if isinstance(data, dict) and list(data) == [key] else None
    if not isinstance(data, list):
        wanted = f"one list named '{key}'" if key else "one list"
        shown = name if name in cls.model_fields else "id"  # the path of a sheet's field is put together from others
        examples = cls.model_fields[shown].examples
        assert examples, "what names an item has an example"
        example = f"{shown}: {examples[0]}"
        return [
            document.origin.problem(
                (), "F109", f"This file must hold {wanted}, and nothing else.", f"{key}:\n  - {example}" if key else f"- {example}"
            )
        ]
    problems = []
    for index, raw in enumerate(data):
        base = (*top, index)
        item, mistakes = validate(cls, raw, document.origin, base)
        problems += mistakes if item is None else _add(handbook, kind, getattr(item, name), item, document.origin, base, is_shop)
        if len(problems) > MOST_SAID:
            break
    return problems


def _add(handbook: Handbook, kind: str, key: str, item: BaseModel, origin: Origin, base: Loc, is_shop: bool) -> list[Problem]:
    held = getattr(handbook, kind)
    signed = getattr(item, "replaces_stock", None)
    if key in held and is_shop and signed and (kind, key) not in handbook.from_shop:
        handbook.replaced[kind, key] = held[key]
    elif key in held:
        other = handbook.origins[kind, key]
        where = f"{other.file}:{other.line(handbook.bases.get((kind, key), ()))}"
        if kind == "changes":
            return [
                origin.problem(
                    (*base, "step"), "S102", f"'{key}' is changed in {where} already; a step has one change, so put both into one."
                )
            ]
        return [
            origin.problem(
                (*base, "part" if kind == "findings" else "id"),
                "N118",
                f"'{key}' is already defined in {where}; choose another id.",
                fits=f"own-{key}",
            )
        ]
    elif signed:
        return [
            origin.problem(
                (*base, "replaces_stock"), "S108", f"The handbook has no '{key}' of its own to replace; leave 'replaces_stock' out."
            )
        ]
    held[key] = item
    handbook.origins[kind, key], handbook.bases[kind, key] = origin, base
    if is_shop:
        handbook.from_shop.add((kind, key))
    return []


_HEAD = re.compile(r"---[ \t]*\r?\n(.*?\r?\n)---[ \t]*(\r?\n|$)", re.DOTALL)


def read_page(text: str, name: str) -> tuple[model.PageHead, str]:
    """The head of a plain page and its text, in which every line keeps its number. ContentError where the head is wrong."""
    found = _HEAD.match(text)
    if not found:
        return model.PageHead(), text
    document = read("\n" + found[1], name)  # a line in place of the first ---
    head, problems = validate(model.PageHead, document.data, document.origin)
    if head is None:
        raise ContentError(problems)
    return head, "\n" * found[0].count("\n") + text[found.end() :]


_NO_PICTURES = (".svg", ".heic", ".heif", ".tif", ".tiff", ".bmp", ".avif")


def _add_picture(handbook: Handbook, found: plain_files.Found, place: str) -> list[Problem]:
    suffix = found.path.suffix.lower()
    if suffix not in (*PICTURES, *_NO_PICTURES):
        return []
    if fault := plain_files.name_fault(found.name):
        return [Problem(place, 1, 1, "F118", *fault)]
    if suffix in _NO_PICTURES:
        return [
            Problem(
                place,
                1,
                1,
                "F114",
                f"A picture of the kind {suffix} is not taken; save it as .jpg or .png.",
                f"pictures/{found.path.stem}.jpg",
            )
        ]
    if unfit := plain_files.picture_fault(found):
        return [Problem(place, 1, 1, *unfit)]
    if found.name == f"pictures/{found.path.name}":
        handbook.pictures[found.path.name] = found.path
    return []
