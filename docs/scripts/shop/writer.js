// @ts-check
/**
 * The page writer: a shop's procedure or page as a form or as text, checked and shown by the build's own Python while it
 * is written, and saved with all the others into one file. What is typed is a file's text at once, and kept in this
 * browser at once; Python comes when it comes, and draws over nothing that is being written.
 */

import { plainYaml } from "../core/plain-yaml.js";
import { decoded } from "../lib/address.js";
import { cleaned } from "../lib/clean.js";
import { button, textField } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { download, filePicker, slug } from "../lib/files.js";
import { askModule, need, onState, retry } from "../python/runtime.js";
import { keepAtOnce, keptDrafts } from "../store/drafts.js";
import { metaContent } from "../store/handbook-data.js";
import { onKeeping, openStore } from "../store/job-store.js";
import { addressOf, held, saysOf, shopData, written } from "../store/shop-data.js";
import { drawProcedureForm } from "./writer-form.js";

/** @typedef {import("../store/shop-data.js").OwnPage} OwnPage */
/** @typedef {{step: number, entry: string, place: string, message: string, example: string}} InForm a problem in the words of the form */
/** @typedef {{file: string, line: number, column: number, message: string, example: string, form?: InForm | null}} Problem */
/** @typedef {{problems: Problem[], data: any, page: OwnPage | null, vehicles: any[]}} Look */
/** @typedef {Record<string, string[][]>} Choices */

const MODULE = "build_tools.pages.page_writer";
const PATIENCE = 60_000; // ms for one look: it loads and checks the handbook the first time
const LONGEST_NAME = 60; // characters of a file's name
const REST = 500; // ms after the last key
const DRAFTS = "writer/";
const NEW = "writer-new/"; // the form of a new page
// Drafts without text are forgotten, so these stand for a page that was taken out, and for one with nothing in it.
const REMOVED = "\u0000removed";
const EMPTY = "\u0000empty";
/** A procedure that is complete but for its words. */
const FRESH = {
  purpose: "",
  end_state: "",
  people: { count: "1", skill: "technician trained on brakes", minutes: "30" },
  conditions: ["The maker's instructions for this vehicle are at hand."],
  tools: "none",
  supplies: "none",
  cautions: ["not-the-makers-manual"],
};

/** Take up the page writer of this page, if it has one. */
export async function startWriter() {
  const box = /** @type {HTMLElement | null} */ (document.querySelector(".writer"));
  if (!box) return;
  await openStore();
  const writer = new Writer(box, await unsaved(), await keptDrafts(NEW));
  need("writer", PATIENCE);
  onState((state) => writer.showState(state));
  box.hidden = false;
  await writer.askChoices();
}

/** What was written and does not stand in shop-data.js yet; a draft ends when the file that is read holds it. @returns {Promise<[string, string][]>} */
async function unsaved() {
  const { files } = shopData();
  const all = [...(await keptDrafts(DRAFTS))]
    .map(([key, text]) => /** @type {[string, string]} */ ([key.slice(DRAFTS.length), text]))
    .filter(([, text]) => text);
  return all.filter(([name, text]) => {
    const isSaved = text === REMOVED ? !(name in files) : files[name] === textOf(text);
    if (isSaved) keepAtOnce(DRAFTS + name, "");
    return !isSaved;
  });
}

/** @param {string} draft */
const textOf = (draft) => (draft === EMPTY ? "" : draft);

