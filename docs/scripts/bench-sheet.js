// @ts-check
/**
 * The bench sheet: the page itself on paper, with a head that says what it is and a table of what was recorded. From
 * its button it is the short form, a step a line with its boxes; the browser's own print gives the whole text.
 */
import { element } from "./answer.js";
import { isOther } from "./applies.js";
import { now } from "./entries.js";
import { metaContent } from "./handbook.js";
import { allEntries, openJob, standingEntries } from "./journal.js";
import { clock, placeName, says } from "./words.js";

/** @typedef {import("./entries.js").Entry} Entry */
/** @typedef {import("./steps.js").Step} Step */

const ON_THE_SHEET = ["result", "torque", "finding", "text", "done", "not-applicable", "override", "called-away", "vehicle"];

/** Keep a head and a table ready for the printer. @param {HTMLElement} article @param {() => {steps: Step[], open: Step[], layout: string}} place */
export function startBenchSheet(article, place) {
  const head = element("header", "sheet-head print-only");
  const foot = element("section", "sheet-record print-only");
  article.prepend(head);
  article.append(foot);
  const fill = () => {
    const { steps, open, layout } = place();
    head.replaceChildren(...headLines(article, layout));
    foot.replaceChildren(...recorded(steps), ...openLines(open, steps), element("p", "sheet-foot", identity(article)));
  };
  addEventListener("beforeprint", fill);
  addEventListener("afterprint", () => document.documentElement.classList.remove("short-sheet"));
  return () => {
    fill();
    document.documentElement.classList.add("short-sheet");
    print();
  };
}

/** @param {HTMLElement} article */
function identity(article) {
  const { procedure = "", revision = "" } = article.dataset;
  return `Procedure ${procedure}, revision ${revision}. Handbook build ${metaContent("build") || "unknown"}.`;
}

/** @param {HTMLElement} article @param {string} layout */
function headLines(article, layout) {
  const job = openJob();
  const lines = [
    identity(article),
    job ? `Job: ${job.name}. Job number ${job.id.slice(0, 6)}, started ${clock({ time: job.started }, "")}.` : "Job: ____________________",
    `Vehicle: ${job?.vehicle || "____________________"}`,
    layout,
    `Printed ${now().slice(0, 16).replace("T", " ")}.`,
  ];
  return lines.map((line) => element("p", "sheet-head__line", line));
}

/** @param {Step[]} steps */
function recorded(steps) {
  const entries = standingEntries().filter(({ kind }) => ON_THE_SHEET.includes(kind));
  if (!entries.length) return [];
  const table = element("table", "sheet-table");
  const withdrawn = allEntries().filter(({ kind }) => kind === "withdrawn").length;
  table.append(
    element("caption", "", `Recorded in this job${withdrawn ? ` (${withdrawn} withdrawn, kept in the job’s file)` : ""}`),
    element("thead", "", row("th", ["Step", "Place", "What", "Judged by", "When", "By"])),
    element("tbody", "", ...entries.map((entry) => row("td", cells(entry, steps)))),
  );
  return [table];
}

/** @param {Entry} entry @param {Step[]} steps */
function cells(entry, steps) {
  const step = steps.find(({ address }) => address === entry.step);
  const number = step?.number ?? "";
  const verdict = entry.verdict && entry.typed.choice === undefined && !entry.typed.outcome ? ` ${entry.verdict.text}` : "";
  return [
    [number, step?.does ?? entry.step ?? ""].filter(Boolean).join(" "),
    placeName(entry.place),
    `${says(entry)}.${verdict}${isBare(entry) ? "" : typed(entry)}`,
    Object.values(entry.limits).map(limit).join("; "),
    clock(entry, ""),
    entry.by,
  ];
}

/** @param {Entry} entry */
const isBare = (entry) => entry.kind !== "result" || !entry.typed.given;

/** @param {Entry} entry */
function typed(entry) {
  return ` Entered: ${Object.entries(entry.typed.given).map(([name, text]) => `${name.replaceAll("_", " ")} ${text}`).join("; ")}.`;
}

/** @param {any} limit */
function limit({ value, unit, source }) {
  return `${value}${unit ? `\u00a0${unit}` : ""} (${source})`;
}

/** @param {"td" | "th"} tag @param {string[]} texts */
function row(tag, texts) {
  return element("tr", "", ...texts.map((text) => {
    const cell = element(tag, "", text);
    if (tag === "th") cell.setAttribute("scope", "col");
    return cell;
  }));
}

/** For whoever takes over: what is still open. @param {Step[]} open @param {Step[]} steps */
function openLines(open, steps) {
  if (!openJob()) return [];
  if (!open.length) return [element("p", "sheet-open", "No step of this procedure is open.")];
  return [element("p", "sheet-open", `${open.length} open: ${runs(open, steps)}. Next: ${open[0].number} ${open[0].does}`)];
}

/** Numbers of steps, those that follow each other as «2.1 to 2.5». @param {Step[]} open @param {Step[]} steps */
function runs(open, steps) {
  const applicable = steps.filter(({ box }) => !isOther(box));
  /** @type {Step[][]} */
  const found = [];
  for (const step of open) {
    const run = found.at(-1);
    const follows = run && applicable.indexOf(step) === applicable.indexOf(/** @type {Step} */ (run.at(-1))) + 1;
    if (follows) run.push(step);
    else found.push([step]);
  }
  return found.map((run) => (run.length > 2 ? `${run[0].number} to ${run.at(-1)?.number}` : run.map(({ number }) => number).join(", "))).join(", ");
}
