"""A shop's folder whose every text is hostile: all payloads through every field that a shop writes."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from build_tools.content.shop.shop_markdown import faults
from tests.injection.corpus import PAYLOADS

A_PAGE = 6  # payloads of one procedure; each of its steps carries one of them in all its texts


def quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)  # a JSON string is a YAML string


def write(folder: Path) -> Path:
    """Write the folder; every payload stands in every kind of text."""
    for name in ("procedures", "pages", "vehicles", "cautions", "calculators"):
        (folder / name).mkdir(parents=True)
    everything = " ".join(PAYLOADS)
    (folder / "shop.yml").write_text(
        f"name: {quoted('Shop ' + everything)}\nunits: metric\nrules: [{', '.join(map(quoted, PAYLOADS))}]\ncontact: {quoted(everything)}\n",
        "utf-8",
    )
    for number, batch in enumerate(batches()):
        (folder / "cautions" / f"hostile-{number}.yml").write_text(caution(number, batch), "utf-8")
        (folder / "procedures" / f"hostile-{number}.yml").write_text(procedure(number, batch), "utf-8")
    (folder / "terms.yml").write_text(
        "\n".join(
            f"- {{id: hostile-{n}, term: {quoted('Term ' + p)}, american: [{quoted(p)}], meaning: {quoted('Means ' + p)}, not_to_be_confused: [{quoted(p)}]}}"
            for n, p in enumerate(PAYLOADS)
        )
        + "\n",
        "utf-8",
    )
    (folder / "vehicles" / "hostile.yml").write_text(
        f"id: hostile\nname: {quoted('Van ' + everything)}\ninvented: true\nnote: {quoted(everything)}\n"
        f'values: {{wheel_nut.torque: {{value: "120", unit: N·m, source: {quoted(everything)}}}}}\n',
        "utf-8",
    )
    for number, text in enumerate(pages()):
        (folder / "pages" / f"hostile-{number}.md").write_text(text, "utf-8")
    return folder


def batches() -> Iterator[list[str]]:
    for start in range(0, len(PAYLOADS), A_PAGE):
        yield PAYLOADS[start : start + A_PAGE]


def caution(number: int, batch: list[str]) -> str:
    text = quoted("Words " + " ".join(batch))
    return f"id: hostile-{number}\nsignal: warning\nhazard: {text}\nconsequence: {text}\navoid: [{text}]\nsources: common-practice\n"


def procedure(number: int, batch: list[str]) -> str:
    text = quoted("Words " + " ".join(batch))
    steps = "".join(step(index, payload, number) for index, payload in enumerate(batch))
    return (
        f"id: hostile-{number}\ntitle: {text}\nshort: {text}\nsubject: before any job\npurpose: {text}\nend_state: {text}\n"
        f"people: {{count: 1, skill: {text}, minutes: 1}}\nconditions: [{text}]\ntools: none\nsupplies: none\ncautions: [hostile-{number}]\n"
        f"changes: [{{revision: 1, date: 2026-11-30, reason: {text}, approver: {text}}}]\nsources: common-practice\nsteps:\n{steps}"
    )


def step(index: int, payload: str, number: int) -> str:
    text = quoted("Look " + payload)
    return (
        f"  - id: s{index}\n    do: {text}\n    why: {text}\n    note: {text}\n    expect: {text}\n    cautions: hostile-{number}\n"
        f"    enter: {{choice: {{good: {text}, bad: {text}}}}}\n    if_not: {{bad: {{again: true, say: {text}}}}}\n    otherwise: {{lacking: {{stop: {text}}}}}\n"
        f"  - id: t{index}\n    do: Ask.\n    hold: {{until: [s{index}], say: {text}}}\n    enter: {{text: {text}}}\n"
    )


def pages() -> list[str]:
    """Plain pages of every payload that the check lets through, in all places of a Markdown page."""
    kept: list[list[str]] = [["# Hostile page\n"]]
    for payload in (
        each for each in PAYLOADS if "](x" not in each and "](java" not in each
    ):  # links that lead nowhere are refused by another check
        for written in (
            f"## Heading {payload}\n",
            f"Paragraph {payload}\n",
            f"| a | b |\n|---|---|\n| c | {payload} |\n",
            f"* item {payload}\n",
            f"```{payload}\ncode\n```\n",
            f"    {payload}\n",
        ):
            here = kept[-1] if len(kept[-1]) < A_PAGE * 10 else ["# Hostile page\n"]
            if not faults("\n".join([*here, written])):
                if here is not kept[-1]:
                    kept.append(here)
                here.append(written)
    return ["\n".join(parts) for parts in kept]