class Writer {
  /** @param {HTMLElement} box @param {[string, string][]} unsaved files by name @param {Map<string, string>} started of the form of a new page */
  constructor(box, unsaved, started) {
    this.box = box;
    const { files, pages } = shopData();
    /** @type {Record<string, string>} */
    this.files = { ...files };
    this.changed = new Set(unsaved.map(([file]) => file));
    for (const [file, text] of unsaved) this.take(file, text);
    this.pages = new Map(pages.filter(({ file }) => !this.changed.has(file)).map((page) => [page.file, page]));
    /** The file that is open. */
    this.at = "";
    /** @type {Choices | null} */
    this.choices = null;
    /** What was found, and of which text. @type {(Look & {of: string}) | null} */
    this.seen = null;
    /** Whether the writer wants text where a form is to be had. */
    this.asText = false;
    /** What stands in the editor. @type {"" | "form" | "text"} */
    this.shows = "";
    this.timer = 0;
    this.state = element("p", "writer__state");
    this.state.setAttribute("role", "status");
    this.unkept = element("p", "writer__unkept");
    this.unkept.setAttribute("role", "status");
    this.listed = element("div", "writer__listed");
    this.other = element("p", "writer__other");
    this.other.setAttribute("role", "status");
    this.tabs = element("div", "writer__tabs");
    this.editor = element("div", "writer__editor");
    this.work = element("div", "writer__work");
    this.problems = element("div", "writer__problems");
    this.problems.setAttribute("role", "status");
    this.preview = element("div", "writer__preview");
    this.line = element("p", "writer__line");
    this.line.setAttribute("role", "status");
    // Made once: nothing that is drawn anew takes what is typed in it along.
    const list = element("div", "writer__list", element("h2", "", "1 Which page"), this.shopName(), this.listed, this.newForm(started));
    box.append(this.state, this.unkept, list, this.work, this.problems, this.preview, this.saveBox());
    onKeeping(({ disk, reason }) => {
      this.unkept.textContent = disk
        ? ""
        : `What you write is NOT kept on this machine: ${reason}. Save shop-data.js before you close this page.`;
    });
    this.listenToOtherTabs();
    this.drawList();
  }

  /** @param {import("../python/runtime.js").State} state */
  showState({ phase, share = 0, megabytes = 0, reason = "" }) {
    const words = {
      idle: "",
      ready: "",
      starting: "Starting the checks.",
      loading: `Loading the checks: ${Math.round(share * 100)} % of ${megabytes.toFixed(1)} MB.`,
      failed: `The checks did not start: ${reason} `,
      unsupported: `This browser cannot check pages: it has no ${reason}.`,
    };
    this.state.replaceChildren(words[phase], ...(phase === "failed" ? [button("", "Try again", retry)] : []));
  }

  /** What the form offers; a page that is open by then gets it. */
  async askChoices() {
    const answer = await askModule(MODULE, { choices: {} }, {});
    this.choices = answer?.result ?? null;
    if (answer?.problem) this.line.textContent = sentence(answer.problem);
    this.offerForm();
  }

  // ---------------------------------------------------------------- which page

  drawList() {
    const items = Object.keys(this.files)
      .filter((name) => name !== "shop.yml")
      .sort()
      .map((name) => {
        const open = button(name === this.at ? "button--primary" : "", name.replace(/\.(yml|md|json)$/, "").replace("/", ": "), () =>
          this.open(name),
        );
        open.setAttribute("aria-pressed", String(name === this.at));
        const row = element("li", "", open, this.changed.has(name) ? " not saved yet " : " ");
        const page = this.pages.get(name);
        if (page && !this.changed.has(name)) {
          const link = element("a", "", "see it");
          link.href = addressOf(name);
          row.append(link);
        }
        return row;
      });
    const file = held();
    this.listed.replaceChildren(
      items.length ? element("ul", "writer__files", ...items) : element("p", "", "This shop has no pages of its own yet."),
      ...(file ? [element("p", "writer__held", saysOf(file))] : []),
    );
  }

  /** Stands at the top of each of its pages. */
  shopName() {
    const name = textField("writer-shop", "Name of the shop", "", 100);
    name.input.value = /^name: "?(.*?)"?$/m.exec(this.files["shop.yml"] ?? "")?.[1] ?? "";
    name.input.addEventListener("input", () => {
      if (!name.input.value.trim()) return;
      this.put("shop.yml", `name: ${JSON.stringify(name.input.value.trim())}\n`);
      if (this.at) this.lookSoon();
    });
    return name.box;
  }

