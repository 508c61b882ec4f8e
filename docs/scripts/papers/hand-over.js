// @ts-check
/** The sheet for whoever takes the job over: how it stands, what is off, loose or open, and what comes next. */

import { standingEntries } from "../job/journal.js";
import { isOther } from "../layout/applies.js";
import { element } from "../lib/elements.js";
import { beyondsOf } from "../state/beyond.js";
import { otherPages, STATE_NAMES, stateOf } from "../state/effects.js";
import { clock, placeName, says } from "../state/entry-text.js";
import { PLACE_NAMES, placesOf } from "../state/steps.js";
import { runs, stepName, table } from "./bench-sheet.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("../state/steps.js").Step} Step */
/** @typedef {import("../job-page.js").JobPage} JobPage */

const LAST = 8; // entries listed
/** Kinds that say where the work stood rather than what was done. */
const MARKS = ["called-away", "back", "complete"];

/** @param {JobPage} page @returns {HTMLElement[]} */
export function handOver(page) {
  const { steps } = page;
  const standing = standingEntries();
  return [
    element("h1", "", "Hand-over sheet"),
    ...stateParts(page),
    ...otherPages(page, standing).map((text) => element("p", "", text)),
    ...nextParts(page),
    ...section("Results that stand in the way", troubles(page), ["Step", "Place", "What", "When", "By"]),
    ...section(
      "Signed with a reason, marked as not applicable, noted",
      standing.filter(isRemark).map((entry) => line(entry, steps)),
      ["Step", "Place", "What", "When", "By"],
    ),
    ...section(
      "Called away, back, complete",
      standing.filter(({ kind }) => MARKS.includes(kind)).map((entry) => [clock(entry, ""), says(entry), entry.by]),
      ["When", "What", "By"],
    ),
    ...section(
      `Last ${LAST} entries`,
      standing
        .filter(({ step }) => step)
        .slice(-LAST)
        .map((entry) => line(entry, steps)),
      ["Step", "Place", "What", "When", "By"],
    ),
    ...openParts(page),
    ...section(
      "Who worked on it",
      workers(standing).map(({ by, first, last }) => [by || "no name given", clock(first, ""), clock(last, "")]),
      ["Name", "First entry", "Last entry"],
    ),
    element(
      "div",
      "paper__signatures",
      ...["Handed over by, date, time", "Taken over by, date, time"].map((text) => element("p", "paper__sign", text)),
    ),
  ];
}

/** @param {JobPage} page */
function stateParts({ steps, signing }) {
  const { progress } = signing();
  const state = stateOf(progress, steps);
  const rows = STATE_NAMES.flatMap(([list, title]) =>
    state[list].map(({ name, place, step }) => {
      const last = progress.at(step.asAt || step.address, place).at(-1);
      return [title, name, PLACE_NAMES[place], last ? clock(last, "") : "", `${step.number} ${step.does}`];
    }),
  );
  if (!rows.length)
    return [
      element("h2", "", "Off, loose or open"),
      element("p", "", "By the record nothing is off, loose or open. Look at the vehicle all the same."),
    ];
  return [
    element("h2", "", "Off, loose or open"),
    element(
      "p",
      "paper__warn",
      "The vehicle stays where it is, and nobody presses the pedal, until each of these is closed. This is the record only: look at the vehicle.",
    ),
    table("As the steps were signed", ["State", "What", "Where", "When", "Since step"], rows),
  ];
}

/** The next step with its cautions before it. @param {JobPage} page */
function nextParts({ open, placesNow, signing }) {
  const next = open()[0];
  if (!next) return [element("h2", "", "Next"), element("p", "", "No step of this procedure is open.")];
  const waits = [...new Set(placesNow(next).flatMap((place) => signing().progress.waitsFor(next, place)))];
  const cautions = [...next.box.querySelectorAll(":scope > .caution")]
    .filter((each) => !isOther(each))
    .map((each) => /** @type {HTMLElement} */ (each.cloneNode(true)));
  return [
    element(
      "div",
      "paper__next",
      element("h2", "", "Next"),
      ...cautions,
      element("p", "", element("b", "", next.number), ` ${next.does}${waits.length ? ` Waits for ${waits.join(", ")}.` : ""}`),
    ),
  ];
}

/** @param {JobPage} page */
function openParts({ steps, signing }) {
  const { progress } = signing();
  const applicable = steps.filter(({ box }) => !isOther(box));
  const places = /** @type {Place[]} */ (Object.keys(PLACE_NAMES));
  const rows = places.flatMap((place) => {
    const asked = applicable.filter((step) => placesOf(step, progress.axle).includes(place));
    const open = asked.filter((step) => !progress.isDone(step, place));
    return asked.length
      ? [[PLACE_NAMES[place], `${asked.length - open.length} of ${asked.length}`, open.length ? runs(open, applicable) : "none"]]
      : [];
  });
  return section("Steps", rows, ["Place", "Done or not needed", "Open"]);
}

/** Last results that do not let their step be done, and those beyond a limit that nothing has put right. @param {JobPage} page */
function troubles({ steps, signing }) {
  const { progress } = signing();
  const beyonds = new Set(beyondsOf(progress, steps).map(({ step, place }) => `${step.address} ${place}`));
  return steps
    .filter(({ box }) => !isOther(box))
    .flatMap((step) =>
      placesOf(step, progress.axle).flatMap((place) => {
        const last = progress.lastJudged(step, place);
        const stands = beyonds.has(`${step.address} ${place}`);
        return last?.verdict && !step.asAt && (stands || !progress.isDone(step, place)) ? [line(last, steps)] : [];
      }),
    );
}

/** @param {Entry} entry */
const isRemark = ({ kind, typed }) => kind === "override" || kind === "not-applicable" || Boolean(typed.note);

/** @param {Entry} entry @param {Step[]} steps */
function line(entry, steps) {
  return [stepName(entry, steps), placeName(entry.place), says(entry), clock(entry, ""), entry.by];
}

/** Everybody who signed or recorded something, with the first and the last entry. @param {Entry[]} entries */
export function workers(entries) {
  /** @type {Map<string, {by: string, first: Entry, last: Entry}>} */
  const found = new Map();
  for (const entry of entries.filter(({ kind }) => kind !== "layout" && kind !== "vehicle"))
    found.set(entry.by, { by: entry.by, first: found.get(entry.by)?.first ?? entry, last: entry });
  return [...found.values()];
}

/** @param {string} title @param {string[][]} rows @param {string[]} heads */
function section(title, rows, heads) {
  return rows.length ? [table(title, heads, rows)] : [];
}
