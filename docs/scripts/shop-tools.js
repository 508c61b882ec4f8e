// @ts-check
/** What only two pages run, bundled into assets/shop-tools.js: «Check this copy» and «Write a page». */
import { startVerify } from "./verify.js";
import { startWriter } from "./writer.js";

startVerify();
startWriter();
