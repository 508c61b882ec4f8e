"""Plain data → the types of build_tools/model.py; what does not fit is said in one plain sentence, each mistake at its place."""
from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from build_tools import model
from build_tools.problems import Fault, Problem, nearest, one_of, quoted
from build_tools.reading import Origin

MOST_SAID = 100  # mistakes of one item; the others show when these are mended


def validate(cls: type[BaseModel], data: Any, origin: Origin, loc: tuple = ()) -> tuple[BaseModel | None, list[Problem]]:
    """The model of `data`, or every mistake in it with its place."""
    try:
        return cls.model_validate(data), []
    except ValidationError as error:
        return None, [_problem(cls, mistake, origin, loc) for mistake in error.errors()[:MOST_SAID]]


def _problem(cls: type[BaseModel], mistake: dict, origin: Origin, base: tuple) -> Problem:
    loc = mistake["loc"]
    owner, info = _field_at(cls, loc)
    name = next((segment for segment in reversed(loc) if isinstance(segment, str) and segment not in ("step", "use", "[key]")), "")
    at_key = mistake["type"] == "extra_forbidden" or "[key]" in loc
    fault = _fault(mistake, name, owner, info)
    if not (fault.example or fault.fits) and info is not None and info.examples and not at_key:
        fault = fault._replace(example=f"{name}: {info.examples[0]}")
    # the kind of an item, which pydantic puts after its number, stands in no file
    place = tuple(part for index, part in enumerate(loc) if not (part in ("step", "use") and index and isinstance(loc[index - 1], int)))
    return origin.problem(base + place, *fault, at_key=at_key)


def _fault(mistake: dict, name: str, owner: type[BaseModel] | None, info) -> Fault:
    kind, found, context = mistake["type"], mistake["input"], mistake.get("ctx", {})
    if kind in _WANTED:
        return _wrong_kind(name, found, _WANTED[kind])
    match kind:
        case "missing":
            wanted = info.description if info is not None and info.description else ""
            return Fault("E101", f"The entry '{name}' is missing.", expected=wanted.rstrip("."))
        case "extra_forbidden":
            return _unknown_entry(name, {f.alias or key: f.examples if f.is_required() else None for key, f in owner.model_fields.items()} if owner else {})
        case "literal_error":
            known = re.findall(r"'([^']*)'", context["expected"])
            near = nearest(str(found), known)
            return Fault("E103", f"{quoted(str(found))} is none of the words that '{name}' may be.", near=near, expected=one_of(known, 12), fits=near or known[0])
        case "string_too_short":
            return Fault("E105", f"'{name}' is empty; write something, or leave the line out.")
        case "string_pattern_mismatch":
            return _wrong_form(name, found, context["pattern"])
        case "too_short":
            return Fault("E114", f"'{name}' holds {context['actual_length']}; it needs {context['min_length']} or more.")
        case "bool_parsing" | "bool_type":
            return Fault("E111", f"{_shown(found)} is no answer for '{name}'; write true, or leave the line out.", f"{name}: true")
        case "greater_than_equal":
            return Fault("E108", f"'{name}' is {_shown(found)}, and must be {context['ge']} or more.", fits=str(context["ge"]))
        case "int_parsing" | "int_type" | "int_parsing_size" | "int_from_float":
            return Fault("E108", f"{_shown(found)} is no whole number, which '{name}' must be.", f"{name}: 40")
        case _ if _IS_CODE(kind):
            return Fault(kind, mistake["msg"], **context)
        case "value_error":
            said = str(context["error"])
            return Fault("E100", f"{said[:1].upper()}{said[1:].rstrip('.')}.")
    return Fault("E100", f"{_shown(found)} does not fit '{name}'.")


_IS_CODE = re.compile(r"[A-Z][0-9]{3}").fullmatch
_ENTRIES, _LIST, _TEXT = "entries of the form name: value", "a list", "text"
_WANTED = {"string_type": _TEXT, "list_type": _LIST, "dict_type": _ENTRIES, "model_type": _ENTRIES, "model_attributes_type": _ENTRIES}


def _wrong_kind(name: str, found: Any, wanted: str) -> Fault:
    if wanted is not _TEXT and isinstance(found, str) and re.match(r"[a-z_]+:\S", found):
        return Fault("W109", f"A space is missing after the colon in {quoted(found)}.", re.sub(r"^([a-z_]+):", r"\1: ", found))
    at = f"'{name}' " if name else ""
    belongs = "belong" if wanted is _ENTRIES else "belongs"
    return Fault("E104", f"{at or 'This '}holds {_shown(found)}, where {wanted} {belongs}.")


def _unknown_entry(name: str, known: dict[str, list | None]) -> Fault:
    """`known`: the entries that there are, with examples of those that must be there."""
    bare = name.lstrip("-")
    if name.startswith("-") and bare in known:
        return Fault("W110", f"A space is missing after the dash in {quoted(name)}.", fits=f"- {bare}")
    near = nearest(name, known)
    example = "" if near else next((f"{entry}: {examples[0]}" for entry, examples in known.items() if examples), "")
    return Fault("E102", f"No entry is called {quoted(name)} here.", example, near, "" if near else one_of(known, 40), near)


def _wrong_form(name: str, found: str, pattern: str) -> Fault:
    form = model.FORMS[pattern]
    near = form.mended(found)
    example = f"{name}: {form.example}" if name and not near else ""
    return Fault(form.code, f"{quoted(found)} is not written as {form.words.rstrip('.')}.", example, near, fits=near)


def _shown(value: Any) -> str:
    if isinstance(value, dict):
        return "entries (name: value)"
    return "a list" if isinstance(value, list) else quoted(str(value)) if value else "nothing"


def _field_at(cls: type[BaseModel], loc: tuple):
    """The class that owns the entry at `loc`, and its field where it has one."""
    owners, owner, info = [cls], cls, None
    for index, segment in enumerate(loc):
        tagged = [o for o in owners if o.__name__.lower() == segment] if index and isinstance(loc[index - 1], int) else []
        if tagged:  # the kind of an item narrows the owners
            owners, owner, info = tagged, tagged[0], None
            continue
        found = next(((o, f) for o in owners for key, f in o.model_fields.items() if segment in (key, f.alias)), None)
        if found:
            owner, info = found
            owners = list(models_in(info.annotation)) or owners
        elif isinstance(segment, str):
            owner, info = owners[0], None  # an unknown key has no field
    return owner, info


def models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for argument in get_args(annotation):
        yield from models_in(argument)
