"""YAML files, and vehicle sheets that a page saved as JSON → model. Every scalar is read as text; every mistake is found in one pass and said with its place.

PyYAML composes the node tree once; values are built from it and its marks are kept, so that a mistake found by pydantic
or by a rule across files (build_tools/check.py) still points at file, line and column.
"""
from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, get_args

import yaml
from pydantic import BaseModel, ValidationError

from build_tools import model, shop_calculators, shop_changes
from build_tools.problems import ContentError, Problem, did_you_mean

LARGEST_FILE = 1_000_000  # bytes; a procedure of 200 steps has about 60,000
MOST_NODES = 100_000  # aliases can make a small file endless
DEEPEST = 40

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True)
class Origin:
    """Where an item was read from."""

    file: str
    node: yaml.Node

    def at(self, loc: tuple = (), at_key: bool = False) -> tuple[str, int, int]:
        """File, line and column (from 1) of the entry that `loc` leads to, or of the nearest one around it."""
        mark = _walk(self.node, loc, at_key).start_mark
        return self.file, mark.line + 1, mark.column + 1

    def problem(self, loc: tuple, message: str, example: str = "") -> Problem:
        return Problem(*self.at(loc), message, example)


def _walk(node: yaml.Node, loc: tuple, at_key: bool) -> yaml.Node:
    for position, segment in enumerate(loc):
        if isinstance(node, yaml.MappingNode):
            pair = next((pair for pair in node.value if pair[0].value == segment), None)
            if pair is None:
                continue  # a union tag of pydantic, or a missing key: stay at the mapping
            last = loc[position + 1:] in ((), ("[key]",))
            block = isinstance(pair[1], yaml.MappingNode | yaml.SequenceNode)
            node = pair[0] if last and (at_key or block) else pair[1]
        elif isinstance(node, yaml.SequenceNode) and isinstance(segment, int) and segment < len(node.value):
            node = node.value[segment]
    return node


@dataclass
class Document:
    """One file, read: plain data in which every scalar is text."""

    data: Any
    origin: Origin


def read_text(path: Path, name: str) -> str:
    """The text of a content file; ContentError where it is too large or not UTF-8."""
    raw = path.read_bytes()
    if len(raw) > LARGEST_FILE:
        raise ContentError([Problem(name, 1, 1, f"the file has {len(raw):,} bytes; the most is {LARGEST_FILE:,}. Split it.")])
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[:error.start].count(b"\n") + 1
        raise ContentError([Problem(
            name, line, 1, "the file is not saved as UTF-8 text. Save it again with the encoding UTF-8.")]) from None


