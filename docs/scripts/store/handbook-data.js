// @ts-check
/** What `assets/handbook-data.js` and the shop's `shop-data.js` hold, read with care: the shop writes the second. */
import { isRecord, isSourced } from "../core/entries.js";
import { withSure } from "../core/sheet-bands.js";
import { shopData } from "./shop-data.js";

/** @typedef {import("../core/when.js").Condition} Condition */
/** @typedef {import("../core/when.js").Layout} Layout */
/** @typedef {import("../core/entries.js").Sourced} Sourced */
/** @typedef {{id: string, label: string, look: string, drawing?: string | null}} AxisValue */
/** @typedef {{id: string, of: string, label: string, question: string, when?: Condition | null, values: AxisValue[]}} Axis */
/** @typedef {{when: Condition, say: string}} Contradiction */
/** @typedef {import("../core/sheet-bands.js").SheetField} SheetField */
/** @typedef {{layout: Layout, values: Record<string, Sourced>}} EndSheet a value may also hold `sure` */
/** @typedef {{id: string, name: string, invented?: boolean, vin?: string | null, layout: Layout, values: Record<string, Sourced>, front?: EndSheet | null, rear?: EndSheet | null}} Vehicle */

const data = () => /** @type {any} */ (self).handbook ?? {};

/** @returns {Axis[]} */
export const axes = () => data().axes ?? [];

/** @returns {Contradiction[]} */
export const contradictions = () => data().impossible ?? [];

/** @param {string} name */
export function metaContent(name) {
  return document.querySelector(`meta[name="handbook:${name}"]`)?.getAttribute("content") ?? "";
}

/** The sheet's field of a path such as `end.rotor.discard`. @param {string} path @returns {SheetField | undefined} */
export function sheetField(path) {
  const fields = /** @type {SheetField[]} */ (data().sheet ?? []);
  return fields.find((field) => `${field.of}.${field.id}` === path);
}

/** The name of an axis, or of one of its values. @param {string} axis @param {string} [value] */
export function label(axis, value) {
  const known = axes().find((each) => each.id === axis);
  if (value === undefined) return known?.label ?? axis;
  return known?.values.find((each) => each.id === value)?.label ?? value;
}

/** The stock sheets and the shop's, without those that are no sheets. @returns {Vehicle[]} */
export function vehicles() {
  const all = [...(data().vehicles ?? []), ...shopData().vehicles];
  return all.filter((vehicle) => isRecord(vehicle) && typeof vehicle.id === "string" && typeof vehicle.name === "string");
}

/** Only the answers that this handbook knows. @param {any} layout @returns {Layout} */
export function knownLayout(layout) {
  if (!isRecord(layout)) return {};
  return Object.fromEntries(
    Object.entries(layout).filter(([axis, value]) => axes().some((each) => each.id === axis && each.values.some((v) => v.id === value))),
  );
}

/** The layout of one end of a vehicle. @param {Vehicle} vehicle @param {string | undefined} axle */
export function layoutOf(vehicle, axle) {
  const end = axle === "front" || axle === "rear" ? vehicle[axle] : null;
  return knownLayout({ ...vehicle.layout, ...end?.layout, ...(axle ? { axle } : {}) });
}

/**
 * The values of a sheet by place and full path; what is no value with a source is left out.
 * @param {Vehicle} vehicle
 * @returns {Record<"front" | "rear" | "vehicle", Record<string, Sourced>>}
 */
export function valuesOf(vehicle) {
  return {
    front: sourced(vehicle.front?.values, "end"),
    rear: sourced(vehicle.rear?.values, "end"),
    vehicle: { ...vinOf(vehicle), ...sourced(vehicle.values, "vehicle") },
  };
}

/** @param {Vehicle} vehicle @returns {Record<string, Sourced>} */
function vinOf({ vin, name }) {
  return typeof vin === "string" && vin ? { "vehicle.vin": { value: vin, unit: null, source: `sheet of ${name}` } } : {};
}

/** A value of a sheet as a job keeps it: no unit is null, and why a rare figure is right stands in its source. @param {any} value */
function oneSource(value) {
  if (!isRecord(value)) return value;
  const { sure, ...rest } = value;
  return { ...rest, unit: rest.unit ?? null, source: typeof rest.source === "string" ? withSure(rest.source, sure) : rest.source };
}

/** @param {any} values @param {string} of @returns {Record<string, Sourced>} */
function sourced(values, of) {
  if (!isRecord(values)) return {};
  const whole = Object.entries(values).map(([id, value]) => /** @type {const} */ ([`${of}.${id}`, oneSource(value)]));
  return Object.fromEntries(whole.filter(([, value]) => isSourced(value)));
}
