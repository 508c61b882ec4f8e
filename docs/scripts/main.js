// @ts-check
/** Everything the pages run, bundled into assets/handbook.js. Each module finds its own elements. */
import { startCalculators } from "./calculator.js";
import { startSearch } from "./search.js";
import { startSwitches } from "./switches.js";

startSwitches();
startCalculators();
startSearch();
