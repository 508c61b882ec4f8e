// @ts-check
/** The bar that stays in view: the job, the side worked on, how far it is, whether it is kept, and what can be done with it. */

import { fileName, JobFileError, readJobFile, writeJob } from "../core/job-file.js";
import { button, textField } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { download, filePicker, refusalLine } from "../lib/files.js";
import { PLACE_NAMES } from "../state/steps.js";
import { jobs, onKeeping } from "../store/job-store.js";
import { isAwake, keepAwake } from "./awake.js";
import { allEntries, newJob, openJob, record, setTechnician, take, takeFile, technicianName } from "./journal.js";

/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("../state/steps.js").Step} Step */
/**
 * @typedef {object} Position
 * @property {Place[]} sides of the axle worked on
 * @property {Place | ""} side worked on; empty: all
 * @property {number} done
 * @property {number} open
 * @property {Step | null} current
 * @property {string} lastSigned
 */

const PER_PAGE =
  "This browser keeps the record of each page opened from disk apart, and a moved folder loses sight of it: save the job to a file.";

export class JobBar {
  /** @param {{print: () => void, chooseSide: (side: Place | "") => void, goToCurrent: () => void}} acts */
  constructor(acts) {
    this.acts = acts;
    this.line = element("p", "job-bar__message");
    this.line.setAttribute("role", "status");
    this.name = element("p", "job-bar__name");
    this.kept = element("p", "job-bar__kept");
    this.kept.setAttribute("role", "status");
    this.progress = element("p", "job-bar__progress");
    this.sides = element("div", "job-bar__sides");
    this.sides.setAttribute("role", "group");
    this.sides.ariaLabel = "Side worked on, as seen from the driver’s seat";
    this.next = button("job-bar__next", "", () => acts.goToCurrent());
    this.next.hidden = true; // it has no words before it is drawn
    /** Marks the place where the work was left; one tap, since whoever is called away has no time. */
    this.away = button("job-bar__away", "", async () => this.say(await record({ kind: "called-away" })));
    this.away.append(element("span", "job-bar__long", "Called "), "away");
    this.away.ariaLabel = "Called away";
    this.away.hidden = true;
    /** What other parts of the page keep in view: a running timer, a check that is open. */
    this.chips = element("div", "job-bar__chips");
    /** What else the panel offers for the open job. @type {{text: string, act: () => void}[]} */
    this.jobActs = [];
    this.toggle = button("job-bar__toggle", "Start a job", () => this.show(this.panel.hidden === true));
    this.panel = element("div", "job-bar__panel");
    this.panel.id = "job-panel";
    this.panel.hidden = true;
    this.toggle.setAttribute("aria-controls", this.panel.id);
    this.file = element("div", "job-bar__file", ...this.fileButtons());
    this.box = element(
      "section",
      "job-bar screen-only",
      this.panel,
      this.line,
      element(
        "div",
        "job-bar__row",
        element("div", "job-bar__state", this.name, this.progress, this.kept),
        this.chips,
        this.sides,
        this.next,
        this.away,
        this.toggle,
        this.file,
      ),
    );
    this.box.ariaLabel = "Job";
    this.box.addEventListener("keydown", ({ key }) => {
      if (key !== "Escape" || this.panel.hidden) return;
      this.show(false);
      this.toggle.focus();
    });
    onKeeping((keeping) => this.showKeeping(keeping));
    // What has the focus is not hidden by the bar, however much stands in it.
    new ResizeObserver(() =>
      document.documentElement.style.setProperty("scroll-padding-bottom", `${this.box.offsetHeight + 16}px`),
    ).observe(this.box);
  }

  fileButtons() {
    const picker = filePicker("Job file to open", (file) => this.openFile(file));
    return [
      button("job-bar__save", "Save to a file", () => this.saveFile()),
      button("job-bar__open", "Open a file", () => picker.click()),
      button("job-bar__print", "Print the sheet", this.acts.print),
      picker,
    ];
  }

  /** @param {string} text one line */
  say(text) {
    this.line.textContent = text;
  }

  /** @param {Position} position */
  draw({ sides, side, done, open, current, lastSigned }) {
    const job = openJob();
    this.name.textContent = job ? job.name : "No job open: nothing is recorded yet.";
    this.toggle.textContent = job ? "Job" : "Start a job";
    this.progress.textContent = job ? `${done} done, ${open} open${lastSigned ? ` · ${lastSigned}` : ""}` : `${done + open} steps`;
    this.kept.hidden = !job && this.keptOnDisk;
    this.next.hidden = this.away.hidden = !job;
    this.next.textContent = current ? `Go to ${current.number}` : "All steps done";
    this.next.disabled = !current;
    this.toggle.setAttribute("aria-expanded", String(!this.panel.hidden));
    this.drawSides(sides, side);
  }

  /** @param {Place[]} sides @param {Place | ""} side */
  drawSides(sides, side) {
    const choices = /** @type {(Place | "")[]} */ (openJob() && sides.length > 1 ? [...sides, ""] : []);
    if (this.sides.dataset.drawn === choices.join()) {
      for (const made of this.sides.children)
        made.setAttribute("aria-pressed", String(/** @type {HTMLElement} */ (made).dataset.side === side));
      return;
    }
    this.sides.dataset.drawn = choices.join();
    this.sides.replaceChildren(
      ...choices.map((choice) => {
        const made = button("job-bar__side", choice ? PLACE_NAMES[choice] : "All", () => this.acts.chooseSide(choice));
        made.dataset.side = choice;
        made.setAttribute("aria-pressed", String(choice === side));
        return made;
      }),
    );
  }

