// @ts-check
/** The job in the page: ties steps, forms, bar, drafts and bench sheet to the open job. */
import { element } from "./answer.js";
import { isOther } from "./applies.js";
import { startBenchSheet } from "./bench-sheet.js";
import { restoreDrafts, startDrafts } from "./drafts.js";
import { keepValue, wireForms } from "./entry-forms.js";
import { axes, label, layoutOf, metaContent, vehicles } from "./handbook.js";
import { JobBar } from "./job-bar.js";
import { axle, choice, chosenValues, layout, sayInPicker, showJobLayout, useKeptValues } from "./layout.js";
import { onJournal, openJob, record, resume, standingEntries } from "./journal.js";
import { button } from "./picker.js";
import { keepSetting, openStore, setting } from "./record.js";
import { onKeepValue } from "./sheet.js";
import { addOtherWays, drawStep } from "./signing.js";
import { placesOf, Progress, readSteps } from "./steps.js";
import { setSystem } from "./switches.js";
import { bringIntoView, bringTo } from "./view.js";
import { clock, placeName, says } from "./words.js";

/** @typedef {import("./entries.js").Place} Place */
/** @typedef {import("./steps.js").Step} Step */
/** @typedef {import("./signing.js").Signing} Signing */
/** @typedef {import("./layout.js").Choice} Choice */

const SLICE = 12; // ms
/** @type {Step[]} */
let steps = [];
/** @type {Signing} */
let signing;
/** @type {JobBar} */
let bar;
/** @type {HTMLElement} */
let article;
/** The side worked on; empty: all. @type {Place | ""} */
let side = "";
/** @type {Step | null} */
let current = null;
/** Id of the job whose layout and drafts the page shows. */
let shownJob = "";

/** Wire the procedure of this page to the job record. */
export async function startJob() {
  const found = /** @type {HTMLElement | null} */ (document.querySelector("article.procedure"));
  if (!found) return;
  article = found;
  await pause(); // the layout has just been drawn
  steps = readSteps(article);
  const print = startBenchSheet(article, () => ({ steps, open: openSteps(), layout: layoutLine() }));
  bar = new JobBar({ print, chooseSide, goToCurrent });
  article.append(bar.box);
  startDrafts(article);
  renew();
  await inSlices(steps, (step) => {
    drawStep(step, signing);
    addOtherWays(step, () => signing);
    wireForms(step, () => signing);
  });
  refresh();
  onKeepValue(async (path, value) => {
    const problem = await keepValue(path, value, axle());
    if (!problem) useKeptValues(keptValues(choice().vehicle));
    return problem;
  });
  onJournal(follow);
  document.addEventListener("handbook:system", async () => {
    if (openJob() && jobSystem() !== system()) await keepChoice();
  });
  document.addEventListener("handbook:layout", (event) => layoutChanged(/** @type {CustomEvent<Choice>} */ (event).detail));
  await openStore();
  side = /** @type {Place | ""} */ (await setting("side"));
  await resume();
  if (!openJob()) await restoreDrafts(article, "-");
}

// ---------------------------------------------------------------- drawing

/** Take stock of the job anew. */
function renew() {
  signing = { progress: new Progress(standingEntries(), axle()), steps, job: openJob() !== null, needJob, signed: advance };
}

/** Work through a long list without holding up a touch. @template T @param {T[]} items @param {(item: T) => void} work */
async function inSlices(items, work) {
  let until = performance.now() + SLICE;
  for (const item of items) {
    work(item);
    if (performance.now() < until) continue;
    await pause();
    until = performance.now() + SLICE;
  }
}

const pause = () => new Promise((resolve) => setTimeout(resolve));

/** Draw every step and the bar as the job stands. */
function refresh() {
  renew();
  for (const step of steps) drawStep(step, signing);
  document.dispatchEvent(new CustomEvent("handbook:drawn"));
  current = openJob() ? openSteps()[0] ?? null : null;
  for (const { box } of steps) {
    box.classList.toggle("step--current", box === current?.box);
    if (box === current?.box) box.setAttribute("aria-current", "step");
    else box.removeAttribute("aria-current");
  }
  const applicable = steps.filter((step) => !isOther(step.box));
  const open = openSteps().length;
  bar.draw({ sides: sides(), side: workingSide(), done: applicable.length - open, open, current, lastSigned: lastSigned() });
  drawUnknown();
}