  /** @param {Map<string, string>} started */
  newForm(started) {
    const title = textField("writer-title", "Title of a new page", started.get(`${NEW}title`) ?? "", 100);
    const kind = element("select");
    kind.append(new Option("a procedure with steps", "procedures/.yml"), new Option("a plain page of text", "pages/.md"));
    kind.ariaLabel = "Kind of page";
    if (started.get(`${NEW}kind`)) kind.value = started.get(`${NEW}kind`) ?? "";
    if (!kind.value) kind.selectedIndex = 0;
    title.input.addEventListener("input", () => keepAtOnce(`${NEW}title`, title.input.value));
    kind.addEventListener("change", () => keepAtOnce(`${NEW}kind`, kind.value));
    const line = element("p", "step__problem");
    const start = button("", "Start it", () => {
      const words = title.input.value.trim();
      const id = slug(words, LONGEST_NAME);
      if (!id) return void (line.textContent = "Give it a title first, for example: After a loose wheel.");
      const file = kind.value.replace("/", `/${id}`);
      if (file in this.files) return void (line.textContent = `There is a page of that name already: ${file}.`);
      line.textContent = "";
      const today = new Date().toISOString().slice(0, 10);
      if (file.endsWith(".md")) this.put(file, `# ${words}\n\n`);
      else
        this.putData(file, {
          id,
          title: words,
          ...FRESH,
          changes: [{ revision: "1", date: today, reason: "First issue." }],
          sources: "common-practice",
          steps: [{ id: "first-step", do: "" }],
        });
      title.input.value = "";
      keepAtOnce(`${NEW}title`, "");
      this.open(file);
    });
    return element("div", "writer__new", title.box, kind, start, this.sheetButton(), line);
  }

  /** A vehicle's sheet, as a job saves it, becomes part of this copy. */
  sheetButton() {
    const picker = filePicker("Vehicle sheet", async (file) => {
      try {
        const sheet = JSON.parse(await file.text());
        const name = `vehicles/${slug(String(sheet.id), LONGEST_NAME)}.json`;
        this.put(name, `${JSON.stringify(sheet, null, 1)}\n`);
        this.open(name);
      } catch {
        this.line.textContent = "This is no vehicle sheet. Open a file that a job saved, such as vehicle-red-van.json.";
      }
    });
    return element(
      "span",
      "",
      button("", "Take in a vehicle sheet", () => picker.click()),
      picker,
    );
  }

  // ---------------------------------------------------------------- writing

  /** Show a page at once, as text until it can be a form. @param {string} file */
  open(file) {
    this.at = file;
    this.seen = null;
    this.other.replaceChildren();
    this.problems.replaceChildren();
    this.preview.replaceChildren();
    this.drawList();
    this.work.replaceChildren(
      element("h2", "", "2 Write"),
      this.other,
      this.tabs,
      this.editor,
      button("", "Take this page out", () => this.remove()),
    );
    this.showText();
    this.work.querySelector("h2")?.scrollIntoView({ block: "nearest" });
    return this.look();
  }

  close() {
    this.at = this.shows = "";
    this.seen = null;
    clearTimeout(this.timer);
    for (const part of [this.work, this.problems, this.preview]) part.replaceChildren();
    this.drawList();
  }

  /** Whether what was found is of the text as it stands, and a form can hold it. */
  canBeForm() {
    return (
      this.at.startsWith("procedures/") &&
      this.choices !== null &&
      this.seen?.of === this.files[this.at] &&
      Array.isArray(this.seen?.data?.steps)
    );
  }

  /** A form is to be had by now: draw it, unless somebody is at the text. */
  offerForm() {
    if (this.canBeForm() && this.shows === "text" && !this.asText && !this.isAtText()) this.showForm();
    this.drawTabs();
  }

  showText() {
    this.shows = "text";
    this.editor.replaceChildren(this.textBox());
    this.drawTabs();
    if (this.seen) this.drawProblems(this.seen.problems);
  }

  showForm() {
    this.shows = "form";
    this.editor.replaceChildren(this.form());
    this.drawTabs();
    if (this.seen) this.drawProblems(this.seen.problems);
  }

  /** The tabs stand where there is a choice: the form is shown, or can be. */
  drawTabs() {
    const choice =
      this.shows === "form" || (this.at.startsWith("procedures/") && this.choices !== null && Array.isArray(this.seen?.data?.steps));
    const had = this.tabs.contains(document.activeElement) ? document.activeElement?.textContent : "";
    this.tabs.replaceChildren(...(choice ? [this.tab("Form", "form"), this.tab("Text", "text")] : []));
    if (had) [...this.tabs.querySelectorAll("button")].find(({ textContent }) => textContent === had)?.focus();
  }

  /** @param {string} name @param {"form" | "text"} kind */
  tab(name, kind) {
    const made = button("", name, async () => {
      this.asText = kind === "text";
      if (kind === this.shows) return;
      if (kind === "text") return this.showText();
      // The form is made of the text as it stands, so that nothing written last is missing in it.
      if (!this.canBeForm()) await this.look();
      this.offerForm();
    });
    made.setAttribute("aria-pressed", String(kind === this.shows));
    return made;
  }

