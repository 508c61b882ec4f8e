"""The model as pages: a pure step from a Handbook to {uri: Markdown}. It reads only its templates, and knows nothing of MkDocs.

Headings are Markdown, so that any generator finds the parts of a page; what stands under them is HTML in the form that
the page's scripts read (DEVELOPERS.md, «The page»).
"""

from __future__ import annotations

import html
import itertools
import json
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypedDict

import jinja2
from markupsafe import Markup, escape
from pydantic import BaseModel

from build_tools.checks import check, layouts
from build_tools.checks.sheet_values import judged_by
from build_tools.content import computed_tables, decision_rules, file_keys
from build_tools.content.handbook import Handbook
from build_tools.content.meaning import hash_before
from build_tools.content.mistakes import MISTAKES
from build_tools.content.model import SHEET_VALUE, STEP_VALUE, Outcome, PageHead, Procedure, ReferencePage, Signed, SourceRef, Step, Table
from build_tools.content.page_order import Part, Placed, address_of, by_subject, parts_of, whole_jobs
from build_tools.content.when import Normal, in_words
from calculators.contract.judge import SHOP_WORDS

if TYPE_CHECKING:
    from build_tools.exchange.compare_sites import Comparison
    from calculators.contract.declaration import Calculator

TEMPLATES = Path(__file__).parent / "templates"
# A number and its unit are never parted at the end of a line.
_UNIT = re.compile(
    r"(?<=\d) (?=(?:mm|cm|m|km|in|ft|mi|miles|thou|N·m|lbf·ft|lbf·in|lbf|lb|kg|g|mL|L|min|h|s|psi|bar|kPa|MPa|°C|°F|K|%|km/h|mph)\b)"
)


def render(handbook: Handbook, changed: Comparison | None = None) -> dict[str, str]:
    """Every generated page by its uri; with what changed since an older handbook, a page of that and marks at the steps."""
    pages = Pages(handbook, changed)
    return {uri: write(pages) for uri, write in _writers(handbook, changed).items()}


def uris(handbook: Handbook) -> set[str]:
    """The addresses of all generated pages, without writing any."""
    return set(_writers(handbook))


def _writers(handbook: Handbook, changed: Comparison | None = None) -> dict[str, Callable[[Pages], str]]:
    """Uri → what writes that page."""
    procedures = handbook.procedures.values()
    symptoms = [p for p in procedures if p.kind == "diagnosis"]

    def filled(template: str, **values: object) -> Callable[[Pages], str]:
        return lambda pages: pages.page(template, **values)

    return {
        **{f"procedures/{p.id}.md": partial(Pages.procedure, procedure=p) for p in procedures},
        **{f"calculators/{name}.md": partial(Pages.calculator, name=name) for name in handbook.catalogue},
        "index.md": Pages.start,
        "procedures/index.md": filled("procedures.md.j2", procedures=_jobs_first(handbook)),
        "calculators/index.md": lambda pages: pages.page("calculators.md.j2", items=pages.calculators.values()),
        "reference/glossary.md": filled("glossary.md.j2", terms=sorted(handbook.terms.values(), key=lambda t: t.term.casefold())),
        "reference/findings.md": filled("findings.md.j2", items=handbook.findings.values()),
        **{f"reference/{page.id}.md": partial(Pages.reference, page=page) for page in handbook.references.values()},
        **({"procedures/symptoms.md": filled("symptoms.md.j2", symptoms=symptoms)} if symptoms else {}),
        "reference/coverage.md": Pages.coverage,
        "reference/safety.md": filled("safety.md.j2", items=handbook.cautions.values()),
        "reference/sources.md": filled("sources.md.j2", items=every_source(handbook).values()),
        "reference/vehicles.md": filled("vehicles.md.j2", items=handbook.vehicles.values(), fields=handbook.fields),
        **({"changes.md": filled("changes.md.j2", changed=changed)} if changed else {}),
        "reference/shop-files.md": lambda pages: pages.page("fields.md.j2", kinds=file_keys.kinds()),
        "mistakes/index.md": filled(
            "mistakes.md.j2", kinds=[(kind, list(group)) for kind, group in itertools.groupby(MISTAKES.values(), lambda m: m.kind)]
        ),
        **{f"mistakes/{m.code.lower()}.md": filled("mistake.md.j2", m=m) for m in MISTAKES.values()},
        **{f"shop/{uri}": partial(Pages.shop_page, uri=uri, text=text) for uri, text in handbook.shop_pages.items()},
    }


