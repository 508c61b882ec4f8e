// @ts-check
/**
 * The page writer: a shop's procedure or page as a form or as text, checked and shown by the build's own Python while it
 * is written, and saved with all the others into one file. Unsaved text stays in this browser.
 */
import { decoded } from "./address.js";
import { element } from "./answer.js";
import { textField } from "./fields.js";
import { download, filePicker, slug } from "./files.js";
import { button } from "./picker.js";
import { drafts, keepDraft, openStore } from "./record.js";
import { askModule, need, onState, retry } from "./runtime.js";
import { addressOf, shopData, written } from "./shop-data.js";
import { drawProcedureForm } from "./writer-form.js";

/** @typedef {import("./shop-data.js").OwnPage} OwnPage */
/** @typedef {{file: string, line: number, column: number, message: string, example: string}} Problem */
/** @typedef {{problems: Problem[], data: any, page: OwnPage | null, text?: string, vehicles: any[]}} Look */
/** @typedef {Record<string, string[][]>} Choices */

const MODULE = "build_tools.page_writer";
const PATIENCE = 60_000; // ms for one look: it loads and checks the handbook the first time
const LONGEST_NAME = 60; // characters of a file's name
const REST = 500; // ms after the last key
const DRAFTS = "writer/";
const REMOVED = "\u0000removed"; // the draft of a page that was taken out
/** A procedure that is complete but for its words. */
const FRESH = {
  purpose: "", end_state: "", people: { count: "1", skill: "technician trained on brakes", minutes: "30" },
  conditions: ["The maker's instructions for this vehicle are at hand."], tools: "none", supplies: "none", cautions: ["not-the-makers-manual"],
};

/** Take up the page writer of this page, if it has one. */
export async function startWriter() {
  const box = /** @type {HTMLElement | null} */ (document.querySelector(".writer"));
  if (!box) return;
  await openStore();
  const writer = new Writer(box, await unsaved());
  need("writer", PATIENCE);
  onState((state) => writer.showState(state));
  box.hidden = false;
  writer.choices = (await askModule(MODULE, { choices: {} }, writer))?.result ?? null;
  writer.draw();
}

/** What was written and does not stand in shop-data.js yet; a draft ends when the file that is read holds it. @returns {Promise<[string, string][]>} */
async function unsaved() {
  const { files } = shopData();
  const all = [...(await drafts(DRAFTS))].map(([key, text]) => /** @type {[string, string]} */ ([key.slice(DRAFTS.length), text]));
  return all.filter(([name, text]) => {
    const isSaved = text === REMOVED ? !(name in files) : files[name] === text;
    if (isSaved) keepDraft(DRAFTS + name, "");
    return !isSaved;
  });
}

class Writer {
  /** @param {HTMLElement} box @param {[string, string][]} unsaved files by name, "" where one was taken out */
  constructor(box, unsaved) {
    this.box = box;
    const { files, pages } = shopData();
    /** @type {Record<string, string>} */
    this.files = { ...files };
    this.changed = new Set(unsaved.map(([file]) => file));
    for (const [file, text] of unsaved) {
      if (text === REMOVED) delete this.files[file];
      else this.files[file] = text;
    }
    this.pages = new Map(pages.filter(({ file }) => !this.changed.has(file)).map((page) => [page.file, page]));
    /** The file that is open. */
    this.at = "";
    /** @type {Choices | null} */
    this.choices = null;
    /** @type {Look | null} */
    this.seen = null;
    this.asText = false;
    this.timer = 0;
    this.state = element("p", "writer__state");
    this.state.setAttribute("role", "status");
    this.list = element("div", "writer__list");
    this.work = element("div", "writer__work");
    this.problems = element("div", "writer__problems");
    this.problems.setAttribute("role", "status");
    this.preview = element("div", "writer__preview");
    this.line = element("p", "writer__line");
    this.line.setAttribute("role", "status");
    box.append(this.state, this.list, this.work, this.problems, this.preview, this.saveBox());
    this.draw();
  }

  /** @param {import("./runtime.js").State} state */
  showState({ phase, share = 0, megabytes = 0, reason = "" }) {
    const words = {
      idle: "", ready: "", starting: "Starting the checks.", loading: `Loading the checks: ${Math.round(share * 100)} % of ${megabytes.toFixed(1)} MB.`,
      failed: `The checks did not start: ${reason} `, unsupported: `This browser cannot check pages: it has no ${reason}.`,
    };
    this.state.replaceChildren(words[phase], ...(phase === "failed" ? [button("", "Try again", retry)] : []));
  }

