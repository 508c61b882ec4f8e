// @ts-check
/**
 * The page's address, read in this one place: a stray % in it, typed by hand or cut off, stops nothing. What stands
 * behind `#` carries the layout and the vehicle, and works everywhere, also where a browser
 * keeps nothing: `#layout=rotor:hub,bearing:tapered-roller&vehicle=demo-a&at=set-bearing.read-end-play`. A plain
 * `#set-bearing.read-end-play` is an ordinary anchor.
 */

/** @typedef {import("../core/when.js").Layout} Layout */
/** @typedef {{layout: Layout | null, vehicle: string, at: string}} Address layout null: the address says nothing of it */

/** @param {string} hash @returns {Address} */
export function readHash(hash) {
  const text = hash.replace(/^#/, "");
  if (!/^(layout|vehicle|at)=/.test(text)) return { layout: null, vehicle: "", at: decoded(text) };
  const parts = new Map(text.split("&").map((part) => /** @type {[string, string]} */ (split(part, "="))));
  const layout = parts.get("layout");
  return {
    layout:
      layout === undefined
        ? null
        : Object.fromEntries(
            layout
              .split(",")
              .filter(Boolean)
              .map((answer) => split(answer, ":").map(decoded)),
          ),
    vehicle: decoded(parts.get("vehicle") ?? ""),
    at: decoded(parts.get("at") ?? ""),
  };
}

/** @param {Address} address */
export function writeHash({ layout, vehicle, at }) {
  const answers = Object.entries(layout ?? {}).map(([axis, value]) => `${encodeURIComponent(axis)}:${encodeURIComponent(value)}`);
  if (!answers.length && !vehicle) return at ? `#${at}` : "";
  const parts = [`layout=${answers.join(",")}`];
  if (vehicle) parts.push(`vehicle=${encodeURIComponent(vehicle)}`);
  if (at) parts.push(`at=${encodeURIComponent(at)}`);
  return `#${parts.join("&")}`;
}

/** @param {string} text @param {string} by @returns {[string, string]} */
function split(text, by) {
  const at = text.indexOf(by);
  return at < 0 ? [text, ""] : [text.slice(0, at), text.slice(at + by.length)];
}

/** The place on the page that the address names; "" for none. */
export const placeAsked = () => readHash(location.hash).at;

/** What stands behind the question mark: the file of a shop's own page. */
export const pageAsked = () => decoded(location.search.slice(1));

/** @param {string} text */
export function decoded(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return text; // a lone % typed by hand
  }
}
