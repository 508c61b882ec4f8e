"""The stock handbook reads as it should: short lines, figures with unit and source, no action in a note, and it is complete."""

import re
from dataclasses import replace

import pytest

from build_tools.checks.check import check, load_and_check
from build_tools.content.model import Step
from build_tools.content.page_order import address_of, steps_of, whole_jobs
from build_tools.pages.render import Pages
from build_tools.paths import PROJECT
from calculators import catalogue

# Words that are verbs at the start of a step and something else inside a line.
NOT_ONLY_VERBS = {
    "plan",
    "place",
    "set",
    "force",
    "look",
    "water",
    "clean",
    "drive",
    "light",
    "seat",
    "turn",
    "bleed",
    "record",
    "test",
    "mark",
    "note",
    "cap",
    "plug",
    "lock",
    "pack",
    "dry",
    "rinse",
    "grease",
    "oil",
    "tag",
    "list",
    "open",
    "close",
    "read",
    "free",
    "start",
    "stop",
    "hold",
    "swing",
    "work",
    "support",
    "cover",
    "pair",
    "hand",
    "brake",
    "bend",
    "block",
    "bolt",
    "lever",
    "lower",
    "order",
    "pull",
    "snap",
}
MOST_WORDS = 25
UNIT = r"(?:mm|cm|m|km|in|ft|mi|miles|thou|N·m|lbf·ft|lbf·in|lbf|lb|kg|g|mL|L|min|h|s|psi|bar|kPa|MPa|°C|°F|%|km/h|mph|°)"


@pytest.fixture(scope="module")
def handbook():
    return load_and_check()[0]


@pytest.fixture(scope="module")
def steps(handbook):
    return [(f"{p.id}/{s.id}", s) for p in handbook.procedures.values() for s in p.steps if isinstance(s, Step)]


@pytest.fixture(scope="module")
def verbs(steps):
    """Every step begins with its verb, so the steps themselves say which words are verbs of the trade."""
    return {first_word(s.do) for _, s in steps} - NOT_ONLY_VERBS


def first_word(text: str) -> str:
    return re.match(r"[A-Za-z-]+", text)[0].lower()


def texts(step: Step) -> list[str]:
    says = [text for o in (*step.if_not.values(), *step.otherwise.values()) for text in (o.say, o.stop) if text]
    return [text for text in (step.do, step.why, step.note, step.expect, *says) if text]


def every_text(handbook, steps):
    """Everything the handbook says in its own words, with where it stands."""
    for address, step in steps:
        for text in texts(step):
            yield address, text
    for p in handbook.procedures.values():
        for text in (p.title, p.purpose, p.end_state, *p.conditions, p.stop_driving, *p.also):
            if text:
                yield p.id, text
    for c in handbook.cautions.values():
        for text in (c.hazard, c.consequence, *c.avoid):
            yield f"caution {c.id}", text
    for page in handbook.references.values():
        for item in page.items:
            for text in (item.look, *item.points, *item.never):
                if text:
                    yield f"{page.id}#{item.id}", text


def labels(handbook, steps):
    """What else the reader reads: choices, holds, parts, questions, findings, rules, the sheet."""
    for address, step in steps:
        for text in (
            *((step.enter.choice or {}).values() if step.enter else ()),
            step.enter and step.enter.text,
            step.hold and step.hold.say,
        ):
            if text:
                yield address, text
    for c in handbook.components.values():
        yield from ((f"component {c.id}", text) for text in (c.label, c.note, c.sold) if text)
    for axis in handbook.axes.values():
        yield from (
            (f"layout {axis.id}", text) for text in (axis.label, axis.question, *(t for v in axis.values for t in (v.label, v.look)))
        )
    for field in handbook.fields.values():
        yield from ((f"sheet {field.path}", text) for text in (field.label, field.question))
    for part in handbook.findings.values():
        yield from ((f"finding {part.part}/{f.id}", text) for f in part.findings for text in (f.says, f.how, f.reason, f.buys) if text)
    for rule in handbook.rules.values():
        if rule.why:
            yield f"rule {rule.id}", rule.why
    for page in handbook.references.values():
        for text in (
            page.title,
            page.purpose,
            *(item.name for item in page.items),
            *(t.caption for t in page.tables),
            *(t.note for t in page.tables if t.note),
        ):
            yield page.id, text


