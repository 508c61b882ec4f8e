"""Whatever is typed: a result, or one line that names the input; never a traceback, a hang, NaN or infinity.

Entries are made from the good entries and slips of the bench by cutting, doubling, swapping and mixing them, from what
the bands let in, from shop characters, and from numbers of every size. The seed is fixed, so that a failure comes back; `--slow` makes twenty times as many.
"""

from __future__ import annotations

import json
import math
import random
import time
from collections.abc import Iterator

import pytest

from calculators import named, names
from calculators.calls.browser import evaluate
from calculators.contract.bands import Edges
from tests.calculators.corpus import GOOD, JOBS, SLIPS, specs_for, system_of

NORMAL, SLOW = 1_000, 20_000
MOST_SECONDS = 1.0  # of the processor, so that a busy machine fails nothing
HOSTILE = [
    "",
    " ",
    "\n",
    "-",
    "+",
    ".",
    ",",
    "/",
    "1/0",
    "0/0",
    "0",
    "-0",
    "0.0",
    "00",
    "1e5",
    "1E-3",
    "NaN",
    "nan mm",
    "inf",
    "-inf",
    "Infinity",
    "٣",
    "½",
    "１２",
    "𝟏",
    "1/3",
    "1 0/1",
    "999999999999999",
    "9" * 40,
    "0." + "0" * 30 + "1",
    "1" * 300,
    "24.1" * 50,
    "1;" * 120,
    ";;;",
    "mm",
    "in",
    "0 in",
    "0 TPI",
    "0 °C",
    "-273.15 °C",
    "-500 °C",
    "1:0",
    "0:1",
    "M",
    "M0",
    "M0x0",
    "3/4-0",
    "{discard}",
    "{0}",
    "%s",
    "{",
    "}",
    "<b>24</b>",
    "\0",
    "\u202e24",
    "\ud800",
    "24.1\u00a0mm",
    "24.1\t mm",
    "'",
    '"',
    "a" * 2100,
]
SHOP = "0123456789.,/-−+ ;\"'½mincftTPIM×x:%eE°CFNlbsgqk·µ{}\n"
UNITS = [
    "mm",
    "in",
    '"',
    "thou",
    "cm",
    "m",
    "ft",
    "µm",
    "TPI",
    "km",
    "mi",
    "mL",
    "L",
    "pt",
    "US fl oz",
    "cc",
    "kg",
    "lb",
    "g",
    "oz",
    "N",
    "kN",
    "lbf",
    "N·m",
    "ft-lb",
    "in-lb",
    "bar",
    "psi",
    "kPa",
    "MPa",
    "mPa",
    "inHg",
    "°C",
    "°F",
    "K",
    "delta °F",
    "°",
    "turn",
    "mph",
    "km/h",
    "s",
    "min",
    "h",
    "%",
    "mm²/s",
    "cm²",
    "g/cm³",
    "J/(kg·K)",
    "xyz",
    "",
]


class Typist:
    """Makes entries for the inputs of one calculator."""

    def __init__(self, calculator: str, seed: int):
        self.calculator, self.random = calculator, random.Random(f"{calculator} {seed}")
        rows = [row for row in GOOD + SLIPS if row["calculator"] == calculator]
        self.typed = {name: [row["typed"] for row in rows if row["input"] == name] for name in named(calculator).inputs}
        self.all_typed = [row["typed"] for row in GOOD + SLIPS]
        self.jobs = [(job, entries) for (name, job), entries in JOBS.items() if name == calculator]

    def number(self) -> str:
        """A number of any size, in one of the forms a shop writes."""
        r = self.random
        value = r.choice([10 ** r.uniform(-7, 7), r.uniform(0, 1), r.uniform(0, 100), r.randrange(0, 400), 0])
        text = r.choice(["{:.0f}", "{:.1f}", "{:.2f}", "{:.3f}", "{:.4f}", "{:,.0f}", "{:,.2f}", "{:g}", "{:.12f}"]).format(value)
        if r.random() < 0.15:
            text = r.choice(
                [
                    f"{r.randrange(0, 99)}/{r.choice([2, 4, 8, 16, 32, 64, 3, 0])}",
                    f"{r.randrange(0, 12)} {r.randrange(0, 9)}/{r.choice([2, 4, 8, 16])}",
                ]
            )
        text = text.replace(".", ",") if r.random() < 0.1 else text
        return f"-{text}" if r.random() < 0.08 else text

    def possible(self, name: str) -> str:
        """An entry inside the hard band of the input, often at its very edge, or one of its choices."""
        r, spec = self.random, named(self.calculator).inputs[name]
        if spec.choices:
            return r.choice(spec.choices)
        if spec.bands is None:
            return f"{self.number()} {r.choice(UNITS)}"
        edges = r.choice(spec.bands.edges)
        if spec.type == "integer":
            return str(r.randint(round(edges.hard_low), round(edges.hard_high)))
        return "; ".join(f"{self.inside(edges)} {edges.unit}".strip() for _ in range(r.choice([1, 2, 8]) if spec.is_list else 1))

    def inside(self, edges: Edges) -> str:
        """A number from the least to the greatest that is taken."""
        r = self.random
        low, high = edges.hard_low, edges.hard_high
        spread_out = low * (high / low) ** r.random() if low > 0 else 0
        value = r.choice([low, edges.low, edges.high, high, r.uniform(low, high), r.uniform(edges.low, edges.high), spread_out])
        return f"{value:.{r.choice([1, 2, 3, 4, 6, 9])}f}"

    def near(self, name: str) -> str:
        """A real entry of this input, with one thing wrong or none."""
        r = self.random
        text = r.choice(self.typed[name] or self.all_typed)
        for _ in range(r.choice([0, 0, 0, 1, 1, 2, 4])):
            at = r.randrange(len(text) + 1)
            change = r.randrange(6)
            if change == 0:
                text = text[:at] + text[at + 1 :]
            elif change == 1:
                text = text[:at] + text[at : at + 1] * 2 + text[at + 1 :]
            elif change == 2:
                text = text[:at] + text[at + 1 : at + 2] + text[at : at + 1] + text[at + 2 :]
            elif change == 3:
                text = text[:at] + r.choice(SHOP) + text[at:]
            elif change == 4:
                text = text[:at] + r.choice(SHOP) + text[at + 1 :]
            else:
                text = f"{text}{r.choice(['; ', ', ', ' ', ';', chr(10)])}{r.choice(self.all_typed)}"
        return text

    def entry(self, name: str) -> object:
        """An entry of this input."""
        r = self.random
        way = r.random()
        if way < 0.35:
            return self.possible(name)
        if way < 0.65:
            return self.near(name)
        if way < 0.82:
            return "; ".join(f"{self.number()} {r.choice(UNITS)}".strip() for _ in range(r.choice([1, 1, 1, 2, 8])))
        if way < 0.88:
            return "".join(r.choices(SHOP, k=r.randrange(0, 24)))
        if way < 0.94:
            return r.choice(HOSTILE)
        return r.choice(
            [
                r.choice(self.all_typed),
                None,
                True,
                False,
                0,
                7,
                -3,
                1e308,
                1e-308,
                24.1,
                [],
                ["24.1", "24.0 mm"],
                [1, [2]],
                {},
                {"a": 1},
                [None],
                float(10**15),
            ]
        )

    def requests(self, entries: int) -> Iterator[tuple[dict[str, object], list[str]]]:
        """Jobs with one entry, or a few, made anew, until so many entries were made; with the names of those entries."""
        made, inputs = 0, list(named(self.calculator).inputs)
        while made < entries:
            job, typed = self.random.choice(self.jobs)
            changed = self.random.sample(inputs, min(len(inputs), self.random.choice([1, 1, 1, 2, 3, len(inputs)])))
            given: dict[str, object] = {**typed, **{name: self.entry(name) for name in changed}}
            if self.random.random() < 0.1:
                given.pop(self.random.choice(inputs), None)
            made += len(changed)
            yield {"calculator": self.calculator, "given": given, "system": system_of(job)}, changed


