"""The command line: python -m calculators NAME input=value … (exit 0 with a result, 2 with one line)."""

from __future__ import annotations

import json
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from calculators import catalogue
from calculators.calls.browser import calculator_named
from calculators.contract.declaration import Calculator
from calculators.contract.errors import AmbiguousEntry, EntryError
from calculators.contract.result import Result
from calculators.decision import asked

USAGE = """usage: python -m calculators NAME input=value … [--system=inch] [--json]
       python -m calculators NAME --help
       python -m calculators wheel-end-decision findings=@FILE.json [rules=@FILE.json] [--json]
       python -m calculators --list [--json]
for example: python -m calculators rotor-thickness readings="24.1; 24.0" discard=22.4mm"""
SWITCHES = ("--json", "--list", "--help", "-h", "--system=metric", "--system=inch")


class UsageError(ValueError):
    """Arguments that make no call; the message is one line."""


@dataclass
class Call:
    """The arguments, taken apart."""

    name: str | None = None
    given: dict[str, str] = field(default_factory=dict)
    switches: set[str] = field(default_factory=set)
    system: str = "metric"


def main(arguments: list[str]) -> int:
    """Run one call; returns the exit status."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        print(answer(parse(arguments)))
        return 0
    except AmbiguousEntry as error:
        choices = " or ".join(f'{error.input}="{c.entry}"' for c in error.candidates)
        complain(f"{error}; write {choices}")
    except (EntryError, UsageError) as error:
        complain(str(error))
    return 2


def complain(line: str) -> None:
    """One line on the error output."""
    print(" ".join(line.split()), file=sys.stderr)


def parse(arguments: list[str]) -> Call:
    """The arguments of one call. Raises UsageError."""
    call = Call()
    for argument in arguments:
        if argument.startswith("-"):
            _switch(call, argument)
        elif "=" in argument:
            name, _, value = argument.partition("=")
            if not name.strip():
                raise UsageError(f"“{argument}” has no name before “=”; write input=value, for example discard=22.4mm")
            if not value.strip():
                raise UsageError(f"{name}: nothing after “=”; write {name}=value, or leave {name} out")
            if name in call.given:
                raise UsageError(f"{name}: given twice, “{call.given[name]}” and “{value}”; give it once")
            call.given[name] = value
        elif call.name is None:
            call.name = argument
        else:
            raise UsageError(f"“{argument}” has no “=”; write input=value, for example discard=22.4mm")
    return call


def _switch(call: Call, argument: str) -> None:
    if argument not in SWITCHES:
        raise UsageError(f"“{argument}” is not known here; expected one of {', '.join(SWITCHES)}")
    if argument.startswith("--system="):
        if any(s.startswith("--system=") and s != argument for s in call.switches):
            raise UsageError("--system: given twice; give it once, for example --system=inch")
        call.system = argument.partition("=")[2]
    call.switches.add("--help" if argument == "-h" else argument)


def answer(call: Call) -> str:
    """The text of the answer. Raises EntryError, UsageError."""
    as_json = "--json" in call.switches
    if "--list" in call.switches:
        if call.name or call.given:
            raise UsageError("--list takes no calculator and no inputs; for help on one write NAME --help")
        return to_json(listing()) if as_json else list_text()
    if call.name is None:
        if "--help" in call.switches and not call.given:
            return USAGE
        raise UsageError('name a calculator first, for example rotor-thickness readings="24.1; 24.0" discard=22.4mm (--list shows all)')
    if call.name == asked.NAME:
        return _decision(call, as_json)
    found = calculator_named(call.name)
    if "--help" in call.switches:
        return to_json(found.describe()) if as_json else help_text(found)
    if "system" in call.given:
        raise UsageError(f"system: not an input of {found.name}; write --system={call.given['system']}")
    result = found.run(system=call.system, **call.given)
    return to_json(result.as_json()) if as_json else result_text(found, result)


def _decision(call: Call, as_json: bool) -> str:
    """The decision on an axle; an entry that starts with @ names a file."""
    if "--help" in call.switches:
        return to_json(asked.describe_decision()) if as_json else asked.help_text()
    decided = asked.run_decision(
        {
            name: _read_file(name, value[1:]) if value.startswith("@") and name in asked.INPUTS else value
            for name, value in call.given.items()
        }
    )
    return to_json(decided) if as_json else asked.decision_text(decided)


def _read_file(name: str, path: str) -> str:
    try:
        return Path(path).read_text("utf-8-sig")
    except OSError as error:
        raise UsageError(f"{name}: {path or 'no file named'}: {error.strerror or error}; write {name}=@FILE.json") from None
    except UnicodeDecodeError:
        raise UsageError(f"{name}: {path} is not saved as UTF-8 text; save it again with the encoding UTF-8") from None


def to_json(data: Any) -> str:
    """Data as JSON text for a person and a program."""
    return json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False)


def listing() -> list[dict[str, Any]]:
    """Every calculator's declaration, and the decision's."""
    return [*(found.describe() for found in catalogue().values()), asked.describe_decision()]


def list_text() -> str:
    """Every calculator with its inputs: optional ones in brackets, lists with []."""
    lines = []
    for found in catalogue().values():
        inputs = [spec.name + ("[]" if spec.is_list else "") for spec in found.inputs.values()]
        optional = [not spec.required for spec in found.inputs.values()]
        shown = " ".join(f"[{name}]" if more else name for name, more in zip(inputs, optional, strict=True))
        lines += [f"{found.name}  {found.purpose}", f"    {shown}"]
    lines += [f"{asked.NAME}  {asked.PURPOSE}", "    findings [rules]"]
    return "\n".join(lines)


def help_text(found: Calculator) -> str:
    """What one calculator asks, answers and rests on."""
    lines = [f"{found.name}: {found.title}", found.purpose, "", "Inputs (metric unit, inch unit):"]
    for item in found.describe()["inputs"]:
        units = ", ".join(dict.fromkeys(u for u in (item["unit"], item["inch_unit"]) if u)) or (
            "one of " + ", ".join(item["choices"]) if item["choices"] else "number"
        )
        need = "required" if item["required"] else f"default {item['default']}" if item["default"] else "optional"
        name = item["name"] + ("[]" if item["list"] else "")
        lines.append(f"  {name} ({units}; {need})  {item['help']} For example {item['example']}")
    lines += ["", "Values:"]
    lines += [
        f"  {value.name}{'[]' if value.is_list else ''}{f' ({value.unit})' if value.unit else ''}  {value.label}"
        for value in found.values.values()
    ]
    lines += ["", "Formula:", *(f"  {line}" for line in found.formula)]
    lines += ["", "Limits of the model:", *(f"  {line}" for line in found.limits_of_model)]
    lines += ["", "Example:", f"  {example_call(found)}"]
    lines += ["", "Sources:", *(f"  {source}" for source in found.sources)]
    return "\n".join(lines)


def example_call(found: Calculator) -> str:
    """The worked example as a command."""
    given = " ".join(f'{name}="{value}"' for name, value in found.example.given.items())
    system = " --system=inch" if found.example.system == "inch" else ""
    return f"python -m calculators {found.name} {given}{system}"


def _not_twice(*parts: str) -> list[str]:
    """The parts that say something new: «3.0 mm» as typed and as understood is said once."""
    bare = ["".join(part.split()) for part in parts]
    return [part for place, part in enumerate(parts) if part and bare[place] not in bare[:place]]


def result_text(found: Calculator, result: Result) -> str:
    """A result for a terminal: verdict, values, what was understood, notes."""
    lines = [f"{result.verdict.code}: {result.verdict.text}", ""] if result.verdict else []
    lines += [f"{found.values[name].label}: {value.text}" for name, value in result.values.items()]
    lines += ["", "Understood:"]
    for name, said in result.inputs.items():
        for one in said if isinstance(said, list) else [said]:
            typed = "default" if one.get("default") else one["typed"]
            lines.append(f"  {found.inputs[name].label}: {' → '.join(_not_twice(typed, one['text'], one['other']))}")
    if result.notes:
        lines += ["", "Notes:", *(f"  {note}" for note in result.notes)]
    return "\n".join(lines)
