// @ts-check
/**
 * Short steps for those who know the work: reasons, notes and figures fold away, a step at a time, behind «More».
 * Cautions, holds, entries, limits and outcomes always stand; print has the whole text.
 */
import { button } from "../lib/controls.js";
import { signBox } from "./signing.js";

/** @typedef {import("../state/steps.js").Step} Step */

/** What folds; the style sheet hides it. */
const FOLDS = ":scope > :is(.step__why, .step__note, .step__expect:not(.step__limit), .sources, .drawing)";

/** @param {import("../job-page.js").JobPage} page */
export function startDetail({ steps }) {
  let made = false;
  const follow = () => {
    if (made || document.documentElement.dataset.detail !== "short") return;
    made = true;
    for (const step of steps) addMore(step);
  };
  for (const { box } of steps) {
    // What is expected with a figure is a limit.
    const expect = box.querySelector(":scope > .step__expect");
    if (expect && /\d/.test(expect.textContent ?? "")) expect.classList.add("step__limit");
  }
  document.addEventListener("handbook:detail", follow);
  document.addEventListener("handbook:drawn", follow);
}

/** @param {Step} step */
function addMore(step) {
  if (!step.box.querySelector(FOLDS)) return;
  const more = button("step__more", "More", () => {
    const open = step.box.classList.toggle("step--more");
    more.setAttribute("aria-expanded", String(open));
    more.textContent = open ? "Less" : "More";
  });
  more.setAttribute("aria-expanded", "false");
  more.ariaLabel = `More about step ${step.number}`;
  signBox(step).after(more);
}