def test_a_step_is_said_in_few_words(steps):
    """At most 25 words: common practice, no source; 20 in the simplified English of the aircraft trade (from memory)."""
    assert [f"{address}: {len(step.do.split())} words" for address, step in steps if len(step.do.split()) > MOST_WORDS] == []


# Two orders in one line that are one action, with the reason; none is needed now.
ONE_ACTION: dict[str, str] = {}
NO_FIRST_WORDS = {
    "enter",
    "remove",
    "install",
    "inspect",
    "replace",
    "rotate",
    "attach",
    "detach",
    "disconnect",
    "dry",
    "place",
    "support",
}  # verbs all the same
RECORDS = {"note", "write", "say", "enter"}  # what a step finds goes into its own entry: that is no second action


def second_action(step: Step, verbs: set[str]) -> str | None:
    """The verb of a second order in a step's line, or none."""
    for joint, verb in re.findall(r"(, and then|, then|;|, and| and then| then| and) (?:once |only |now |so )?([a-z-]+)", step.do):
        plain = joint == " and" and verb in NOT_ONLY_VERBS  # «plug and lead»: a list of things
        if verb in verbs and not plain and not (step.enter and verb in RECORDS):
            return verb
    return None


def test_a_step_is_one_action(steps):
    """What begins another step is an order of its own; it is not joined to a first one."""
    verbs = {first_word(step.do) for _, step in steps} | NO_FIRST_WORDS
    joined = {address: step.do for address, step in steps if second_action(step, verbs)}
    assert {address: do for address, do in joined.items() if address not in ONE_ACTION} == {}
    assert set(ONE_ACTION) - set(joined) == set(), "no longer needed"


# Words that are another name of a term, and stand in the handbook as something else: with what they are there.
ORDINARY = {
    "grease": "the stuff, not the packing of a bearing",
    "stud": "short for wheel stud, where no other is about",
    "both sides": "left and right",
    "cut": "what a tool does",
    "runout": "short for lateral runout, the only one measured here",
    "pair": "two of anything",
    "sleeve": "a tool of the press",
    "indicator": "short for dial indicator, once it is in hand",
    "adapter": "a tool that joins two others",
    "track": "the running surface of a race, or of a seal's lip",
    "clamp": "to hold, or what holds",
    "machine": "what a lathe does",
    "anchor": "where parking brake shoes rest",
    "wedge": "the shape",
    "tube": "a tool to bleed on the bench",
    "spring plate": "one of the shapes that a key has",
    "hard spots": "the hardness, of which bluing is the colour",
    "separator": "a tool of the press",
    "index": "short for index the rotor, among other cures",
    "fitting": "the work, or a joint that no stock step makes",
    "grab": "what a brake does",
    "dragging": "what a brake does",
    "upright": "how a stand stands",
    "gasket": "of a vacuum booster or a bolted joint",
    "fluid change": "the whole job, which may be a flush",
    "drive flange": "part of the shaft of a driven hub",
    "wobble": "what a machine does",
    "insulator": "against a voltage",
    "retainer": "one of the shapes that a key has",
    "pipe union": "how the end of a hose is named in the layout",
    "tyre": "old spelling of tire in texts that nobody has gone over yet; the glossary knows it so that a part of this name is found",
}
TRADE = {"disc brake", "disc brakes"}  # the name of the kind of brake


def bare(word: str) -> str:
    """A word of the glossary without its remark in brackets."""
    return re.sub(r"\s*\(.*?\)", "", word).strip()


def whole(words) -> re.Pattern:
    """Any of the words as a whole word, one or many; abbreviations as they are written, the rest in either case."""
    forms = [re.escape(word) if word.isupper() else f"(?i:{re.escape(word)})(?:e?s)?" for word in sorted(words, key=len, reverse=True)]
    return re.compile(rf"(?<![\w-])({'|'.join(forms)})(?![\w-])")


def drawn():
    """What stands in the drawings, with the drawing."""
    for path in sorted((PROJECT / "docs/drawings").glob("*.svg")):
        for text in re.findall(r"<(?:title|desc|text)[^>]*>([^<]+)<", path.read_text("utf-8")):
            yield path.name, text


def test_the_handbook_says_the_preferred_term(handbook, steps):
    """Another name of a thing stands in the glossary and in the search alone."""
    preferred = {bare(term.term) for term in handbook.terms.values()}
    others = {
        bare(word).lower() if not word.isupper() else word for term in handbook.terms.values() for word in (*term.american, *term.british)
    }
    said, other = whole(preferred | TRADE), whole(others - {word.lower() for word in preferred} - set(ORDINARY))
    wrong = [
        f"{place}: «{found[1]}» in {text}"
        for place, text in (*every_text(handbook, steps), *labels(handbook, steps), *drawn())
        if (found := other.search(said.sub(" ", text)))
    ]
    assert wrong == []


