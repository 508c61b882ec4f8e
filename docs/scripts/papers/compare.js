// @ts-check
/**
 * A job beside an earlier one of the same vehicle: each reading then and now. Wear over a distance comes from the
 * calculator that took the later reading, asked again with the earlier one as its start; nothing is merged or recorded.
 */

import { inOrder, standing } from "../core/entries.js";
import { JobFileError, readJobFile } from "../core/job-file.js";
import { openJob, standingEntries } from "../job/journal.js";
import { button, textField } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { filePicker, refusalLine } from "../lib/files.js";
import { evaluate } from "../python/runtime.js";
import { judgedWords, withMinus } from "../state/entry-text.js";
import { PLACE_NAMES } from "../state/steps.js";
import { entriesOf, jobs } from "../store/job-store.js";
import { table } from "./bench-sheet.js";

/** @typedef {import("../core/entries.js").Job} Job */
/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../state/steps.js").Step} Step */
/** @typedef {import("../job-page.js").JobPage} JobPage */
/** @typedef {{job: Job, entries: Entry[]}} Kept */
/** @typedef {{value: number, unit: string, text: string}} Figure */
/** @typedef {{step: string, title: string, place: string, then: Entry | null, now: Entry | null}} Pair one reading of both jobs */

const PATIENCE = 30_000; // ms for the calculators to start
const NO_FIGURE = "not measured";

// ---------------------------------------------------------------- which job

/** The earlier jobs of the same vehicle, a file, and the distance between. @param {(sheet: HTMLElement[]) => void} show @param {JobPage} page */
export async function comparePanel(page, show) {
  const job = /** @type {Job} */ (openJob());
  const line = element("p", "papers__line");
  line.setAttribute("role", "status");
  const distance = textField(
    "compare-distance",
    "Distance driven between the two jobs, with its unit; blank: from the odometers on record",
  );
  /** @param {Kept} then */
  const compare = async (then) => {
    if (then.job.id === job.id) return void (line.textContent = "That is this job itself. Choose an earlier one.");
    line.textContent = "Comparing.";
    const sheet = await comparison(page, job, then, distance.input.value.trim() || byOdometers(then));
    line.textContent = "";
    show(sheet);
  };
  const earlier = (await jobs()).filter(
    (each) => each.id !== job.id && sameVehicle(each, job) && Date.parse(each.started) <= Date.parse(job.started),
  );
  const choices = earlier.map((each) =>
    element(
      "li",
      "",
      button("", each.name, async () => compare({ job: each, entries: await entriesOf(each.id) })),
    ),
  );
  return element(
    "section",
    "papers__compare",
    element("h3", "", "Compare with"),
    distance.box,
    choices.length
      ? element("ul", "", ...choices)
      : element("p", "", `No earlier job with the vehicle name «${job.vehicle}» is kept in this browser.`),
    ...fileButton(compare, line),
    line,
  );
}

/** @param {Job} a @param {Job} b */
function sameVehicle(a, b) {
  const plain = (/** @type {Job} */ { vehicle }) => vehicle.trim().replace(/\s+/g, " ").toLowerCase();
  return plain(a) !== "" && plain(a) === plain(b);
}

/** @param {(then: Kept) => Promise<void>} compare @param {HTMLElement} line */
function fileButton(compare, line) {
  const picker = filePicker("Saved job to compare with", async (file) => {
    try {
      await compare(await readJobFile(file));
    } catch (error) {
      const said = refusalLine(error, JobFileError, "Open a file that the handbook saved.");
      line.textContent = said.startsWith(`${file.name}: `) ? said : `${file.name}: ${said}`;
    }
  });
  return [button("", "Open a saved job, only to compare", () => picker.click()), picker];
}

// ---------------------------------------------------------------- the sheet

/** @param {JobPage} page @param {Job} job @param {Kept} then @param {string} distance as typed @returns {Promise<HTMLElement[]>} */
async function comparison(page, job, then, distance) {
  const pairs = pairsOf(page.steps, standing(then.entries), standingEntries());
  const dates = [then.job.started.slice(0, 10), job.started.slice(0, 10)];
  const rows = [];
  for (const pair of pairs)
    rows.push([
      element("span", "", pair.title),
      pair.place,
      shown(pair.then),
      shown(pair.now),
      change(pair),
      ...(await wear(pair, distance)),
    ]);
  return [
    element("h1", "", "This job beside an earlier one"),
    element("p", "paper__lead", `Then: ${then.job.name}. Now: ${job.name}.`),
    ...(sameVehicle(then.job, job)
      ? []
      : [
          element(
            "p",
            "paper__warn",
            `The vehicles carry different names: «${then.job.vehicle}» then, «${job.vehicle}» now. See that it is the same one.`,
          ),
        ]),
    rows.length
      ? table(
          "Readings of the same step and place",
          ["Step", "Place", `Then, ${dates[0]}`, `Now, ${dates[1]}`, "Change", "Wear per distance, distance left"],
          rows,
        )
      : element("p", "", "Neither job holds a reading."),
    ...(distance ? [element("p", "", `Distance between the two jobs: ${distance}.`)] : missing(page.steps, then, job)),
    element(
      "p",
      "paper__note",
      "A change is worked out only where both readings were taken in the same units. A part fitted new in between starts again: look at what was fitted then.",
    ),
  ];
}

