// @ts-check
/** What a job keeps of the vehicle in the bay: its layout by axle, a copy of its sheet, the units it is worked in. */

import { axle, choice, chosenValues, sayInPicker, showJobLayout, useKeptValues } from "../layout/layout.js";
import { button } from "../lib/controls.js";
import { setSystem } from "../lib/switches.js";
import { axes, layoutOf, metaContent, vehicles } from "../store/handbook-data.js";
import { openJob, record, standingEntries } from "./journal.js";

/** @typedef {import("../core/entries.js").Place} Place */

export const system = () => (document.documentElement.dataset.system === "inch" ? "inch" : "metric");

/** The units that the job was last worked in; empty for a new one. */
export function jobSystem() {
  return (
    standingEntries()
      .filter(({ kind }) => kind === "layout")
      .at(-1)?.typed.system ?? ""
  );
}

/** Show the layout of the job just taken up; a new job takes the layout that the page shows. */
export async function takeUp() {
  const units = jobSystem();
  if (units === "inch" || units === "metric") setSystem(units);
  const kept = jobLayout();
  const shown = choice();
  if (!kept) {
    showVehicleOfJob(shown);
    return keepChoice();
  }
  const asked = Object.keys(shown.layout).some((axis) => shown.layout[axis] !== kept.layout[axis] && location.hash.includes("layout="));
  useKeptValues(keptValues(kept.vehicle));
  if (!asked) return showJobLayout(kept.layout, kept.vehicle, keptValues(kept.vehicle));
  sayInPicker([
    "The address shows another layout than this job. ",
    button("", "Use the job’s layout", () => showJobLayout(kept.layout, kept.vehicle, keptValues(kept.vehicle))),
    " ",
    button("", "Keep this one for the job", async () => {
      sayInPicker("");
      await keepChoice();
    }),
  ]);
}

/** At another axle of the same job, what holds for the vehicle as a whole, and its sheet's layout of this axle. @param {{layout: Record<string, string>, vehicle: string}} shown */
function showVehicleOfJob(shown) {
  const last = standingEntries()
    .filter(({ kind }) => kind === "layout")
    .at(-1);
  if (!last || shown.vehicle) return;
  const sheet = vehicles().find(({ id }) => id === last.typed.vehicle);
  const ofVehicle = Object.entries(last.typed.layout).filter(([axis]) => axes().some(({ id, of }) => id === axis && of === "vehicle"));
  const answers = { ...(sheet ? layoutOf(sheet, axle()) : {}), ...Object.fromEntries(ofVehicle), ...shown.layout };
  showJobLayout(answers, sheet?.id ?? "", keptValues(sheet?.id ?? ""));
}

/** The job's layout for this page's axle. @returns {{layout: Record<string, string>, vehicle: string} | null} */
function jobLayout() {
  const entries = standingEntries().filter(({ kind }) => kind === "layout");
  const place = placeOfAxle();
  const last = entries.filter((entry) => entry.place === place || !place || !entry.place).at(-1) ?? null;
  if (!last) return null;
  return { layout: last.typed.layout, vehicle: typeof last.typed.vehicle === "string" ? last.typed.vehicle : "" };
}

/** @returns {"front" | "rear" | null} */
function placeOfAxle() {
  const now = axle();
  return now === "front" || now === "rear" ? now : null;
}

/** Values kept with the job, by axle: copies of the chosen sheet, and what was typed in. @param {string} vehicle */
export function keptValues(vehicle) {
  /** @type {Record<string, Record<string, import("../core/entries.js").Sourced>>} */
  const values = { front: {}, rear: {}, vehicle: {}, "": {} };
  for (const { kind, place, typed } of standingEntries()) {
    if (kind === "vehicle" && (!typed.sheet || typed.sheet === vehicle)) Object.assign(values[place ?? ""] ?? {}, typed.values);
  }
  return values;
}

/** Copy the layout, and the sheet when it is another one, into the job. */
export async function keepChoice() {
  if (!openJob()) return;
  const { layout: answers, vehicle } = choice();
  const before =
    standingEntries()
      .filter(({ kind, typed }) => kind === "vehicle" && typed.sheet)
      .at(-1)?.typed.sheet ?? "";
  await record({ kind: "layout", place: placeOfAxle(), typed: { layout: answers, vehicle, system: system() } });
  if (!vehicle || vehicle === before) return;
  for (const [place, values] of Object.entries(chosenValues())) {
    if (Object.keys(values).length)
      await record({
        kind: "vehicle",
        place: /** @type {Place} */ (place),
        typed: { sheet: vehicle, build: metaContent("build"), values },
      });
  }
  useKeptValues(keptValues(vehicle));
}