def every_source(handbook: Handbook) -> dict[str, object]:
    """All that is cited anywhere, by id: the handbook's list, and what a shop's own calculators name beside it."""
    cited = {source.id: source for calculator in handbook.catalogue.values() for source in calculator.sources}
    return dict(handbook.sources) | {name: source for name, source in cited.items() if name not in handbook.sources}


def page_data(handbook: Handbook) -> dict[str, Any]:
    """What every page's scripts need of the handbook: the questions of the layout, the fields and values of sheets."""

    def plain(items: Iterable[BaseModel]) -> list[dict[str, Any]]:
        return [item.model_dump(mode="json", by_alias=True, exclude_none=True, exclude={"replaces_stock"}) for item in items]

    return {
        "axes": plain(handbook.axes.values()),
        "impossible": plain(handbook.impossible),
        "sheet": [plain([field])[0] | ({"judged": judged} if (judged := judged_by(field)) else {}) for field in handbook.fields.values()],
        "vehicles": plain(handbook.vehicles.values()),
        "procedures": {p.id: {"title": p.title, "revision": p.revision} for p in handbook.procedures.values()},
        "shop": handbook.shop.model_dump(mode="json", exclude={"note"}) if handbook.shop else None,
    }


def main(folder: Path, shop: Path | None = None) -> int:
    """The command `render`: write every generated page as Markdown into `folder`."""
    pages = render(check.load_and_check(shop=shop)[0])
    for uri, text in pages.items():
        path = folder / uri
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8", newline="\n")
    print(f"{len(pages)} pages written to {folder}")
    return 0


@dataclass(frozen=True)
class Row:
    """A line of a gather list, with the layouts it belongs to."""

    label: str
    note: str | None = None
    when: Normal | None = None


