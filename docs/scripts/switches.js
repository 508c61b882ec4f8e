// @ts-check
/** The two switches of the header: the system of units, and large type for reading at arm's length. */

/** @typedef {"metric" | "inch"} System */

const UNITS = "handbook:system"; // in this tab only: units are chosen anew for each job, never carried over unseen
const TYPE = "handbook:large-type";

export function startSwitches() {
  const root = document.documentElement;
  setSystem(recall(() => sessionStorage, UNITS) === "inch" ? "inch" : "metric");
  const units = /** @type {HTMLButtonElement | null} */ (document.querySelector("button.system-switch"));
  units?.addEventListener("click", () => setSystem(root.dataset.system === "inch" ? "metric" : "inch"));

  root.toggleAttribute("data-bay", recall(() => localStorage, TYPE) === "yes");
  const type = /** @type {HTMLButtonElement | null} */ (document.querySelector("button.bay-switch"));
  type?.addEventListener("click", () => {
    remember(() => localStorage, TYPE, root.toggleAttribute("data-bay") ? "yes" : "no");
    showType(type);
  });
  if (type) showType(type);
  for (const one of [units, type]) if (one) one.hidden = false;
}

/** Choose the units of the page and say so; a job calls it with its own. @param {System} system */
export function setSystem(system) {
  const root = document.documentElement;
  const changed = root.dataset.system !== system;
  root.dataset.system = system;
  remember(() => sessionStorage, UNITS, system);
  const said = document.querySelector(".switch__now");
  if (said) said.textContent = `, ${system} chosen`;
  if (changed) document.dispatchEvent(new CustomEvent("handbook:system", { detail: { system } }));
}

/** @param {HTMLButtonElement} button */
function showType(button) {
  button.setAttribute("aria-pressed", String(document.documentElement.hasAttribute("data-bay")));
}

/** @param {() => Storage} storage @param {string} key */
function recall(storage, key) {
  try {
    return storage().getItem(key);
  } catch {
    return null; // storage refused: the switches still work on this page
  }
}

/** @param {() => Storage} storage @param {string} key @param {string} value */
function remember(storage, key, value) {
  try {
    storage().setItem(key, value);
  } catch {
    /* as above */
  }
}