/** The last odometer of a job. @param {Entry[]} entries @returns {Figure | null} */
function odometerOf(entries) {
  const found = entries.filter(({ kind, typed }) => kind === "result" && typed.calculator === "odometer").at(-1)?.understood
    .values?.odometer;
  return typeof found?.value === "number" ? found : null;
}

/** The distance between both jobs' odometers as a reader would type it; "" where one is missing. @param {Kept} then */
function byOdometers(then) {
  const [a, b] = [odometerOf(standing(then.entries)), odometerOf(standingEntries())];
  return a && b && a.unit === b.unit && b.value > a.value ? `${Math.round(b.value - a.value)} ${b.unit}` : "";
}

/** What is needed for wear over a distance, and what both jobs say about it. @param {Step[]} steps @param {Kept} then @param {Job} job */
function missing(steps, then, job) {
  const about = (/** @type {Entry[]} */ entries) => odometerOf(entries)?.text ?? "no odometer on record";
  const number = steps.find(({ box }) => box.querySelector('form[data-calculator="odometer"]'))?.number;
  return [
    element(
      "p",
      "",
      `No wear per distance: the distance driven between the two jobs is missing. It is the difference of the odometers${number ? ` of step ${number}` : ""}. Then (${then.job.started.slice(0, 10)}): ${about(standing(then.entries))}. Now (${job.started.slice(0, 10)}): ${about(standingEntries())}.`,
    ),
  ];
}

/** The last reading of each step, calculator and place, in the order of the page. @param {Step[]} steps @param {Entry[]} before @param {Entry[]} after @returns {Pair[]} */
function pairsOf(steps, before, after) {
  const renamed = new Map(steps.flatMap(({ was, address }) => was.map((old) => [old, address])));
  /** @type {Map<string, Pair>} */
  const pairs = new Map();
  for (const [when, entries] of /** @type {const} */ ([
    ["then", before],
    ["now", after],
  ])) {
    for (const entry of inOrder(entries).filter(({ kind, typed }) => kind === "result" && typed.given)) {
      const address = renamed.get(entry.step ?? "") ?? entry.step ?? "";
      const step = steps.find((each) => each.address === address);
      const key = `${address} ${entry.typed.calculator} ${entry.place}`;
      const pair = pairs.get(key) ?? {
        step: address,
        title: step ? `${step.number} ${step.does}` : address,
        place: entry.place ? PLACE_NAMES[entry.place] : "",
        then: null,
        now: null,
      };
      pairs.set(key, { ...pair, [when]: entry });
    }
  }
  const order = new Map(steps.map(({ address }, index) => [address, index]));
  return [...pairs.values()].sort((a, b) => (order.get(a.step) ?? Infinity) - (order.get(b.step) ?? Infinity) || 0);
}

/** @param {Entry | null} entry */
function shown(entry) {
  if (!entry) return NO_FIGURE;
  return withMinus(judgedWords(entry)) || "no figure on record";
}

/** The number of a reading: the value or entry that was shown for it. @param {Entry} entry @returns {Figure | null} */
function figureOf({ understood }) {
  const known = [
    ...Object.values(understood.values ?? {}),
    ...Object.values(understood.inputs ?? {}).filter((each) => !Array.isArray(each)),
  ];
  return known.find((each) => typeof each?.value === "number" && each.unit && each.text === understood.shown) ?? null;
}

/** @param {Pair} pair @returns {string} */
function change({ then, now }) {
  if (!then || !now) return "";
  const rewritten =
    then.hash !== now.hash ? " The step’s text was changed between the two jobs: see that both readings were taken alike." : "";
  const [a, b] = [figureOf(then), figureOf(now)];
  if (!a || !b) return `not worked out: no single figure.${rewritten}`;
  if (a.unit !== b.unit || then.typed.system !== now.typed.system) return `not worked out: the units differ.${rewritten}`;
  const decimals = Math.max(...[a, b].map(({ text }) => /^[^\d]*\d+(?:\.(\d+))?/.exec(text)?.[1]?.length ?? 0));
  const by = (b.value - a.value).toFixed(decimals);
  const sign = Number(by) > 0 ? "+" : Number(by) < 0 ? "\u2212" : "";
  return `${sign}${by.replace("-", "")}\u00a0${b.unit}.${rewritten}`;
}

// ---------------------------------------------------------------- wear

/** @param {Pair} pair @param {string} distance @returns {Promise<string[]>} one cell */
async function wear({ then, now }, distance) {
  if (!then || !now || !("wear_per_distance" in (now.understood.values ?? {}))) return [""];
  const [a, b] = [figureOf(then), figureOf(now)];
  if (!a || !b || a.unit !== b.unit) return ["not worked out: no figures in the same unit"];
  if (b.value > a.value) return ["none: thicker than then"];
  if (!distance) return ["needs the distance between the jobs"];
  const given = { ...now.typed.given, new: `${a.value} ${a.unit}`, distance_run: distance };
  const late = new Promise((resolve) => setTimeout(resolve, PATIENCE, null));
  const response = await Promise.race([evaluate({ calculator: now.typed.calculator, given, system: now.typed.system }, {}), late]);
  if (!response) return ["not worked out: the calculator did not start"];
  if (!response.result) return [`not worked out: ${response.problem?.message ?? "the calculator gave no answer"}`];
  const { wear_per_distance: rate, distance_left: left } = response.result.values;
  return [withMinus(`${rate.text}; left to the limit: ${left.text}`)];
}