def read(text: str, name: str) -> Document:
    """Read YAML text. ContentError holds the one mistake that stopped the reading, or all repeated keys."""
    try:
        node = yaml.compose(text, Loader=_Loader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        raise ContentError([Problem(name, mark.line + 1, mark.column + 1, *_yaml_advice(error, text))]) from None
    except yaml.YAMLError as error:
        line = text[:getattr(error, "position", 0)].count("\n") + 1
        raise ContentError([Problem(name, line, 1, "a character here cannot stand in a text file; delete it and type it again")]) from None
    if node is None:
        raise ContentError([Problem(name, 1, 1, "the file is empty")])
    return _built(node, name)


def read_json(text: str, name: str) -> Document:
    """Read JSON text: first by the rules of JSON, then as the YAML that it is, for the places. ContentError as for `read`."""
    try:
        json.loads(text)
    except json.JSONDecodeError as error:
        raise ContentError([Problem(name, error.lineno, error.colno, "this is not whole JSON: it was cut off or changed. Save the sheet once more",
                                    '{"id": "vehicle-red-van", "name": "Red van", "layout": {"abs": "none"}}')]) from None
    except RecursionError:
        raise ContentError([Problem(name, 1, 1, "the file is nested too deeply")]) from None
    lone = re.search(r"\\u[dD][89a-fA-F]", text)
    if lone:
        line, column = text.count("\n", 0, lone.start()) + 1, lone.start() - text.rfind("\n", 0, lone.start())
        raise ContentError([Problem(name, line, column, f"write the character itself instead of {lone[0]}…")])
    try:
        node = yaml.compose(text.replace("\t", " "), Loader=_Loader)  # no string of JSON holds a tab
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        at = (mark.line + 1, mark.column + 1) if mark else (text.count("\n", 0, getattr(error, "position", 0)) + 1, 1)
        raise ContentError([Problem(name, *at, "a character here cannot stand in a text file; delete it and type it again")]) from None
    _drop_nulls(node)
    return _built(node, name)


def _drop_nulls(node: yaml.Node) -> None:
    """Leave out the entries of a mapping that are null: not given."""
    if isinstance(node, yaml.MappingNode):
        node.value = [pair for pair in node.value if pair[1].tag != "tag:yaml.org,2002:null"]
        for _, value in node.value:
            _drop_nulls(value)


def _built(node: yaml.Node, name: str) -> Document:
    builder = _Builder(name)
    data = builder.build(node)
    if builder.problems:
        raise ContentError(builder.problems)
    return Document(data, Origin(name, node))


def _yaml_advice(error: yaml.MarkedYAMLError, text: str) -> tuple[str, str]:
    mark = error.problem_mark or error.context_mark
    lines = text.splitlines()
    line = lines[mark.line] if mark.line < len(lines) else ""
    if "\t" in line[:len(line) - len(line.lstrip())] or "'\\t'" in str(error.problem):
        return "a tab stands here; YAML wants spaces for indenting", "two spaces for each level"
    if "mapping values are not allowed" in str(error.problem):
        return ("a colon followed by a space stands inside the text, so it reads as a new key; put the text in quotes",
                'do: "Torque: see the sheet."')
    if "found unexpected end of stream" in str(error.problem):
        return "a quotation mark is opened and never closed", 'do: "Loosen the nut."'
    if "could not find expected ':'" in str(error.problem) or "expected <block end>" in str(error.problem):
        return ("the indenting or a colon is wrong at this line or just above it",
                "keys of one entry stand exactly below each other, each followed by a colon and a space")
    return f"this is not YAML that can be read ({error.problem})", ""


class _Builder:
    """Builds plain data from nodes: text, lists, mappings; nothing is guessed from how a scalar looks."""

    def __init__(self, name: str):
        self.name, self.problems, self.count = name, [], 0

    def build(self, node: yaml.Node, depth: int = 0) -> Any:
        self.count += 1
        if depth > DEEPEST or self.count > MOST_NODES:
            mark = node.start_mark
            raise ContentError([Problem(self.name, mark.line + 1, mark.column + 1,
                                        "the file is nested too deeply, or repeats itself through & and * marks; write it out")])
        if isinstance(node, yaml.ScalarNode):
            return node.value
        if isinstance(node, yaml.SequenceNode):
            return [self.build(item, depth + 1) for item in node.value]
        return self._mapping(node, depth)

    def _mapping(self, node: yaml.MappingNode, depth: int) -> dict:
        built: dict = {}
        for key, value in node.value:
            mark = key.start_mark
            if not isinstance(key, yaml.ScalarNode):
                self.problems.append(Problem(self.name, mark.line + 1, mark.column + 1, "a key must be one word", "id: loosen-nut"))
                continue
            if key.value in built:
                self.problems.append(Problem(self.name, mark.line + 1, mark.column + 1,
                                             f"{key.value!r} stands here a second time; keep one of the two"))
            built[key.value] = self.build(value, depth + 1)
        return built


# ---- model errors → one line each --------------------------------------------------------------------------------

def validate(cls: type[BaseModel], data: Any, origin: Origin, loc: tuple = ()) -> tuple[BaseModel | None, list[Problem]]:
    """The model of `data`, or every mistake in it with its place."""
    try:
        return cls.model_validate(data), []
    except ValidationError as error:
        return None, [_problem(cls, mistake, origin, loc) for mistake in error.errors()]


def _problem(cls: type[BaseModel], mistake: dict, origin: Origin, base: tuple) -> Problem:
    loc = mistake["loc"]
    owner, info = _field_at(cls, loc)
    name = next((segment for segment in reversed(loc) if isinstance(segment, str) and segment not in ("step", "use", "[key]")), "")
    known = [f.alias or key for key, f in owner.model_fields.items()] if owner else []
    example = f"{name}: {info.examples[0]}" if info is not None and info.examples else ""
    match mistake["type"]:
        case "missing":
            wanted = f" ({info.description})" if info is not None and info.description else ""
            message = f"{name!r} is missing{wanted}"
        case "extra_forbidden":
            message = f"unknown entry {name!r}.{did_you_mean(name, known)} Known here: {', '.join(known)}."
        case "literal_error" | "enum":
            found = mistake["input"]
            message = f"{name}: found {found!r}, expected one of {mistake['ctx']['expected']}."
        case "string_type" | "list_type" | "dict_type" | "model_type" | "model_attributes_type":
            message = f"{name}: expected {_KINDS[mistake['type']]}, found {_shown(mistake['input'])}."
        case "string_too_short":
            message = f"{name!r} is empty; write something or leave the line out."
        case "string_pattern_mismatch":
            message = f"{name}: {mistake['input']!r} is no name; names are lower case words joined by hyphens (fields by points and underscores)."
        case "value_error":
            message = f"{name}: {mistake['ctx']['error']}"
        case _:
            message = f"{name}: found {_shown(mistake['input'])}; {mistake['msg'].lower()}."
    at_key = mistake["type"] == "extra_forbidden" or "[key]" in loc
    return Problem(*origin.at(base + loc, at_key), message, example)


_KINDS = {"string_type": "text", "list_type": "a list", "dict_type": "entries of the form name: value",
          "model_type": "entries of the form name: value", "model_attributes_type": "entries of the form name: value"}


def _shown(value: Any) -> str:
    if isinstance(value, dict):
        return "entries (name: value)"
    return "a list" if isinstance(value, list) else repr(value)


def _field_at(cls: type[BaseModel], loc: tuple):
    """The class that owns the entry at `loc`, and its field where it has one."""
    owners, owner, info = [cls], cls, None
    for segment in loc:
        found = next(((o, f) for o in owners for key, f in o.model_fields.items() if segment in (key, f.alias)), None)
        if found:
            owner, info = found
            owners = list(models_in(info.annotation)) or owners
        elif isinstance(segment, str):
            # a union tag narrows the owners; an unknown key has no field
            tagged = [o for o in owners if o.__name__.lower() == segment]
            owners, owner, info = (tagged, tagged[0], None) if tagged else (owners, owners[0], None)
    return owner, info


def models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for argument in get_args(annotation):
        yield from models_in(argument)


# ---- the handbook ------------------------------------------------------------------------------------------------

@dataclass
class Handbook:
    """Everything that was loaded, by id, and where each item stands."""

    axes: dict[str, model.Axis] = field(default_factory=dict)
    impossible: list[model.Contradiction] = field(default_factory=list)
    fields: dict[str, model.SheetField] = field(default_factory=dict)
    components: dict[str, model.Component] = field(default_factory=dict)
    cautions: dict[str, model.Caution] = field(default_factory=dict)
    sources: dict[str, model.Source] = field(default_factory=dict)
    terms: dict[str, model.Term] = field(default_factory=dict)
    findings: dict[str, model.PartFindings] = field(default_factory=dict)
    rules: dict[str, model.DecisionRule] = field(default_factory=dict)
    procedures: dict[str, model.Procedure] = field(default_factory=dict)
    references: dict[str, model.ReferencePage] = field(default_factory=dict)
    vehicles: dict[str, model.Vehicle] = field(default_factory=dict)
    shop: model.Shop | None = None
    shop_pages: dict[str, str] = field(default_factory=dict)
    page_files: dict[str, str] = field(default_factory=dict)  # plain page → its file, for the reader
    page_heads: dict[str, model.PageHead] = field(default_factory=dict)
    pictures: dict[str, Path] = field(default_factory=dict)  # file name → where it lies
    calculators: dict[str, tuple[str, str]] = field(default_factory=dict)  # a shop's own: module → name and text of its file
    changes: dict[str, model.StepChange] = field(default_factory=dict)
    changed_steps: dict[str, model.Step] = field(default_factory=dict)  # the handbook's step behind each change
    replaced: dict[tuple[str, str], model.Replaceable] = field(default_factory=dict)  # what a shop's own took the place of
    notes: dict[str, list[shop_changes.Note]] = field(default_factory=dict)  # step address → what the shop did there
    step_places: dict[str, list[tuple[Origin, tuple]]] = field(default_factory=dict)  # procedure with changed steps → where each stands
    origins: dict[tuple[str, str], Origin] = field(default_factory=dict)
    bases: dict[tuple[str, str], tuple] = field(default_factory=dict)
    from_shop: set[tuple[str, str]] = field(default_factory=set)

    def stock_and_own(self) -> tuple[list[model.Procedure], list[model.Procedure]]:
        """The procedures of the handbook, and those of the shop."""
        everything = list(self.procedures.values())
        own = [p for p in everything if ("procedures", p.id) in self.from_shop]
        return [p for p in everything if p not in own], own

    def problem(self, kind: str, key: str, loc: tuple, message: str, example: str = "") -> Problem:
        """A mistake inside the item `kind`/`key`, at the entry that `loc` leads to."""
        if kind == "procedures" and key in self.step_places and loc[:1] == ("steps",) and len(loc) > 1:
            origin, base = self.step_places[key][loc[1]]
            return origin.problem(base + loc[2:], message, example)
        return self.origins[kind, key].problem(self.bases.get((kind, key), ()) + loc, message, example)


# file or folder → (key of the list in the file, None where the file is the list; kind; type; attribute that names an item)
_LISTS = {
    "sheet.yml": ("fields", "fields", model.SheetField, "path"),
    "cautions.yml": ("cautions", "cautions", model.Caution, "id"),
    "sources.yml": ("sources", "sources", model.Source, "id"),
    "terms.yml": (None, "terms", model.Term, "id"),
    "decisions.yml": ("parts", "findings", model.PartFindings, "part"),
    "rules.yml": ("rules", "rules", model.DecisionRule, "id"),
    "components": ("components", "components", model.Component, "id"),
    "changes": ("changes", "changes", model.StepChange, "step"),
}
_SINGLES = {"procedures": model.Procedure, "vehicles": model.Vehicle, "references": model.ReferencePage, "cautions": model.Caution}
# kind of file → type, and the key of its list where it holds one; what build_tools/schema.py writes
FILES = {
    "shop": (model.Shop, None), "procedure": (model.Procedure, None), "vehicle": (model.Vehicle, None), "caution": (model.Caution, None),
    "page": (model.PageHead, None), "reference": (model.ReferencePage, None), "layout": (model.LayoutFile, None),
    **{name.removesuffix(".yml"): (cls, key) if key else (list[cls], None) for name, (key, _, cls, _) in _LISTS.items()},
}
PICTURES = (".jpg", ".jpeg", ".png", ".webp", ".gif")


def load(stock: Path, shop: Path | None = None) -> Handbook:
    """Read the stock content and, where given, a shop's folder. ContentError holds every mistake found."""
    handbook, problems = Handbook(), []
    for folder in filter(None, (stock, shop)):
        problems += take_folder(handbook, folder, folder is shop)
    problems += [*_take_calculators(handbook), *shop_changes.apply(handbook)]
    if problems:
        raise ContentError(problems)
    return handbook


def take_folder(handbook: Handbook, folder: Path, is_shop: bool) -> list[Problem]:
    """Take in every file of a folder; every mistake found is given back, and what is sound is taken all the same."""
    problems = []
    for path in sorted([*folder.rglob("*.yml"), *(folder / "vehicles").glob("*.json")]):
        name = path.relative_to(folder.parent).as_posix()
        try:
            document = (read_json if path.suffix == ".json" else read)(read_text(path, name), name)
            problems += _take(handbook, document, path.relative_to(folder), is_shop)
        except ContentError as error:
            problems += error.problems
    return [*problems, *_shop_extras(handbook, folder)] if is_shop else problems


def take_stock(handbook: Handbook, files: dict[str, Any]) -> None:
    """Take in the stock content as data that was read before, by path: nothing in it is asked for its place any more."""
    for name, data in files.items():
        _take(handbook, Document(data, Origin(f"site_data/{name}", yaml.ScalarNode("", "", _START, _START))), Path(name), False)


_START = yaml.Mark("", 0, 0, 0, None, None)


def _take(handbook: Handbook, document: Document, path: Path, is_shop: bool) -> list[Problem]:
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
        if item and item.id != path.stem:
            problems.append(document.origin.problem(("id",), f"the file is {path.name}, so its id must be {path.stem!r}; found {item.id!r}.",
                                                    f"id: {path.stem}"))
        return problems or _add(handbook, top, item.id, item, document.origin, (), is_shop)
    if top in _LISTS:
        return _take_list(handbook, document, _LISTS[top], is_shop)
    places = ", ".join([*_LISTS, *(f"{folder}/" for folder in _SINGLES)])
    return [Problem(document.origin.file, 1, 1, f"this file is in a place where nothing is read. Known places: {places}.")]


def _take_list(handbook: Handbook, document: Document, rule: tuple, is_shop: bool) -> list[Problem]:
    key, kind, cls, name = rule
    top = () if key is None else (key,)
    data = document.data
    if key is not None:
        data = data[key] if isinstance(data, dict) and list(data) == [key] else None
    if not isinstance(data, list):
        wanted = f"one list named {key!r}" if key else "one list"
        return [document.origin.problem((), f"expected {wanted} in this file", f"{key}:" if key else "- id: rotor")]
    problems = []
    for index, raw in enumerate(data):
        base = (*top, index)
        item, mistakes = validate(cls, raw, document.origin, base)
        problems += mistakes or _add(handbook, kind, getattr(item, name), item, document.origin, base, is_shop)
    return problems


def _add(handbook: Handbook, kind: str, key: str, item: BaseModel, origin: Origin, base: tuple, is_shop: bool) -> list[Problem]:
    held = getattr(handbook, kind)
    signed = getattr(item, "replaces_stock", None)
    if key in held and is_shop and signed and (kind, key) not in handbook.from_shop:
        handbook.replaced[kind, key] = held[key]
    elif key in held:
        file, line, _ = handbook.origins[kind, key].at(handbook.bases.get((kind, key), ()))
        if kind == "changes":
            return [origin.problem(base + ("step",), f"{key!r} is changed in {file}:{line} already; a step has one change, so put both into one.")]
        return [origin.problem(base + ("id",), f"{key!r} is already defined in {file}:{line}; choose another id.")]
    elif signed:
        return [origin.problem(base + ("replaces_stock",), f"the handbook has no {key!r} of its own to replace; leave `replaces_stock` out.")]
    held[key] = item
    handbook.origins[kind, key], handbook.bases[kind, key] = origin, base
    if is_shop:
        handbook.from_shop.add((kind, key))
    return []


def _shop_extras(handbook: Handbook, folder: Path) -> list[Problem]:
    problems = []
    if handbook.shop is None and not (folder / "shop.yml").exists():
        problems.append(Problem(f"{folder.name}/shop.yml", 1, 1, "the shop's folder has no shop.yml", "name: Example shop (invented)"))
    for path in sorted((folder / "pages").rglob("*.md")):
        name, uri = path.relative_to(folder.parent).as_posix(), path.relative_to(folder / "pages").as_posix()
        handbook.page_files[uri] = name
        try:
            handbook.page_heads[uri], handbook.shop_pages[uri] = read_page(read_text(path, name), name)
        except ContentError as error:
            problems += error.problems
    for path in sorted((folder / "calculators").glob("*.py")):
        name = path.relative_to(folder.parent).as_posix()
        try:
            handbook.calculators[path.stem] = name, read_text(path, name)
        except ContentError as error:
            problems += error.problems
    for path in sorted((folder / "pictures").glob("*")):
        problems += _take_picture(handbook, path, path.relative_to(folder.parent).as_posix())
    return problems


def _take_calculators(handbook: Handbook) -> list[Problem]:
    """Also where there are none: those of a handbook loaded before leave the catalogue."""
    try:
        handbook.from_shop |= {("calculators", name) for name in shop_calculators.take(handbook.calculators)}
    except ContentError as error:
        return error.problems
    return []


_HEAD = re.compile(r"---[ \t]*\r?\n(.*?\r?\n)---[ \t]*(\r?\n|$)", re.DOTALL)


def read_page(text: str, name: str) -> tuple[model.PageHead, str]:
    """The head of a plain page and its text, in which every line keeps its number. ContentError where the head is wrong."""
    found = _HEAD.match(text)
    if not found:
        return model.PageHead(), text
    document = read("\n" + found[1], name)  # a line in place of the first ---
    head, problems = validate(model.PageHead, document.data, document.origin)
    if problems:
        raise ContentError(problems)
    return head, "\n" * found[0].count("\n") + text[found.end():]


_NO_PICTURES = (".svg", ".heic", ".heif", ".tif", ".tiff", ".bmp", ".avif")


def _take_picture(handbook: Handbook, path: Path, name: str) -> list[Problem]:
    suffix = path.suffix.lower()
    if suffix in _NO_PICTURES:
        return [Problem(name, 1, 1, f"a picture of the kind {suffix} is not taken; save it as .jpg or .png", f"pictures/{path.stem}.jpg")]
    if suffix in PICTURES:
        handbook.pictures[path.name] = path
    return []
