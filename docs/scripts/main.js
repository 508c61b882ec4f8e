// @ts-check
/** Everything the pages run, bundled into assets/handbook.js. Each module finds its own elements. */
import { startCalculators } from "./calculator/calculator.js";
import { startJob } from "./job-page.js";
import { startLayout } from "./layout/layout.js";
import { sayStarted, sayWhereMissing, startParts } from "./lib/start.js";
import { startSwitches } from "./lib/switches.js";
import { startSearch } from "./search/search.js";
import { startOwnPages } from "./shop/own-pages.js";

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
