// @ts-check
/**
 * Timers of the steps that wait: one a place, several at once. The time of starting is kept as a draft of the job, so a
 * reload changes nothing. A timer that was stopped or has run out goes into the record; signing stays the reader's.
 */

import { now } from "../core/entries.js";
import { button } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { bringIntoView } from "../lib/scroll.js";
import { PLACE_NAMES, placesOf } from "../state/steps.js";
import { keepAtOnce, keptDrafts } from "../store/drafts.js";
import { keepSetting, setting } from "../store/job-store.js";
import { allEntries, openJob, recordAt } from "./journal.js";

/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("../state/steps.js").Step} Step */
/** @typedef {import("../job-page.js").JobPage} JobPage */
/** @typedef {{step: Step, place: Place, start: number, up: boolean}} Timer start in ms; up: it has run out and was not seen yet */

const MUTE = "timer-mute";
const TICK = 250; // ms

/** @param {JobPage} page */
export function startTimers(page) {
  const timed = page.steps.filter(({ seconds }) => seconds > 0);
  if (timed.length) new Timers(page, timed).start();
}

class Timers {
  /** @param {JobPage} page @param {Step[]} steps */
  constructor(page, steps) {
    this.page = page;
    this.steps = steps;
    /** @type {Map<string, Timer>} */
    this.running = new Map();
    /** Where the seconds are shown, by timer. @type {Map<string, HTMLElement[]>} */
    this.shown = new Map();
    this.job = "";
    this.mute = false;
    /** @type {AudioContext | null} */
    this.sound = null;
    this.said = element("p", "unseen");
    this.said.setAttribute("role", "status");
    /** @type {Map<Step, HTMLElement>} */
    this.boxes = new Map(steps.map((step) => [step, element("div", "timer screen-only")]));
  }

  async start() {
    this.page.bar.box.append(this.said);
    for (const [step, box] of this.boxes) step.box.querySelector(".step__timer")?.after(box);
    document.addEventListener("handbook:drawn", () => this.follow());
    setInterval(() => this.tick(), TICK);
    this.mute = (await setting(MUTE)) === "yes";
    this.draw();
  }

  /** The page was drawn anew: another job brings its own timers, and a place that is done needs none. */
  async follow() {
    const job = openJob()?.id ?? "";
    if (job !== this.job) {
      this.job = job;
      this.running.clear();
      const kept = job ? await keptDrafts(this.prefix()) : new Map();
      if (job !== this.job) return;
      const inOrder = [...kept].sort(([, a], [, b]) => startOf(a) - startOf(b));
      for (const [key, text] of inOrder) this.restore(key.slice(this.prefix().length), text);
    }
    for (const [key, { step, place, up }] of this.running) if (up && this.page.signing().progress.isDone(step, place)) this.forget(key);
    this.draw();
  }

  prefix() {
    return `${this.job}/${this.page.article.dataset.procedure}/timer#`;
  }

  /** @param {string} key @param {string} text */
  restore(key, text) {
    const [address, place] = key.split(" ");
    const step = this.steps.find((each) => each.address === address);
    const start = startOf(text);
    if (!step || !(start > 0 && start <= Date.now() + 60_000) || !Object.hasOwn(PLACE_NAMES, place)) return;
    this.running.set(key, { step, place: /** @type {Place} */ (place), start, up: text.startsWith("up ") });
  }

  /** @param {Step} step @param {Place} place */
  begin(step, place) {
    if (!openJob()) return this.page.needJob();
    const start = Date.now();
    this.running.set(keyOf(step, place), { step, place, start, up: false });
    keepAtOnce(this.prefix() + keyOf(step, place), String(start));
    this.wakeSound();
    this.draw();
    this.focus(step, place);
  }

  /** @param {string} key */
  forget(key) {
    this.running.delete(key);
    keepAtOnce(this.prefix() + key, "");
  }

  /** Stopped by hand, or run out. @param {string} key @param {Timer} timer @param {boolean} up */
  async end(key, timer, up) {
    const { step, place, start } = timer;
    const seconds = up ? step.seconds : Math.round((Date.now() - start) / 1000);
    if (up) {
      timer.up = true;
      keepAtOnce(this.prefix() + key, `up ${start}`);
      this.said.textContent = `Time is up: ${step.number} ${PLACE_NAMES[place]}.`;
      if (Date.now() - start < (step.seconds + 5) * 1000) this.beep();
    } else this.forget(key);
    this.draw();
    const started = now(new Date(start));
    // Another tab may have seen it run out first.
    if (allEntries().some(({ kind, typed, step: at }) => kind === "timed" && typed.started === started && at === step.address)) return;
    await recordAt(step, place, {
      kind: "timed",
      typed: { planned_s: step.seconds, seconds, started, shown: `${inWords(seconds)} of ${inWords(step.seconds)}` },
    });
  }

  tick() {
    for (const [key, timer] of this.running) {
      if (timer.up) continue;
      // A page behind another leaves it to the one in view.
      const late = document.visibilityState === "visible" ? 0 : 3000;
      if (Date.now() - timer.start >= timer.step.seconds * 1000 + late) this.end(key, timer, true);
      else for (const box of this.shown.get(key) ?? []) show(box, left(timer));
    }
  }

  // ---------------------------------------------------------------- drawing

