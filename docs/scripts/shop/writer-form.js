// @ts-check
/** The form of a procedure: plain data in, changed in place as the writer types. What it does not show stays as it is. */

import { button, labeled } from "../lib/controls.js";
import { element } from "../lib/elements.js";

/** @typedef {Record<string, string[][]>} Choices id and label of what can be named, by kind */
/** @typedef {() => void} Changed */

const PLACES = [
  ["side", "each side: one signature a side"],
  ["axle", "the axle: one signature"],
  ["lift", "the lift: one signature each time an axle is raised"],
  ["vehicle", "the vehicle: one signature"],
];
const WANTED = [
  ["", "nothing: it is only signed"],
  ["text", "a few words"],
  ["findings", "what is found on a part"],
  ["calculator", "a reading, judged by a calculator"],
];

/**
 * @param {any} data of the procedure, changed in place @param {Choices} choices @param {Changed} changed
 * @returns {HTMLElement}
 */
export function drawProcedureForm(data, choices, changed) {
  const form = element("div", "writer__form");
  const draw = () => {
    form.replaceChildren(
      line("Title", data, "title", changed),
      area("What it is for, in one sentence", data, "purpose", changed),
      area("Done when", data, "end_state", changed),
      line("Minutes, for one who has done it before", (data.people ??= { skill: "technician trained on brakes" }), "minutes", changed),
      lines("What must be so before the first step, a line each", data, "conditions", changed),
      many("Tools", data, "tools", choices.tools, changed),
      many("Supplies", data, "supplies", choices.supplies, changed),
      many("Safety messages for the whole page", data, "cautions", choices.cautions, changed),
      element("h3", "", "Steps, one action each"),
      element(
        "ol",
        "writer__steps",
        ...data.steps.map((/** @type {any} */ _, /** @type {number} */ index) => step(data.steps, index, choices, changed, redraw)),
      ),
      addStep(data.steps, choices, redraw),
    );
  };
  const redraw = () => {
    draw();
    changed();
  };
  draw();
  return form;
}

/** @param {any[]} steps @param {number} index @param {Choices} choices @param {Changed} changed @param {Changed} redraw */
function step(steps, index, choices, changed, redraw) {
  const it = steps[index];
  const acts = element(
    "div",
    "writer__acts",
    ...(index
      ? [
          button("", "Up", () => {
            steps.splice(index - 1, 2, it, steps[index - 1]);
            redraw();
          }),
        ]
      : []),
    ...(index < steps.length - 1
      ? [
          button("", "Down", () => {
            steps.splice(index, 2, steps[index + 1], it);
            redraw();
          }),
        ]
      : []),
    ...(steps.length > 1
      ? [
          button("", "Take out", () => {
            steps.splice(index, 1);
            redraw();
          }),
        ]
      : []),
  );
  for (const act of acts.querySelectorAll("button")) act.ariaLabel = `${act.textContent}: step ${index + 1}`;
  if (it.use) {
    const title = choices.procedures.find(([id]) => id === it.use)?.[1] ?? it.use;
    return element("li", "writer__step", element("p", "", "All steps of: ", element("b", "", title)), acts);
  }
  return element(
    "li",
    "writer__step",
    area("Do", it, "do", changed),
    area("Why", it, "why", changed),
    area("What is true when it has worked", it, "expect", changed),
    select("Signed for", it, "for", PLACES, changed),
    wanted(it, choices, changed, redraw),
    many("Safety messages before this step", it, "cautions", choices.cautions, changed, true),
    tick("Stands on the customer’s page", it, "record", changed),
    acts,
  );
}

/** What is written down at a step. @param {any} it @param {Choices} choices @param {Changed} changed @param {Changed} redraw */
function wanted(it, choices, changed, redraw) {
  const kind = WANTED.map(([key]) => key).find((key) => key && it.enter?.[key] !== undefined) ?? "";
  if (it.enter && !kind) return element("p", "", "What is written down at this step is shown under Text.");
  const chooser = select(
    "Written down",
    { kind },
    "kind",
    WANTED,
    () => {},
    (next) => {
      if (!next) delete it.enter;
      else
        it.enter =
          next === "text" ? { text: "" } : next === "findings" ? { findings: choices.findings[0][0] } : calculation(choices.calculators[0]);
      redraw();
    },
  );
  if (kind === "text") return element("div", "", chooser, line("What is asked", it.enter, "text", changed));
  if (kind === "findings") return element("div", "", chooser, select("Part", it.enter, "findings", choices.findings, changed));
  if (kind === "calculator") {
    return element(
      "div",
      "",
      chooser,
      select(
        "Calculator",
        { name: it.enter.calculator },
        "name",
        choices.calculators,
        () => {},
        (name) => {
          it.enter = calculation(choices.calculators.find(([id]) => id === name) ?? [name]);
          changed();
        },
      ),
    );
  }
  return chooser;
}

