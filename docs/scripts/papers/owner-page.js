// @ts-check
/** The page for the owner of the vehicle, in plain words and from the record alone. */

import { openJob, standingEntries } from "../job/journal.js";
import { element, inWords } from "../lib/elements.js";
import { clock, judgedWords, torqueWords, withMinus } from "../state/entry-text.js";
import { endsInEstimate, isClosedBefore, takeStock } from "../state/open-work.js";
import { metaContent, sheetField } from "../store/handbook-data.js";
import { table } from "./bench-sheet.js";
import { workers } from "./hand-over.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../state/steps.js").Step} Step */
/** @typedef {import("../job-page.js").JobPage} JobPage */
/** @typedef {{entry: Entry, step: Step}} Said an entry with its step */

/** What a calculator judges, as an owner would call it. @type {Record<string, string>} */
const MEASURED = {
  "rotor-thickness": "Thickness of the rotor (brake disc)",
  "lateral-runout": "Sideways wobble of the rotor (brake disc)",
  "pad-wear": "Lining left on the brake pads",
  "bearing-end-play": "Play in the wheel bearing",
  "fluid-condition": "Boiling point of the brake fluid",
  "pedal-reserve": "Travel of the brake pedal",
  "axle-compare": "Left side against right side",
  "brake-balance": "Brake force, left against right",
  "stopping-check": "Stopping distance",
};
/** @type {Record<string, string>} */
const VERDICTS = {
  within: "within the limit",
  beyond: "beyond the limit",
  "too-close": "too close to the limit to tell",
  "cannot-tell": "cannot be told from this reading",
  adjust: "to be adjusted and measured again",
};
/** @type {Record<string, string>} */
const ACTIONS = {
  "use again": "used again",
  service: "cleaned or repaired, and used again",
  replace: "to be replaced",
  "measure again": "to be looked at again",
};
/** @type {[RegExp, string][]} */
const GLOSSARY = [
  [/\brotors?\b/i, "Rotor: the iron brake disc that turns with the wheel."],
  [/\bpads?\b|\blining/i, "Pad, lining: what presses on the rotor; the lining is the part that wears."],
  [/\bcaliper/i, "Caliper: the clamp that presses the pads on the rotor."],
  [/\bslide pin|\bpins?\b/i, "Slide pin: what the caliper slides on."],
  [/\bbleed/i, "Bleeding: letting the air out of the brake fluid, through the bleeder."],
  [/\brunout\b/i, "Runout: how far the rotor wobbles from side to side in a turn."],
  [/\bend play\b/i, "End play: how far the wheel bearing lets the hub move in and out."],
  [/\bspindle\b/i, "Spindle: the axle stub on which the wheel bearing sits."],
  [/\bdiscard\b/i, "Discard thickness: the least thickness at which a rotor may still be used."],
  [/\btorque/i, "Torque: how tight a nut or bolt is, read on the wrench."],
];
const SIDE_NAMES = /** @type {Record<string, string>} */ ({
  LF: "left front",
  RF: "right front",
  LR: "left rear",
  RR: "right rear",
  front: "front axle",
  rear: "rear axle",
  vehicle: "whole vehicle",
});
const LEFT = ["LF", "LR"];
const RIGHT = ["RF", "RR"];

/** @param {JobPage} page @returns {HTMLElement[]} */
export function customerPage(page) {
  const said = saidAt(page);
  const recorded = said.filter(({ step }) => step.box.dataset.record !== undefined);
  const takeIn = (/** @type {Said} */ { step }) => step.address.startsWith("take-in");
  const told = recorded.filter((each) => takeIn(each) && (each.entry.typed.text || each.entry.typed.choice !== undefined));
  const notes = recorded.filter((each) => !takeIn(each) && each.entry.kind === "text" && each.entry.typed.text);
  const fitted = notes.filter(({ step }) => step.address.endsWith("/list-fitted-parts"));
  const advised = notes.filter(({ step }) => step.address.endsWith("/list-open-matters"));
  const others = notes.filter((each) => !fitted.includes(each) && !advised.includes(each));
  const parts = [
    ...unrepaired(page),
    ...status(page),
    ...block("What you told us", told.length ? [list(told.map(captioned))] : [nothing("the complaint")]),
    ...block("What was measured", measured(recorded)),
    ...block("What was found and decided", decided(said.filter((each) => !takeIn(each)))),
    ...block("Parts fitted", fitted.length ? [list(fitted.map(captioned))] : [nothing("parts fitted")]),
    ...block("Nuts and bolts tightened", torques(said)),
    ...(others.length ? block("Also noted", [list(others.map(captioned))]) : []),
    ...block("Advised, refused, next check", [
      ...forecasts(recorded),
      ...(advised.length ? [list(advised.map(captioned))] : [nothing("advice, refusals and the next check")]),
    ]),
    ...block("Who did it, and when", [
      list(workers(standingEntries()).map(({ by, first, last }) => `${by || "no name given"}: ${clock(first, "")} to ${clock(last, "")}`)),
    ]),
  ];
  return [
    element("h1", "", "Your vehicle’s brakes: what was measured, decided and done"),
    ...vehicleLines(),
    ...parts,
    ...glossary(parts),
    element(
      "p",
      "paper__note",
      "Each limit comes from the source named with it; the workshop sets none of its own. «Not on record» means that nobody wrote it down.",
    ),
    element(
      "div",
      "paper__signatures",
      ...["For the workshop, date", "Owner or driver, date"].map((text) => element("p", "paper__sign", text)),
    ),
  ];
}

