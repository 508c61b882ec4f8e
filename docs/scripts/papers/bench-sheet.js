// @ts-check
/**
 * The bench sheet: the page itself on paper, with a head that says what it is and a table of what was recorded. From
 * the menu of papers it is the short form, a step a line with its boxes, whole or from the current step on; the
 * browser's own print gives the whole text.
 */

import { now } from "../core/entries.js";
import { allEntries, openJob, standingEntries } from "../job/journal.js";
import { isOther } from "../layout/applies.js";
import { element } from "../lib/elements.js";
import { bySource, clock, placeName, says, withMinus } from "../state/entry-text.js";
import { placesOf, stepAt } from "../state/steps.js";
import { metaContent } from "../store/handbook-data.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../state/steps.js").Step} Step */
/** @typedef {import("../job-page.js").JobPage} JobPage */

const ON_THE_SHEET = ["result", "torque", "finding", "text", "done", "not-applicable", "override", "called-away", "vehicle"];

/**
 * Keep a head and a table ready for the printer.
 * @param {JobPage} page
 * @returns {(fromHere: boolean) => void} prints the short form
 */
export function startBenchSheet(page) {
  const { article, steps } = page;
  const root = document.documentElement;
  const head = element("header", "sheet-head print-only");
  const foot = element("section", "sheet-record print-only");
  article.prepend(head);
  article.append(foot);
  const runningHead = root.dataset.runningHead ?? "";
  const fill = () => {
    const job = openJob();
    if (runningHead && job) root.dataset.runningHead = `${runningHead} · job ${job.id.slice(0, 6)}, ${job.name}`;
    head.replaceChildren(...headLines(page), ...(root.classList.contains("from-here") ? markPast(page) : []));
    foot.replaceChildren(...recorded(steps), ...openLines(page.open(), steps), element("p", "sheet-foot", identity(article)));
  };
  addEventListener("beforeprint", fill);
  addEventListener("afterprint", () => {
    root.classList.remove("short-sheet", "from-here");
    if (runningHead) root.dataset.runningHead = runningHead;
  });
  return (fromHere) => {
    root.classList.add("short-sheet");
    root.classList.toggle("from-here", fromHere);
    fill();
    print();
  };
}

/** Which page and which state of it a sheet was made from. @param {HTMLElement} article */
export function identity(article) {
  const { procedure = "", revision = "" } = article.dataset;
  return `Procedure ${procedure}, revision ${revision}. Handbook build ${metaContent("build") || "unknown"}.`;
}

/** @param {JobPage} page */
export function headLines({ article, layoutLine }) {
  const job = openJob();
  const lines = [
    identity(article),
    job ? `Job: ${job.name}. Job number ${job.id.slice(0, 6)}, started ${clock({ time: job.started }, "")}.` : "Job: ____________________",
    `Vehicle: ${job?.vehicle || "____________________"}`,
    layoutLine(),
    `Printed ${now().slice(0, 16).replace("T", " ")}.`,
  ];
  return lines.map((line) => element("p", "sheet-head__line", line));
}

/** Leave out what is settled on all sides before the current step, and say so. @param {JobPage} page */
function markPast({ steps, open, signing }) {
  const { progress } = signing();
  const current = open()[0];
  const applicable = steps.filter(({ box }) => !isOther(box));
  const before = current ? applicable.slice(0, applicable.indexOf(current)) : applicable;
  const past = before.filter((step) => placesOf(step, progress.axle).length && progress.isAllDone(step));
  for (const { box } of steps)
    box.classList.toggle(
      "sheet-past",
      past.some((step) => step.box === box),
    );
  for (const part of new Set(steps.map(({ box }) => box.closest(".part")))) {
    part?.classList.toggle(
      "sheet-past",
      [...part.querySelectorAll(".step")].every((box) => isOther(box) || box.classList.contains("sheet-past")),
    );
  }
  return past.length ? [element("p", "sheet-head__past", `${runs(past, steps)} done or not needed: see the job’s file.`)] : [];
}

