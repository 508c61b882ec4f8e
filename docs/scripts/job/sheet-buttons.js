// @ts-check
/** The buttons by the vehicle's sheet: save what the job knows of it to a file, take a file for the job. */

import { axle, choice, chosenValues, layout, showJobLayout } from "../layout/layout.js";
import { impossible, LARGEST_SHEET, readSheet, SheetFileError, sheetSummary, writeSheet } from "../layout/sheet-file.js";
import { button } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { download, filePicker, refusalLine } from "../lib/files.js";
import { layoutOf, valuesOf, vehicles } from "../store/handbook-data.js";
import { keepChoice, keptValues, system } from "./job-layout.js";
import { openJob, record, standingEntries } from "./journal.js";

/** @typedef {import("../core/when.js").Layout} Layout */
/** @typedef {import("../store/handbook-data.js").Vehicle} Vehicle */
/** @typedef {import("../job-page.js").JobPage} JobPage */

const PLACES = /** @type {const} */ (["front", "rear", "vehicle"]);

/** @param {JobPage} page */
export function startSheetFile({ article, needJob }) {
  const box = article.querySelector(".layout-picker > .sheet-file");
  if (!box) return;
  const line = element("p", "sheet-file__line");
  line.setAttribute("role", "status");
  const picker = filePicker("Sheet file to open", async (file) => void (line.textContent = await open(file)));
  box.append(
    button("sheet-file__save", "Save this vehicle’s sheet", () => void (line.textContent = save())),
    " ",
    button("sheet-file__open", "Open a sheet file", () => (openJob() ? picker.click() : needJob())),
    picker,
    line,
  );
}

/** Save all that is known, and say where. */
function save() {
  const { vehicle } = choice();
  const stock = vehicles().find(({ id }) => id === vehicle);
  const own = chosenValues();
  const kept = keptValues(vehicle);
  const values = Object.fromEntries(PLACES.map((place) => [place, { ...own[place], ...kept[place] }]));
  const here = axle();
  const loose = Object.entries(kept[""] ?? {}); // kept before the axle was known
  for (const [path, value] of loose) {
    const place = path.startsWith("end.") ? here : "vehicle";
    if (place) values[place] = { [path]: value, ...values[place] };
  }
  const layouts = { front: layoutAt("front", stock), rear: layoutAt("rear", stock) };
  if (!here && !PLACES.some((place) => Object.keys(values[place]).length))
    return "There is nothing to save yet: answer the questions of the layout first.";
  const { file, text, left } = writeSheet(openJob()?.vehicle || stock?.name || "", layouts, values, stock?.invented === true);
  download(file, text);
  const out = left.length ? ` Left out, because their unit is none of the sheet’s: ${left.join("; ")}.` : "";
  return `The sheet goes to the file ${file} in the browser’s download folder; put it into the shop’s folder «vehicles».${out}`;
}

/** The layout of an end: as chosen here, else as the job has it, else as its sheet says. @param {"front" | "rear"} end @param {Vehicle | undefined} stock @returns {Layout} */
function layoutAt(end, stock) {
  if (axle() === end) return layout();
  const last = standingEntries()
    .filter(({ kind, place }) => kind === "layout" && place === end)
    .at(-1);
  return last?.typed.layout ?? (stock?.[end] ? layoutOf(stock, end) : {});
}

/** Take a file for the open job: its values with their sources, and its layout. @param {File} file @returns {Promise<string>} one line */
async function open(file) {
  try {
    if (file.size > LARGEST_SHEET)
      throw new SheetFileError(`The file is larger than ${LARGEST_SHEET / 1000} kB. Open a sheet that the handbook saved.`);
    const sheet = readSheet(await file.text());
    const here = axle();
    const end = here === "front" || here === "rear" ? sheet[here] : null;
    const next = { ...(end ? {} : layout()), ...layoutOf(sheet, here) };
    const wrong = impossible(next);
    if (wrong) throw new SheetFileError(`The sheet does not go with the layout chosen here: ${wrong}.`);
    for (const [place, values] of Object.entries(valuesOf(sheet))) {
      if (!Object.keys(values).length) continue;
      const problem = await record({
        kind: "vehicle",
        place: /** @type {any} */ (place),
        typed: { sheet: "", file: file.name.slice(0, 200), values },
      });
      if (problem) return problem;
    }
    for (const end of /** @type {const} */ (["front", "rear"])) {
      if (end !== here && sheet[end])
        await record({ kind: "layout", place: end, typed: { layout: layoutOf(sheet, end), vehicle: "", system: system() } });
    }
    showJobLayout(next, "", keptValues(""));
    await keepChoice();
    return `Taken for this job from ${file.name}: ${sheetSummary(sheet)}.`;
  } catch (error) {
    return `${file.name}: ${refusalLine(error, SheetFileError, "Open a sheet that the handbook saved.")}`;
  }
}
