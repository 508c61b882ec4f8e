// @ts-check
/**
 * After an interruption: where the work stood, to be looked at line by line before it goes on. An interruption is a mark
 * «called away», or two hours without an entry. What is asked and what was answered follows from the entries alone.
 */

import { inOrder, now, standing } from "../core/entries.js";
import { button } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { bringIntoView } from "../lib/scroll.js";
import { stateOf } from "../state/effects.js";
import { clock, says } from "../state/entry-text.js";
import { AFTER_INTERRUPTION, PLACE_NAMES, Progress, stepAt } from "../state/steps.js";
import { allEntries, isUnderWay, openJob, record, recordAt, withdraw } from "./journal.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("../state/steps.js").Step} Step */
/** @typedef {import("../job-page.js").JobPage} JobPage */
/** @typedef {{name: string, place: Place}} Condition a fastener or a joint */
/** @typedef {{before: Entry[], last: Entry, away: boolean, since: Entry[]}} Interruption entries up to it, and those after */
/** @typedef {{step: Step, place: Place, entry: Entry, loose: Condition[], open: Condition[]}} Line */

const LONG = 2 * 3600_000; // ms without an entry
const MISTAKEN = 60_000; // ms in which a mark can be taken back
const SETTLE = 300; // ms until the layout of a job that is taken up is drawn
const WORK = ["done", "result", "torque", "finding", "text", "override"];

/** @param {JobPage} page */
export function startResume(page) {
  const check = new Check(page);
  page.checkOpen = () => check.chip.isConnected;
  document.addEventListener("handbook:drawn", () => check.follow());
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && check.follow());
  page.bar.jobActs.push({ text: "Where the work stood", act: () => check.reopen() });
}

/**
 * The last interruption that nobody came back from.
 * @param {Entry[]} all @param {number} time now, in ms @param {boolean} [answered] also one that was answered
 * @returns {Interruption | null}
 */
export function interruptionIn(all, time, answered = false) {
  const entries = inOrder(all);
  const counts = new Set(standing(all).map(({ id }) => id));
  for (let at = entries.length - 1; at >= 0; at -= 1) {
    const { kind, id } = entries[at];
    const ends = counts.has(id) && (kind === "back" || kind === "complete");
    if (kind === "complete" && ends && at === entries.length - 1) return null;
    const until = at + 1 < entries.length ? Date.parse(entries[at + 1].time) : time;
    const away = kind === "called-away" && counts.has(id);
    if (away || until - Date.parse(entries[at].time) >= LONG)
      return { before: entries.slice(0, at + 1), last: entries[at], away, since: entries.slice(at + 1) };
    if (ends && !answered) return null;
  }
  return null;
}

class Check {
  /** @param {JobPage} page */
  constructor(page) {
    this.page = page;
    this.job = "";
    this.state = "";
    /** Asked for by hand where no interruption is open. @type {Interruption | null} */
    this.asked = null;
    this.box = element("section", "resume screen-only");
    this.box.ariaLabel = "After an interruption";
    this.box.tabIndex = -1;
    this.holder = element("li", "resume-holder", this.box);
    this.chip = button("job-bar__check", "", () => this.show());
    this.chip.title = "Check after the interruption";
    /** The interruption that is shown, or was folded. */
    this.seen = "";
  }