def check(request: dict[str, object]) -> dict:
    """The answer to a request, which must be in order."""
    text = json.dumps(request)
    started = time.process_time()
    answered = evaluate(text)
    took = time.process_time() - started
    assert took < MOST_SECONDS, f"{took:.1f} s for {text}"
    answer = json.loads(answered, parse_constant=lambda word: pytest.fail(f"{word} from {text}"))
    if "problem" in answer:
        problem = answer["problem"]
        assert problem["input"] in request["given"] or problem["input"] in named(request["calculator"]).inputs, (
            f"names no input: {problem['message']} from {text}"
        )
        assert problem["message"].strip() and not set("\n\r\0") & set(problem["message"]), text
        assert len(problem["message"]) < 600, f"{len(problem['message'])} characters from {text}"
        assert "please report" not in problem["message"], f"{problem['message']} from {text}"
    else:
        assert set(answer) == {"result"}
        in_order(answer["result"], text)
    return answer


def in_order(found: object, request: str) -> None:
    """No number that is none, and no text of one, anywhere in a result."""
    if isinstance(found, dict):
        for key, value in found.items():
            if key != "typed":
                in_order(value, request)
    elif isinstance(found, list):
        for value in found:
            in_order(value, request)
    elif isinstance(found, float):
        assert math.isfinite(found), request
    elif isinstance(found, str):
        words = found.casefold().replace("(", " ").replace("≈", " ").split()
        assert not {"nan", "inf", "infinity", "none", "-nan", "-inf"} & {word.strip(";,.)") for word in words} - {"none"}, (
            f"{found} from {request}"
        )
        assert "e+" not in found and "e-0" not in found, f"{found} from {request}"
        assert "{" not in found and "Quantity" not in found, f"{found} from {request}"


@pytest.mark.parametrize("calculator", names())
def test_any_entry_gives_a_result_or_one_line(calculator):
    fuzz(calculator, seed=1, entries=NORMAL)


@pytest.mark.slow
@pytest.mark.timeout(1800)
@pytest.mark.parametrize("calculator", names())
def test_very_many_entries_give_a_result_or_one_line(calculator):
    fuzz(calculator, seed=2, entries=SLOW)


def fuzz(calculator: str, seed: int, entries: int) -> None:
    counts = {"result": 0, "problem": 0}
    questions = 0
    for request, _ in Typist(calculator, seed).requests(entries):
        answer = check(request)
        counts[next(iter(answer))] += 1
        if answer.get("problem", {}).get("candidates"):
            questions += 1
            for candidate in answer["problem"]["candidates"]:
                pressed(request, answer["problem"]["input"], candidate["entry"])
    print(f"\n{calculator}: {counts['result']} results, {counts['problem']} refused or asked, {questions} of them with candidates")
    assert min(counts.values()) > entries // 100  # the typist reaches both


def pressed(request: dict[str, object], name: str, entry: str) -> None:
    """The button of a candidate, pressed: the entry is read, never refused or asked about again."""
    given = request["given"] | {name: entry}
    specs_for(request["calculator"], given)[name].read(entry, request["system"])


def test_the_check_can_fail():
    for bad in (math.nan, math.inf):
        with pytest.raises(AssertionError):
            in_order({"value": bad}, "")
    for bad in ("nan mm", "24.1 (inf in)", "1e-07 mm", "{thinnest}"):
        with pytest.raises(AssertionError):
            in_order({"text": bad}, "")
