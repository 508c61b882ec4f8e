// @ts-check
/**
 * The matcher of `when:`, the twin of build_tools/content/when.py; both pass tests/content/when.json.
 *
 * The build writes the normal form: a list of alternatives, each a mapping of an axis to its accepted values, and
 * `not` to a normal form. `[{}]` holds always, `[]` never.
 */

/** @typedef {{[axis: string]: string[] | Condition}} Alternative */
/** @typedef {Alternative[]} Condition */
/** @typedef {Record<string, string>} Layout axis → value; an unanswered axis is absent */

/**
 * Whether a condition holds for a layout; null means that an axis it needs is not answered yet.
 * @param {Condition | null | undefined} condition none: always
 * @param {Layout} layout
 * @returns {boolean | null}
 */
export function holds(condition, layout) {
  if (!condition) return true;
  const answers = condition.map((alternative) => all(alternative, layout));
  return answers.includes(true) ? true : answers.includes(null) ? null : false;
}

/** @param {Alternative} alternative @param {Layout} layout @returns {boolean | null} */
function all(alternative, layout) {
  const answers = Object.entries(alternative).map(([axis, wanted]) => {
    if (axis === "not") return negated(holds(/** @type {Condition} */ (wanted), layout));
    return Object.hasOwn(layout, axis) ? /** @type {string[]} */ (wanted).includes(layout[axis]) : null;
  });
  return answers.includes(false) ? false : answers.includes(null) ? null : true;
}

/** @param {boolean | null} answer */
function negated(answer) {
  return answer === null ? null : !answer;
}

/**
 * Every axis that a condition asks about.
 * @param {Condition | null | undefined} condition
 * @returns {Set<string>}
 */
export function axesOf(condition) {
  const found = new Set();
  for (const alternative of condition ?? []) {
    for (const [axis, wanted] of Object.entries(alternative)) {
      if (axis !== "not") found.add(axis);
      else for (const inner of axesOf(/** @type {Condition} */ (wanted))) found.add(inner);
    }
  }
  return found;
}

/**
 * The condition as a reader reads it.
 * @param {Condition | null | undefined} condition
 * @param {(axis: string, value?: string) => string} label names axes and values
 * @returns {string}
 */
export function inWords(condition, label) {
  return (condition ?? []).map((alternative) => words(alternative, label)).join("; or ");
}

/** @param {Alternative} alternative @param {(axis: string, value?: string) => string} label */
function words(alternative, label) {
  return Object.entries(alternative)
    .map(([axis, wanted]) => {
      if (axis === "not") return `not (${inWords(/** @type {Condition} */ (wanted), label)})`;
      return `${label(axis)}: ${/** @type {string[]} */ (wanted).map((value) => label(axis, value)).join(" or ")}`;
    })
    .join(" and ");
}
