// @ts-check
/** What only two pages run, bundled into assets/shop-tools.js: “Check this copy” and “Write a page”. */
import { startParts } from "../lib/start.js";
import { startVerify } from "./verify.js";
import { startWriter } from "./writer.js";

Object.assign(self, { shopTools: true }); // for the other script, which says so where this one is missing
startParts([
  ["the check of this copy", startVerify],
  ["the page writer", startWriter],
]);
