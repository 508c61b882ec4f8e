// @ts-check
/** A decision as elements: each side at a glance, what is still to be looked at, part by part, what to get. */

import { ACTIONS, partOf, SIDES } from "../core/decision-case.js";
import { isOther } from "../layout/applies.js";
import { button } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { metaContent } from "../store/handbook-data.js";

/** @typedef {import("../core/decision-case.js").Item} Item */
/** @typedef {import("../core/decision-case.js").Otherwise} Otherwise */
/** @typedef {import("../state/steps.js").Step} Step */
/** @typedef {{item: string, per: string, quantity: number, why: string, kind?: string, amount?: string, note?: string}} Listed */
/**
 * @typedef {object} View
 * @property {Item[]} items
 * @property {Listed[]} list
 * @property {string[]} notes
 * @property {Step[]} steps of the page
 * @property {any} rules
 * @property {(item: string) => boolean} has whether a thing to get was ticked
 * @property {(item: string, on: boolean) => void} tick
 * @property {(own: Otherwise) => void} takeBack
 */

const PARTS = "Parts to get";
const NAMED = 6; // parts named at a glance; more are counted
/** How an action is said and marked; the mark is a shape, in decision.css. @type {Record<string, [mark: string, words: string]>} */
const MARKS = {
  replace: ["replace", "Replace"],
  service: ["service", "Service"],
  "use again": ["again", "Use again"],
  open: ["look", "Look at, or measure again"],
  "measure again": ["wait", "Wait for the cause"],
};

/** @param {string} text */
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** @param {Item} item */
const state = (item) => (item.open ? "open" : item.final);

/** @param {string} name @param {...(string | Node)} more */
function mark(name, ...more) {
  const [kind, words] = MARKS[name];
  return element("p", `action action--${kind}`, element("b", "action__word", words), " ", ...more);
}

/** @param {View} view @returns {HTMLElement[]} */
export function drawDecision(view) {
  return [
    glance(view.items),
    ...openList(view),
    fold("table", "Part by part, with the reasons", table(view)),
    ...partsList(view),
    ...notes(view.notes),
  ];
}

/** @param {string} key @param {string | HTMLElement} summary its words, or the element itself @param {...Node} content */
export function fold(key, summary, ...content) {
  const made = element("details", "decision__fold", typeof summary === "string" ? element("summary", "", summary) : summary, ...content);
  made.dataset.key = key;
  return made;
}

/** @param {Item[]} items */
function glance(items) {
  return element(
    "div",
    "decision__sides",
    ...SIDES.map((side) => {
      const lines = ["replace", "service", "open", "measure again", "use again"].flatMap((name) => {
        const parts = items.filter((item) => item.side === side && state(item) === name);
        if (!parts.length) return [];
        const counted = name === "use again" || (name === "open" && parts.length > NAMED);
        return [
          mark(
            name,
            counted
              ? `${parts.length} ${parts.length === 1 ? "part" : "parts"}`
              : parts.map(({ label, otherwise }) => (otherwise?.stands ? `${label} (decided otherwise)` : label)).join(", "),
          ),
        ];
      });
      return element("div", "decision__side", element("p", "decision__side-name", capital(side)), ...lines);
    }),
  );
}

// ---------------------------------------------------------------- still to be looked at

/** One line a part, with the steps that ask for it. @param {View} view */
function openList(view) {
  const open = view.items.filter((item) => item.open);
  if (!open.length) return [];
  const lines = [...new Set(open.map(({ part }) => part))].map((part) => {
    const here = open.filter((item) => item.part === part);
    // Judged on one side only: the other side is what is missing.
    const missing = here.filter(({ rule }) => rule !== "partner-not-looked-at");
    const shown = missing.length ? missing : here;
    const sides = shown.length === 2 ? "" : `, ${shown[0].side}`;
    const known = shown.filter(({ rule }) => rule !== "not-looked-at" && rule !== "partner-not-looked-at");
    const why = known.length
      ? ` ${[...new Set(known.map(({ reason, how }) => (how ? `${reason} ${capital(how)}.` : reason)))].join(" ")} –`
      : "";
    return element(
      "li",
      known.length ? "decision__known" : "",
      element("b", "", capital(here[0].label)),
      sides,
      known.length ? ":" : ": not looked at,",
      why,
      " ",
      ...askedAt(shown, view),
    );
  });
  const heading = element(
    "p",
    "decision__heading",
    `Still to be looked at or measured: ${lines.length} ${lines.length === 1 ? "part" : "parts"}`,
  );
  return [heading, element("ul", "decision__open", ...lines)];
}

/** The steps that ask for a part: where it was read, else where it is judged. @param {Item[]} items @param {View} view @returns {(string | Node)[]} */
function askedAt(items, { steps, rules }) {
  const { part } = items[0];
  const read = items.flatMap((item) => item.steps);
  const calculators = partOf(rules, part)?.readings ?? [];
  const asking = (/** @type {Step} */ { box }) =>
    !isOther(box) &&
    (box.querySelector(`.findings[data-findings="${CSS.escape(part)}"]`) ||
      calculators.some((/** @type {string} */ name) => box.querySelector(`form.calculator[data-calculator="${CSS.escape(name)}"]`)));
  const addresses = [...new Set(read.length ? read : steps.filter(asking).map(({ address }) => address))].slice(0, 3);
  return addresses.length ? ["see ", ...links(addresses, steps)] : ["no step of this page asks for it"];
}