class Pages:
    """The templates with a handbook behind them."""

    def __init__(self, handbook: Handbook, changed: Comparison | None = None):
        self.handbook = handbook
        self.stale = {
            key for key, stock in handbook.replaced.items() if getattr(handbook, key[0])[key[1]].replaces_stock.made_for != stock.hash
        }
        self.pictures = {Path(name).stem: name for name in handbook.pictures}
        self.calculators = {name: calculator_data(c) for name, c in handbook.catalogue.items()}
        self.left_from = _left_from(handbook)
        self.env = jinja2.Environment(
            loader=jinja2.FileSystemLoader(TEMPLATES),
            autoescape=True,
            trim_blocks=True,
            lstrip_blocks=True,
            undefined=jinja2.StrictUndefined,
            keep_trailing_newline=True,
            finalize=_inert,
        )
        self.env.filters |= {
            "text": self._text,
            "json": _json,
            "words": self._words,
            "label": self._label,
            "source": self._source,
            "drawing_title": lambda name: handbook.drawings.get(name, name.replace("-", " ")),
            "is_sheet_ref": lambda text: bool(SHEET_VALUE.fullmatch(text)),
            "figure": lambda name: f"pictures/{self.pictures[name]}" if name in self.pictures else f"drawings/{name}.svg",
            "description": _description,
            "meta": _meta,
            "heading": _heading,
            "worked_out": _worked_out,
            "capitalize_first": lambda text: text[:1].upper() + text[1:],
        }
        self.env.globals |= {
            "is_own": lambda kind, key: (kind, key) in handbook.from_shop,
            "signed": self._signed,
            "is_stale": lambda kind, key: (kind, key) in self.stale,
            "notes": lambda placed: sorted(handbook.notes.get(placed.address, []), key=lambda note: note.kind != "removed"),
            "cautions": handbook.cautions,
            "parts_findings": handbook.findings,
            "sheet": handbook.fields,
            "components": handbook.components,
            "calculators": self.calculators,
            "shop": handbook.shop,
            "units_of": lambda item: {
                name: {i["name"]: {"metric": i["unit"], "inch": i["inch_unit"]} for i in inputs if i["unit"]}
                for name, inputs in item["quantities"].items()
            },
            "returns": lambda s: [code for code, way in (*s.if_not.items(), *s.otherwise.items()) if way.back],
            "hash_before": lambda placed: hash_before(placed.step, placed.address, handbook.earlier),
            "judges": lambda calculator: [name for name, part in handbook.findings.items() if calculator in part.readings],
            "renewed": lambda calculator: any(calculator in part.readings and part.bought_as for part in handbook.findings.values()),
            "judged": lambda means: {
                part: decision_rules.least_actions(handbook, part) for part in dict.fromkeys(p for said in means.values() for p in said)
            },
            "all_outcomes": lambda s: [*s.if_not.items(), *s.otherwise.items()],
            "outcome_words": _outcome_words,
            "from_shop": False,
            "root": "../",
            "since": changed.since if changed else "",
            "since_steps": changed.of_steps() if changed else {},
        }

    def page(self, template: str, **values: object) -> str:
        text = self.env.get_template(template).render(values)
        # a blank line inside raw HTML would end it for some Markdown readers
        return re.sub(r"\n{3,}", "\n\n", text).lstrip("\n")

    def procedure(self, procedure: Procedure) -> str:
        parts = parts_of(procedure, self.handbook.procedures)
        steps = [placed for part in parts for placed in part.steps]
        numbers = {placed.address: placed for placed in steps}
        once = {part.procedure.id: part for part in parts}.values()
        prefixes = {placed.address: f"s{index}" for index, placed in enumerate(steps, 1)}
        return self.page(
            "procedure.md.j2",
            p=procedure,
            page_parts=parts,
            changed=max(c.date for c in procedure.changes),
            from_shop=("procedures", procedure.id) in self.handbook.from_shop,
            changed_here=[placed.address for placed in steps if placed.address in self.handbook.notes],
            axle=_only_axle(procedure),
            axes=self._asked(procedure, steps),
            conditions=[Row(text) for text in procedure.conditions],
            tools=self._needed("tools", procedure, once),
            supplies=self._needed("supplies", procedure, once),
            always_new=self._always_new(steps),
            safety=list(dict.fromkeys(name for p in (procedure, *(part.procedure for part in once)) for name in p.cautions)),
            firsts=_first_forms(steps),
            prefix_of=lambda placed: prefixes[placed.address],
            holds=lambda placed: [address_of(ref, placed.home) for ref in placed.step.hold.until],
            numbers=lambda addresses: Markup(", ").join(self._reference(address, numbers) for address in addresses),
            address=lambda reference, placed: address_of(reference, placed.home),
            link=lambda reference, placed: self._reference(address_of(reference, placed.home), numbers),
            outcomes=_outcomes,
            earlier=_earlier,
            calculator_at=self._calculator_at,
            left_from=self.left_from.get(procedure.id, {}),
        )

    def _calculator_at(self, step: Step) -> dict[str, Any]:
        """The calculator of a step, with its fields as they are read there."""
        assert step.enter and step.enter.calculator, "asked for where a calculator stands"
        item = self.calculators[step.enter.calculator]
        return {**item, "inputs": item["quantities"].get(step.enter.fixed.get("quantity"), item["inputs"])}

    def calculator(self, name: str) -> str:
        return self.page("calculator.md.j2", item=self.calculators[name])

    def start(self) -> str:
        """The first page: whole jobs, calculators, what the shop added, what can be looked up."""
        stock, own = self.handbook.stock_and_own()
        titles = [(uri.removesuffix(".md") + ".html", _title(uri, text)) for uri, text in self.handbook.shop_pages.items()]
        return self.page(
            "index.md.j2",
            jobs=by_subject(whole_jobs(stock)),
            procedures=len(self.handbook.procedures),
            symptoms=[p for p in stock if p.kind == "diagnosis"],
            references=self.handbook.references.values(),
            items=self.calculators.values(),
            own=own,
            changed=[p for p in stock if any(note.split("/")[0] == p.id for note in self.handbook.notes)],
            pages=titles,
            terms=len(self.handbook.terms),
        )

    def reference(self, page: ReferencePage) -> str:
        return self.page(
            "reference.md.j2", page=page, from_shop=("references", page.id) in self.handbook.from_shop, procedures=self.handbook.procedures
        )

    def coverage(self) -> str:
        """Layout by procedure: whether a whole job covers any layout with that answer."""
        jobs = whole_jobs(list(self.handbook.procedures.values()))
        covered = {p.id: layouts.answers_covered(self.handbook, p) for p in jobs}
        rows = {
            axis.id: [(p, [value.id in covered[p.id].get(axis.id, {value.id}) for value in axis.values]) for p in jobs]
            for axis in self.handbook.axes.values()
        }
        return self.page("coverage.md.j2", axes=self.handbook.axes.values(), rows=rows)

    def shop_page(self, uri: str, text: str) -> str:
        """A shop's plain Markdown page, marked as the shop's. Raw HTML in it is shown as text (hooks.py)."""
        name = self.handbook.shop.name if self.handbook.shop else ""
        front = {"shop": name, "signed": _signed_line(self.handbook.page_heads[uri])}
        return (
            "---\n" + "".join(f"{key}: {json.dumps(said, ensure_ascii=False)}\n" for key, said in front.items()) + f"---\n\n{text.lstrip()}"
        )

    def _signed(self, kind: str, key: str) -> Signed | None:
        """Who decided on what stands in place of the handbook's own; None where it stands beside it."""
        return getattr(getattr(self.handbook, kind)[key], "replaces_stock", None)

    def _asked(self, procedure: Procedure, steps: list[Placed]) -> list[str]:
        """The questions of the page's picker. Places and an end's sheet hang on the axle, so it is asked wherever either is used."""
        needed = {*layouts.axes_of_page(self.handbook, procedure, steps)}
        if any(placed.step.for_ != "vehicle" for placed in steps):
            needed.add("axle")
        return [axis for axis in self.handbook.axes if axis in needed]

    def _needed(self, field: str, procedure: Procedure, once: Iterable[Part]) -> list[Row]:
        own = [(self._row(name), None) for name in getattr(procedure, field)]
        theirs = [
            (self._row(name), part.when) for part in once if part.procedure is not procedure for name in getattr(part.procedure, field)
        ]
        return _gather(own, theirs)

    def _always_new(self, steps: list[Placed]) -> list[Row]:
        return _gather([(self._row(name), placed.when) for placed in steps for name in placed.step.always_new])

    def _row(self, name: str) -> Row:
        component = self.handbook.components[name]
        return Row(component.label, component.note or component.sold)

    def _label(self, name: str) -> str:
        return self.handbook.components[name].label if name in self.handbook.components else name.replace("-", " ")

    def _words(self, condition: Normal | None) -> str:
        def label(axis: str, value: str | None = None) -> str:
            known = self.handbook.axes[axis]
            return known.label.lower() if value is None else next(v.label for v in known.values if v.id == value)

        return in_words(condition, label)

    def _source(self, ref: SourceRef) -> Markup:
        source = self.handbook.sources[ref.source]
        text = source.title if source.kind == "published" else source.kind
        return Markup('<a href="{}reference/sources.html#{}">{}</a>{}').format("../", source.id, text, f", {ref.at}" if ref.at else "")

    def _reference(self, address: str, numbers: dict[str, Placed]) -> Markup:
        home, step_id = address.split("/")
        if address in numbers:
            placed = numbers[address]
            return Markup('<a class="step-link" href="#{}">step {}</a>').format(placed.anchor, placed.number)
        title = self.handbook.procedures[home].title
        return Markup('<a class="step-link" href="{}.html#{}.{}">{}</a>').format(home, home, step_id, title)

    def _text(self, text: str) -> Markup:
        return Markup(_UNIT.sub("\u00a0", _inert(text)))


