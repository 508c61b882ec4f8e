// @ts-check
/** The switches of the header: the system of units, large type for reading at arm's length, the detail of the steps. */

/** @typedef {"metric" | "inch"} System */

const UNITS = "handbook:system"; // in this tab only: units are chosen anew for each job, never carried over unseen
const TYPE = "handbook:large-type";
const DETAIL = "handbook:detail";

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
  root.dataset.detail = recall(() => localStorage, DETAIL) === "short" ? "short" : "full";
  const detail = /** @type {HTMLButtonElement | null} */ (
    document.querySelector("article.procedure") && document.querySelector("button.detail-switch")
  );
  detail?.addEventListener("click", () => {
    root.dataset.detail = root.dataset.detail === "short" ? "full" : "short";
    remember(() => localStorage, DETAIL, root.dataset.detail);
    showDetail(detail);
    document.dispatchEvent(new CustomEvent("handbook:detail"));
  });
  if (detail) showDetail(detail);
  for (const one of [units, type, detail]) if (one) one.hidden = false;
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

/** @param {HTMLButtonElement} button */
function showDetail(button) {
  const said = button.querySelector(".switch__detail-now");
  if (said) said.textContent = `, ${document.documentElement.dataset.detail} chosen`;
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
