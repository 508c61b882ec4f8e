// @ts-check
/**
 * The decision in its step: part by part and side by side, worked out anew by Python when what was found changes, and
 * recorded for the axle. It rests while the step is far from the screen, so that a touch elsewhere costs nothing.
 */

import { ACTIONS, DECISION, decidedOtherwise, decisionCase, decisionEntry, itemsOf, partOf, saysTheSame } from "../core/decision-case.js";
import { isOther } from "../layout/applies.js";
import { layout } from "../layout/layout.js";
import { button, labeled } from "../lib/controls.js";
import { element, inWords } from "../lib/elements.js";
import { evaluate, onState, retry } from "../python/runtime.js";
import { placeName, says } from "../state/entry-text.js";
import { looksOf } from "../state/second-looks.js";
import { isChanged, PLACE_NAMES, placesOf } from "../state/steps.js";
import { restoreInto } from "../store/drafts.js";
import { metaContent } from "../store/handbook-data.js";
import { drafts, keepDraft } from "../store/job-store.js";
import { drawDecision, fold, links } from "./decision-table.js";
import { openJob, recordAt, standingEntries, withdraw } from "./journal.js";
import { recordRow } from "./record-row.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("../job-page.js").JobPage} JobPage */
/** @typedef {import("../state/steps.js").Step} Step */
/** @typedef {import("../core/decision-case.js").Case} Case */
/** @typedef {import("../core/decision-case.js").Decision} Decision */
/** @typedef {import("../core/decision-case.js").Item} Item */
/** @typedef {import("../core/decision-case.js").Otherwise} Otherwise */

const REST = 300; // ms after the last entry
const NEAR = "600px"; // from the window
const WITHOUT =
  "What was found stands below with its own action; what follows from it for the axle, for seals and for pads is yours to add.";

/** @type {Promise<any> | null} */
let reading = null;
/** What is ticked as being here, of the open job and axle. @type {{of: string, items: Set<string>}} */
let ticked = { of: "", items: new Set() };

/** @param {JobPage} page */
export function startDecision(page) {
  const steps = page.steps.filter(({ box }) => box.querySelector(":scope > .decision"));
  const all = steps.map((step) => new DecisionStep(page, step, steps.slice(steps.indexOf(step) + 1)));
  if (!all.length) return;
  onState(() => {
    for (const each of all) each.showState();
  });
}

/** The site's rules: a classic script, since nothing else loads over file://. Asked for again after a failure. */
function readRules() {
  reading ??= new Promise((resolve, reject) => {
    const script = document.createElement("script");
    script.src = `${metaContent("root") || "."}/assets/decision-rules.js`;
    script.onload = () => resolve(/** @type {any} */ (self).decisionRules);
    script.onerror = () => reject(new Error("The file assets/decision-rules.js is missing or cannot be read. Copy the handbook again."));
    document.head.append(script);
  }).catch((error) => {
    reading = null;
    throw error;
  });
  return reading;
}

class DecisionStep {
  /** @param {JobPage} page @param {Step} step @param {Step[]} later decisions of the page */
  constructor(page, step, later) {
    this.page = page;
    this.step = step;
    this.later = later;
    this.box = /** @type {HTMLElement} */ (step.box.querySelector(":scope > .decision"));
    this.none = [...this.box.childNodes];
    this.near = false;
    /** @type {any} */
    this.rules = null;
    /** The last answer, and the case it answers. @type {Decision | null} */
    this.decision = null;
    this.key = "";
    this.asking = "";
    this.problem = "";
    this.drawn = "";
    /** The job whose unsent text the form holds. */
    this.restoredFor = "";
    this.timer = 0;
    this.state = element("p", "decision__state");
    this.state.setAttribute("role", "status");
    this.which = choice(`${step.box.id}-which`, "Part and side", "which");
    this.action = choice(`${step.box.id}-action`, "Action", "action");
    this.otherwise = this.otherwiseForm();
    this.row = recordRow(
      { step, signing: page.signing },
      (place) => `Record the decision, ${place}`,
      () => this.entry(),
      () => {},
    );
    new IntersectionObserver(
      (entries) => {
        this.near = entries.some(({ isIntersecting }) => isIntersecting);
        if (this.near) this.renew();
      },
      { rootMargin: NEAR },
    ).observe(step.box);
    document.addEventListener("handbook:drawn", () => {
      clearTimeout(this.timer);
      this.timer = window.setTimeout(() => this.renew(), REST);
    });
    addEventListener("beforeprint", () => this.show());
  }