def test_notes_and_hazards_hold_no_action(handbook, steps, verbs):
    wrong = [f"{address}: {step.note}" for address, step in steps if step.note and first_word(step.note) in verbs]
    wrong += [
        f"caution {c.id}: {text}" for c in handbook.cautions.values() for text in (c.hazard, c.consequence) if first_word(text) in verbs
    ]
    assert wrong == []


def test_every_safety_message_of_a_step_stands_before_what_is_done(handbook):
    pages = Pages(handbook)
    for procedure in handbook.procedures.values():
        written = pages.procedure(procedure)
        for step in (item for item in procedure.steps if isinstance(item, Step)):
            start = written.index(f'data-step="{procedure.id}/{step.id}"')
            before = written[start : written.index('class="step__do"', start)]
            after = written[start + len(before) :].split('data-step="')[0]
            assert re.findall('data-caution="([^"]+)"', before) == step.cautions, step.id
            assert "data-caution" not in after, step.id


def test_a_figure_has_its_source(handbook, steps):
    """A number with a unit comes from somewhere, which the step, the caution or the item says."""
    figure = re.compile(r"\d\s?" + UNIT + r"(?![\w·])")
    bare = [address for address, step in steps if any(figure.search(text) for text in texts(step)) and not step.sources]
    bare += [
        f"caution {c.id}"
        for c in handbook.cautions.values()
        if any(figure.search(text) for text in (c.hazard, c.consequence, *c.avoid)) and not c.sources
    ]
    assert bare == []


def test_a_number_has_its_unit(handbook, steps):
    """Bare numbers are step numbers, names of standards and grades, threads and ratios; anything else lacks its unit."""
    known = re.compile(
        r"\d+(?:[.,/]\d+)*\s?"
        + UNIT
        + r"(?![\w·])|\bDOT \d(?:\.\d)?|\d+ CFR|§+ ?\d[\d.]*|\bISO \d+|\bM\d+|\d+ (?:to|in) \d+|\d+-\d+|\b\d{4}\b|\d+:\d+|No\. ?\d|UN Regulation \d+|(?:number|point|Grade) \d+|\d+ N\b"
    )
    bare = []
    for place, text in every_text(handbook, steps):
        rest = known.sub(" ", text)
        if found := re.search(r"(?<![\w.])\d+(?:\.\d+)?(?![\w.])", rest):
            bare.append(f"{place}: «{found[0]}» in {text[:90]}")
    assert bare == []


def test_sentences_are_short(handbook, steps):
    """Thirty words at most and fourteen on average: common practice, no source."""
    lengths = []
    long = []
    for place, text in every_text(handbook, steps):
        for sentence in re.split(r"(?<=[.!?;:]) ", text):
            words = len(sentence.split())
            lengths.append(words)
            if words > 30:
                long.append(f"{place}: {words} words: {sentence[:80]}")
    assert long == []
    assert sum(lengths) / len(lengths) < 14


def readability(text: str) -> float:
    """The Automated Readability Index: 4.71 characters a word + 0.5 words a sentence − 21.43, as a school grade.

    Senter and Smith, Automated Readability Index, AMRL-TR-66-220, Wright-Patterson Air Force Base, 1967 (formula from memory).
    """
    words = text.split()
    sentences = len([part for part in re.split(r"[.!?;:](?:\s|$)", text) if part.strip()])
    characters = sum(character.isalnum() for character in text)
    return 4.71 * characters / len(words) + 0.5 * len(words) / sentences - 21.43


def test_the_measure_of_reading_is_the_published_one():
    """10 characters in 2 words and 1 sentence, by hand: 4.71 × 5 + 0.5 × 2 − 21.43 = 3.12."""
    assert readability("Seven eight.") == pytest.approx(3.12)


def test_steps_are_easy_to_read(steps):
    """On average for the fourth school year, one in a hundred above the eighth and none above the ninth: our own limits, no source."""
    grades = {
        address: readability(" ".join(text for text in (step.do, step.why, step.note, step.expect) if text)) for address, step in steps
    }
    assert sum(grades.values()) / len(grades) < 4
    assert sum(grade > 8 for grade in grades.values()) < len(grades) / 100
    assert {address: round(grade, 1) for address, grade in grades.items() if grade > 9} == {}