/** The standing entries that count, of the steps of this page, in the order of the page. @param {JobPage} page @returns {Said[]} */
function saidAt({ steps, signing }) {
  const { progress } = signing();
  const standing = standingEntries();
  return steps.flatMap((step) =>
    standing
      .filter((entry) => entry.step === step.address || step.was.includes(entry.step ?? ""))
      .filter((entry) => entry.place && !progress.skippedBy(step, entry.place))
      .map((entry) => ({ entry, step })),
  );
}

function vehicleLines() {
  const job = openJob();
  return job ? [element("p", "paper__lead", `${job.vehicle || job.name}. Work begun ${job.started.slice(0, 10)}.`)] : [];
}

/** What stands beyond a limit comes first: left so, with whom it was told to, or still to be put right. @param {JobPage} page */
function unrepaired({ steps, signing, article }) {
  const { beyonds } = takeStock(steps, signing().progress, { estimate: endsInEstimate(article) });
  if (!beyonds.length) return [];
  const lines = beyonds.map(
    (beyond) =>
      withMinus(plainly(beyond)) +
      (beyond.unrepaired
        ? `. Left unrepaired: ${beyond.unrepaired.typed.note} Told: ${beyond.unrepaired.typed.told}.`
        : ". Not put right."),
  );
  return [element("p", "paper__warn", element("b", "", "Beyond the limit, and not repaired:")), list(lines)];
}

/** @param {import("../state/beyond.js").Beyond} beyond */
function plainly({ step, place, entry }) {
  const words = entry.kind === "torque" ? torqueWords(entry.typed, VERDICTS.beyond) : judgedWords(entry, VERDICTS, ": ");
  return `${capital(SIDE_NAMES[place])}, ${MEASURED[entry.typed.calculator] ?? step.does.replace(/\.$/, "")}: ${words}`;
}

/** An unfinished job says so at its head. @param {JobPage} page */
function status({ openEverywhere, article, signing }) {
  const open = openEverywhere().length;
  const complete = standingEntries()
    .filter(({ kind, procedure }) => kind === "complete" && procedure === article.dataset.procedure)
    .at(-1);
  if (open && !isClosedBefore(signing().progress, complete, metaContent("build")))
    return [element("p", "paper__warn", `The work is not finished: ${open} of its steps are still open.`)];
  return complete
    ? [
        element(
          "p",
          "",
          `${complete.typed.not_repaired ? "Closed, not repaired," : "Signed as complete"} on ${clock(complete, "")} by ${complete.by || "no name given"}.`,
        ),
      ]
    : [];
}

// ---------------------------------------------------------------- measured

/** @param {Said[]} recorded */
function measured(recorded) {
  const results = recorded.filter(({ entry }) => entry.kind === "result" && entry.typed.given);
  const rows = group(results, ({ step, entry }) => `${step.address} ${entry.typed.calculator} ${isRear(entry)}`).map((of) => {
    const { entry, step } = of[0];
    const name = MEASURED[entry.typed.calculator] ?? step.does.replace(/\.$/, "");
    const limits = [...new Set(of.flatMap(({ entry: each }) => Object.entries(each.limits).map(([key, limit]) => limitWords(key, limit))))];
    return [
      name,
      ...bothSides(of, reading),
      limits.length ? element("span", "", ...limits.map((text) => element("span", "paper__limit", text))) : "no limit on record",
    ];
  });
  return rows.length ? [table("", ["What", "Left", "Right", "Limit, and where it comes from"], rows)] : [nothing("readings")];
}