  axle() {
    return this.page.signing().progress.axle;
  }

  /** @returns {Case} */
  found() {
    const { progress } = this.page.signing();
    const steps = new Map(this.page.steps.map((step) => [step.address, step]));
    return decisionCase({
      standing: standingEntries(),
      axle: progress.axle,
      layout: layout(),
      rules: this.rules,
      looks: looksOf(progress, this.page.steps),
      superseded: (entry) => {
        const step = steps.get(entry.step ?? "");
        if (step && isChanged(step, entry)) return "the step has changed since";
        return progress.isRepeated(entry) ? "it is to be done again" : "";
      },
    });
  }

  /** Work the decision out anew where that is of use now. */
  async renew() {
    if (!openJob() || !this.axle() || isOther(this.step.box)) return this.show();
    await readTicks(`${openJob()?.id}/decision-${this.axle()}/`);
    if (this.near || this.box.contains(document.activeElement)) await this.work();
    this.show();
  }

  async work() {
    try {
      this.rules ??= await readRules();
    } catch (error) {
      this.problem = /** @type {Error} */ (error).message;
      return;
    }
    const { given } = this.found();
    const key = JSON.stringify(given);
    if (key === this.asking || (key === this.key && this.decision)) return;
    this.asking = key;
    this.show();
    const request = /** @type {any} */ ({ calculator: DECISION, given: { ...given, rules: this.rules }, system: "metric" });
    const response = await evaluate(request, this);
    if (!response) return; // something was found meanwhile
    Object.assign(this, { asking: "", key, decision: response.result ?? null, problem: response.problem?.message ?? "" });
  }

  // ---------------------------------------------------------------- drawing

  /** Draw what is known now: the decision, else the recorded one, else what was found. */
  show() {
    const { progress, job } = this.page.signing();
    if (!job || !this.axle()) {
      this.drawn = "";
      return this.box.replaceChildren(
        ...(job ? [element("p", "decision__none", "Choose the axle above: a decision is taken axle by axle.")] : this.none),
      );
    }
    const place = placesOf(this.step, this.axle())[0];
    const found = this.found();
    const own = decidedOtherwise(standingEntries(), this.axle(), this.decision);
    const recorded = recordedAt(progress, this.step, place);
    const done = progress.isDone(this.step, place);
    // On paper the last decision stands for those before it.
    this.box.classList.toggle(
      "decision--past",
      this.later.some((step) => !isOther(step.box) && recordedAt(progress, step, place)),
    );
    const state = JSON.stringify([
      this.key,
      this.decision !== null,
      this.problem,
      recorded?.id,
      done,
      found.used,
      own.map(({ entry }) => entry.id),
      ticked.of,
    ]);
    this.showState();
    if (state === this.drawn) return;
    this.drawn = state;
    this.replace(() => {
      const body = element("div", "decision__body", ...leftOut(found, this.page.steps), ...this.body(found, own, recorded));
      return [...this.changedLine(found, own, recorded), this.state, done ? fold("whole", "The decision, part by part", body) : body];
    });
  }

  /** New content, with what was unfolded and focused as it was. @param {() => HTMLElement[]} content made only then: the form moves into it */
  replace(content) {
    const open = new Set(
      Array.from(/** @type {NodeListOf<HTMLElement>} */ (this.box.querySelectorAll("details[open]")), ({ dataset }) => dataset.key),
    );
    const focused = /** @type {HTMLElement | null} */ (this.box.contains(document.activeElement) ? document.activeElement : null);
    this.box.replaceChildren(...content());
    for (const each of /** @type {NodeListOf<HTMLDetailsElement>} */ (this.box.querySelectorAll("details[data-key]")))
      each.open = open.has(each.dataset.key);
    if (focused?.isConnected) focused.focus({ preventScroll: true });
    const job = openJob()?.id ?? "";
    if (this.restoredFor === job || !this.otherwise.isConnected) return;
    this.restoredFor = job;
    restoreInto(this.otherwise);
  }