def _inert(value: object) -> Markup:
    """Text that neither HTML nor Markdown reads as anything else: what is markup already stays as it is.

    Braces would give the element around them attributes (attr_list): `{: hidden }` behind a safety message hides it.
    """
    if hasattr(value, "__html__"):
        return Markup(value.__html__())
    return Markup(str(escape(value)).replace("{", "&#123;").replace("}", "&#125;"))


def _gather(*groups: Iterable[tuple[Row, Normal | None]]) -> list[Row]:
    """One line for each thing; its condition is the sum of those it came with, none where one of them is «always»."""
    found: dict[tuple[str, str | None], list[Normal | None]] = {}
    for row, when in (pair for group in groups for pair in group):
        found.setdefault((row.label, row.note), []).append(when)
    rows = []
    for (label, note), whens in found.items():
        always = any(when is None for when in whens)
        alternatives = [] if always else [a for when in whens for a in when or []]
        unique = [a for index, a in enumerate(alternatives) if a not in alternatives[:index]]
        rows.append(Row(label, note, None if always else unique))
    return rows


def _jobs_first(handbook: Handbook) -> list[Procedure]:
    """Every whole job with its parts behind it in the order in which they are done; then the symptoms."""
    everything = list(handbook.procedures.values())
    ordered = [p for job in whole_jobs(everything) for p in (job, *(part.procedure for part in parts_of(job, handbook.procedures)))]
    return list({p.id: p for p in (*ordered, *everything)}.values())


def _first_forms(steps: list[Placed]) -> set[str]:
    """The steps in which a calculator stands for the first time: it is explained there, and once a page is enough."""
    firsts: dict[str, str] = {}
    for placed in steps:
        if placed.step.enter and placed.step.enter.calculator:
            firsts.setdefault(placed.step.enter.calculator, placed.address)
    return set(firsts.values())


def _only_axle(procedure: Procedure) -> str | None:
    """The axle that the procedure is written for, where it is for one."""
    wanted = {value for alternative in procedure.when or [{}] for value in alternative.get("axle", ["front", "rear"])}
    return wanted.pop() if len(wanted) == 1 else None


