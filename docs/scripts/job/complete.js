// @ts-check
/** The completion call: what is done over all sides, what is still open or loose, and the one button that closes the page's job. */

import { inOrder, now, standing } from "../core/entries.js";
import { button, textField } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { otherPages } from "../state/effects.js";
import { clock } from "../state/entry-text.js";
import { beyondWords, endsInEstimate, isClosedBefore, lacking, takeStock } from "../state/open-work.js";
import { Progress } from "../state/steps.js";
import { metaContent } from "../store/handbook-data.js";
import { allEntries, openJob, record, recordAt, standingEntries } from "./journal.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../job-page.js").JobPage} JobPage */
/** @typedef {import("../state/open-work.js").Beyond} Beyond */
/** @typedef {import("../state/open-work.js").Counts} Counts */
/** @typedef {import("../state/open-work.js").Left} Left */

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
  const estimate = endsInEstimate(page.article);
  const stock = takeStock(page.steps, progress, { estimate });
  const { counts, beyonds } = stock;
  const last = standingEntries()
    .filter(({ kind, procedure }) => kind === "complete" && procedure === page.article.dataset.procedure)
    .at(-1);
  const before = isClosedBefore(progress, last, metaContent("build"));
  const groups = [...checkLeft(page), ...lacking(stock)];
  const clear = groups.length === 0;
  const stands = beyonds.filter(({ unrepaired }) => unrepaired || estimate);
  const state = JSON.stringify([
    counts,
    last?.id,
    before,
    otherPages(page, standingEntries()),
    stands.map(({ entry, unrepaired }) => [entry.id, unrepaired?.id]),
    groups.map(([title, items]) => [title, items.map(({ step, text }) => step.address + text)]),
  ]);
  render(box, state, () => [
    element("p", "completion__count", `${shownOf(counts)}, ${counts.open} open`),
    element("p", "", "Counted by step and place for this layout, over all sides."),
    ...otherPages(page, standingEntries()).map((line) => element("p", "completion__elsewhere", line)),
    ...saysNow(page, last, clear, before),
    ...(stands.length
      ? [
          element("h3", "", estimate ? "Beyond the limit, not repaired on this page" : "Left unrepaired"),
          element("ul", "", ...stands.map(standsLine)),
        ]
      : []),
    ...listed(groups),
    ...(last && (clear || before) ? [] : [completeButton(counts, stands.length, estimate, clear)]),
  ]);
}

/** @param {Beyond} beyond */
function standsLine(beyond) {
  const line = lineOf({ step: beyond.step, text: beyondWords(beyond) });
  if (beyond.unrepaired) line.append(`. ${beyond.unrepaired.typed.note} Told: ${beyond.unrepaired.typed.told}.`);
  return line;
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

/** @param {JobPage} page @returns {[string, Left[]][]} */
function checkLeft({ checkOpen, open, steps }) {
  const step = open()[0] ?? steps[0];
  return checkOpen() ? [["After the interruption", [{ step, text: "Answer the check first: it asks where the work stood." }]]] : [];
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
    const then = new Progress(standing(all.slice(0, to)), page.signing().progress.axle, page.steps);
    const { left } = takeStock(page.steps, then, { estimate: endsInEstimate(page.article) });
    if ([...left.values()].some((items) => items.length)) return ` since ${clock(all[to - 1], now().slice(0, 10))}`;
  }
  return ""; // by another layout, not by an entry
}

// ---------------------------------------------------------------- what is said

/** @param {JobPage} page @param {Entry | undefined} last @param {boolean} clear @param {boolean} before closed by another build, and not worked on since */
function saysNow(page, last, clear, before) {
  if (!last) return [];
  const when = `${last.typed.not_repaired ? "Closed, not repaired" : "Complete"}: ${last.typed.shown}, ${clock(last, now().slice(0, 10))}, ${last.by}.`;
  if (clear) return [element("p", "completion__now", when)];
  if (before)
    return [
      element("p", "completion__now", `${when} An earlier build of the handbook judged it so, and it stays. This build asks for more:`),
    ];
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
  if (more > 0) made.push(theRest(groups.flatMap(([, items]) => items).slice(MOST), more));
  return made;
}

/** What does not stand at first sight, made when it is asked for. @param {Left[]} rest @param {number} more */
function theRest(rest, more) {
  const details = element("details", "completion__more", element("summary", "", `and ${more} more`));
  details.addEventListener("toggle", () => {
    if (details.open && details.children.length === 1) details.append(element("ul", "", ...rest.map(lineOf)));
  });
  return details;
}

/** @param {Left} left */
function lineOf({ step, text, beyond }) {
  const link = element("a", "", `${step.number} ${text}`);
  link.href = `#${step.box.id}`;
  return element("li", "", link, ...(beyond ? [leaveForm(beyond)] : []));
}

/** A reading beyond its limit that the owner leaves so: the reason, and who was told. @param {Beyond} beyond */
function leaveForm({ step, place, entry }) {
  const reason = textField(`${step.box.id}-${place}-left`, "Why it is left, for example: the owner refused new rotors", "", 2000);
  const told = textField(`${step.box.id}-${place}-told`, "Who was told, and when", "", 200);
  const line = element("p", "step__problem");
  line.setAttribute("role", "status");
  const keep = button("", "Leave it unrepaired", async () => {
    const [note, who] = [reason.input.value.trim(), told.input.value.trim()];
    if (!note || !who) return void (line.textContent = "Write the reason and who was told first.");
    line.textContent = await recordAt(step, place, {
      kind: "text",
      typed: { note, told: who, unrepaired: entry.id },
      understood: { shown: `left unrepaired, told: ${who}` },
    });
  });
  return element("details", "completion__leave", element("summary", "", "Not repaired"), reason.box, told.box, keep, line);
}

/** @param {Counts} counts @param {number} beyond how many readings stand beyond a limit @param {boolean} estimate @param {boolean} clear */
function completeButton({ done, not_needed, with_reason, open }, beyond, estimate, clear) {
  const line = element("p", "step__problem");
  line.setAttribute("role", "status");
  const unrepaired = !estimate && beyond > 0;
  const shown = `${shownOf({ done, not_needed, with_reason, open })}${beyond ? `, ${beyond} ${estimate ? "beyond a limit" : "left unrepaired"}` : ""}`;
  const made = button(
    "button--primary completion__button",
    unrepaired ? "Close the job on this page as not repaired" : "Complete the job on this page",
    async () => {
      made.disabled = true;
      line.textContent = await record({
        kind: "complete",
        typed: { shown, done, not_needed, with_reason, ...(unrepaired && { not_repaired: beyond }) },
      });
    },
  );
  made.disabled = !clear;
  return element("div", "", made, line);
}
