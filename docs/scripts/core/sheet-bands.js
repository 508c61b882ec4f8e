// @ts-check
/**
 * The figures of a sheet held against the same bands and cross-checks as the entries of a calculator. The edges come with
 * the sheet's fields (build_tools/checks/sheet_values.py): what cannot be, or contradicts another figure, is not used, so that no
 * verdict rests on it; what is rare is pointed out, unless its source says why it is right.
 */

/** @typedef {import("./entries.js").Sourced} Sourced */
/** @typedef {import("./when.js").Condition} Condition */
/** @typedef {{units: Record<string, {factor: number | null, edges?: number[], shown?: number[]}>, zero?: boolean, below_zero?: boolean}} Judged edges: hard low, low, high, hard high; factor: in the first unit */
/** @typedef {{id: string, of: string, label: string, units: string[], question: string, when?: Condition | null, judged?: Judged, under?: string[], not_over?: string[], usual_share?: {of: string, least: string, most: string} | null}} SheetField */
/** @typedef {{kind: "cannot" | "rare", say: string}} Fault */

/** Between a source and the reason why a rare figure is right. */
const SURE = "; sure: ";
/** How a shop writes the units of a sheet, without spaces, points, hyphens and capitals. @type {Record<string, string>} */
const SPELLINGS = {
  nm: "N·m",
  ftlb: "lbf·ft",
  ftlbs: "lbf·ft",
  lbft: "lbf·ft",
  ftlbf: "lbf·ft",
  lbfft: "lbf·ft",
  inlb: "lbf·in",
  inlbs: "lbf·in",
  lbin: "lbf·in",
  lbfin: "lbf·in",
  '"': "in",
  inch: "in",
  inches: "in",
  "'": "ft",
  feet: "ft",
  mile: "mi",
  miles: "mi",
  floz: "US fl oz",
  oz: "US fl oz",
  deg: "°",
  degrees: "°",
};

/** @param {string} unit */
const plain = (unit) => unit.toLowerCase().replace(/[\s.\-·*]/g, "");

/** A unit as the field has it; as it was written where the field has none like it. @param {string | null} unit @param {string[]} units */
export function unitOf(unit, units) {
  return unit === null ? null : (units.find((each) => plain(each) === plain(unit)) ?? SPELLINGS[plain(unit)] ?? unit);
}

/** Source and reason in one line, as the job keeps them. @param {string} source @param {any} sure */
export const withSure = (source, sure) =>
  typeof sure === "string" && sure.trim() && !source.includes(SURE) ? `${source}${SURE}${sure.trim()}` : source;

/** Source and reason apart, as a sheet's file has them. @param {string} source @returns {{source: string, sure?: string}} */
export function withoutSure(source) {
  const [first, ...rest] = source.split(SURE);
  return rest.length && first.trim() && rest.join(SURE).trim() ? { source: first, sure: rest.join(SURE).trim() } : { source };
}

/** The figures of a value; null where it is not a plain figure or a list of them. @param {string} text @returns {number[] | null} */
export function figures(text) {
  const found = text
    .trim()
    .split(/\s*[;\n]\s*|,\s+/)
    .map(figure);
  return found.some(Number.isNaN) ? null : found;
}

/** @param {string} text */
function figure(text) {
  const fraction = /^(?:(\d+)\s+)?(\d+)\/(\d+)$/.exec(text);
  if (fraction) return Number(fraction[1] ?? 0) + Number(fraction[2]) / Number(fraction[3]);
  if (!/^[-−]?\d*[.,]?\d+$/.test(text) || /^[1-9]\d*,\d{3}$/.test(text)) return NaN;
  return Number(text.replace("−", "-").replace(",", "."));
}

/**
 * What is odd about the figures of one place of a sheet: full path → fault.
 * @param {Record<string, Sourced>} values by full path @param {(path: string) => SheetField | undefined} fieldOf
 * @returns {Map<string, Fault>}
 */
export function sheetFaults(values, fieldOf) {
  /** @type {Map<string, Fault>} */
  const faults = new Map();
  /** @type {Map<string, number[]>} by path, in the field's first unit */
  const known = new Map();
  for (const [path, value] of Object.entries(values)) {
    const field = fieldOf(path);
    const unit = field?.judged?.units[unitOf(value.unit, field.units) ?? ""];
    const numbers = unit ? figures(value.value) : null;
    if (!field?.judged || !unit || !numbers) continue;
    const fault = outside(field, value, unit, numbers);
    if (fault) faults.set(path, fault);
    if (unit.factor !== null && fault?.kind !== "cannot")
      known.set(
        path,
        numbers.map((each) => each * /** @type {number} */ (unit.factor)),
      );
  }
  for (const [path, numbers] of known) {
    const field = /** @type {SheetField} */ (fieldOf(path));
    const scope = `${field.of}.`;
    for (const [other, orEqual] of [
      ...(field.under ?? []).map((name) => /** @type {const} */ ([name, false])),
      ...(field.not_over ?? []).map((name) => /** @type {const} */ ([name, true])),
    ]) {
      const theirs = known.get(scope + other);
      if (!theirs) continue;
      const [most, least] = [Math.max(...numbers), Math.min(...theirs)];
      if (!(most > least * (1 + 1e-6) || (!orEqual && most > least * (1 - 1e-6)))) continue;
      const label = fieldOf(scope + other)?.label ?? other;
      const say = `it must ${orEqual ? "not be more than" : "be less than"} “${label}”, ${text(values[scope + other])}: one of the two is wrong`;
      faults.set(path, { kind: "cannot", say });
      faults.set(scope + other, { kind: "cannot", say: `it contradicts “${field.label}”, ${text(values[path])}: one of the two is wrong` });
    }
    const share = field.usual_share;
    const whole = share && known.get(scope + share.of);
    if (!share || !whole || faults.has(path) || sure(values[path])) continue;
    const part = numbers[0] / whole[0];
    if (part < 1 && (part < Number(share.least) || part > Number(share.most))) {
      faults.set(path, { kind: "rare", say: `unusual, ${Math.round(part * 100)} % of “${fieldOf(scope + share.of)?.label ?? share.of}”` });
    }
  }
  return faults;
}

/** @param {Sourced} value */
const sure = (value) => value.source.includes(SURE);

/** @param {Sourced} value */
const text = ({ value, unit }) => (unit ? `${value} ${unit}` : value);

/**
 * @param {SheetField} field @param {Sourced} value @param {{edges?: number[], shown?: number[]}} unit @param {number[]} numbers
 * @returns {Fault | null}
 */
function outside(field, value, { edges, shown }, numbers) {
  if (!edges || !shown) return null;
  const near = (/** @type {number} */ a, /** @type {number} */ b) => Math.abs(a - b) <= 1e-6 * Math.abs(b);
  for (const number of numbers) {
    if ((number === 0 && field.judged?.zero) || (number <= 0 && field.judged?.below_zero)) continue;
    const below = (/** @type {number} */ edge) => number < edge && !near(number, edge);
    const above = (/** @type {number} */ edge) => number > edge && !near(number, edge);
    if (below(edges[0]) || above(edges[3]))
      return { kind: "cannot", say: `it cannot be, since only ${shown[0]} to ${shown[3]} ${value.unit} can` };
    if ((below(edges[1]) || above(edges[2])) && !sure(value))
      return { kind: "rare", say: `unusual, usual is ${shown[1]} to ${shown[2]} ${value.unit}` };
  }
  return null;
}
