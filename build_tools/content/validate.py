"""Plain data → the types of build_tools/content/model.py; what does not fit is said in one plain sentence, each mistake at its place."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError

from build_tools.content import model
from build_tools.content.problems import Fault, Problem, nearest, one_of, quoted
from build_tools.content.yaml_reader import Loc, Origin

if TYPE_CHECKING:
    from pydantic.fields import FieldInfo
    from pydantic_core import ErrorDetails

MOST_SAID = 100  # mistakes of one item; the others show when these are mended

Model = TypeVar("Model", bound=BaseModel)


def validate(cls: type[Model], data: Any, origin: Origin, loc: Loc = ()) -> tuple[Model | None, list[Problem]]:
    """The model of `data`, or every mistake in it with its place."""
    try:
        return cls.model_validate(data), []
    except ValidationError as error:
        return None, [_problem(cls, mistake, origin, loc) for mistake in error.errors()[:MOST_SAID]]


def _problem(cls: type[BaseModel], mistake: ErrorDetails, origin: Origin, base: Loc) -> Problem:
    loc = mistake["loc"]
    owner, info = _field_at(cls, loc)
    name = next((segment for segment in reversed(loc) if isinstance(segment, str) and segment not in ("step", "use", "[key]")), "")
    at_key = mistake["type"] == "extra_forbidden" or "[key]" in loc
    fault = _of_place(mistake, name, owner, loc) or _fault(mistake, name, owner, info)
    if not (fault.example or fault.fits) and info is not None and info.examples and not at_key:
        fault = fault._replace(example=f"{name}: {info.examples[0]}")
    # the kind of an item, which pydantic puts after its number, stands in no file
    place = tuple(part for index, part in enumerate(loc) if not (part in ("step", "use") and index and isinstance(loc[index - 1], int)))
    return origin.problem(base + place, *fault, at_key=at_key)


_MANUAL = '"maker\'s manual, page 7-3"'


def _of_place(mistake: ErrorDetails, name: str, owner: type[BaseModel] | None, loc: Loc) -> Fault | None:
    """What is said of a mistake that authors make at one place, with what belongs at that very place."""
    kind, found = mistake["type"], mistake["input"]
    if (
        owner is model.Torque
        and kind == "extra_forbidden"
        or owner in (model.Step, model.Torque)
        and name == "torque"
        and isinstance(found, str)
    ):
        written = _figure(found if isinstance(found, str) else "") or 'value: "120", unit: N·m'
        return Fault(
            "E102" if kind == "extra_forbidden" else "E104",
            "A step holds no torque figure: the step names the value, and the vehicle's sheet holds it with unit and source.",
            f"torque: {{fastener: wheel-nut, from: vehicle.wheel_nut.torque}}\nwheel_nut.torque: {{{written}, source: {_MANUAL}}}",
            expected="at the step 'from' with the name of the value for this fastener, or nothing and the page asks; the figure in the sheet",
        )
    if kind in _WANTED and isinstance(found, str) and len(loc) > 1 and loc[-2] == "values":
        where = "stamped on the rotor" if name == "rotor.discard" else _MANUAL
        written = _figure(found) or 'value: "22.4", unit: mm'
        return Fault(
            "E104",
            f"'{name}' holds {quoted(found)}, where value, unit and source belong.",
            f"{name}: {{{written}, source: {where}}}",
            expected="the figure, its unit and where it was read, each under its own name",
        )
    if kind == "string_pattern_mismatch" and loc and "cautions" in loc[-2:] and " " in found.strip():
        words = [word for word in re.findall(r"[a-z]+", found.lower()) if word not in ("the", "a", "an", "is", "are", "of", "and", "to")]
        name = "-".join(words[:3])
        return Fault(
            "E106",
            f"{quoted(found)} is a sentence. Here stands the id of a safety message; its sentences stand once, in its own file.",
            f"python -m build_tools new caution {name} --shop our-shop\ncautions: {name}",
            expected="the id of a safety message; 'new caution' starts the file of a new one, and its id goes here",
        )
    if (
        kind == "string_pattern_mismatch"
        and loc
        and loc[-1] in ("figure", "drawing")
        and (picture := re.fullmatch(r"(.+)\.([A-Za-z]{3,4})", found))
    ):
        stem = model.FORMS[model.ID].mended(picture[1])
        if stem:
            return Fault(
                "E106",
                f"{quoted(found)} is the name of a file. Name the file '{stem}.{picture[2].lower()}', and write the name here without its ending.",
                fits=stem,
            )
    return None


def _figure(text: str) -> str:
    """A figure with its unit as the entries value and unit; empty where it is no such thing."""
    found = re.fullmatch(r"\s*([0-9][0-9.,]*)\s*([^\s0-9].*)", text)
    unit = (
        {
            "nm": "N·m",
            "n·m": "N·m",
            "n-m": "N·m",
            "ft-lb": "lbf·ft",
            "ft lb": "lbf·ft",
            "lb-ft": "lbf·ft",
            "ft·lb": "lbf·ft",
            "inch": "in",
            '"': "in",
        }.get(found[2].strip().lower(), found[2].strip())
        if found
        else ""
    )
    return f'value: "{found[1]}", unit: {unit}' if found else ""


def _fault(mistake: ErrorDetails, name: str, owner: type[BaseModel] | None, info: FieldInfo | None) -> Fault:
    kind, found, context = mistake["type"], mistake["input"], mistake.get("ctx", {})
    if kind in _WANTED:
        return _wrong_kind(name, found, _WANTED[kind])
    match kind:
        case "missing":
            wanted = info.description if info is not None and info.description else ""
            return Fault("E101", f"The entry '{name}' is missing.", expected=wanted.rstrip("."))
        case "extra_forbidden":
            return _unknown_entry(
                name,
                owner,
                {f.alias or key: f.examples if f.is_required() else None for key, f in owner.model_fields.items()} if owner else {},
            )
        case "literal_error":
            known = re.findall(r"'([^']*)'", context["expected"])
            near = nearest(str(found), known)
            return Fault(
                "E103",
                f"'{name}' cannot be {quoted(str(found))}; only certain words can stand there.",
                near=near,
                expected=one_of(known, 12),
                fits=near or known[0],
            )
        case "string_too_short":
            needed = info is not None and info.is_required()
            return Fault("E105", f"'{name}' is empty; {'fill it in' if needed else 'fill it in, or leave the line out'}.")
        case "string_pattern_mismatch":
            return _wrong_form(name, found, context["pattern"])
        case "too_short":
            return Fault(
                "E114",
                f"The list '{name}' has {context['actual_length'] or 'no'} {'item' if context['actual_length'] == 1 else 'items'}; it needs {context['min_length']} or more.",
            )
        case "bool_parsing" | "bool_type":
            return Fault("E111", f"{_shown(found)} is no answer for '{name}'; write true, or leave the line out.", f"{name}: true")
        case "greater_than_equal":
            return Fault("E108", f"'{name}' is {_shown(found)}, and must be {context['ge']} or more.", fits=str(context["ge"]))
        case "int_parsing" | "int_type" | "int_parsing_size" | "int_from_float":
            figures = re.match(r"\s*([1-9][0-9]*)\s*[^0-9.,]", found) if isinstance(found, str) else None
            return Fault(
                "E108",
                f"{_shown(found)} is not a whole number; write '{name}' in figures alone, without a unit.",
                f"{name}: {figures[1] if figures else 40}",
            )
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


# what authors write → the entries that are meant, of which the first that there is counts
_MEANT = {
    **dict.fromkeys(("reason", "because", "cause", "reasons"), ("why", "reason")),
    **dict.fromkeys(("action", "instruction", "task", "text", "description"), ("do", "meaning", "purpose")),
    **dict.fromkeys(("warning", "warnings", "caution", "danger", "safety"), ("cautions",)),
    **dict.fromkeys(("picture", "image", "photo", "drawing"), ("figure", "drawing")),
    **dict.fromkeys(("remark", "comment", "hint", "tip"), ("note",)),
    **dict.fromkeys(("time", "wait", "duration"), ("timer", "minutes")),
    **dict.fromkeys(("if", "only_if", "condition"), ("when",)),
    **dict.fromkeys(("name", "heading"), ("title", "label", "name")),
    **dict.fromkeys(("author", "approved_by", "signed_by", "by"), ("approver",)),
    **dict.fromkeys(("tool", "equipment"), ("tools",)),
    "materials": ("supplies",),
}


def _home_of(name: str) -> str:
    """Where an entry belongs that stands at the wrong level, in words."""
    homes: dict[type[BaseModel], str] = {
        model.Step: "a step, below 'steps'",
        model.Procedure: "the top level of a job's file",
        model.Vehicle: "the top level of a vehicle's sheet",
        model.EndSheet: "'front' or 'rear' of a vehicle's sheet",
        model.Enter: "'enter' of a step",
        model.People: "'people' of a job",
        model.Sourced: "a value of a sheet",
    }
    found = [words for cls, words in homes.items() if any(name in (key, info.alias) for key, info in cls.model_fields.items())]
    return found[0] if len(found) == 1 else ""


def _unknown_entry(name: str, owner: type[BaseModel] | None, known: dict[str, list[Any] | None]) -> Fault:
    """`known`: the entries that there are, with examples of those that must be there."""
    bare = name.lstrip("-")
    if name.startswith("-") and bare in known:
        return Fault("W110", f"A space is missing after the dash in {quoted(name)}.", fits=f"- {bare}")
    near = next((entry for entry in _MEANT.get(name.lower(), ()) if entry in known), "") or nearest(name, known)
    home = "" if near else _home_of(name)
    if owner is model.Use and not near:
        return Fault(
            "E102",
            f"{quoted(name)} cannot stand beside 'use': the steps of the other job bring their own entries.",
            _entry_of(known),
            expected=one_of(known),
        )
    if home:
        more = "" if name == "do" else ", do: Look at the rotor."
        examples = model.Step.model_fields[name].examples if owner is model.Procedure and name in model.Step.model_fields else None
        example = f"steps: [{{id: look{more}, {name}: {examples[0]}}}]" if examples else ""
        return Fault(
            "E102", f"{quoted(name)} belongs to {home}, and cannot stand here.", example or _entry_of(known), expected=one_of(known, 40)
        )
    return Fault(
        "E102", f"No entry is called {quoted(name)} here.", "" if near else _entry_of(known), near, "" if near else one_of(known, 40), near
    )


def _entry_of(known: dict[str, list[Any] | None]) -> str:
    return next((f"{entry}: {examples[0]}" for entry, examples in known.items() if examples), "")


def _wrong_form(name: str, found: str, pattern: str) -> Fault:
    form = model.FORMS[pattern]
    near = form.mended(found)
    example = f"{name}: {form.example}" if name and not near else ""
    return Fault(form.code, f"{quoted(found)} is not written as {form.words.rstrip('.')}.", example, near, fits=near)


def _shown(value: Any) -> str:
    if isinstance(value, dict):
        return "entries (name: value)"
    return "a list" if isinstance(value, list) else quoted(str(value)) if value else "nothing"


def _field_at(cls: type[BaseModel], loc: Loc) -> tuple[type[BaseModel], FieldInfo | None]:
    """The class that owns the entry at `loc`, and its field where it has one."""
    owners, owner = [cls], cls
    info: FieldInfo | None = None
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
