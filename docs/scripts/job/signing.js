// @ts-check
/** What stands under a step: what was recorded, one button a place to sign it, and the ways round it with a reason. */

import { now } from "../core/entries.js";
import { button } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { clock, outcomeWords, says } from "../state/entry-text.js";
import { isChanged, PLACE_NAMES, placesOf } from "../state/steps.js";
import { isUnderWay, isUnsaved, recordAt, technicianName, withdraw } from "./journal.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("../state/steps.js").Step} Step */
/** @typedef {import("../state/steps.js").Progress} Progress */
/** @typedef {import("../state/branches.js").Skip} Skip */
/**
 * @typedef {object} Signing
 * @property {Progress} progress
 * @property {Step[]} steps
 * @property {boolean} job whether one is open
 * @property {() => void} needJob asks for one
 * @property {(step: Step) => void} signed called after an entry of the step was kept
 * @property {(without: Step) => [string, import("../state/open-work.js").Left[]][]} lacking what keeps the page's job from being complete, by heading, without that step itself
 */

const REST_AFTER_DRAWING = 800; // ms in which a second, wet touch does nothing
const SECOND_LOOK_AFTER = 60_000; // ms until one's own look is a second one
/** What was drawn last for a step, and when. @type {WeakMap<HTMLElement, {state: string, at: number}>} */
const drawn = new WeakMap();

/** @param {Step} step @param {Signing} signing */
export function drawStep(step, signing) {
  const { progress } = signing;
  if (step.completes && step.box.querySelector(":scope > .step__lacking")) refuses(step, signing);
  const places = placesOf(step, progress.axle);
  const waits = places.map((place) => progress.waitsFor(step, place));
  const done = places.length > 0 && progress.isAllDone(step, places);
  const skips = places.map((place) => (progress.isWorked(step, place, true) ? null : progress.skippedBy(step, place)));
  const notNeeded = progress.isNotApplicable(step) || (places.length > 0 && skips.every(Boolean));
  step.box.classList.toggle("step--done", done && !notNeeded);
  step.box.classList.toggle("step--not-applicable", notNeeded);
  step.box.classList.toggle("step--held", !done && waits.length > 0 && waits.every((each) => each.length > 0));
  const entries = places.map((place) => progress.at(step.address, place));
  const looks = places.map((place) => progress.waitsForLook(step, place));
  const state = JSON.stringify([
    places,
    waits,
    signing.job,
    places.map((place) => [progress.isDone(step, place), isUnderWay(step.address, place)]),
    skips.map((skip) => skip && [skip.by.address, skip.code]),
    looks.map((look) => look && [look.id, technicianName()]),
    places.map((place) => progress.loweredSince(step, place)?.entry.id),
    entries.flatMap((each, index) => each.map((entry) => [entry.id, isUnsaved(entry), progress.isRepeated(entry, places[index])])),
  ]);
  if (drawn.get(step.box)?.state === state) return;
  drawn.set(step.box, { state, at: Date.now() });
  drawRecorded(step, places, signing);
  drawSkips(step, places, skips);
  drawOutcomes(step, places, progress);
  drawSign(step, places, waits, signing);
}

/** Why a place need not be worked. @param {Step} step @param {Place[]} places @param {(Skip | null)[]} skips */
function drawSkips(step, places, skips) {
  for (const old of step.box.querySelectorAll(":scope > .step__skip")) old.remove();
  signBox(step).before(
    ...places.flatMap((place, index) => {
      const skip = skips[index];
      return skip ? [element("p", "step__skip", element("b", "", PLACE_NAMES[place]), ` not needed: ${skipReason(skip)}.`)] : [];
    }),
  );
}

/** @param {Skip} skip */
export function skipReason({ by, code, place }) {
  return `${by.number} ${PLACE_NAMES[place]} came out «${outcomeWords(by, code)}»`;
}

// ---------------------------------------------------------------- what was recorded

/** @param {Step} step @param {Place[]} places @param {Signing} signing */
function drawRecorded(step, places, signing) {
  for (const old of step.box.querySelectorAll(":scope > .step__value")) old.remove();
  const lines = places.flatMap((place) => {
    const entries = signing.progress.at(step.address, place);
    return entries.map((entry, number) => recordedLine(step, place, entry, number === entries.length - 1, signing));
  });
  signBox(step).before(...lines);
}

/** @param {Step} step @param {Place} place @param {Entry} entry @param {boolean} last @param {Signing} signing */
function recordedLine(step, place, entry, last, signing) {
  const parts = [says(entry), clock(entry, now().slice(0, 10)), entry.by].filter(Boolean).join(", ");
  const line = element("p", "step__value", element("b", "", PLACE_NAMES[place]), ` ${parts}`);
  line.dataset.place = place;
  if (isUnsaved(entry)) line.append(element("span", "step__unsaved", " not saved on this machine"));
  if (entry.kind === "not-applicable" && step.mustBeWorked)
    line.append(element("span", "step__changed", " does not settle this step: do it, or sign it with a reason"));
  if (isChanged(step, entry)) line.append(element("span", "step__changed", " changed since you did it"));
  if (signing.progress.isRepeated(entry, place)) line.append(element("span", "step__changed", " before it was to be done again"));
  if (last) {
    const undo = button("undo", `Undo ${PLACE_NAMES[place]}`, () => {
      if (Date.now() - (drawn.get(step.box)?.at ?? 0) < REST_AFTER_DRAWING) return;
      takeBack(step, entry);
    });
    undo.ariaLabel = `Undo ${PLACE_NAMES[place]}, step ${step.number}`;
    line.append(" ", undo);
  }
  return line;
}