class _Left(TypedDict):
    """A step that leads to a job and back again: its line, and the outcomes that do."""

    does: str
    outcomes: list[str]


def _left_from(handbook: Handbook) -> dict[str, dict[str, _Left]]:
    """The steps whose outcome leads to a job and back again: the job → address of the step → its line and these outcomes."""
    found: dict[str, dict[str, _Left]] = {}
    for procedure in handbook.procedures.values():
        for step in (step for step in procedure.steps if isinstance(step, Step)):
            for code, way in (*step.if_not.items(), *step.otherwise.items()):
                if way.back and way.go:
                    job = address_of(way.go, procedure.id).partition("/")[0]
                    left = found.setdefault(job, {}).setdefault(f"{procedure.id}/{step.id}", {"does": step.do, "outcomes": []})
                    left["outcomes"].append(code)
    return found


def _outcomes(placed: Placed) -> dict[str, str]:
    """Outcome → where it leads: the full address of a step, `again` or `stop`. What is said stands in the page's list."""

    def way(outcome: Outcome) -> str:
        return address_of(outcome.go, placed.home) if outcome.go else "again" if outcome.again else "stop"

    return {key: way(outcome) for key, outcome in (*placed.step.if_not.items(), *placed.step.otherwise.items())}


def _earlier(placed: Placed) -> dict[str, str]:
    """The entries of a step's calculator, those that an earlier step found under that step's full address."""
    fields = placed.step.enter.fields if placed.step.enter else {}
    return {name: address_of(given, placed.home) if STEP_VALUE.fullmatch(given) else given for name, given in fields.items()}


def _outcome_words(key: str, step: Step) -> str:
    if step.enter and step.enter.choice and key in step.enter.choice:
        return step.enter.choice[key]
    if step.enter and step.enter.calculator and key in SHOP_WORDS:
        return SHOP_WORDS[key]
    return f"If {key.replace('-', ' ')}"


def _json(value: object) -> Markup:
    """Data in an attribute: inside a tag no brace is read as Markdown, and entities would make the page longer."""
    return Markup(escape(json.dumps(value, ensure_ascii=False, separators=(",", ":"))))


def _description(calculator: dict[str, Any]) -> Markup:
    """What the form's script needs of the declaration: the labels of the values."""
    kept = {"values": [{"name": value["name"], "label": value["label"]} for value in calculator["values"]]}
    # «</» would end the element that holds it
    return Markup(json.dumps(kept, ensure_ascii=False, separators=(",", ":")).replace("</", "<\\/"))


def _meta(text: str) -> Markup:
    """A value of a page's front matter, as plain text: the theme escapes whatever it prints."""
    return Markup(json.dumps(text, ensure_ascii=False))


def _signed_line(head: PageHead) -> str:
    """Whose word a plain page is."""
    said = " ".join(filter(None, (f"{head.date}:" if head.date and head.reason else str(head.date or ""), head.reason)))
    approved = f"Approved by {head.approver}." if head.state == "approved" else "Draft: nobody has approved it yet."
    return f"{said} {approved}".strip()


def _title(uri: str, text: str) -> str:
    """The title of a plain Markdown page: its first heading, else its name."""
    found = re.search(r"^#\s+(.+)$", text, re.MULTILINE)
    return found.group(1).strip() if found else Path(uri).stem.replace("-", " ").capitalize()


def _heading(text: str) -> Markup:
    """Text in a Markdown heading: shown as written, never read as Markdown or HTML."""
    return Markup(re.sub(r"([\\`*_{}\[\]()!|])", r"\\\1", html.escape(text, quote=False)))


def _worked_out(table: Table) -> computed_tables.Rows:
    return computed_tables.TABLES[table.computed]() if table.computed else (table.columns, table.rows)


def calculator_data(calculator: Calculator) -> dict[str, Any]:
    """The declaration as pages need it, with the worked example computed now."""
    data = calculator.describe()
    result = calculator.worked_example().as_json()
    labels = {part["name"]: part["label"] for part in (*data["inputs"], *data["values"])}

    def text(part: dict[str, Any] | list[dict[str, Any]]) -> str:
        return "; ".join(p["text"] for p in part) if isinstance(part, list) else part["text"]

    verdict = result["verdict"]
    return {
        **data,
        "cited": [(source.id, str(source)) for source in calculator.sources],
        "worked": {
            "given": [(labels[name], text(part)) for name, part in result["inputs"].items()],
            "values": [(labels[name], text(part)) for name, part in result["values"].items() if name in calculator.example.printed],
            "verdict": verdict and verdict["text"],
            "where": calculator.example.where,
        },
    }