/** @returns {Place[]} */
function sides() {
  const axleNow = axle();
  return axleNow === "rear" ? ["LR", "RR"] : axleNow === "front" ? ["LF", "RF"] : ["LF", "RF", "LR", "RR"];
}

function workingSide() {
  return side && sides().includes(side) ? side : "";
}

/** Where a step is to be signed now: on the side worked on. @param {Step} step */
function placesNow(step) {
  const places = placesOf(step, axle());
  const only = workingSide();
  return only && step.per === "side" ? places.filter((place) => place === only) : places;
}

/** Steps of this layout that are not done yet. */
function openSteps() {
  return steps.filter((step) => !isOther(step.box) && !signing.progress.isAllDone(step, placesNow(step)));
}

function lastSigned() {
  const last = standingEntries().filter(({ step }) => step).at(-1);
  if (!last) return "";
  const step = steps.find(({ address }) => address === last.step);
  return `last ${step?.number ?? last.step} ${placeName(last.place)} ${last.time.slice(11, 16)}`;
}

function layoutLine() {
  const answers = Object.entries(layout()).map(([axis, value]) => `${label(axis)}: ${label(axis, value)}`);
  return `Layout: ${answers.join("; ") || "not answered"}.`;
}

/** Entries of this procedure whose step the page no longer holds stay listed as they were written. */
function drawUnknown() {
  const own = article.dataset.procedure;
  const lost = standingEntries().filter((entry) => entry.step && entry.procedure === own && !steps.some(({ address }) => address === entry.step));
  let box = article.querySelector(":scope > .lost-entries");
  if (!lost.length) return box?.remove();
  if (!box) {
    box = element("section", "lost-entries");
    bar.box.before(box);
  }
  box.replaceChildren(element("h2", "", "Recorded at steps that this page no longer has"), element("ul", "", ...lost.map((entry) =>
    element("li", "", `${entry.step} ${placeName(entry.place)}: ${says(entry)}, ${clock(entry, "")}, ${entry.by}, revision ${entry.revision ?? "unknown"}`))));
}

// ---------------------------------------------------------------- moving on

/** @param {Place | ""} next */
function chooseSide(next) {
  side = next;
  keepSetting("side", next);
  refresh();
}

function goToCurrent() {
  if (!current) return;
  bringIntoView(current.box, "center");
  focusIn(current);
}

/** @param {Step} step */
function focusIn(step) {
  const place = workingSide();
  const buttons = Array.from(/** @type {NodeListOf<HTMLElement>} */ (step.box.querySelectorAll("button.sign:enabled, .field input, textarea")));
  const target = buttons.find((each) => each.offsetParent && (!place || !each.dataset.place || each.dataset.place === place)) ?? buttons[0];
  target?.focus({ preventScroll: true });
}

/** Bring the next step to the place on the screen where the last one stood. @param {Step} step */
function advance(step) {
  if (!current || !signing.progress.isAllDone(step, placesNow(step))) return;
  // Only from one step to the one after it: a step signed out of turn moves nothing.
  const applicable = steps.filter((each) => !isOther(each.box));
  if (applicable.indexOf(current) !== applicable.indexOf(step) + 1) return;
  const top = Math.max(step.box.getBoundingClientRect().top, 120);
  bringTo(current.box, top);
  focusIn(current);
}

function needJob() {
  bar.show(true, "Start a job first: what you sign is kept in it.");
}

// ---------------------------------------------------------------- job, layout, sheet

/** The journal changed: a job was taken up, or an entry was added. */
async function follow() {
  const job = openJob();
  if (job && job.id !== shownJob) {
    shownJob = job.id;
    await takeUp();
    await restoreDrafts(article, job.id);
    const away = bar.interruption();
    if (away) bar.say(away);
  }
  refresh();
}

const system = () => (document.documentElement.dataset.system === "inch" ? "inch" : "metric");