def test_every_symptom_leads_to_work_on_it(handbook):
    for p in handbook.procedures.values():
        if p.kind != "diagnosis":
            continue
        ways = {
            o.go.split("/")[0]
            for s in p.steps
            if isinstance(s, Step)
            for o in (*s.if_not.values(), *s.otherwise.values())
            if o.go and "/" in o.go
        }
        assert ways - {p.id}, f"{p.id} leads to no procedure"


# Calculators that no step needs to hold, with the reason.
NOT_IN_A_STEP = {
    "convert": "every entry of every calculator takes either system, so a conversion is no step of the work",
}


def test_every_calculator_stands_at_a_step(steps):
    entries = [step.enter for _, step in steps if step.enter]
    assert set(catalogue()) - {enter.calculator for enter in entries} == set(NOT_IN_A_STEP)
    assert any(enter.decision for enter in entries)  # the decision has an entry of its own


def test_the_handbook_is_complete(handbook):
    """The counts that this handbook promises."""
    procedures = [p for p in handbook.procedures.values() if p.kind == "procedure"]
    symptoms = [p for p in handbook.procedures.values() if p.kind == "diagnosis"]
    assert len(procedures) >= 30
    assert len(symptoms) >= 18
    assert len(list((PROJECT / "docs/drawings").glob("*.svg"))) >= 25


def test_every_drawing_is_used(handbook, steps):
    used = {s.figure for _, s in steps} | {item.drawing for page in handbook.references.values() for item in page.items}
    used |= {value.drawing for axis in handbook.axes.values() for value in axis.values}
    assert {path.stem for path in (PROJECT / "docs/drawings").glob("*.svg")} - used == {"mark"}  # the mark of the site itself


ENGINE_STARTS = re.compile(r"\b(start|starts|started|restart)\b[^.]{0,20}\b(the )?(engine|drive)\b|\bwake the (electric )?drive\b", re.I)
ENGINE_RUNS = re.compile(r"\bengine (is )?running\b|\brunning engine\b|\bengine on\b", re.I)


def test_every_start_of_the_engine_waits_until_the_vehicle_is_secured(handbook):
    """The rule J110 demands it of steps that declare their start; here every step that says so is found."""
    starts = 0
    for procedure in handbook.procedures.values():
        running = False
        for step in (s for s in procedure.steps if isinstance(s, Step)):
            assert bool(step.starts) == bool(ENGINE_STARTS.match(step.do)), f"{procedure.id}/{step.id}: {step.do}"
            running = (running or bool(step.starts)) and not step.stops
            if ENGINE_RUNS.search(step.do) and not re.match(r"compare|test", step.do, re.I):
                assert running, f"{procedure.id}/{step.id} needs the engine running, and no step before it starts it"
            starts += bool(step.starts)
    assert starts >= 9


def test_a_start_with_any_one_thing_left_out_is_a_mistake(handbook):
    for procedure in handbook.procedures.values():
        for index, step in enumerate(procedure.steps):
            if not (isinstance(step, Step) and step.starts):
                continue
            for left_out in step.hold.until:
                hold = step.hold.model_copy(update={"until": [each for each in step.hold.until if each != left_out]})
                steps = [*procedure.steps]
                steps[index] = step.model_copy(update={"hold": hold})
                broken = procedure.model_copy(update={"steps": steps})
                found = [problem.code for problem in check_one(handbook, broken)]
                assert "J110" in found, f"{procedure.id}/{step.id} starts without {left_out}"


def check_one(handbook, procedure):
    changed = replace(handbook, procedures={**handbook.procedures, procedure.id: procedure})
    return check(changed, only=[procedure.id], walk_one=lambda each: ([], 0))[0]


def test_a_section_of_part_570_is_cited_from_its_subpart(handbook):
    """49 CFR part 570: sections to 570.10 are subpart A, up to 10,000 lb; from 570.51 on subpart B, above (49 CFR 570.51)."""
    cited = 0
    for source, place, where in citations(handbook):
        sections = [int(number) for number in re.findall(r"570\.(\d+)", place or "")]
        if source == "us-49-cfr-570":
            assert all(section >= 51 for section in sections), f"{where}: {place}"
        if source == "us-49-cfr-570-a":
            assert sections and all(section <= 10 for section in sections), f"{where}: {place}"
        cited += len(sections)
    assert cited > 20