/** Withdraw, and put what was typed back into its fields. @param {Step} step @param {Entry} entry */
async function takeBack(step, entry) {
  await withdraw(entry);
  const typed = /** @type {Record<string, string>} */ (entry.typed.given ?? entry.typed);
  for (const [name, text] of Object.entries(typed)) {
    const control = /** @type {HTMLInputElement | null} */ (
      step.box.querySelector(`[name="${CSS.escape(name)}"]:not([type=radio], [type=checkbox])`)
    );
    if (!control || control.value || typeof text !== "string") continue;
    control.value = text;
    control.dispatchEvent(new Event("input", { bubbles: true }));
  }
  /** @type {HTMLElement | null} */ (step.box.querySelector(".step__sign button, .record button, input, textarea"))?.focus({
    preventScroll: true,
  });
}

// ---------------------------------------------------------------- outcomes

/** Say what follows from the last entry of a place. @param {Step} step @param {Place[]} places @param {Progress} progress */
function drawOutcomes(step, places, progress) {
  for (const old of step.box.querySelectorAll(":scope > .step__outcome")) old.remove();
  /** @type {Set<string>} */
  const chosen = new Set();
  const lines = places.flatMap((place) => {
    const last = progress
      .at(step.address, place)
      .filter((entry) => entry.verdict)
      .at(-1);
    const code = last?.verdict?.code ?? "";
    if (!last || !Object.hasOwn(step.outcomes, code) || (progress.isDone(step, place) && !step.outcomes[code].includes("/"))) return [];
    chosen.add(code);
    return [outcomeLine(step, place, last)];
  });
  markOutcomes(step, chosen);
  signBox(step).before(...lines);
}

/** What the page says about this outcome, said again with the place. @param {Step} step @param {Place} place @param {Entry} entry */
function outcomeLine(step, place, entry) {
  const text = entry.verdict?.text ?? "";
  const written = step.box.querySelector(`.step__if-not > [data-outcome="${CSS.escape(entry.verdict?.code ?? "")}"]`)?.cloneNode(true);
  const line = element("p", "step__outcome", element("b", "", `${PLACE_NAMES[place]}: `));
  if (text) line.append(/[.!?]$/.test(text) ? `${text} ` : `${text}. `);
  if (written instanceof HTMLElement) {
    written.querySelector(":scope > b")?.remove();
    written.querySelector(":scope > .record")?.remove();
    written.querySelector(":scope > a")?.classList.add("step__go");
    line.append(...written.childNodes);
  }
  return line;
}

/** @param {Step} step @param {Set<string>} codes */
export function markOutcomes(step, codes) {
  for (const line of /** @type {NodeListOf<HTMLElement>} */ (step.box.querySelectorAll("[data-outcome]"))) {
    line.classList.toggle("is-chosen", codes.has(line.dataset.outcome ?? ""));
  }
}

// ---------------------------------------------------------------- signing

/** @param {Step} step @returns {HTMLElement} */
export function signBox(step) {
  const found = /** @type {HTMLElement | null} */ (step.box.querySelector(":scope > .step__sign"));
  if (found) return found;
  const made = element("div", "step__sign");
  step.box.append(made);
  return made;
}

/** @param {Step} step @param {Place[]} places @param {string[][]} waits @param {Signing} signing */
function drawSign(step, places, waits, signing) {
  const box = signBox(step);
  const had = box.contains(document.activeElement);
  /** @type {HTMLElement[]} */
  const content = places.flatMap(
    /** @returns {HTMLElement[]} */ (place, index) => {
      const look = signing.progress.waitsForLook(step, place);
      if (look) return [lookButton(step, place, look, signing)];
      if (step.needs.length || step.asAt || signing.progress.isDone(step, place)) return [];
      return [signButton(step, place, waits[index], signing)];
    },
  );
  const toSign = places.filter((place, index) => !waits[index].length && !signing.progress.isDone(step, place));
  if (step.per === "lift" && !step.needs.length && !step.asAt && toSign.length) content.push(...bothAxles(step, toSign, signing));
  for (const place of places) content.push(...newLift(step, place, signing));
  if (!places.length) content.push(element("p", "step__wait", "Choose the axle above to sign this step."));
  for (const [index, place] of places.entries()) {
    if (waits[index].length) content.push(element("p", "step__wait", `${PLACE_NAMES[place]} waits for ${waits[index].join(", ")}.`));
  }
  box.replaceChildren(...content);
  box.hidden = !content.length;
  if (had) /** @type {HTMLElement | null} */ (box.querySelector("button:enabled"))?.focus({ preventScroll: true });
}

