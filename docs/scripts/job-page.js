// @ts-check
/** The job in the page: ties steps, forms, bar, drafts and papers to the open job. */

import { startAwake } from "./job/awake.js";
import { startCompletion } from "./job/complete.js";
import { startDecision } from "./job/decision.js";
import { startDetail } from "./job/detail.js";
import { startFound } from "./job/earlier-values.js";
import { keepValue, wireForms } from "./job/entry-forms.js";
import { JobBar } from "./job/job-bar.js";
import { jobSystem, keepChoice, keptValues, system, takeUp } from "./job/job-layout.js";
import { isOpenTwice, onJournal, openJob, resume, standingEntries } from "./job/journal.js";
import { addOtherWays } from "./job/other-ways.js";
import { startOverview } from "./job/overview.js";
import { startPreparation } from "./job/preparation.js";
import { startResume } from "./job/resume.js";
import { startSheetFile } from "./job/sheet-buttons.js";
import { drawStep } from "./job/signing.js";
import { startTimers } from "./job/timers.js";
import { startWayBack } from "./job/way-back.js";
import { isOther } from "./layout/applies.js";
import { axle, choice, layout, useKeptValues } from "./layout/layout.js";
import { onKeepValue } from "./layout/sheet.js";
import { element } from "./lib/elements.js";
import { bringIntoView, bringTo } from "./lib/scroll.js";
import { startParts } from "./lib/start.js";
import { openPapers, startPapers } from "./papers/papers.js";
import { clock, placeName, says } from "./state/entry-text.js";
import { endsInEstimate, lacking, takeStock } from "./state/open-work.js";
import { axlesThen, covers, Progress, placesOf, readSteps, stepAt } from "./state/steps.js";
import { restoreDrafts, startDrafts } from "./store/drafts.js";
import { label } from "./store/handbook-data.js";
import { keepSetting, openStore, setting } from "./store/job-store.js";

/** @typedef {import("./core/entries.js").Place} Place */
/** @typedef {import("./state/steps.js").Step} Step */
/** @typedef {import("./job/signing.js").Signing} Signing */
/** @typedef {import("./layout/layout.js").Choice} Choice */
/**
 * What the parts of a procedure's page need of it. After every drawing the document hears `handbook:drawn`.
 * @typedef {object} JobPage
 * @property {HTMLElement} article
 * @property {Step[]} steps
 * @property {() => Signing} signing as it stands now
 * @property {(step: Step) => Place[]} placesNow where a step is to be signed, on the side worked on
 * @property {() => Step[]} open steps of this layout that are not settled on the side worked on
 * @property {() => Step[]} openEverywhere the same for all sides
 * @property {() => Place | ""} side worked on; empty: all
 * @property {() => string} layoutLine
 * @property {() => void} needJob asks for a job to be started
 * @property {JobBar} bar
 * @property {() => boolean} checkOpen whether the check after an interruption is still open
 */

const SLICE = 12; // ms
/** What else a procedure's page does with a job, each part on its own elements. @type {[string, (page: JobPage) => void][]} */
const PARTS = [
  ["the papers", startPapers],
  ["the decision", startDecision],
  ["the timers", startTimers],
  ["the check after an interruption", startResume],
  ["the completion", startCompletion],
  ["the overview of the parts", startOverview],
  ["the lists to gather by", startPreparation],
  ["short and full steps", startDetail],
  ["values found in earlier steps", startFound],
  ["vehicle sheets as files", startSheetFile],
  ["the way back to a step that was left", startWayBack],
];
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
/** The step that was current before. @type {Step | null} */
let before = null;
/** Id of the job whose layout and drafts the page shows. */
let shownJob = "";

/** Wire the procedure of this page to the job record. */
export async function startJob() {
  const found = /** @type {HTMLElement | null} */ (document.querySelector("article.procedure"));
  if (!found) return;
  article = found;
  await pause(); // the layout has just been drawn
  steps = readSteps(article);
  bar = new JobBar({ print: openPapers, chooseSide, goToCurrent });
  article.append(bar.box);
  startDrafts(article);
  renew();
  /** @type {JobPage} */
  const page = {
    article,
    steps,
    bar,
    signing: () => signing,
    placesNow,
    layoutLine,
    side: workingSide,
    needJob,
    checkOpen: () => false,
    open: () => openSteps(),
    openEverywhere: () => openSteps((step) => placesOf(step, axle())),
  };
  startParts(PARTS.map(([name, start]) => [name, () => start(page)]));
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
  startAwake();
  side = /** @type {Place | ""} */ (await setting("side"));
  await resume();
  if (!openJob()) await restoreDrafts(article, "-");
}

// ---------------------------------------------------------------- drawing

