// @ts-check
/** «Print the sheet» and what it offers: the bench sheet, whole or from here, and papers made from the record alone. */

import { onJournal, openJob } from "../job/journal.js";
import { button } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { headLines, identity, startBenchSheet } from "./bench-sheet.js";
import { comparePanel } from "./compare.js";
import { handOver } from "./hand-over.js";
import { customerPage } from "./owner-page.js";

/** @typedef {import("../job-page.js").JobPage} JobPage */
/** @typedef {{text: string, says: string, act: () => void}} Paper */

/** Opens or closes the menu of this page. */
let toggle = () => {};

/** What the bar's print button does. */
export function openPapers() {
  toggle();
}

/** @param {JobPage} page */
export function startPapers(page) {
  const printSheet = startBenchSheet(page);
  const menu = element("section", "papers");
  menu.hidden = true;
  menu.id = "papers";
  menu.ariaLabel = "Papers to print";
  page.bar.box.prepend(menu);
  const opener = /** @type {HTMLElement | null} */ (page.bar.box.querySelector(".job-bar__print"));
  opener?.setAttribute("aria-controls", menu.id);
  opener?.setAttribute("aria-expanded", "false");

  /** @param {boolean} open */
  const show = (open) => {
    if (open && !page.bar.panel.hidden) page.bar.show(false);
    menu.hidden = !open;
    opener?.setAttribute("aria-expanded", String(open));
    menu.replaceChildren(...(open ? content() : []));
    if (open) menu.querySelector("button")?.focus();
  };
  const close = () => {
    show(false);
    // On a narrow window the print button is put away with the job's panel.
    (opener?.checkVisibility() ? opener : page.bar.toggle).focus();
  };
  /** @param {() => void} act */
  const closing = (act) => () => {
    close();
    act();
  };
  const content = () => {
    const lines = papersOf(page, printSheet).map(({ text, says, act }) =>
      element("li", "", button("papers__paper", text, closing(act)), element("span", "papers__says", says)),
    );
    if (openJob())
      lines.push(
        element(
          "li",
          "",
          button("papers__paper", "Comparison with an earlier job", openComparison),
          element("span", "papers__says", "each reading then and now"),
        ),
      );
    return [
      element("h2", "job-bar__title", "Print"),
      element("ul", "papers__list", ...lines),
      ...(openJob() ? [] : [element("p", "", "Start a job first for the other papers: they are made from its record.")]),
      button("papers__close", "Close", close),
    ];
  };
  const openComparison = async () => {
    const panel = await comparePanel(page, (sheet) => closing(() => printPaper(page, "comparison", sheet))());
    menu.querySelector(".papers__list")?.replaceWith(panel);
    /** @type {HTMLElement | null} */ (panel.querySelector("input"))?.focus();
  };
  menu.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    event.stopPropagation();
    close();
  });
  let job = openJob()?.id;
  onJournal(() => {
    if (openJob()?.id === job) return;
    job = openJob()?.id;
    if (!menu.hidden) show(false);
  });
  toggle = () => (menu.hidden ? show(true) : close());
}

/** @param {JobPage} page @param {(fromHere: boolean) => void} printSheet @returns {Paper[]} */
function papersOf(page, printSheet) {
  const whole = { text: "Whole bench sheet", says: "every step with its boxes, and what was recorded", act: () => printSheet(false) };
  if (!openJob()) return [whole];
  const current = page.open()[0];
  return [
    whole,
    ...(current
      ? [{ text: `Sheet from ${current.number} on`, says: "what is done before it in one line", act: () => printSheet(true) }]
      : []),
    {
      text: "Hand-over sheet",
      says: "what is off, loose or open, what comes next",
      act: () => printPaper(page, "hand-over", [...headLines(page), ...handOver(page)]),
    },
    {
      text: "Customer’s page",
      says: "what was measured, decided and done, in plain words",
      act: () => printPaper(page, "customer", customerPage(page)),
    },
  ];
}

/** Print these alone, in place of the page. @param {JobPage} page @param {string} kind @param {HTMLElement[]} content */
function printPaper({ article }, kind, content) {
  const job = openJob();
  document.querySelector(".paper")?.remove();
  const paper = element(
    "section",
    `paper paper--${kind} print-only`,
    ...content,
    element("p", "sheet-foot", `${identity(article)}${job ? ` Job number ${job.id.slice(0, 6)}.` : ""}`),
  );
  document.body.append(paper);
  document.documentElement.classList.add("paper-print");
  addEventListener(
    "afterprint",
    () => {
      document.documentElement.classList.remove("paper-print");
      paper.remove();
    },
    { once: true },
  );
  print();
}