/** The units that the job was last worked in; empty for a new one. */
function jobSystem() {
  return standingEntries().filter(({ kind }) => kind === "layout").at(-1)?.typed.system ?? "";
}

/** Show the layout of the job just taken up; a new job takes the layout that the page shows. */
async function takeUp() {
  const units = jobSystem();
  if (units === "inch" || units === "metric") setSystem(units);
  const kept = jobLayout();
  const shown = choice();
  if (!kept) {
    showVehicleOfJob(shown);
    return keepChoice();
  }
  const asked = Object.keys(shown.layout).some((axis) => shown.layout[axis] !== kept.layout[axis] && location.hash.includes("layout="));
  useKeptValues(keptValues(kept.vehicle));
  if (!asked) return showJobLayout(kept.layout, kept.vehicle, keptValues(kept.vehicle));
  sayInPicker([
    "The address shows another layout than this job. ",
    button("", "Use the job’s layout", () => showJobLayout(kept.layout, kept.vehicle, keptValues(kept.vehicle))),
    " ",
    button("", "Keep this one for the job", async () => {
      sayInPicker("");
      await keepChoice();
    }),
  ]);
}

/** At another axle of the same job, what holds for the vehicle as a whole, and its sheet's layout of this axle. @param {{layout: Record<string, string>, vehicle: string}} shown */
function showVehicleOfJob(shown) {
  const last = standingEntries().filter(({ kind }) => kind === "layout").at(-1);
  if (!last || shown.vehicle) return;
  const sheet = vehicles().find(({ id }) => id === last.typed.vehicle);
  const ofVehicle = Object.entries(last.typed.layout).filter(([axis]) => axes().some(({ id, of }) => id === axis && of === "vehicle"));
  const answers = { ...(sheet ? layoutOf(sheet, axle()) : {}), ...Object.fromEntries(ofVehicle), ...shown.layout };
  showJobLayout(answers, sheet?.id ?? "", keptValues(sheet?.id ?? ""));
}

/** The job's layout for this page's axle. @returns {{layout: Record<string, string>, vehicle: string} | null} */
function jobLayout() {
  const entries = standingEntries().filter(({ kind }) => kind === "layout");
  const place = placeOfAxle();
  const last = entries.filter((entry) => entry.place === place || !place || !entry.place).at(-1) ?? null;
  if (!last) return null;
  return { layout: last.typed.layout, vehicle: typeof last.typed.vehicle === "string" ? last.typed.vehicle : "" };
}

/** @returns {"front" | "rear" | null} */
function placeOfAxle() {
  const now = axle();
  return now === "front" || now === "rear" ? now : null;
}

/** Values kept with the job, by axle: copies of the chosen sheet, and what was typed in. @param {string} vehicle */
function keptValues(vehicle) {
  /** @type {Record<string, Record<string, import("./entries.js").Sourced>>} */
  const values = { front: {}, rear: {}, vehicle: {}, "": {} };
  for (const { kind, place, typed } of standingEntries()) {
    if (kind === "vehicle" && (!typed.sheet || typed.sheet === vehicle)) Object.assign(values[place ?? ""] ?? {}, typed.values);
  }
  return values;
}

/** @param {Choice} given */
async function layoutChanged({ by }) {
  refresh();
  if (by === "reader" && openJob()) await keepChoice();
}

/** Copy the layout, and the sheet when it is another one, into the job. */
async function keepChoice() {
  if (!openJob()) return;
  const { layout: answers, vehicle } = choice();
  const before = standingEntries().filter(({ kind, typed }) => kind === "vehicle" && typed.sheet).at(-1)?.typed.sheet ?? "";
  await record({ kind: "layout", place: placeOfAxle(), typed: { layout: answers, vehicle, system: system() } });
  if (!vehicle || vehicle === before) return;
  for (const [place, values] of Object.entries(chosenValues())) {
    if (Object.keys(values).length) await record({ kind: "vehicle", place: /** @type {Place} */ (place), typed: { sheet: vehicle, build: metaContent("build"), values } });
  }
  useKeptValues(keptValues(vehicle));
}