def citations(handbook):
    """(source, place in it, where it is cited) of everything but whole procedures and pages, which list their steps' sources."""
    for procedure in handbook.procedures.values():
        for step in procedure.steps:
            yield from ((ref.source, ref.at, f"{procedure.id}/{step.id}") for ref in getattr(step, "sources", ()))
    for part in handbook.findings.values():
        yield from ((ref.source, ref.at, f"{part.part}/{each.id}") for each in part.findings for ref in each.sources)
    for page in handbook.references.values():
        yield from ((ref.source, ref.at, page.id) for part in (*page.items, *page.tables) for ref in part.sources)


def test_the_limits_in_service_name_the_weight_they_are_for(handbook):
    """49 CFR 570.10 as reprinted: (b) deformation 1/8 in total indicated runout, (c) mounting, all nuts and bolts in place and tight."""
    rows = [row for table in handbook.references["in-service-limits"].tables for row in table.rows if row[0].startswith("49 CFR 570")]
    assert all(
        "over 10,000 lb" in row[0] if int(re.search(r"570\.(\d+)", row[0])[1]) >= 51 else "up to 10,000 lb" in row[0] for row in rows
    )
    wheels = {row[0].split()[2]: row[2] for row in rows if row[0].startswith("49 CFR 570.10")}
    assert "1/8 in" in wheels["570.10(b)"] and "in place and tight" in wheels["570.10(c)"]


# ---- bleeding --------------------------------------------------------------------------------------------------------

DRY = "reservoir-ran-dry"


def ways(step):
    return {**step.if_not, **step.otherwise}


def test_wherever_a_joint_is_bled_an_empty_reservoir_is_an_answer(steps):
    """Its outcome leads to the job that bleeds the whole system, and back to the step, which is then answered again."""
    bled = {address: step for address, step in steps if step.bleeds}
    assert len(bled) >= 9
    for address, step in bled.items():
        lead = [code for code, way in ways(step).items() if way.go and way.go.startswith(f"{DRY}/") and way.back]
        assert lead == ["reservoir-empty"], address
        assert step.enter is None or step.enter.choice and "reservoir-empty" in step.enter.choice, address


def test_every_part_that_opens_a_bleeder_to_bleed_it_says_so(handbook):
    """Each part whose name says that it bleeds a vehicle has a step with the effect, so the rule above finds it."""
    parts = {p.id for p in handbook.procedures.values() if p.id.startswith("bleed-")}
    assert parts == {p.id for p in handbook.procedures.values() if p.id in parts and any(isinstance(s, Step) and s.bleeds for s in p.steps)}


def test_nothing_is_asked_while_a_bleeder_is_open(handbook):
    """Wet gloves are at the bleeder then; the answer is given once it is closed."""
    everything = list(handbook.procedures.values())
    for procedure in everything:
        opened = None
        for placed in steps_of(procedure, handbook.procedures):
            step = placed.step
            if "bleeder-port" in step.opens:
                opened = placed.address
            if "bleeder-port" in step.closes:
                opened = None
            assert not (opened and step.enter), f"{procedure.id}: {placed.address} asks while {opened} has the bleeder open"


def test_an_empty_reservoir_is_dealt_with_by_one_person(handbook):
    procedure = handbook.procedures[DRY]
    assert procedure.people.count == 1
    placed = steps_of(procedure, handbook.procedures)
    order = list(dict.fromkeys(p.home for p in placed))
    wanted = ["bleed-master-in-place", "bleed-gravity", "bleed-vacuum", "bleed-abs-unit", "prove-the-brake"]
    assert [home for home in order if home in wanted] == wanted  # the master cylinder first, the antilock unit after the wheels
    alone = [handbook.procedures[home] for home in order if home != "bleed-two-person"]
    assert [part.id for part in alone if part.people.count != 1] == []
    choice = next(p.step for p in placed if p.address == f"{DRY}/choose-bleeding-way")
    assert "alone" in choice.enter.choice and "alone" not in choice.if_not  # goes on to the parts that one person does
    assert choice.if_not["helper"].go == "bleed-two-person/choose-helper"


