// @ts-check
/**
 * A vehicle's sheet as a file: the layout and every value known for the job, in the form that a shop's folder `vehicles`
 * takes (build_tools/content/model.py, Vehicle). A file is read without trusting it: all of it is checked before any is taken.
 */

import { isRecord, isSourced } from "../core/entries.js";
import { sheetFaults, unitOf, withoutSure } from "../core/sheet-bands.js";
import { holds } from "../core/when.js";
import { slug } from "../lib/files.js";
import { axes, contradictions, label, sheetField, valuesOf } from "../store/handbook-data.js";

/** @typedef {import("../core/entries.js").Sourced} Sourced */
/** @typedef {import("../store/handbook-data.js").Vehicle} Vehicle */
/** @typedef {import("../core/when.js").Layout} Layout */
/** @typedef {Record<string, Sourced>} Values by path */
/** @typedef {{layout?: Layout, values?: Values}} Part */

export const LARGEST_SHEET = 200_000; // bytes
const LONGEST = 500;
const EXPECTED = "Open a sheet that the handbook saved, such as vehicle-red-van.json.";
const ENDS = /** @type {const} */ (["front", "rear"]);
const KEYS = ["id", "name", "invented", "note", "vin", "layout", "values", ...ENDS];

/** Why a file was refused, in one line. */
export class SheetFileError extends Error {}

/**
 * The text of a sheet's file, its name, and what had to stay out of it.
 * @param {string} name as the shop calls the vehicle
 * @param {{front: Layout, rear: Layout}} layouts as far as they are known
 * @param {Record<string, Values>} values by front, rear and vehicle
 * @param {boolean} invented whether any of it comes from an invented sheet
 */
export function writeSheet(name, layouts, values, invented) {
  /** @type {string[]} */
  const left = [];
  const id = `vehicle-${slug(name, 40) || "sheet"}`;
  const ofVehicle = Object.fromEntries(ENDS.flatMap((end) => Object.entries(layouts[end])).filter(([axis]) => isOf(axis, "vehicle")));
  const sheet = {
    id,
    name: name || "Vehicle",
    ...(invented ? { invented: true } : {}),
    layout: ofVehicle,
    values: written(values.vehicle, "vehicle", left),
  };
  for (const end of ENDS) {
    const layout = Object.fromEntries(Object.entries(layouts[end]).filter(([axis]) => isOf(axis, "end")));
    const own = written(values[end], "end", left);
    if (Object.keys(layout).length || Object.keys(own).length)
      Object.assign(sheet, { [end]: { layout: { ...layout, axle: end }, values: own } });
  }
  return { file: `${id}.json`, text: `${JSON.stringify(sheet, null, 1)}\n`, left };
}

/** @param {string} axis @param {string} of */
const isOf = (axis, of) => axes().some((each) => each.id === axis && each.of === of);

/** @param {Values | undefined} values @param {string} of @param {string[]} left */
function written(values, of, left) {
  return Object.fromEntries(
    Object.entries(values ?? {}).flatMap(([path, { value, unit, source }]) => {
      const field = sheetField(path);
      const symbol = field ? unitOf(unit, field.units) : unit;
      if (!field || field.of !== of || !value.trim() || !source.trim() || !fits(symbol, field.units)) {
        left.push(`${field?.label ?? path} ${value}${unit ? ` ${unit}` : ""}`);
        return [];
      }
      return [[field.id, { value, ...(symbol ? { unit: symbol } : {}), ...withoutSure(source) }]];
    }),
  );
}

/** As `check` has it: a field with units wants one of them, the others none. @param {string | null} unit @param {string[]} units */
const fits = (unit, units) => (units.length ? unit !== null && units.includes(unit) : !unit);

// ---------------------------------------------------------------- reading

/** The sheet in a file. @param {string} text @returns {Vehicle} */
export function readSheet(text) {
  if (text.length > LARGEST_SHEET) throw new SheetFileError(`The file is larger than ${LARGEST_SHEET / 1000} kB. ${EXPECTED}`);
  let content;
  try {
    content = JSON.parse(text);
  } catch {
    throw new SheetFileError(`The file is not whole JSON: it was cut off, or is something else. ${EXPECTED}`);
  }
  const problem = sheetProblem(content);
  if (problem) throw new SheetFileError(`The sheet was refused: ${problem}. ${EXPECTED}`);
  return {
    ...content,
    layout: content.layout ?? {},
    values: whole(content.values),
    ...Object.fromEntries(
      ENDS.filter((end) => content[end]).map((end) => [end, { layout: content[end].layout, values: whole(content[end].values) }]),
    ),
  };
}

/** Values with the units that a file may leave out. @param {any} values */
const whole = (values) =>
  Object.fromEntries(Object.entries(values ?? {}).map(([id, value]) => [id, { ...value, unit: value.unit ?? null }]));