  textBox() {
    const box = element("textarea", "writer__text");
    Object.assign(box, { value: this.files[this.at] ?? "", rows: 24, spellcheck: true, wrap: "off" });
    box.ariaLabel = `Text of ${this.at}`;
    box.addEventListener("input", () => {
      this.asText = true; // whoever writes here stays here
      this.put(this.at, box.value);
      this.lookSoon();
    });
    return box;
  }

  form() {
    const { at } = this;
    const data = structuredClone(this.seen?.data);
    return drawProcedureForm(data, /** @type {Choices} */ (this.choices), () => {
      this.putData(at, data);
      this.lookSoon();
    });
  }

  /** @param {string} file @param {string} draft */
  take(file, draft) {
    if (draft === REMOVED) delete this.files[file];
    else this.files[file] = textOf(draft);
  }

  /** @param {string} file @param {string} text */
  put(file, text) {
    const isNew = !this.changed.has(file) || !(file in this.files);
    this.files[file] = text;
    this.keep(file, text || EMPTY);
    if (isNew) this.drawList();
  }

  /** @param {string} file @param {string} draft */
  keep(file, draft) {
    this.changed.add(file);
    this.pages.delete(file);
    keepAtOnce(DRAFTS + file, draft);
    this.channel?.postMessage({ file, draft });
  }

  /** What a form holds, as text at once; in the build's own spelling when Python has been asked. @param {string} file @param {any} data */
  async putData(file, data) {
    const text = plainYaml(data);
    this.put(file, text);
    const answer = await askModule(MODULE, { write: structuredClone(data) }, this.spelling);
    if (!answer?.result || this.files[file] !== text || (file === this.at && this.isAtText())) return;
    this.put(file, answer.result.text);
    if (file !== this.at) return;
    if (this.shows === "text") this.showText();
    this.lookSoon();
  }

  /** Whose question about the spelling counts: the newest. */
  spelling = {};

  isAtText() {
    return this.shows === "text" && this.editor.contains(document.activeElement);
  }

  remove() {
    const { at } = this;
    delete this.files[at];
    this.keep(at, REMOVED);
    this.line.textContent = `${at} is taken out of the pages. It stays in the saved file until you save again.`;
    this.close();
  }

