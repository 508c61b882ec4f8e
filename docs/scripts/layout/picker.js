// @ts-check
/** The layout picker's controls: one group of buttons an axis, the vehicle sheet, and the count of what is hidden. */

import { inWords } from "../core/when.js";
import { button } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { label, metaContent } from "../store/handbook-data.js";

/** @typedef {import("../store/handbook-data.js").Axis} Axis */
/** @typedef {import("../store/handbook-data.js").Vehicle} Vehicle */
/** @typedef {import("../core/when.js").Layout} Layout */

/**
 * One question with its answers. A tap on the chosen one takes it back.
 * @param {Axis} axis
 * @param {string | undefined} chosen
 * @param {(value: string) => void} choose
 */
export function axisGroup(axis, chosen, choose) {
  const group = element("fieldset", "axis");
  group.dataset.axis = axis.id;
  group.append(element("legend", "axis__label", element("b", "", axis.label), " ", element("span", "axis__question", axis.question)));
  for (const value of axis.values) {
    const made = button("axis__value", "", () => choose(value.id));
    made.dataset.value = value.id;
    made.setAttribute("aria-pressed", String(value.id === chosen));
    if (value.drawing) made.append(drawing(value.drawing));
    made.append(element("b", "axis__name", value.label), element("span", "axis__look", value.look));
    group.append(made);
  }
  return group;
}

/** Drawings made so far; the picker is drawn anew at every answer, and what has been loaded stays in place. @type {Map<string, HTMLImageElement>} */
const drawings = new Map();

/** Loads a drawing when it nears the view, so that a page opens without those further down. */
const nearing = new IntersectionObserver(
  (seen) => {
    for (const { isIntersecting, target } of seen) {
      if (!isIntersecting || !(target instanceof HTMLImageElement)) continue;
      target.src = target.dataset.src ?? "";
      nearing.unobserve(target);
    }
  },
  { rootMargin: "100px" },
);

/** @param {string} name */
function drawing(name) {
  const image = drawings.get(name) ?? element("img", "axis__drawing");
  if (drawings.has(name)) return image;
  drawings.set(name, image);
  image.alt = "";
  image.addEventListener("error", () => image.remove());
  image.dataset.src = `${metaContent("root") || "."}/drawings/${name}.svg`;
  nearing.observe(image);
  return image;
}

/**
 * @param {Vehicle[]} sheets
 * @param {string} chosen
 * @param {(id: string) => void} choose
 */
export function sheetChooser(sheets, chosen, choose) {
  const box = element("div", "field vehicle-sheet");
  const caption = element("label", "", "Vehicle sheet");
  caption.htmlFor = "vehicle-sheet";
  const select = element("select");
  select.id = "vehicle-sheet";
  select.append(new Option("none: answer the questions", ""));
  for (const { id, name, invented } of sheets)
    select.append(new Option(invented && !/invented/i.test(name) ? `${name} (invented)` : name, id));
  select.value = chosen;
  select.addEventListener("change", () => choose(select.value));
  box.append(caption, select);
  return box;
}

/**
 * The count of steps of other layouts, with the list of them.
 * @param {import("./applies.js").Shown} shown
 * @param {boolean} showAll
 * @param {boolean} listed whether the list stands open
 * @param {() => void} toggle
 * @returns {HTMLElement[]}
 */
export function hiddenCount({ hidden, unsure }, showAll, listed, toggle) {
  const open = unsure.length
    ? [element("p", "other-steps__unsure", `${steps(unsure.length)} marked «applies if»: answer what is open above.`)]
    : [];
  if (!hidden.length) return open;
  const list = element("ul", "other-steps__list", ...hidden.map(hiddenLine));
  const count = `${steps(hidden.length)} of other layouts ${showAll ? "shown, marked" : "hidden"}`;
  const details = element("details", "", element("summary", "", count), list);
  details.open = listed;
  return [...open, details, button("other-steps__toggle", showAll ? "Hide them" : "Show them", toggle)];
}

/** @param {HTMLElement} step */
function hiddenLine(step) {
  const text = step.querySelector(".step__do")?.textContent?.trim().replace(/\s+/g, " ") ?? step.id;
  const when = JSON.parse(step.dataset.when ?? /** @type {HTMLElement} */ (step.closest("[data-when]"))?.dataset.when ?? "[]");
  return element("li", "", `${text} (applies if ${inWords(when, label)})`);
}

/** @param {number} count */
function steps(count) {
  return count === 1 ? "1 step" : `${count} steps`;
}

/** The layout in a few words. @param {Layout} layout @param {Axis[]} asked */
export function summaryLine(layout, asked) {
  // «none» says nothing without what there is none of.
  const words = (/** @type {Axis} */ axis, /** @type {string} */ text) => (/^(none|yes)\b/i.test(text) ? `${axis.label}: ${text}` : text);
  const answers = asked.filter((axis) => axis.id in layout).map((axis) => words(axis, label(axis.id, layout[axis.id])));
  const open = asked.length - answers.length;
  const rest = open ? `${open} of ${asked.length} not answered` : "all answered";
  return `Layout: ${[...answers, rest].join(" · ")}`;
}