def test_every_whole_job_that_counts_one_person_can_be_done_by_one(handbook):
    """A part for two people stands in it only behind a choice of another way."""
    for job in whole_jobs(list(handbook.procedures.values())):
        placed = steps_of(job, handbook.procedures)
        homes = list(dict.fromkeys(p.home for p in placed))
        for home in homes:
            if handbook.procedures[home].people.count > job.people.count:
                first = next(p for p in placed if p.home == home)
                assert "not-used" in first.step.enter.choice, (job.id, home)
                assert {"bleed-gravity", "bleed-vacuum", "bleed-pressure"} & set(homes[: homes.index(home)]), (job.id, home)


def test_what_comes_back_leads_to_another_page(handbook, steps):
    for address, step in steps:
        for code, way in ways(step).items():
            if way.back:
                assert not address_of(way.go, address.split("/")[0]).startswith(address.split("/")[0] + "/"), (address, code)


# ---- pressure on the pistons -----------------------------------------------------------------------------------------

# Steps that name the pedal, the engine, the ignition or a routine and put no pressure on a piston, with the reason.
NO_PRESSURE = {
    "bleed-abs-unit/find-routine": "read",
    "bleed-master-in-place/block-for-master": "a block",
    "bleed-two-person/block-pedal": "a block",
    "bleed-master-in-place/close-outlet": "loaded before",
    "bleed-master-in-place/unload-for-master": "let go",
    "bleed-two-person/close-before-pedal": "pressed before",
    "bleed-two-person/call-let-go": "let go",
    "bleed-two-person/clear-block": "a block",
    "brake-pull-check/read-axle-forces": "on the ground",
    "brake-pull-check/follow-by-wire-drag": "read",
    "check-pedal/note-pedal": "written",
    "check-pedal/say-extra-travel": "said",
    "end-of-job-checks/clear-bonnet": "engine bay",
    "lift-and-support/hang-lift-tag": "a tag",
    "make-safe/hang-tag": "a tag",
    "make-safe/key-away": "off",
    "name-the-work/say-pedal-as-found": "said",
    "prove-speed-signal/ignition-off-again": "off",
    "bed-the-pads/choose-bedding": "read",
    "bed-the-pads/bed": "on the road",
    "bleed-abs-unit/say-if-needed": "said",
    "lift-and-support/set-height-control": "before the lift",
    "lift-and-support/undo-modes": "nothing is off there",
    "parking-brake-test/bed-shoes": "on the road",
    "replace-slip-on-rotors/reckon-bedding-heat": "worked out",
    "prove-the-brake/limit-pedal": "a block",
    "prove-the-brake/close-under-pedal": "loaded before",
    "prove-the-brake/unload-pedal": "let go",
    "prove-the-brake/clear-pedal": "let go",
    "prove-the-brake/look-at-pedal": "pressed before",
    "bed-the-pads/motor-braking-still-off": "on the road",
    "road-test/motor-braking-off-for-road": "on the road",
    "brake-pull-check/motor-braking-for-pull": "on the road",
    "first-stop/motor-braking-off": "ready to drive",
    "prove-parking-brake/free-to-try": "engine off",
    "replace-master-cylinder/free-after-strokes": "engine off",
    "wheel-and-torque/charger-away": "leads come off",
}


def test_every_step_that_presses_the_pedal_or_wakes_the_vehicle_says_so(handbook, steps):
    """So that the walk (J216) proves for every job and layout that it comes after all calipers are on again."""
    named = re.compile(r"\b(pedal|engine|ignition|wake|wakes|routine|scan tool)\b", re.I)
    jobs = {p.id for p in handbook.procedures.values() if p.kind == "procedure"}
    speaks = {address for address, step in steps if address.split("/")[0] in jobs and named.search(step.do)}
    quiet = {address for address, step in steps if step.secures or step.stops}  # the clutch, the gear; the engine off
    silent = {address for address in speaks - quiet if not dict(steps)[address].presses}
    assert silent - set(NO_PRESSURE) == set(), "presses: pedal or system, or a reason above"
    assert set(NO_PRESSURE) - silent == set(), "no longer needed"


def test_what_holds_a_piston_in_is_marked(handbook):
    marked = {c.id for c in handbook.components.values() if c.holds_pistons}
    assert marked == {"rotor", "pad", "caliper", "bracket", "slide-pin", "slide-key", "pin-bolt", "bracket-bolt", "caliper-bolt"}
    taken_off = {name for p in handbook.procedures.values() for s in p.steps if isinstance(s, Step) for name in s.takes_off}
    assert {"caliper", "pad", "rotor", "bracket"} <= taken_off  # so that the walk has something to prove