  /** @param {Case} found @param {Otherwise[]} own @param {Entry | null} recorded @returns {HTMLElement[]} */
  body(found, own, recorded) {
    const view = {
      steps: this.page.steps,
      rules: this.rules,
      has: (/** @type {string} */ item) => ticked.items.has(item),
      tick: keepTick,
      takeBack: (/** @type {Otherwise} */ { entry }) => withdraw(entry),
    };
    if (this.decision) {
      const items = itemsOf(this.decision, own);
      this.offer(items);
      return [...drawDecision({ ...view, items, list: this.decision.parts_list, notes: this.decision.notes }), this.otherwise, this.row];
    }
    if (recorded) {
      const { understood } = recorded;
      return drawDecision({
        ...view,
        items: recordedItems(understood.actions),
        list: objects(understood.parts_list),
        notes: Array.isArray(understood.notes) ? understood.notes.map(String) : [],
      });
    }
    return foundList(found, this.rules);
  }

  /** @param {Case} found @param {Otherwise[]} own @param {Entry | null} recorded @returns {HTMLElement[]} */
  changedLine(found, own, recorded) {
    if (!recorded || this.isSame(recorded, found, own)) return [];
    const [later] = this.later.filter(({ box }) => !isOther(box)).slice(-1);
    const known = this.decision ? "Changed since it was recorded" : "More was found or read since it was recorded";
    return [
      element(
        "p",
        "decision__changed",
        `${known}: `,
        ...(later
          ? ["it is decided again in ", ...links([later.address], this.page.steps), "."]
          : ["look at it again, and record it anew."]),
      ),
    ];
  }

  /** @param {Entry} recorded @param {Case} found @param {Otherwise[]} own */
  isSame(recorded, found, own) {
    if (String(recorded.typed.from) === String(basis(found, own))) return true;
    return this.decision !== null && saysTheSame(recorded, decisionEntry(this.decision, itemsOf(this.decision, own), []));
  }

  /** What Python does, or why it does nothing. */
  showState() {
    this.state.replaceChildren();
    if (this.problem) return this.state.append(`The decision was not worked out: ${this.problem} ${WITHOUT}`);
    if (!this.asking) return;
    const { phase, reason } = runtime;
    if (phase === "unsupported") return this.state.append(`This browser cannot work it out: it has no ${reason}. ${WITHOUT}`);
    if (phase === "failed")
      return this.state.append(`The decision was not worked out: ${reason} ${WITHOUT} `, button("", "Try again", retry));
    this.state.append(phase === "ready" ? "Working out the decision." : "Starting the calculator.");
  }

  // ---------------------------------------------------------------- recording

  /** @returns {(Partial<Entry> & {kind: string}) | string} */
  entry() {
    const found = this.found();
    if (!this.decision || JSON.stringify(found.given) !== this.key)
      return "Something was found a moment ago: wait until it is decided anew.";
    const own = decidedOtherwise(standingEntries(), this.axle(), this.decision);
    return decisionEntry(this.decision, itemsOf(this.decision, own), basis(found, own));
  }

  /** One part decided otherwise than it was worked out, with the reason. The form outlives every redraw. */
  otherwiseForm() {
    const id = this.step.box.id;
    this.action.select.append(...ACTIONS.map((action) => new Option(action)));
    this.which.select.addEventListener("change", () => void delete this.which.select.dataset.draft);
    const note = element("textarea");
    Object.assign(note, { id: `${id}-note`, name: "note", rows: 2 });
    const line = element("p", "step__problem");
    line.setAttribute("role", "status");
    const keep = button("", "Decide this part otherwise", async () => {
      const [side, part] = this.which.select.value.split(" ");
      const item = this.decision?.actions[side]?.[part];
      if (!item) return void (line.textContent = "Choose the part and its side first.");
      if (!note.value.trim())
        return void (line.textContent = "Write the reason first, for example: pads were fitted last month, receipt seen.");
      line.textContent = await recordAt(this.step, /** @type {Place} */ (this.axle()), {
        kind: "text",
        typed: { part, side, action: this.action.select.value, note: note.value.trim(), instead: item.action, findings: item.findings },
        understood: { shown: `${side} ${item.label}: ${this.action.select.value} in place of ${item.action}` },
      });
      if (line.textContent) return;
      for (const control of [note, this.which.select]) {
        control.value = "";
        control.dispatchEvent(new Event("input", { bubbles: true }));
      }
      this.renew();
    });
    const made = fold("otherwise", "Decide otherwise", this.which.box, this.action.box, labeled("Reason", note), keep, line);
    made.classList.add("screen-only");
    return made;
  }

