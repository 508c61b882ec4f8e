"""What an editor is told: the schemas take every file that builds, refuse what the model refuses, and explain themselves."""

import json
import re
from pathlib import Path

import jsonschema
import pytest
import yaml
from pydantic import BaseModel, TypeAdapter, ValidationError

from build_tools.content import json_schema, model
from build_tools.content.load import read
from build_tools.content.shop import scaffold
from build_tools.paths import PROJECT

SCHEMAS = json_schema.schemas()
FOLDERS = {
    "procedures": "procedure",
    "vehicles": "vehicle",
    "references": "reference",
    "components": "components",
    "changes": "changes",
    "cautions": "caution",
}
KEPT = sorted((Path(__file__).parent / "shop_folders").iterdir())
FILES = sorted(path for top in (PROJECT / "site_data", PROJECT / "build_tools" / "example_shop", *KEPT) for path in top.rglob("*.yml"))


def kind_of(path: Path) -> str:
    return FOLDERS.get(path.parent.name, path.stem)


class _Editor(yaml.SafeLoader):
    """YAML 1.2 as an editor reads it: true and false are yes-or-no, numbers are numbers, all else and every key is text."""

    def construct_mapping(self, node, deep=False):
        return {key.value: self.construct_object(value, deep=True) for key, value in node.value}


_Editor.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in rules if tag.rsplit(":", 1)[1] in ("int", "float")]
    for first, rules in yaml.SafeLoader.yaml_implicit_resolvers.items()
}
_Editor.add_constructor("tag:yaml.org,2002:map", lambda loader, node: loader.construct_mapping(node))
_Editor.add_implicit_resolver("tag:yaml.org,2002:bool", re.compile("^(true|false)$"), list("tf"))


def faults(kind: str, data) -> list[str]:
    return [error.message for error in jsonschema.Draft7Validator(SCHEMAS[f"{kind}.json"]).iter_errors(data)]


def test_every_schema_is_one_and_refers_only_to_itself():
    for name, made in SCHEMAS.items():
        jsonschema.Draft7Validator.check_schema(made)
        text = json.dumps(made)
        assert {part.split('"')[0][:8] for part in text.split('"$ref": "')[1:]} <= {"#/$defs/"}, name


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(PROJECT).as_posix())
def test_every_stock_and_example_file_is_taken_as_an_editor_and_as_the_build_reads_it(path):
    text = path.read_text("utf-8")
    assert faults(kind_of(path), yaml.load(text, _Editor)) == []
    assert faults(kind_of(path), read(text, path.name).data) == []


@pytest.mark.parametrize("typed", ["3.10", "012", "1:30", "no", "on", "yes", "1e3", "0x1F", "2026", "true", "-1"])
def test_text_without_quotes_is_text(typed):
    text = f"id: a\nsignal: notice\nhazard: {typed}\nconsequence: {typed}\navoid: [{typed}]\n"
    model.Caution.model_validate(read(text, "f").data)
    assert faults("caution", yaml.load(text, _Editor)) == []


@pytest.mark.parametrize(
    ("old", "new_text"),
    [
        ("signal: caution", "signal: beware"),
        ("hazard:", "hazzard:"),
        ("avoid:\n  - Dry the floor before the lift goes up.", "avoid: []"),
        ("id: floor", "id: The Floor"),
    ],
)
def test_what_the_model_refuses_is_underlined(old, new_text):
    text = (scaffold.BEGINNINGS / "caution.yml").read_text("utf-8").replace("NAME", "floor").replace("TITLE", "Floor")
    assert old in text and faults("caution", yaml.load(text, _Editor)) == []
    assert faults("caution", yaml.load(text.replace(old, new_text), _Editor))


def fields():
    for cls in vars(model).values():
        if isinstance(cls, type) and issubclass(cls, BaseModel) and cls.__module__.startswith(model.__name__):
            yield from ((cls, name, info) for name, info in cls.model_fields.items())


def test_every_field_says_what_it_holds_with_an_example_that_is_taken():
    assert [(cls.__name__, name) for cls, name, info in fields() if not (info.description and info.examples)] == []
    refused = []
    for cls, name, info in fields():
        for example in info.examples:
            try:
                TypeAdapter(info.rebuild_annotation()).validate_python(read(f"x: {example}", "f").data["x"])
            except ValidationError as error:
                refused.append(f"{cls.__name__}.{name}: {example!r}: {error}")
    assert refused == []


def test_check_brings_the_schemas_of_a_folder_up_to_date(tmp_path):
    assert len(json_schema.write(tmp_path)) == len(SCHEMAS) and json_schema.write(tmp_path) == []
    (tmp_path / json_schema.FOLDER / "shop.json").write_text("{}")
    assert json_schema.write(tmp_path) == ["shop.json"]