  draw() {
    this.drawList();
    if (!this.at) {
      this.work.replaceChildren();
      this.problems.replaceChildren();
      this.preview.replaceChildren();
    }
  }

  // ---------------------------------------------------------------- which page

  drawList() {
    const items = Object.keys(this.files).filter((name) => name !== "shop.yml").sort().map((name) => {
      const open = button(name === this.at ? "button--primary" : "", name.replace(/\.(yml|md|json)$/, "").replace("/", ": "), () => this.open(name));
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
    this.list.replaceChildren(element("h2", "", "1 Which page"), this.shopName(),
      items.length ? element("ul", "writer__files", ...items) : element("p", "", "This shop has no pages of its own yet."), this.newForm());
  }

  /** Stands at the top of each of its pages. */
  shopName() {
    const name = textField("writer-shop", "Name of the shop", "", 100);
    name.input.value = /^name: "?(.*?)"?$/m.exec(this.files["shop.yml"] ?? "")?.[1] ?? "";
    name.input.addEventListener("change", () => {
      if (!name.input.value.trim()) return;
      this.put("shop.yml", `name: ${JSON.stringify(name.input.value.trim())}\n`);
      if (this.at) this.lookSoon();
    });
    return name.box;
  }

  newForm() {
    const title = textField("writer-title", "Title of a new page", "", 100);
    const kind = element("select");
    kind.append(new Option("a procedure with steps", "procedures/.yml"), new Option("a plain page of text", "pages/.md"));
    kind.ariaLabel = "Kind of page";
    const line = element("p", "step__problem");
    const start = button("", "Start it", async () => {
      const id = slug(title.input.value, LONGEST_NAME);
      if (!id) return void (line.textContent = "Give it a title first, for example: After a loose wheel.");
      const file = kind.value.replace("/", `/${id}`);
      if (this.files[file]) return void (line.textContent = `There is a page of that name already: ${file}.`);
      const today = new Date().toISOString().slice(0, 10);
      if (file.endsWith(".md")) this.put(file, `# ${title.input.value.trim()}\n\n`);
      else await this.putData(file, { id, title: title.input.value.trim(), ...FRESH, changes: [{ revision: "1", date: today, reason: "First issue." }], sources: "common-practice", steps: [{ id: "first-step", do: "" }] });
      await this.open(file);
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
        await this.open(name);
      } catch {
        this.line.textContent = "This is no vehicle sheet. Open a file that a job saved, such as vehicle-red-van.json.";
      }
    });
    return element("span", "", button("", "Take in a vehicle sheet", () => picker.click()), picker);
  }

  // ---------------------------------------------------------------- writing

  /** @param {string} file */
  async open(file) {
    this.at = file;
    this.seen = null;
    this.drawList();
    await this.look();
    this.drawWork();
    this.work.querySelector("h2")?.scrollIntoView({ block: "nearest" });
  }

  drawWork() {
    const form = this.at.startsWith("procedures/") && this.choices !== null && this.seen?.data?.steps !== undefined && Array.isArray(this.seen.data.steps);
    const asText = this.asText || !form;
    const tabs = form ? [element("div", "writer__tabs", this.tab("Form", false, asText), this.tab("Text", true, asText))] : [];
    const remove = button("", "Take this page out", () => this.remove());
    this.work.replaceChildren(element("h2", "", "2 Write"), ...tabs, asText ? this.textBox() : this.form(), remove);
  }

  /** @param {string} name @param {boolean} asText @param {boolean} now */
  tab(name, asText, now) {
    const made = button("", name, () => {
      this.asText = asText;
      this.drawWork();
    });
    made.setAttribute("aria-pressed", String(asText === now));
    return made;
  }

  textBox() {
    const box = element("textarea", "writer__text");
    Object.assign(box, { value: this.files[this.at] ?? "", rows: 24, spellcheck: true, wrap: "off" });
    box.ariaLabel = `Text of ${this.at}`;
    box.addEventListener("input", () => {
      this.put(this.at, box.value);
      this.lookSoon();
    });
    return box;
  }

  form() {
    const data = structuredClone(this.seen?.data);
    return drawProcedureForm(data, /** @type {Choices} */ (this.choices), () => {
      clearTimeout(this.timer);
      this.timer = window.setTimeout(async () => {
        await this.putData(this.at, data);
        await this.look();
      }, REST);
    });
  }

  /** @param {string} file @param {string} text */
  put(file, text) {
    this.files[file] = text;
    this.changed.add(file);
    this.pages.delete(file);
    keepDraft(DRAFTS + file, text);
  }

  /** @param {string} file @param {any} data */
  async putData(file, data) {
    const answer = await askModule(MODULE, { write: data }, { file });
    if (answer?.result) this.put(file, answer.result.text);
    else this.line.textContent = answer?.problem ?? "";
  }

  remove() {
    delete this.files[this.at];
    this.changed.add(this.at);
    this.pages.delete(this.at);
    keepDraft(DRAFTS + this.at, REMOVED);
    this.line.textContent = `${this.at} is taken out of the pages. It stays in the saved file until you save again.`;
    this.at = "";
    this.draw();
  }

  lookSoon() {
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => this.look(), REST);
  }