/** Every entry that a calculator needs is asked for at the step. @param {string[]} calculator id, title, names of its entries */
function calculation([calculator, , ...needed]) {
  return { calculator, fields: Object.fromEntries(needed.map((name) => [name, "ask"])) };
}

/** @param {any[]} steps @param {Choices} choices @param {Changed} redraw */
function addStep(steps, choices, redraw) {
  const part = element("select");
  part.ariaLabel = "A part of the handbook";
  part.append(new Option("choose a part of the handbook", ""), ...choices.procedures.map(([id, title]) => new Option(title, id)));
  part.addEventListener("change", () => {
    if (!part.value) return;
    steps.push({ use: part.value });
    redraw();
  });
  return element(
    "div",
    "writer__acts",
    button("", "Add a step", () => {
      const taken = new Set(steps.map(({ id }) => id));
      let number = steps.length + 1;
      while (taken.has(`step-${number}`)) number += 1;
      steps.push({ id: `step-${number}`, do: "" });
      redraw();
    }),
    element("span", "", " or all steps of "),
    part,
  );
}

// ---------------------------------------------------------------- fields

let ids = 0;

/** `key`: the entry, by which a problem finds its place. @param {string} caption @param {HTMLElement} control */
function field(caption, control, key = "") {
  control.dataset.entry = key;
  control.id = `writer-field-${++ids}`;
  return labeled(caption, control);
}

/** Empty text takes the entry away, so that the page says what is missing. @param {any} of @param {string} key @param {string} text */
function put(of, key, text) {
  if (text.trim()) of[key] = text.trim();
  else delete of[key];
}

/** @param {string} caption @param {any} of @param {string} key @param {Changed} changed */
function line(caption, of, key, changed) {
  const input = element("input");
  Object.assign(input, { type: "text", value: of[key] ?? "", autocomplete: "off" });
  input.addEventListener("input", () => {
    put(of, key, input.value);
    changed();
  });
  return field(caption, input, key);
}

/** @param {string} caption @param {any} of @param {string} key @param {Changed} changed */
function area(caption, of, key, changed) {
  const input = element("textarea");
  Object.assign(input, { value: of[key] ?? "", rows: 2, spellcheck: true });
  input.addEventListener("input", () => {
    put(of, key, input.value.replace(/\s*\n\s*/g, " "));
    changed();
  });
  return field(caption, input, key);
}

/** @param {string} caption @param {any} of @param {string} key @param {Changed} changed */
function lines(caption, of, key, changed) {
  const input = element("textarea");
  Object.assign(input, { value: list(of[key]).join("\n"), rows: 3, spellcheck: true });
  input.addEventListener("input", () => {
    const all = input.value
      .split("\n")
      .map((text) => text.trim())
      .filter(Boolean);
    of[key] = all.length ? all : "none";
    changed();
  });
  return field(caption, input, key);
}

/** @param {string} caption @param {any} of @param {string} key @param {string[][]} options @param {Changed} changed @param {(value: string) => void} [choose] */
function select(
  caption,
  of,
  key,
  options,
  changed,
  choose = (value) => {
    of[key] = value;
    changed();
  },
) {
  const control = element("select");
  control.append(...options.map(([value, text]) => new Option(text, value)));
  control.value = of[key] ?? options[0][0];
  control.addEventListener("change", () => choose(control.value));
  return field(caption, control, key === "kind" ? "enter" : key === "name" ? "calculator" : key);
}

/** @param {string} caption @param {any} of @param {string} key @param {Changed} changed */
function tick(caption, of, key, changed) {
  const box = element("input");
  Object.assign(box, { type: "checkbox", checked: of[key] === "true" });
  box.addEventListener("change", () => {
    put(of, key, box.checked ? "true" : "");
    changed();
  });
  return element("label", "writer__tick", box, ` ${caption}`);
}

/** Several of a list, folded. @param {string} caption @param {any} of @param {string} key @param {string[][]} options @param {Changed} changed @param {boolean} [optional] */
function many(caption, of, key, options, changed, optional = false) {
  const chosen = new Set(list(of[key]));
  const summary = element("summary", "");
  summary.dataset.entry = key;
  const count = () => {
    summary.textContent = `${caption}: ${
      chosen.size
        ? options
            .filter(([id]) => chosen.has(id))
            .map(([, text]) => text)
            .join("; ")
        : "none"
    }`;
  };
  count();
  const boxes = options.map(([id, text]) => {
    const box = element("input");
    Object.assign(box, { type: "checkbox", checked: chosen.has(id) });
    box.addEventListener("change", () => {
      if (box.checked) chosen.add(id);
      else chosen.delete(id);
      if (chosen.size) of[key] = [...chosen];
      else if (optional) delete of[key];
      else of[key] = "none";
      count();
      changed();
    });
    return element("li", "", element("label", "", box, ` ${text}`));
  });
  return element("details", "writer__many", summary, element("ul", "", ...boxes));
}

/** @param {any} raw @returns {string[]} */
function list(raw) {
  return Array.isArray(raw) ? raw.map(String) : raw === undefined || raw === "none" ? [] : [String(raw)];
}