/** Take stock of the job anew. */
function renew() {
  signing = {
    progress: new Progress(standingEntries(), axle(), steps),
    steps,
    job: openJob() !== null,
    needJob,
    signed: advance,
    lacking: (without) => lacking(takeStock(steps, signing.progress, { without, estimate: endsInEstimate(article) })), // as it stands when it is asked
  };
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
  const next = openJob() ? nextOf(openSteps()) : null;
  if (next !== current) [before, current] = [current, next];
  for (const { box } of steps) {
    box.classList.toggle("step--current", box === current?.box);
    if (box === current?.box) box.setAttribute("aria-current", "step");
    else box.removeAttribute("aria-current");
  }
  const applicable = steps.filter((step) => !isOther(step.box));
  const open = openSteps().length;
  bar.draw({
    sides: sides(),
    side: workingSide(),
    done: applicable.length - open,
    open,
    current,
    lastSigned: [lastSigned(), isOpenTwice() && "also open in another tab"].filter(Boolean).join(" · "),
  });
  drawUnknown();
  drawOtherAxle();
}

/** A job that was worked on the other axle says so once: what belongs to an axle is signed here anew. */
function drawOtherAxle() {
  const other = axle() === "front" ? "rear" : axle() === "rear" ? "front" : "";
  const standing = standingEntries();
  const then = axlesThen(standing);
  const worked =
    other !== "" &&
    standing.some(({ step, place }, index) => step && place && (place === "vehicle" ? then[index] === other : covers(other, place)));
  const box = article.querySelector(":scope > .other-axle");
  if (!worked) return box?.remove();
  const text = `This job was also worked on the ${other} axle. Axle and lift steps are signed here for the ${axle()} axle; steps signed for the whole vehicle stand.`;
  if (box?.textContent === text) return;
  box?.remove();
  article.prepend(element("p", "other-axle screen-only", text));
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

/** Steps of this layout that are not done yet. @param {(step: Step) => Place[]} [places] */
function openSteps(places = placesNow) {
  return steps.filter((step) => !isOther(step.box) && !signing.progress.isAllDone(step, places(step)));
}

/** The step to work on: a second look can be taken later, so it holds nobody up. @param {Step[]} open */
function nextOf(open) {
  return open.find((step) => !isSigned(step)) ?? open[0] ?? null;
}

/** Whether a step is done on the side worked on, or waits for its second look only. @param {Step} step */
function isSigned(step) {
  const { progress } = signing;
  return placesNow(step).every((place) => progress.isDone(step, place) || progress.waitsForLook(step, place) !== null);
}

function lastSigned() {
  const last = standingEntries()
    .filter(({ step }) => step)
    .at(-1);
  if (!last) return "";
  const step = stepAt(steps, last.step);
  return `last ${step?.number ?? last.step} ${placeName(last.place)} ${last.time.slice(11, 16)}`;
}

function layoutLine() {
  const answers = Object.entries(layout()).map(([axis, value]) => `${label(axis)}: ${label(axis, value)}`);
  return `Layout: ${answers.join("; ") || "not answered"}.`;
}

/** Entries of this procedure whose step the page no longer holds stay listed as they were written. */
function drawUnknown() {
  const own = article.dataset.procedure;
  const lost = standingEntries().filter((entry) => entry.step && entry.procedure === own && !stepAt(steps, entry.step));
  let box = article.querySelector(":scope > .lost-entries");
  if (!lost.length) return box?.remove();
  if (!box) {
    box = element("section", "lost-entries");
    bar.box.before(box);
  }
  box.replaceChildren(
    element("h2", "", "Recorded at steps that this page no longer has"),
    element(
      "ul",
      "",
      ...lost.map((entry) =>
        element(
          "li",
          "",
          `${entry.step} ${placeName(entry.place)}: ${says(entry)}, ${clock(entry, "")}, ${entry.by}, revision ${entry.revision ?? "unknown"}`,
        ),
      ),
    ),
  );
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
  const buttons = Array.from(
    /** @type {NodeListOf<HTMLElement>} */ (step.box.querySelectorAll("button.sign:enabled, .field input, textarea")),
  );
  const target = buttons.find((each) => each.offsetParent && (!place || !each.dataset.place || each.dataset.place === place)) ?? buttons[0];
  target?.focus({ preventScroll: true });
}

/** Bring the next step to the place on the screen where the last one stood. @param {Step} step */
function advance(step) {
  // A step signed out of turn moves nothing, and nothing moves back over what was left open before.
  if (!current || before !== step || !isSigned(step) || steps.indexOf(current) < steps.indexOf(step)) return;
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
  }
  refresh();
}

/** @param {Choice} given */
async function layoutChanged({ by }) {
  refresh();
  if (by === "reader" && openJob()) await keepChoice();
}