  follow() {
    const job = openJob();
    if (job?.id !== this.job) {
      this.job = job?.id ?? "";
      this.hide();
    }
    const found = this.found();
    const lines = found ? this.lines(found) : [];
    const open = lines.filter((line) => found && !this.answer(line, found)).length;
    const asks = found && (found.away || lines.length > 0) && !this.asked;
    if (asks && lines.length && !open && document.visibilityState === "visible") return this.back();
    if (asks) {
      this.chip.textContent = lines.length ? `Check: ${open} open` : "Check: open";
      if (!this.chip.isConnected) this.page.bar.chips.append(this.chip);
    } else this.chip.remove();
    if (asks && found.last.id !== this.seen) {
      this.seen = found.last.id;
      setTimeout(() => this.seen === found.last.id && this.show(!/^#(?!layout=)/.test(location.hash)), SETTLE);
    }
    if (!found || (!this.holder.isConnected && !this.box.isConnected)) return this.hide();
    this.draw(found, lines);
  }

  /** @returns {Interruption | null} */
  found() {
    if (!this.job) return null;
    if (!this.asked) return interruptionIn(allEntries(), Date.now());
    const before = this.asked.before.length;
    return { ...this.asked, since: inOrder(allEntries()).slice(before) };
  }

  reopen() {
    const all = inOrder(allEntries());
    const last = all.at(-1);
    if (!this.found()) this.asked = interruptionIn(all, Date.now(), true) ?? (last ? { before: all, last, away: false, since: [] } : null);
    this.show();
  }

  /** Put the lines before the step at hand, where the eye is; nothing is locked. @param {boolean} [go] bring them into view */
  show(go = true) {
    const current = this.page.open()[0];
    if (current) {
      this.holder.append(this.box);
      current.box.before(this.holder);
    } else this.page.bar.box.before(this.box);
    this.state = "";
    this.follow();
    if (!go || !this.box.isConnected) return;
    bringIntoView(this.box, "start");
    this.box.focus({ preventScroll: true });
  }

  hide() {
    this.holder.remove();
    this.box.remove();
    this.asked = null;
    this.state = "";
  }

  async back() {
    if (isUnderWay(null, null)) return;
    this.hide();
    this.chip.remove();
    this.page.bar.say((await record({ kind: "back" })) || "Back at the job: every line was looked at.");
    this.page.bar.acts.goToCurrent();
  }

  // ---------------------------------------------------------------- what is asked

  /** The last three places that were settled, and what was loose or open. @param {Interruption} found @returns {Line[]} */
  lines({ before }) {
    const { steps } = this.page;
    const then = new Progress(standing(before), this.page.signing().progress.axle, steps);
    /** @type {Map<string, Line>} */
    const lines = new Map();
    for (const entry of standing(before).reverse()) {
      const step = stepAt(steps, entry.step);
      if (lines.size === 3 || !step || !entry.place || !WORK.includes(entry.kind) || entry.typed.note || !then.isDone(step, entry.place))
        continue;
      if (!lines.has(`${step.address} ${entry.place}`))
        lines.set(`${step.address} ${entry.place}`, { step, place: entry.place, entry, loose: [], open: [] });
    }
    const { loose, open } = stateOf(then, steps);
    for (const [kind, all] of /** @type {const} */ ([
      ["loose", loose],
      ["open", open],
    ])) {
      for (const { name, place, step } of all) {
        const key = `${step.address} ${place}`;
        const entry =
          lines.get(key)?.entry ??
          then
            .at(step.address, place)
            .filter((each) => WORK.includes(each.kind))
            .at(-1);
        if (!entry) continue;
        const line = lines.get(key) ?? { step, place, entry, loose: [], open: [] };
        line[kind].push({ name, place });
        lines.set(key, line);
      }
    }
    return [...lines.values()];
  }

  /** @param {Line} line @param {Interruption} found @returns {string} empty: not answered */
  answer({ step, place, entry, loose, open }, { since }) {
    const valid = new Set(standing(allEntries()).map(({ id }) => id));
    const look = since.find(({ kind, typed, id }) => kind === "verified" && typed.verifies === entry.id && valid.has(id));
    if (look) return `Still so, ${clock(look, now().slice(0, 10))}, ${look.by}`;
    if (!valid.has(entry.id)) return "Not so: the step is open again";
    if (!loose.length && !open.length) return "";
    const state = stateOf(this.page.signing().progress, this.page.steps);
    /** @param {Condition[]} asked @param {Condition[]} left */
    const gone = (asked, left) => asked.every(({ name }) => !left.some((each) => each.name === name && each.place === place));
    return gone(loose, state.loose) && gone(open, state.open) && step.box ? "No longer so: worked on since" : "";
  }

  // ---------------------------------------------------------------- drawing

  /** @param {Interruption} found @param {Line[]} lines */
  draw(found, lines) {
    const answers = lines.map((line) => this.answer(line, found));
    const state = JSON.stringify([found.last.id, lines.map(({ entry }) => entry.id), answers]);
    if (state === this.state) return;
    this.state = state;
    const had = this.box.contains(document.activeElement);
    const head = element(
      "h3",
      "",
      found.away
        ? `Called away at ${clock(found.last, now().slice(0, 10))}`
        : `Where the work stood at ${clock(found.last, now().slice(0, 10))}`,
    );
    const acts = [
      button("", "Close for now", () => {
        this.hide();
        this.page.bar.acts.goToCurrent();
      }),
    ];
    if (found.away && !found.since.length && Date.now() - Date.parse(found.last.time) < MISTAKEN)
      acts.unshift(button("", "I was not called away", () => withdraw(found.last)));
    this.box.replaceChildren(
      head,
      ...this.says(found, lines, acts),
      element("ul", "", ...lines.map((line, index) => this.line(line, answers[index]))),
      element("div", "resume__acts", ...acts),
    );
    if (had) /** @type {HTMLElement} */ (this.box.querySelector(".resume__line button") ?? this.box).focus({ preventScroll: true });
  }

  /** @param {Interruption} found @param {Line[]} lines @param {HTMLElement[]} acts */
  says({ before }, lines, acts) {
    if (lines.length)
      return [
        element("p", "", "Look at each of these on the vehicle and answer it before you go on. What is loosened may still be loose."),
      ];
    const other = standing(before)
      .filter(({ step }) => step)
      .at(-1);
    if (other && other.procedure !== this.page.article.dataset.procedure)
      return [element("p", "", `The work stood in procedure ${other.procedure ?? "of another page"}: answer the check there.`)];
    acts.unshift(button("", "Back at the job", () => this.back()));
    return [element("p", "", "Nothing of this page was signed before.")];
  }

  /** @param {Line} line @param {string} answer */
  line({ step, place, entry, loose, open }, answer) {
    const link = element("a", "", step.number);
    link.href = `#${step.box.id}`;
    const what = element(
      "p",
      "",
      element("b", "", PLACE_NAMES[place]),
      " ",
      link,
      ` ${step.does} `,
      element("span", "resume__entry", `(${says(entry)}, ${clock(entry, now().slice(0, 10))}, ${entry.by})`),
    );
    for (const { name } of loose) what.append(" ", element("b", "", `Loose: ${name}.`));
    for (const { name } of open) what.append(" ", element("b", "", `Open: ${name}.`));
    const made = element("li", "resume__line", what);
    if (answer) {
      made.append(element("span", "resume__answer", answer));
      return made;
    }
    const still = button("", "Still so", async () => {
      if (!isUnderWay(step.address, place))
        this.page.bar.say(await recordAt(step, place, { kind: "verified", typed: { verifies: entry.id, look: AFTER_INTERRUPTION } }));
    });
    const not = button("", "Not so", async () => {
      if (!isUnderWay(step.address, place)) this.page.bar.say(await withdraw(entry));
    });
    still.ariaLabel = `Still so: step ${step.number} ${PLACE_NAMES[place]}`;
    not.ariaLabel = `Not so, open it again: step ${step.number} ${PLACE_NAMES[place]}`;
    made.append(element("div", "resume__acts", still, not));
    return made;
  }
}