/** Steps as links: by number on this page, by address on others. @param {string[]} addresses @param {Step[]} steps @returns {(string | Node)[]} */
export function links(addresses, steps) {
  return addresses.flatMap((address, index) => {
    const own = steps.find((step) => step.address === address);
    const link = element("a", "step-link", own ? own.number : address);
    const [procedure, id] = address.split("/");
    link.href = own ? `#${own.box.id}` : `${metaContent("root") || "."}/procedures/${procedure}.html#${procedure}.${id}`;
    if (own) link.ariaLabel = `step ${own.number}: ${own.does}`;
    return index ? [", ", link] : [link];
  });
}

// ---------------------------------------------------------------- part by part

/** @param {View} view */
function table(view) {
  const gravity = (/** @type {Item[]} */ items) => Math.min(...items.map((item) => ACTIONS.indexOf(item.final)));
  const rows = [...new Set(view.items.map(({ part }) => part))].map((part) => view.items.filter((item) => item.part === part));
  rows.sort((a, b) => gravity(a) - gravity(b));
  return element(
    "table",
    "decision__table",
    element("thead", "", element("tr", "", ...["Part", "Left", "Right"].map((text) => head(text, "col")))),
    element("tbody", "", ...rows.map((items) => row(items, view))),
  );
}

/** @param {string} text @param {string} scope */
function head(text, scope) {
  const made = element("th", "", text);
  made.scope = scope;
  return made;
}

/** One part; what both sides have in common is said once. @param {Item[]} items @param {View} view */
function row(items, view) {
  const said = items.map(({ open, final, reason, how, otherwise, steps }) =>
    JSON.stringify([open, final, reason, how, steps, otherwise?.entry.id]),
  );
  const alike = said.length === 2 && said[0] === said[1];
  const cells = (alike ? [items[0]] : items).map((item) => {
    const cell = element("td", "", ...cellOf(item, view));
    cell.dataset.side = alike ? "Left and right" : capital(item.side);
    if (alike) cell.colSpan = 2;
    return cell;
  });
  return element("tr", "", head(capital(items[0].label), "row"), ...cells);
}

/** @param {Item} item @param {View} view */
function cellOf(item, { steps, takeBack }) {
  const { otherwise, reason, how, source } = item;
  const from = item.steps.length ? [" From ", ...links(item.steps, steps), "."] : [];
  const worked = otherwise?.stands ? ["Worked out: ", item.action, ". "] : [];
  const nodes = [mark(state(item), otherwise?.stands ? "" : how), element("p", "decision__reason", ...worked, reason)];
  if (source || from.length) nodes.push(element("p", "decision__source", source ? `Source: ${source}.` : "", ...from));
  if (item.second_look === "free") nodes.push(element("p", "decision__source", "Worked on, and tried free since."));
  if (otherwise) {
    const words = otherwise.stands ? "decided otherwise" : "other findings have come in since; this no longer counts: decided otherwise";
    const back = button("undo", "Take back", () => takeBack(otherwise));
    back.ariaLabel = `Take back: ${item.side} ${item.label}, ${otherwise.action}`;
    nodes.push(element("p", "decision__own", `${otherwise.by || "Nobody named"}, ${words}: ${otherwise.action}. ${otherwise.note} `, back));
  }
  return nodes;
}

// ---------------------------------------------------------------- what to get

/** @param {View} view */
function partsList({ list, has, tick }) {
  const groups = [
    [PARTS, list.filter(({ kind }) => kind !== "supply")],
    ["To put out for the work", list.filter(({ kind }) => kind === "supply")],
  ];
  return /** @type {[string, Listed[]][]} */ (groups).flatMap(([title, listed]) => {
    if (!listed.length) return title === PARTS ? [element("p", "decision__heading", `${PARTS}: none so far`)] : [];
    const got = () => `${title}: ${listed.filter(({ item }) => has(item)).length} of ${listed.length} here`;
    const isSupply = title !== PARTS;
    const heading = element(isSupply ? "summary" : "p", isSupply ? "" : "decision__heading", got());
    const things = element(
      "ul",
      "decision__parts",
      ...listed.map((entry) => {
        const box = element("input");
        Object.assign(box, { type: "checkbox", checked: has(entry.item) });
        box.addEventListener("change", () => {
          tick(entry.item, box.checked);
          heading.textContent = got();
        });
        const amount = `${entry.quantity} × `;
        const more = [entry.per && `by the ${entry.per}`, entry.amount].filter(Boolean).join(", ");
        return element(
          "li",
          "",
          element("label", "", box, element("span", "", amount, element("b", "", entry.item), more ? `, ${more}` : "")),
          element("p", "decision__reason", capital([entry.why, entry.note].filter(Boolean).join(" "))),
        );
      }),
    );
    return isSupply ? [fold("supplies", heading, things)] : [heading, things];
  });
}

/** @param {string[]} texts */
function notes(texts) {
  return texts.length
    ? [element("p", "decision__heading", "Notes"), element("ul", "decision__notes", ...texts.map((text) => element("li", "", text)))]
    : [];
}
