// @ts-check
/** Everything the pages run, bundled into assets/handbook.js. Each module finds its own elements. */
import { startCalculators } from "./calculator.js";
import { startJob } from "./job.js";
import { startLayout } from "./layout.js";
import { startOwnPages } from "./own-pages.js";
import { startSearch } from "./search.js";
import { startSwitches } from "./switches.js";

startOwnPages(); // first: the others look for their elements in it
startSwitches();
startLayout();
startCalculators();
startJob();
startSearch();