  keptOnDisk = true;
  /** What is typed into the form of a new job. */
  typed = { vehicle: "", name: "" };

  /** @param {import("../store/job-store.js").Keeping} keeping */
  showKeeping({ disk, reason, unsaved }) {
    this.keptOnDisk = disk;
    this.box.classList.toggle("job-bar--unsaved", !disk);
    this.kept.hidden = !openJob() && disk;
    this.kept.textContent = disk
      ? "Saved on this machine"
      : `NOT saved on this machine: ${reason}. ${unsaved ? "Entries are held in this page only. " : ""}Save the job to a file before you close it.`;
  }

  // ---------------------------------------------------------------- panel

  /** @param {boolean} open @param {string} [text] */
  async show(open, text = "") {
    this.panel.hidden = !open;
    this.toggle.setAttribute("aria-expanded", String(open));
    this.say(text);
    if (!open) return this.panel.replaceChildren();
    this.panel.replaceChildren(...(openJob() ? this.jobControls() : []), this.startForm(), await this.jobList());
    /** @type {HTMLElement | null} */ (this.panel.querySelector("input, button"))?.focus();
  }

  jobControls() {
    const name = textField("job-technician", "Technician", technicianName());
    const set = button("", "Use this name", () => {
      setTechnician(name.input.value.trim().slice(0, 200));
      this.say(`Entries from now on carry the name ${technicianName() || "of nobody"}.`);
    });
    const others = this.jobActs.map(({ text, act }) =>
      button("", text, () => {
        this.show(false, "");
        act();
      }),
    );
    return [
      element("h2", "job-bar__title", "This job"),
      name.box,
      element(
        "div",
        "job-bar__row",
        set,
        ...others,
        awakeButton((text) => this.say(text)),
      ),
    ];
  }

  startForm() {
    const vehicle = textField("job-vehicle", "Vehicle, as the shop calls it", this.typed.vehicle);
    const name = textField("job-name", "Technician", this.typed.name || technicianName());
    // The panel is drawn anew each time it is shown, also by a tap on a step while this is being filled in.
    vehicle.input.addEventListener("input", () => void (this.typed.vehicle = vehicle.input.value));
    name.input.addEventListener("input", () => void (this.typed.name = name.input.value));
    const form = element("form", "job-bar__start");
    form.noValidate = true;
    const start = element("button", "", "Start the job");
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      const missing = [vehicle, name].find(({ input }) => !input.value.trim());
      if (missing) {
        this.say(missing === vehicle ? "Enter the vehicle, for example: red van, bay 2." : "Enter your name, for example: A. Sample.");
        return missing.input.focus();
      }
      setTechnician(name.input.value.trim().slice(0, 200));
      await newJob(vehicle.input.value.trim().slice(0, 180));
      this.typed = { vehicle: "", name: "" };
      this.show(false, "");
      this.toggle.focus();
    });
    form.append(
      element("h2", "job-bar__title", openJob() ? "Another job" : "Start a job"),
      vehicle.box,
      ...(openJob() ? [] : [name.box]),
      start,
    );
    return form;
  }

  async jobList() {
    const others = (await jobs()).filter(({ id }) => id !== openJob()?.id);
    const box = element("div", "job-bar__jobs");
    if (others.length) {
      box.append(
        element("h2", "job-bar__title", "Jobs kept here"),
        element(
          "ul",
          "",
          ...others.slice(0, 20).map((job) =>
            element(
              "li",
              "",
              button("", `Go on with ${job.name}`, async () => {
                await take(job);
                this.show(false, "");
                this.toggle.focus();
              }),
            ),
          ),
        ),
      );
      if (others.length > 20) box.append(element("p", "", `${others.length - 20} older jobs are kept and not listed.`));
    }
    box.append(element("p", "job-bar__note", "LF, RF, LR, RR: left and right, front and rear, as seen from the driver’s seat."));
    if (location.protocol === "file:" && navigator.userAgent.includes("Firefox/")) box.append(element("p", "job-bar__per-page", PER_PAGE));
    return box;
  }

  // ---------------------------------------------------------------- file

  saveFile() {
    const job = openJob();
    if (!job) return this.show(true, "Start a job first; then it can be saved to a file.");
    download(fileName(job), writeJob(job, allEntries()));
    this.say(`The job goes to the file ${fileName(job)} in the browser’s download folder.`);
  }

  /** @param {File} file */
  async openFile(file) {
    try {
      const { job, entries } = await readJobFile(file);
      const fresh = await takeFile(job, entries);
      this.show(false, `${job.name}: ${fresh} new of ${entries.length} entries taken from the file.`);
    } catch (error) {
      const line = refusalLine(error, JobFileError, "Open a file that the handbook saved.");
      this.say(line.startsWith(`${file.name}: `) ? line : `${file.name}: ${line}`);
    }
  }
}

/** @param {(text: string) => void} say */
function awakeButton(say) {
  const made = button("", "Keep the screen on", async () => {
    if (!(await keepAwake(!isAwake())))
      say("This browser does not let the page keep the screen on here. Set the machine’s own screen time-out.");
    made.setAttribute("aria-pressed", String(isAwake()));
  });
  made.setAttribute("aria-pressed", String(isAwake()));
  return made;
}