/** @param {Said} said */
function reading({ entry }) {
  return withMinus(entry.verdict ? judgedWords(entry, VERDICTS, ": ") : `${entry.understood.shown || "no figure on record"}: not judged`);
}

/** @param {string} key @param {{path?: string, value: string, unit: string | null, source: string}} limit */
function limitWords(key, { path, value, unit, source }) {
  const name = sheetField(path ?? "")?.label ?? inWords(key);
  return `${name} ${withMinus(value)}${unit ? `\u00a0${unit}` : ""} (${source})`;
}

/** Left and right of one thing; an earlier reading stays before the last. @param {Said[]} of @param {(said: Said) => string} words */
function bothSides(of, words) {
  const whole = of.filter(({ entry }) => ![...LEFT, ...RIGHT].includes(entry.place ?? ""));
  if (whole.length === of.length)
    return [whole.map((said) => `${SIDE_NAMES[said.entry.place ?? "vehicle"]}: ${words(said)}`).at(-1) ?? "", "as left"];
  return [LEFT, RIGHT].map((side) => {
    const lines = of.filter(({ entry }) => side.includes(entry.place ?? "")).map(words);
    const before = lines.slice(0, -1).map((line) => element("span", "paper__before", `first ${line}; `));
    return lines.length ? element("span", "", ...before, lines[lines.length - 1]) : "not on record";
  });
}

/** @param {Entry} entry */
const isRear = ({ place }) => ["LR", "RR", "rear"].includes(place ?? "");

// ---------------------------------------------------------------- decided

/** The decision as it was recorded, else the findings with what each leads to. @param {Said[]} said */
function decided(said) {
  const decision = said.filter(({ entry }) => Array.isArray(entry.understood.actions)).at(-1)?.entry;
  /** @type {HTMLElement[]} */
  const nodes = decision ? decisionParts(decision) : [];
  const findings = said.filter(({ entry }) => entry.kind === "finding" && Array.isArray(entry.understood.findings));
  const rows = group(findings, ({ step, entry }) => `${step.address} ${isRear(entry)}`).map((of) => [
    capital(String(of[0].entry.typed.part).replaceAll("-", " ")),
    ...bothSides(of, finding),
  ]);
  if (rows.length) nodes.push(table("Found on inspection", ["Part", "Left", "Right"], rows));
  const otherwise = said.filter(({ entry }) => entry.kind === "override" || entry.kind === "not-applicable" || entry.typed.action);
  if (otherwise.length) {
    nodes.push(
      element("p", "", element("b", "", "Done otherwise than the procedure says, with the reason:")),
      list(
        otherwise.map(
          ({ entry, step }) => `${capital(SIDE_NAMES[entry.place ?? "vehicle"])}, ${step.does} ${entry.note || entry.typed.note}`,
        ),
      ),
    );
  }
  const outcomes = said.filter(
    ({ entry, step }) => step.box.dataset.record !== undefined && (entry.typed.choice !== undefined || entry.typed.outcome),
  );
  if (outcomes.length) nodes.push(list(outcomes.map(captioned)));
  return nodes.length ? nodes : [nothing("findings and decisions")];
}

/** @param {Entry} decision */
function decisionParts({ understood, verdict }) {
  /** @type {{label: string, part: string, side: string, action: string, reason: string}[]} */
  const actions = understood.actions;
  const rows = group(actions, ({ part }) => part).map((of) => [
    capital(of[0].label),
    ...["left", "right"].map((side) => {
      const found = of.find((each) => each.side === side);
      return found ? `${ACTIONS[found.action] ?? found.action}: ${withMinus(found.reason)}` : "not on record";
    }),
  ]);
  const needed =
    Array.isArray(understood.parts_list) && understood.parts_list.length
      ? [
          table(
            "Parts the decision asks for",
            ["Part", "How many", "Why"],
            understood.parts_list.map((/** @type {any} */ { item, quantity, per, why }) => [
              capital(String(item)),
              `${quantity}${per ? ` ${per}` : ""}`,
              String(why ?? ""),
            ]),
          ),
        ]
      : [];
  const open = verdict && verdict.code !== "within" ? [element("p", "", `${verdict.text}.`)] : [];
  return [...open, table("Decided, part by part", ["Part", "Left", "Right"], rows), ...needed];
}