  draw() {
    this.shown.clear();
    for (const [step, box] of this.boxes) this.drawStep(step, box);
    const had = this.page.bar.chips.contains(document.activeElement);
    for (const old of this.page.bar.chips.querySelectorAll(".timer-chip")) old.remove();
    for (const [key, timer] of this.running) this.page.bar.chips.append(this.chip(key, timer));
    if (had) /** @type {HTMLElement | null} */ (this.page.bar.chips.querySelector("button"))?.focus();
  }

  /** @param {Step} step @param {HTMLElement} box */
  drawStep(step, box) {
    const { progress } = this.page.signing();
    const places = placesOf(step, progress.axle).filter(
      (place) => this.page.placesNow(step).includes(place) || this.running.has(keyOf(step, place)),
    );
    const state = JSON.stringify([this.mute, places.map((place) => [place, this.running.get(keyOf(step, place))?.up])]);
    box.classList.toggle(
      "timer--busy",
      places.some((place) => this.running.has(keyOf(step, place))),
    );
    if (box.dataset.state !== state) {
      box.dataset.state = state;
      const mute = button("timer__sound", `Sound at the end: ${this.mute ? "off" : "on"}`, () => {
        this.mute = !this.mute;
        keepSetting(MUTE, this.mute ? "yes" : "");
        this.draw();
        /** @type {HTMLElement | null} */ (box.querySelector(".timer__sound"))?.focus({ preventScroll: true });
      });
      box.replaceChildren(...places.map((place) => this.row(step, place)), mute);
    }
    for (const place of places) {
      const shown = /** @type {HTMLElement | null} */ (box.querySelector(`[data-place="${place}"] > .timer__left[role="timer"]`));
      if (shown) this.shown.set(keyOf(step, place), [shown]);
    }
  }

  /** @param {Step} step @param {Place} place */
  row(step, place) {
    const key = keyOf(step, place);
    const timer = this.running.get(key);
    const name = PLACE_NAMES[place];
    const time = element("span", "timer__left", timer?.up ? "Time is up" : timer ? left(timer) : digits(step.seconds));
    if (timer && !timer.up) time.setAttribute("role", "timer");
    const act = !timer
      ? button("", `Start ${name}`, () => this.begin(step, place))
      : button("", timer.up ? `Seen, ${name}` : `Stop ${name}`, () => {
          if (timer.up) {
            this.forget(key);
            this.draw();
          } else this.end(key, timer, false);
          this.focus(step, place);
        });
    act.ariaLabel = `${act.textContent}, timer of step ${step.number}`;
    const row = element(
      "div",
      `timer__row${timer ? (timer.up ? " timer__row--up" : " timer__row--running") : ""}`,
      element("b", "", name),
      time,
      act,
    );
    row.dataset.place = place;
    return row;
  }

  /** @param {string} key @param {Timer} timer */
  chip(key, timer) {
    const { step, place, up } = timer;
    const time = element("span", "timer-chip__left", up ? "time is up" : left(timer));
    const chip = button(`timer-chip${up ? " timer-chip--up" : ""}`, `${step.number} ${PLACE_NAMES[place]} `, () => {
      bringIntoView(step.box, "center");
      this.focus(step, place);
    });
    chip.append(time);
    if (!up) this.shown.get(key)?.push(time);
    return chip;
  }

  /** @param {Step} step @param {Place} place */
  focus(step, place) {
    /** @type {HTMLElement | null | undefined} */ (this.boxes.get(step)?.querySelector(`[data-place="${place}"] > button`))?.focus({
      preventScroll: true,
    });
  }

  // ---------------------------------------------------------------- sound

  /** A browser lets a page sound only after a touch; the touch is Start. */
  wakeSound() {
    if (this.mute) return;
    try {
      this.sound ??= new AudioContext();
      this.sound.resume().catch(() => {});
    } catch {
      this.sound = null; // no sound here: the sign on the page has to do
    }
  }

  beep() {
    const sound = this.sound;
    if (this.mute || sound?.state !== "running") return;
    for (const at of [0, 0.35, 0.7]) {
      const tone = sound.createOscillator();
      const volume = sound.createGain();
      volume.gain.value = 0.3;
      tone.frequency.value = 880;
      tone.connect(volume).connect(sound.destination);
      tone.start(sound.currentTime + at);
      tone.stop(sound.currentTime + at + 0.2);
    }
  }
}

/** @param {Step} step @param {Place} place */
const keyOf = (step, place) => `${step.address} ${place}`;

/** @param {string} text as it is kept */
const startOf = (text) => Number(text.replace("up ", ""));

/** @param {Timer} timer */
function left({ step, start }) {
  return digits(Math.max(0, Math.ceil(step.seconds - (Date.now() - start) / 1000)));
}

/** @param {HTMLElement} box @param {string} text */
function show(box, text) {
  if (box.textContent !== text) box.textContent = text;
}

/** As 9:43 or 1:04:05. @param {number} seconds */
function digits(seconds) {
  const two = (/** @type {number} */ n) => String(n).padStart(2, "0");
  const hours = Math.floor(seconds / 3600);
  const minutes = Math.floor(seconds / 60) % 60;
  return `${hours ? `${hours}:${two(minutes)}` : minutes}:${two(seconds % 60)}`;
}

/** As 10 min 4 s. @param {number} seconds */
export function inWords(seconds) {
  const parts = [
    [Math.floor(seconds / 3600), "h"],
    [Math.floor(seconds / 60) % 60, "min"],
    [seconds % 60, "s"],
  ];
  return (
    parts
      .filter(([count]) => count)
      .map(([count, unit]) => `${count} ${unit}`)
      .join(" ") || "0 s"
  );
}
