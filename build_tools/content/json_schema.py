"""JSON Schema of every kind of file, made from the model: what a text editor knows when it completes and underlines.

Text may be written without quotes, so an editor sees numbers and yes-or-no where the model reads text: all three are
accepted wherever text is. References stay inside each file.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

import yaml
from pydantic import TypeAdapter
from pydantic.json_schema import GenerateJsonSchema

from build_tools.content.load import FILES
from build_tools.content.shop.plain_files import is_link

if TYPE_CHECKING:
    from pydantic.json_schema import JsonSchemaValue
    from pydantic_core import core_schema

FOLDER = ".schema"
_TEXT = ["string", "number", "boolean"]


class _Written(GenerateJsonSchema):
    """The schema of what stands in a file, where every scalar is read as text."""

    def str_schema(self, schema: core_schema.StringSchema) -> JsonSchemaValue:
        return super().str_schema(schema) | {"type": _TEXT}

    def bool_schema(self, schema: core_schema.BoolSchema) -> JsonSchemaValue:
        return {"type": ["boolean", "string", "integer"]}

    def int_schema(self, schema: core_schema.IntSchema) -> JsonSchemaValue:
        return super().int_schema(schema) | {"type": ["integer", "string"]}

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        """Nothing is an entry that is left out, never an empty one."""
        return self.generate_inner(schema["schema"])

    def literal_schema(self, schema: core_schema.LiteralSchema) -> JsonSchemaValue:
        words = super().literal_schema(schema)
        known = words.get("enum") or [words["const"]]
        return {"enum": [*known, *([True] if "true" in known else [])]}


def schemas() -> dict[str, dict[str, Any]]:
    """File name → schema, for each kind of file that a shop's folder holds."""
    made = {f"{kind}.json": _schema(kind, cls, key) for kind, (cls, key) in FILES.items()}
    return {name: made[name] for name in sorted(made)}


def _schema(kind: str, cls: Any, key: str | None) -> dict[str, Any]:
    made = TypeAdapter(cls if key is None else list[cls]).json_schema(schema_generator=_Written)
    definitions = {"$defs": made.pop("$defs")} if "$defs" in made else {}
    if key:
        made = {"type": "object", "properties": {key: made}, "required": [key], "additionalProperties": False}
    head = {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": kind.capitalize(),
        "description": ((get_args(cls) or (cls,))[0].__doc__ or "").split("\n")[0],
    }
    written: dict[str, Any] = _with_values(head | {name: value for name, value in made.items() if name not in head} | definitions)
    return written


def _with_values(part: Any) -> Any:
    """Examples as values: they stand in the model as they would be written in a file."""
    if isinstance(part, list):
        return [_with_values(item) for item in part]
    if not isinstance(part, dict):
        return part
    done = {name: _with_values(value) for name, value in part.items() if name != "default"}
    if isinstance(done.get("examples"), list):
        done["examples"] = [_value(example) for example in done["examples"]]
    return done


def _value(example: Any) -> Any:
    if not isinstance(example, str) or example[:1] not in ("[", "{", '"'):
        return example
    return json.loads(json.dumps(yaml.load(example, yaml.BaseLoader), ensure_ascii=False))


def write(shop: Path) -> list[str]:
    """Bring a shop's schema files up to date; the names of those that were not. Nothing is written through a link."""
    folder, changed = shop / FOLDER, []
    if is_link(folder):
        return []
    for name, made in schemas().items():
        text = json.dumps(made, ensure_ascii=False, indent=1) + "\n"
        path = folder / name
        if is_link(path):
            continue
        if not path.is_file() or path.read_text("utf-8") != text:
            folder.mkdir(parents=True, exist_ok=True)
            path.write_text(text, "utf-8", newline="\n")
            changed.append(name)
    return changed