/** @param {any} sheet @returns {string} */
function sheetProblem(sheet) {
  if (!isRecord(sheet)) return "it is no vehicle sheet";
  const odd = Object.keys(sheet).find((key) => !KEYS.includes(key));
  if (odd !== undefined) return `unknown entry ${named(odd)}`;
  if (typeof sheet.id !== "string" || !/^[a-z0-9]+(-[a-z0-9]+)*$/.test(sheet.id) || sheet.id.length > 80) return "id is not as expected";
  for (const key of ["name", "note", "vin"])
    if (!(isLine(sheet[key]) || (key !== "name" && isNone(sheet[key])))) return `${key} is not one line of text`;
  if (!isNone(sheet.invented) && typeof sheet.invented !== "boolean") return "invented is neither true nor false";
  for (const end of ENDS) {
    if (isNone(sheet[end])) continue;
    if (
      !isRecord(sheet[end]) ||
      Object.keys(sheet[end]).some((key) => key !== "layout" && key !== "values") ||
      !isRecord(sheet[end].layout)
    )
      return `${end} does not hold layout and values`;
  }
  return (
    partProblem(sheet, "vehicle", "") ||
    ENDS.map((end) =>
      isNone(sheet[end])
        ? ""
        : partProblem(sheet[end], "end", `${end} `) || impossible({ ...sheet.layout, ...sheet[end].layout, axle: end }),
    ).find(Boolean) ||
    ""
  );
}

/** @param {Part} part @param {string} of @param {string} where @returns {string} */
function partProblem({ layout, values }, of, where) {
  if (!isNone(layout) && !isRecord(layout)) return `${where}layout is no list of answers`;
  for (const [axis, value] of Object.entries(layout ?? {})) {
    if (!axes().some(({ id, values: known }) => id === axis && known.some((each) => each.id === value)))
      return `${where}layout: ${named(axis)}: ${named(value)} is not known here`;
  }
  if (!isNone(values) && !isRecord(values)) return `${where}values is no list of values`;
  for (const [id, value] of Object.entries(values ?? {})) {
    const field = sheetField(`${of}.${id}`);
    if (!field) return `${where}values: ${named(id)} is no value of a sheet`;
    const { sure, ...plain } = /** @type {Record<string, any>} */ (isRecord(value) ? value : {});
    if (!isNone(sure) && !isLine(sure)) return `${where}${field.label}: sure is not one line of text`;
    const given = /** @type {any} */ (isRecord(value) ? { ...plain, unit: value.unit ?? null } : value);
    if (!isSourced(given) || !isLine(given.value) || !isLine(given.source))
      return `${where}${field.label}: value, unit and source are not as expected`;
    if (!fits(given.unit, field.units))
      return `${where}${field.label}: the unit ${named(given.unit ?? "")} is none of ${field.units.join(", ") || "none"}`;
  }
  return "";
}

/** Why no such layout exists; "" where it may. @param {Layout} layout */
export function impossible(layout) {
  const reason = contradictions().find(({ when }) => holds(when, layout) === true);
  return reason ? `its layout does not exist: ${reason.say.replace(/\.$/, "")}` : "";
}

/** @param {any} value */
const isNone = (value) => value === undefined || value === null;

/** One line that prints, and does not turn the reading round. @param {any} text */
function isLine(text) {
  return typeof text === "string" && text.trim() !== "" && text.length <= LONGEST && !/[\p{Cc}\p{Cs}\p{Cf}]/u.test(text);
}

/** @param {any} text what a file holds, fit for one line */
const named = (text) =>
  `“${String(text)
    .replace(/[\p{C}]/gu, "\u25a1")
    .slice(0, 40)}”`;

/** What a sheet holds, for the one who opened it. @param {Vehicle} sheet */
export function sheetSummary(sheet) {
  const count = [sheet, ...ENDS.map((end) => sheet[end])].reduce(
    (sum, part) => sum + Object.keys(part?.values ?? {}).length,
    sheet.vin ? 1 : 0,
  );
  const ends = ENDS.filter((end) => sheet[end]).map((end) => label("axle", end));
  const odd = Object.values(valuesOf(sheet)).flatMap((values) =>
    [...sheetFaults(values, sheetField)].map(([path, fault]) => ({ ...fault, path, value: values[path] })),
  );
  const told = odd.map(
    ({ kind, say, path, value }) =>
      `${sheetField(path)?.label ?? path} ${value.value}${value.unit ? ` ${value.unit}` : ""} ${kind === "cannot" ? "is left out" : "is to be checked"}: ${say}`,
  );
  return `${sheet.name}${sheet.invented ? " (invented)" : ""}: ${count} value${count === 1 ? "" : "s"}${ends.length ? `, ${ends.join(" and ")} axle` : ""}${told.length ? `. ${told.join(". ")}` : ""}`;
}