/** @param {Said} said */
function finding({ entry }) {
  return entry.understood.findings.map((/** @type {any} */ { says, follows }) => `${says}. ${follows}`).join("; ");
}

/** @param {Said[]} said */
function torques(said) {
  const entries = said.filter(({ entry }) => entry.kind === "torque");
  const rows = group(entries, ({ entry }) => `${entry.typed.fastener} ${entry.typed.stage} ${isRear(entry)}`).map((of) => {
    const { typed } = of[0].entry;
    const targets = [...new Set(of.map(({ entry }) => `${entry.typed.target} (${entry.limits.target?.source ?? "source not on record"})`))];
    const name =
      capital(String(typed.fastener).replaceAll("-", " ")) +
      (typed.stage && typed.stage !== "final" ? `, ${String(typed.stage).replaceAll("-", " ")}` : "");
    return [name, ...bothSides(of, tightness), targets.join("; ")];
  });
  return rows.length
    ? [table("", ["What", "Left, and the wrench used", "Right, and the wrench used", "Torque asked for, and its source"], rows)]
    : [nothing("how tight they are")];
}

/** @param {Said} said */
function tightness({ entry }) {
  const { typed, verdict } = entry;
  return withMinus(
    [`${typed.actual}${verdict ? `, of ${typed.target}: ${VERDICTS[verdict.code] ?? verdict.text}` : ""}`, typed.tool]
      .filter(Boolean)
      .join(", "),
  );
}

// ---------------------------------------------------------------- what comes next

/** What the calculators foresaw from the wear so far. @param {Said[]} recorded */
function forecasts(recorded) {
  const latest = group(
    recorded.filter(({ entry }) => entry.understood.values),
    ({ step, entry }) => `${step.address} ${entry.place}`,
  ).map((of) => of[of.length - 1]);
  const lines = latest.flatMap(({ entry, step }) => {
    const { distance_left: left, thinnest_at_next: next } = entry.understood.values;
    const words = [
      ...(typeof left?.value === "number" ? [`about ${withMinus(left.text)} left to the limit at the wear so far`] : []),
      ...(typeof next?.value === "number" ? [`${withMinus(next.text)} expected at the next check`] : []),
    ];
    return words.length
      ? [
          `${capital(SIDE_NAMES[entry.place ?? "vehicle"])}, ${(MEASURED[entry.typed.calculator] ?? step.does).toLowerCase()}: ${words.join("; ")}.`,
        ]
      : [];
  });
  return lines.length ? [list(lines)] : [];
}

/** @param {HTMLElement[]} parts */
function glossary(parts) {
  const text = parts.map((part) => part.textContent).join(" ");
  const known = GLOSSARY.filter(([word]) => word.test(text)).map(([, meaning]) => meaning);
  return known.length ? block("Words used", [element("p", "paper__words", known.join(" "))]) : [];
}

// ---------------------------------------------------------------- parts of a page

/** @param {string} title @param {HTMLElement[]} content */
function block(title, content) {
  return [element("h2", "", title), ...content];
}

/** @param {string} what */
function nothing(what) {
  return element("p", "", `Not on record: ${what}.`);
}

/** @param {(string | Node)[]} lines */
function list(lines) {
  return element("ul", "", ...lines.map((line) => element("li", "", line)));
}

/** An answer with its question: that of the field; a choice stands under the name of its part, for its step is an order to the technician. @param {Said} said */
function captioned({ entry, step }) {
  const label = entry.kind === "text" ? step.box.querySelector('[data-entry="text"] label')?.textContent?.trim() : `${partTitle(step)}:`;
  const where = entry.place === "vehicle" ? "" : `${capital(SIDE_NAMES[entry.place ?? "vehicle"])}. `;
  const answer = entry.typed.text ?? entry.understood.shown ?? entry.typed.choice ?? entry.typed.outcome;
  return element("span", "", `${where}${label || step.does} `, element("b", "", String(answer)));
}

/** The heading under which a step stands, without its number. @param {Step} step */
function partTitle({ box }) {
  const heading = box.closest(".part")?.querySelector("h2:not(#steps)") ?? document.querySelector("h1");
  return heading?.textContent?.replace(/^[\d.]+\s*/, "").trim() ?? "";
}

/** @template T @param {T[]} items @param {(item: T) => string} key @returns {T[][]} */
function group(items, key) {
  /** @type {Map<string, T[]>} */
  const found = new Map();
  for (const item of items) found.set(key(item), [...(found.get(key(item)) ?? []), item]);
  return [...found.values()];
}

/** @param {string} text */
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