// ---------------------------------------------------------------- what was recorded

/** @param {Step[]} steps */
function recorded(steps) {
  const entries = standingEntries().filter(({ kind }) => ON_THE_SHEET.includes(kind));
  if (!entries.length) return [];
  const withdrawn = allEntries().filter(({ kind }) => kind === "withdrawn").length;
  return [
    table(
      `Recorded in this job${withdrawn ? ` (${withdrawn} withdrawn, kept in the job’s file)` : ""}`,
      ["Step", "Place", "What", "Judged by", "When", "By"],
      entries.map((entry) => cells(entry, steps)),
    ),
  ];
}

/** @param {Entry} entry @param {Step[]} steps */
function cells(entry, steps) {
  const judged = entry.verdict && entry.typed.choice === undefined && !entry.typed.outcome ? entry.verdict.text : "";
  const verdict = judged && !says(entry).includes(judged.replace(/\.$/, "")) ? ` ${judged}` : "";
  const given = entry.kind === "result" && entry.typed.given ? ` Entered: ${valuesOf(entry.typed.given)}.` : "";
  return [
    stepName(entry, steps),
    placeName(entry.place),
    `${says(entry)}.${withMinus(verdict + given)}`,
    limitsOf(entry),
    clock(entry, ""),
    entry.by,
  ];
}

/** Number and words of an entry's step. @param {Entry} entry @param {Step[]} steps */
export function stepName(entry, steps) {
  const step = stepAt(steps, entry.step);
  return [step?.number, step?.does ?? entry.step].filter(Boolean).join(" ");
}

/** @param {Record<string, string>} given */
function valuesOf(given) {
  return Object.entries(given)
    .map(([name, text]) => `${name.replaceAll("_", " ")} ${text}`)
    .join("; ");
}

/** What an entry was judged by. @param {Entry} entry */
function limitsOf({ limits }) {
  return withMinus(bySource(Object.entries(limits).map(([name, limit]) => [name.replaceAll("_", " "), limit])));
}

/** @param {string} caption @param {string[]} heads @param {(string | Node)[][]} rows the first cell of each is its head */
export function table(caption, heads, rows) {
  const made = element("table", "sheet-table");
  const head = element("tr", "", ...heads.map((text) => headCell("col", text)));
  made.append(
    element("caption", "", caption),
    element("thead", "", head),
    element(
      "tbody",
      "",
      ...rows.map(([first, ...rest]) => element("tr", "", headCell("row", first), ...rest.map((cell) => element("td", "", cell)))),
    ),
  );
  return made;
}

/** @param {"row" | "col"} scope @param {string | Node} content */
function headCell(scope, content) {
  const cell = element("th", "", content);
  cell.scope = scope;
  return cell;
}

/** For whoever takes over: what is still open. @param {Step[]} open @param {Step[]} steps */
function openLines(open, steps) {
  if (!openJob()) return [];
  if (!open.length) return [element("p", "sheet-open", "No step of this procedure is open.")];
  return [element("p", "sheet-open", `${open.length} open: ${runs(open, steps)}. Next: ${open[0].number} ${open[0].does}`)];
}

/** Numbers of steps, those that follow each other as «2.1 to 2.5». @param {Step[]} listed in the order of the page @param {Step[]} steps */
export function runs(listed, steps) {
  const place = new Map(steps.filter(({ box }) => !isOther(box)).map((step, index) => [step, index]));
  /** @type {Step[][]} */
  const found = [];
  for (const step of listed) {
    const run = found.at(-1);
    const follows = run && place.get(step) === (place.get(/** @type {Step} */ (run.at(-1))) ?? NaN) + 1;
    if (follows) run.push(step);
    else found.push([step]);
  }
  return found
    .map((run) => (run.length > 2 ? `${run[0].number} to ${run.at(-1)?.number}` : run.map(({ number }) => number).join(", ")))
    .join(", ");
}
