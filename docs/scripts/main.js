// @ts-check
/** Everything the pages run, bundled into assets/handbook.js. Each module finds its own elements. */
import { startCalculators } from "./calculator.js";
import { startJob } from "./job.js";
import { startLayout } from "./layout.js";
import { startOwnPages } from "./own-pages.js";
import { startSearch } from "./search.js";
import { sayStarted, sayWhereMissing, startParts } from "./start.js";
import { startSwitches } from "./switches.js";

startParts([
  ["the list of the shop’s own pages", startOwnPages],
  ["the switches for units, type and detail", startSwitches],
  ["the layout in the bay", startLayout],
  ["the calculators", startCalculators],
  ["the job record", startJob],
  ["the search", startSearch],
]);
sayStarted();
addEventListener("load", () => {
  sayWhereMissing("assets/shop-tools.js", "shopTools");
  sayWhereMissing("assets/own-page.js", "ownPage");
});
