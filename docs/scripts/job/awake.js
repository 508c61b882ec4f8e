// @ts-check
/** Keeps the screen on while hands are dirty, by the reader's choice, which this browser remembers. */
import { keepSetting, setting } from "../store/job-store.js";

const CHOICE = "awake";
/** Whether the reader wants it. */
let wanted = false;
/** @type {any} */
let lock = null;

export const isAwake = () => wanted && lock !== null && !lock.released;

/** Take up the choice of last time; the browser lets go whenever the page is left, so it is asked again each time. */
export async function startAwake() {
  document.addEventListener("visibilitychange", () => {
    if (wanted && document.visibilityState === "visible") hold();
  });
  wanted = (await setting(CHOICE)) === "yes";
  if (wanted) await hold();
}

/** @param {boolean} on @returns {Promise<boolean>} whether it is as asked */
export async function keepAwake(on) {
  wanted = on;
  if (on) wanted = await hold();
  else await lock?.release().catch(() => {});
  if (!wanted) lock = null;
  keepSetting(CHOICE, wanted ? "yes" : "");
  return wanted === on;
}

async function hold() {
  try {
    if (lock && !lock.released) return true;
    lock = await /** @type {any} */ (navigator).wakeLock.request("screen");
    return true;
  } catch {
    return false;
  }
}