/** @param {Step} step @param {Place} place @param {string[]} waits @param {Signing} signing */
function signButton(step, place, waits, signing) {
  const name = PLACE_NAMES[place];
  const underWay = isUnderWay(step.address, place);
  const made = button("sign", underWay ? `${name} keeping` : place === "vehicle" ? "Sign" : `Sign ${name}`, async () => {
    if (!signing.job) return signing.needJob();
    if (isUnderWay(step.address, place)) return;
    if (step.completes && refuses(step, signing)) return;
    await recordAt(step, place, { kind: "done" });
    signing.signed(step);
  });
  made.dataset.place = place;
  made.ariaLabel = `${made.textContent}, step ${step.number}: ${step.does}`;
  made.disabled = waits.length > 0;
  return made;
}

const BOTH = /** @type {Place[]} */ (["front", "rear"]);

/** A lift of all four wheels is signed for both axles at a touch. @param {Step} step @param {Place[]} toSign @param {Signing} signing @returns {HTMLElement[]} */
function bothAxles(step, toSign, signing) {
  const places = BOTH.filter(
    (place) =>
      toSign.includes(place) ||
      (!placesOf(step, signing.progress.axle).includes(place) && !signing.progress.at(step.address, place).length),
  );
  if (places.length < 2) return [];
  const made = button("sign sign--both", "Sign both axles: all four wheels raised", async () => {
    if (!signing.job) return signing.needJob();
    if (places.some((place) => isUnderWay(step.address, place))) return;
    for (const place of places) await recordAt(step, place, { kind: "done" });
    signing.signed(step);
  });
  made.ariaLabel = `${made.textContent}, step ${step.number}`;
  return [made];
}

/** Lowering ended the lift: what was signed stays, and more work on stands needs a new lift. @param {Step} step @param {Place} place @param {Signing} signing @returns {HTMLElement[]} */
function newLift(step, place, signing) {
  const lowered = signing.progress.loweredSince(step, place);
  if (!lowered) return [];
  const line = element(
    "p",
    "step__wait",
    `${PLACE_NAMES[place]}: lowered since, ${lowered.by.number}, ${clock(lowered.entry, now().slice(0, 10))}. More work on stands needs a new lift. `,
  );
  if (step.needs.length || step.asAt) return [line];
  const made = button("", `Sign a new lift, ${PLACE_NAMES[place]}`, async () => {
    if (isUnderWay(step.address, place)) return;
    await recordAt(step, place, { kind: "done" });
    signing.signed(step);
  });
  made.ariaLabel = `${made.textContent}, step ${step.number}`;
  line.append(made);
  return [line];
}

const MOST_LACKING = 12; // lines

/** The job is not signed as complete while something is open: what is lacking, by number and name. @param {Step} step @param {Signing} signing @returns {boolean} */
function refuses(step, signing) {
  const groups = signing.lacking(step);
  for (const old of step.box.querySelectorAll(":scope > .step__lacking")) old.remove();
  if (!groups.length) return false;
  const all = groups.flatMap(([title, items]) => items.map((item) => ({ title, ...item })));
  const lines = all.slice(0, MOST_LACKING).map(({ title, step: { number, box }, text }) => {
    const link = element("a", "", `${number} ${text}`);
    link.href = `#${box.id}`;
    return element("li", "", `${title}: `, link);
  });
  const said = element(
    "div",
    "step__lacking",
    element("p", "step__problem", `Not signed: ${all.length === 1 ? "1 thing is" : `${all.length} things are`} still open.`),
    element("ul", "", ...lines),
    ...(all.length > MOST_LACKING
      ? [
          element(
            "p",
            "",
            `and ${all.length - MOST_LACKING} more, listed under `,
            Object.assign(element("a", "", "Complete"), { href: "#complete" }),
          ),
        ]
      : []),
  );
  said.setAttribute("role", "status");
  signBox(step).after(said);
  return true;
}

/**
 * A second look counts when another name takes it, or the same one later, which the entry then says.
 * @param {Step} step @param {Place} place @param {Entry} entry @param {Signing} signing
 */
function lookButton(step, place, entry, signing) {
  const name = PLACE_NAMES[place];
  const alone = entry.by === technicianName();
  const made = button("sign", `Looked at again, ${name}`, async () => {
    const wait = SECOND_LOOK_AFTER - (Date.now() - Date.parse(entry.time));
    if (alone && wait > 0)
      return void (line.textContent = `Alone, look again in ${Math.ceil(wait / 1000)} s, after something else; or another person takes a name under «Job» and looks now.`);
    await recordAt(step, place, { kind: "verified", typed: { verifies: entry.id, look: alone ? "alone, later" : "second person" } });
    signing.signed(step);
  });
  made.dataset.place = place;
  made.ariaLabel = `${made.textContent}, step ${step.number}`;
  const line = element(
    "p",
    "step__wait",
    alone
      ? "Waits for a second look: by another person, or by you in a minute."
      : `Waits for a look by another person than ${entry.by || "the one who signed"}.`,
  );
  line.setAttribute("role", "status");
  return element("div", "step__look", made, line);
}