  lookSoon() {
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => this.look(), REST);
  }

  // ---------------------------------------------------------------- other tabs

  /** Another tab writes the same pages: what it wrote is taken here too, but never over what stands open here. */
  listenToOtherTabs() {
    try {
      this.channel = new BroadcastChannel("wheel-end-handbook:writer");
    } catch {
      return; // without it the other tab's text shows after a reload
    }
    this.channel.onmessage = ({ data }) => {
      const { file, draft } = data ?? {};
      if (typeof file !== "string" || typeof draft !== "string") return;
      if (file !== this.at) {
        this.take(file, draft);
        this.changed.add(file);
        this.pages.delete(file);
        return this.drawList();
      }
      if (draft === (this.files[file] || EMPTY)) return this.other.replaceChildren();
      this.other.replaceChildren(
        "Another tab has changed this page. Your text here stays, and what is written last is kept. ",
        button("", "Take the other tab’s text", () => {
          this.take(file, draft);
          if (!(file in this.files)) return this.close();
          this.open(file);
        }),
      );
    };
  }

  // ---------------------------------------------------------------- checking

  async look() {
    const { at } = this;
    if (!at) return;
    clearTimeout(this.timer);
    const files = { ...this.files };
    const answer = await askModule(MODULE, { look: { files, at } }, this);
    if (!answer || at !== this.at) return; // asked again, or another page is open
    if (answer.problem) return void (this.line.textContent = sentence(answer.problem));
    const seen = /** @type {Look} */ (answer.result);
    this.seen = { ...seen, of: files[at] };
    if (seen.page && this.files[at] === files[at]) this.pages.set(at, seen.page);
    this.preview.replaceChildren(
      element("h2", "", "3 See it"),
      ...(seen.page
        ? [previewOf(seen.page)]
        : [
            element(
              "p",
              "",
              at.startsWith("vehicles/") && !seen.problems.length
                ? "The sheet is sound. Once saved it can be chosen on every page."
                : "It is shown here once nothing is to be mended.",
            ),
          ]),
    );
    this.offerForm();
    this.drawProblems(seen.problems); // after the form: they speak of what is shown
  }

  /** @param {Problem[]} problems */
  drawProblems(problems) {
    if (!problems.length) return this.problems.replaceChildren(element("p", "writer__sound", "Nothing to mend."));
    const items = problems.slice(0, 20).map((problem) => {
      const form = this.inForm(problem);
      const place = button("", form?.place || `${problem.file}, line ${problem.line}`, () =>
        form ? this.goToEntry(form) : this.goTo(problem),
      );
      const { message, example } = form ?? problem;
      return element(
        "li",
        "",
        place,
        ` ${message}${example ? ` Example: ` : ""}`,
        ...(example ? [element(form ? "q" : "code", "", example)] : []),
      );
    });
    this.problems.replaceChildren(element("p", "writer__heading", `To mend: ${problems.length}`), element("ul", "", ...items));
  }

  /** Whoever writes in the form is told what its labels say. @param {Problem} problem */
  inForm(problem) {
    return this.shows === "form" && problem.file === this.at ? (problem.form ?? null) : null;
  }

  /** @param {InForm} place */
  goToEntry({ step, entry }) {
    const within = step < 0 ? this.editor : this.editor.querySelectorAll(".writer__steps > li")[step];
    const control = /** @type {HTMLElement | null | undefined} */ (
      within?.querySelector(entry ? `[data-entry="${entry}"]` : "textarea, select, button")
    );
    control?.focus();
  }

  /** @param {Problem} problem */
  goTo({ file, line, column }) {
    this.asText = true;
    if (file !== this.at) this.open(file);
    else if (this.shows !== "text") this.showText();
    const box = /** @type {HTMLTextAreaElement | null} */ (this.editor.querySelector(".writer__text"));
    if (!box) return;
    const lines = box.value.split("\n");
    const start = lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
    box.focus();
    box.setSelectionRange(start + column - 1, start + (lines[line - 1] ?? "").length);
  }

  // ---------------------------------------------------------------- saving

  saveBox() {
    const save = button("button--primary", "Save shop-data.js", () => this.save());
    return element(
      "div",
      "writer__save",
      element("h2", "", "4 Keep it"),
      element("p", "", "Put the saved file beside index.html, in this folder. Replace the older file of that name if there is one:"),
      element("p", "writer__folder", decoded(new URL("./", location.href).href).replace(/^file:\/\//, "")),
      save,
      this.line,
    );
  }

  /** @param {Problem} problem */
  placed(problem) {
    const form = this.inForm(problem);
    return form ? `${form.place}: ${form.message}` : `${problem.file}, line ${problem.line}: ${problem.message}`;
  }

  async save() {
    const files = { ...this.files }; // what is typed meanwhile goes with the next
    const answer = await askModule(MODULE, { save: { files } }, { save: true });
    if (answer?.problem) return void (this.line.textContent = sentence(answer.problem));
    const { result } = answer;
    if (result.problems.length) {
      this.drawProblems(result.problems);
      return void (this.line.textContent = `Nothing was saved: ${this.placed(result.problems[0])}`);
    }
    download("shop-data.js", written({ files, pages: result.pages, vehicles: result.vehicles }, metaContent("build")), "text/javascript");
    this.line.textContent =
      "The file shop-data.js goes to the browser’s download folder. Move it beside index.html and open the handbook again. It must be called shop-data.js there.";
  }
}

/** A problem in one line, whether the page's Python or the runtime says it. @param {any} problem */
const sentence = (problem) => String(problem?.message ?? problem);

/** @param {OwnPage} page */
function previewOf(page) {
  const { content } = cleaned(page.html);
  for (const each of content.querySelectorAll("[id]")) each.id = `preview-${each.id}`;
  for (const each of content.querySelectorAll("h1, h2, h3")) {
    const lower = element("p", "writer__preview-heading");
    lower.append(...each.childNodes);
    each.replaceWith(lower);
  }
  const box = element("div", "writer__shown");
  box.inert = true;
  box.append(content);
  for (const image of /** @type {NodeListOf<HTMLImageElement>} */ (box.querySelectorAll("img")))
    image.src = image.getAttribute("src")?.replace(/^\.\.\//, "") ?? "";
  return box;
}