  // ---------------------------------------------------------------- checking

  async look() {
    const { at } = this;
    const answer = await askModule(MODULE, { look: { files: this.files, at } }, this);
    if (!answer || at !== this.at) return; // asked again, or another page is open
    if (answer.problem) return void (this.line.textContent = answer.problem);
    const seen = /** @type {Look} */ (answer.result);
    this.seen = seen;
    if (seen.page) this.pages.set(at, seen.page);
    this.drawProblems(seen.problems);
    this.preview.replaceChildren(element("h2", "", "3 See it"), ...(seen.page ? [previewOf(seen.page)]
      : [element("p", "", at.startsWith("vehicles/") && !seen.problems.length ? "The sheet is sound. Once saved it can be chosen on every page." : "It is shown here once nothing is to be mended.")]));
  }

  /** @param {Problem[]} problems */
  drawProblems(problems) {
    if (!problems.length) return this.problems.replaceChildren(element("p", "writer__sound", "Nothing to mend."));
    const items = problems.slice(0, 20).map((problem) => {
      const place = button("", `${problem.file}, line ${problem.line}`, () => this.goTo(problem));
      return element("li", "", place, ` ${problem.message}${problem.example ? ` Example: ` : ""}`, ...(problem.example ? [element("code", "", problem.example)] : []));
    });
    this.problems.replaceChildren(element("p", "writer__heading", `To mend: ${problems.length}`), element("ul", "", ...items));
  }

  /** @param {Problem} problem */
  async goTo({ file, line, column }) {
    if (file !== this.at) await this.open(file);
    this.asText = true;
    this.drawWork();
    const box = /** @type {HTMLTextAreaElement | null} */ (this.work.querySelector(".writer__text"));
    if (!box) return;
    const lines = box.value.split("\n");
    const start = lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
    box.focus();
    box.setSelectionRange(start + column - 1, start + (lines[line - 1] ?? "").length);
  }

  // ---------------------------------------------------------------- saving

  saveBox() {
    const save = button("button--primary", "Save shop-data.js", () => this.save());
    return element("div", "writer__save", element("h2", "", "4 Keep it"),
      element("p", "", "Put the saved file in the place of the file of the same name beside index.html, in this folder:"),
      element("p", "writer__folder", decoded(new URL("./", location.href).href).replace(/^file:\/\//, "")), save, this.line);
  }

  async save() {
    const { result, problem } = await askModule(MODULE, { save: { files: this.files } }, { save: true });
    if (problem) return void (this.line.textContent = problem);
    if (result.problems.length) {
      this.drawProblems(result.problems);
      return void (this.line.textContent = `Nothing was saved: ${result.problems[0].file}, line ${result.problems[0].line}: ${result.problems[0].message}`);
    }
    const text = written({ files: this.files, pages: result.pages, vehicles: result.vehicles });
    download("shop-data.js", text, "text/javascript");
    this.line.textContent = "The file shop-data.js goes to the browser’s download folder. Move it beside index.html, over the one that is there, and open the handbook again.";
  }
}

/** @param {OwnPage} page */
function previewOf(page) {
  const parsed = new DOMParser().parseFromString(page.html, "text/html");
  for (const each of parsed.querySelectorAll("[id]")) each.id = `preview-${each.id}`;
  for (const each of parsed.querySelectorAll("h1, h2, h3")) {
    const lower = element("p", "writer__preview-heading");
    lower.append(...each.childNodes);
    each.replaceWith(lower);
  }
  const box = element("div", "writer__shown");
  box.inert = true;
  box.append(...parsed.body.childNodes);
  for (const image of /** @type {NodeListOf<HTMLImageElement>} */ (box.querySelectorAll("img"))) image.src = image.getAttribute("src")?.replace(/^\.\.\//, "") ?? "";
  return box;
}