  /** @param {Item[]} items */
  offer(items) {
    const { select } = this.which;
    const chosen = select.value || (select.dataset.draft ?? "");
    select.replaceChildren(
      new Option("choose", ""),
      ...items.map(({ part, side, label, action }) => new Option(`${label}, ${side}: ${action}`, `${side} ${part}`)),
    );
    select.value = Array.from(select.options).some(({ value }) => value === chosen) ? chosen : "";
  }
}

/** @type {import("../python/runtime.js").State} */
let runtime = { phase: "idle" };
onState((state) => (runtime = state));

/** @param {string} id @param {string} text @param {string} name under which it is kept until it is recorded */
function choice(id, text, name) {
  const select = element("select");
  Object.assign(select, { id, name });
  return { box: labeled(text, select), select };
}

/** The decision recorded in a step. @param {import("../state/steps.js").Progress} progress @param {Step} step @param {Place} place @returns {Entry | null} */
function recordedAt(progress, step, place) {
  return (
    progress
      .counting(step, place)
      .filter(({ kind, typed }) => kind === "result" && typed.calculator === DECISION)
      .at(-1) ?? null
  );
}

/** Ids of the entries that a decision rests on. @param {Case} found @param {Otherwise[]} own */
const basis = (found, own) => [...found.used, ...own.map(({ entry }) => entry.id)];

/** @param {Case} found @param {Step[]} steps */
function leftOut({ left }, steps) {
  return left.length
    ? [
        element(
          "ul",
          "decision__left",
          ...left.map(({ entry, why }) =>
            element("li", "", "Left out: ", ...links([entry.step ?? ""], steps), ` ${placeName(entry.place)}, ${says(entry)}: ${why}.`),
          ),
        ),
      ]
    : [];
}

/** Without Python: what was found, with its own action. @param {Case} found @param {any} rules */
function foundList({ used, left }, rules) {
  const out = new Set(left.map(({ entry }) => entry.id));
  const entries = standingEntries().filter(({ id, kind }) => kind === "finding" && used.includes(id) && !out.has(id));
  if (!entries.length) return [element("p", "", "No finding is recorded for this axle yet.")];
  return [
    element("p", "decision__heading", "Found so far"),
    element(
      "ul",
      "",
      ...entries.map((entry) =>
        element(
          "li",
          "",
          element(
            "b",
            "",
            `${entry.place ? PLACE_NAMES[entry.place] : ""} ${partOf(rules, entry.typed.part)?.label ?? inWords(entry.typed.part).toLowerCase()}: `,
          ),
          says(entry),
        ),
      ),
    ),
  ];
}

/** @param {any} value @returns {any[]} */
const objects = (value) => (Array.isArray(value) ? value.filter((each) => typeof each === "object" && each !== null) : []);

/** A recorded decision, drawn as it was kept. @param {any} rows @returns {Item[]} */
function recordedItems(rows) {
  return objects(rows)
    .filter(({ action }) => ACTIONS.includes(action))
    .map((row) => ({
      part: String(row.part),
      side: String(row.side),
      label: String(row.label),
      action: row.action,
      final: row.action,
      reason: String(row.reason ?? ""),
      how: String(row.how ?? ""),
      source: "",
      findings: [],
      rule: "",
      steps: [],
      grounds: [],
      open: row.action === "measure again",
      otherwise: null,
    }));
}

// ---------------------------------------------------------------- what is here

/** @param {string} of job and axle */
async function readTicks(of) {
  if (ticked.of === of) return;
  const kept = await drafts(of);
  if (ticked.of !== of) ticked = { of, items: new Set([...kept].filter(([, text]) => text === "on").map(([key]) => key.slice(of.length))) };
}

/** @param {string} item @param {boolean} on */
function keepTick(item, on) {
  if (on) ticked.items.add(item);
  else ticked.items.delete(item);
  keepDraft(ticked.of + item, on ? "on" : "");
}
