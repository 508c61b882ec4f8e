// @ts-check
/** The completion call: what is done over all sides, what is still open or loose, and the one button that closes the page's job. */
import { element } from "./answer.js";
import { isOther } from "./applies.js";
import { otherPages, STATE_NAMES, stateOf } from "./effects.js";
import { inOrder, now, standing } from "./entries.js";
import { allEntries, openJob, record, standingEntries } from "./journal.js";
import { button } from "./picker.js";
import { isWork, PLACE_NAMES, placesOf, Progress } from "./steps.js";
import { clock } from "./words.js";

/** @typedef {import("./entries.js").Entry} Entry */
/** @typedef {import("./entries.js").Place} Place */
/** @typedef {import("./steps.js").Step} Step */
/** @typedef {import("./job.js").JobPage} JobPage */
/** @typedef {{done: number, not_needed: number, with_reason: number, open: number}} Counts places of steps, over all sides */
/** @typedef {{step: Step, text: string}} Left something that keeps the job from being complete */

const MOST = 12; // lines listed
const MOST_LOOKS = 200; // entries after a completion that are looked through for what reopened it

/** @param {JobPage} page */
export function startCompletion(page) {
  const place = page.article.querySelector(".complete");
  if (!place) return;
  const box = element("div", "completion screen-only");
  place.append(box);
  let waits = 0;
  // After what the reader looks at was drawn.
  document.addEventListener("handbook:drawn", () => {
    clearTimeout(waits);
    waits = setTimeout(() => draw(page, box), 50);
  });
}

/** @param {JobPage} page @param {HTMLElement} box */
function draw(page, box) {
  if (!openJob()) {
    const start = button("", "Start a job", page.needJob);
    return render(box, "none", () => [element("p", "", "Start a job first: completion is recorded in it."), start]);
  }
  const { progress } = page.signing();
  const { counts, left } = takeStock(page, progress);
  const last = standingEntries().filter(({ kind, procedure }) => kind === "complete" && procedure === page.article.dataset.procedure).at(-1);
  /** @type {[string, Left[]][]} */
  const groups = [...checkLeft(page), ...left].filter(([, items]) => items.length);
  const state = JSON.stringify([counts, last?.id, otherPages(page, standingEntries()), groups.map(([title, items]) => [title, items.map(({ step, text }) => step.address + text)])]);
  render(box, state, () => [
    element("p", "completion__count", `${shownOf(counts)}, ${counts.open} open`),
    element("p", "", "Counted by step and place for this layout, over all sides."),
    ...otherPages(page, standingEntries()).map((line) => element("p", "completion__elsewhere", line)),
    ...saysNow(page, last, groups.length === 0),
    ...listed(groups),
    ...(last && !groups.length ? [] : [completeButton(counts, groups.length === 0)]),
  ]);
}

/** @param {HTMLElement} box @param {string} state @param {() => HTMLElement[]} make */
function render(box, state, make) {
  if (box.dataset.state === state) return;
  box.dataset.state = state;
  const had = box.contains(document.activeElement);
  box.replaceChildren(...make());
  if (!had) return;
  box.tabIndex = -1;
  box.focus({ preventScroll: true });
}

// ---------------------------------------------------------------- what stands

/** @param {JobPage} page @param {Progress} progress @returns {{counts: Counts, left: Map<string, Left[]>}} */
function takeStock({ steps }, progress) {
  const counts = { done: 0, not_needed: 0, with_reason: 0, open: 0 };
  /** @type {Map<string, Left[]>} */
  const left = new Map([["Steps open", []]]);
  for (const step of steps) {
    if (isOther(step.box)) continue;
    const open = placesOf(step, progress.axle).filter((place) => {
      const how = cameOut(progress, step, place);
      counts[how] += 1;
      return how === "open";
    });
    if (open.length) left.get("Steps open")?.push({ step, text: `${open.map((place) => PLACE_NAMES[place]).join(", ")}: ${step.does}` });
  }
  const state = stateOf(progress, steps);
  for (const [list, title] of STATE_NAMES) left.set(title, state[list].map(({ name, place, step }) => ({ step, text: `${PLACE_NAMES[place]}: ${name}` })));
  return { counts, left };
}

/** @param {JobPage} page @returns {[string, Left[]][]} */
function checkLeft({ checkOpen, open, steps }) {
  const step = open()[0] ?? steps[0];
  return checkOpen() ? [["After the interruption", [{ step, text: "Answer the check first: it asks where the work stood." }]]] : [];
}

/** @param {Progress} progress @param {Step} step @param {Place} place @returns {keyof Counts} */
function cameOut(progress, step, place) {
  if (!progress.isDone(step, place)) return "open";
  if (!progress.isWorked(step, place, true)) return "not_needed";
  const last = progress.counting(step, place).filter(isWork).at(-1);
  return last?.kind === "override" || last?.kind === "not-applicable" ? "with_reason" : "done";
}

/** @param {Counts} counts */
function shownOf({ done, not_needed: notNeeded, with_reason: reasons }) {
  return `${done} done, ${notNeeded} not needed, ${reasons} with a reason`;
}

/** Since when something is open again. @param {JobPage} page @param {Entry} complete */
function openSince(page, complete) {
  const all = inOrder(allEntries());
  const from = all.findIndex(({ id }) => id === complete.id) + 1;
  for (let to = from + 1; to <= Math.min(all.length, from + MOST_LOOKS); to += 1) {
    const { left } = takeStock(page, new Progress(standing(all.slice(0, to)), page.signing().progress.axle, page.steps));
    if ([...left.values()].some((items) => items.length)) return ` since ${clock(all[to - 1], now().slice(0, 10))}`;
  }
  return ""; // by another layout, not by an entry
}

// ---------------------------------------------------------------- what is said

/** @param {JobPage} page @param {Entry | undefined} last @param {boolean} clear */
function saysNow(page, last, clear) {
  if (!last) return [];
  const when = `Complete: ${last.typed.shown}, ${clock(last, now().slice(0, 10))}, ${last.by}.`;
  if (clear) return [element("p", "completion__now", when)];
  return [element("p", "completion__now completion__now--again", `Open again${openSince(page, last)}. ${when}`)];
}

/** @param {[string, Left[]][]} groups */
function listed(groups) {
  let room = MOST;
  /** @type {HTMLElement[]} */
  const made = [];
  for (const [title, items] of groups) {
    const lines = items.slice(0, room);
    room -= lines.length;
    if (lines.length) made.push(element("h3", "", title), element("ul", "", ...lines.map(lineOf)));
  }
  const more = groups.reduce((sum, [, items]) => sum + items.length, 0) - (MOST - room);
  if (more > 0) made.push(element("p", "completion__more", `and ${more} more`));
  return made;
}

/** @param {Left} left */
function lineOf({ step, text }) {
  const link = element("a", "", `${step.number} ${text}`);
  link.href = `#${step.box.id}`;
  return element("li", "", link);
}

/** @param {Counts} counts @param {boolean} clear */
function completeButton({ done, not_needed, with_reason, open }, clear) {
  const line = element("p", "step__problem");
  line.setAttribute("role", "status");
  const made = button("button--primary completion__button", "Complete the job on this page", async () => {
    made.disabled = true;
    line.textContent = await record({ kind: "complete", typed: { shown: shownOf({ done, not_needed, with_reason, open }), done, not_needed, with_reason } });
  });
  made.disabled = !clear;
  return element("div", "", made, line);
}
