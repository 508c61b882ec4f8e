// @ts-check
/** The row of buttons under a form: one a place, a single tap records. */
import { button } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { PLACE_NAMES, placesOf } from "../state/steps.js";
import { recordAt } from "./journal.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("../state/steps.js").Step} Step */
/** @typedef {import("./signing.js").Signing} Signing */
/** @typedef {Partial<Entry> & {kind: string}} Given */
/** @typedef {{step: Step, signing: () => Signing}} Context */

/**
 * A row of buttons, one a place.
 * @param {Context} context
 * @param {(place: string) => string} caption
 * @param {(place: Place) => Given | string | Promise<Given | string>} make the entry, or what is missing in one line
 * @param {() => void} kept
 */
export function recordRow({ step, signing }, caption, make, kept) {
  const line = element("p", "step__problem");
  line.setAttribute("role", "status");
  const row = element("div", "record__row");
  let busy = false;
  /** @param {Place} place */
  const keep = async (place) => {
    if (busy) return;
    if (!signing().job) return signing().needJob();
    busy = true;
    const given = await make(place);
    line.textContent = typeof given === "string" ? given : await recordAt(step, place, given);
    busy = false;
    if (line.textContent) return;
    kept();
    signing().signed(step);
  };
  let drawn = "";
  const draw = () => {
    const { progress } = signing();
    const places = placesOf(step, progress.axle);
    const waits = places.map((place) => progress.waitsFor(step, place).length > 0);
    if (drawn === `${places} ${waits}`) return;
    drawn = `${places} ${waits}`;
    row.replaceChildren(
      ...places.map((place, index) => {
        const made = button("sign", caption(PLACE_NAMES[place]), () => keep(place));
        made.dataset.place = place;
        made.ariaLabel = `${made.textContent}, step ${step.number}`;
        made.disabled = waits[index];
        return made;
      }),
    );
  };
  draw();
  document.addEventListener("handbook:drawn", draw);
  return element("div", "record", row, line);
}

/** @param {Element} box @param {string} selector @returns {HTMLInputElement[]} */
export function inputs(box, selector) {
  return Array.from(box.querySelectorAll(selector));
}

/** @param {HTMLInputElement | HTMLTextAreaElement} control */
export function empty(control) {
  control.value = "";
  control.dispatchEvent(new Event("input", { bubbles: true }));
}
