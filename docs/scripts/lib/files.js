// @ts-check
/** Files out of the page and into it, in the one way that works from a disk: a download, and a picker behind a button. */
import { element } from "./elements.js";

/** Give a file to the browser's download folder. @param {string} name @param {string} text @param {string} [type] */
export function download(name, text, type = "application/json") {
  const link = element("a");
  link.href = URL.createObjectURL(new Blob([text], { type }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

/** A picker that its button opens: the same file may be chosen again. @param {string} label @param {(file: File) => void} take @param {string} [accept] */
export function filePicker(label, take, accept = ".json,application/json") {
  const picker = element("input", "unseen");
  Object.assign(picker, { type: "file", accept, tabIndex: -1 });
  picker.ariaLabel = label;
  picker.addEventListener("change", () => {
    const file = picker.files?.[0];
    if (file) take(file);
    picker.value = "";
  });
  return picker;
}

/** Why a file was not taken, in one line; what nobody foresaw goes to the console. @param {unknown} error @param {new (...args: any[]) => Error} refusal @param {string} wanted what to open instead */
export function refusalLine(error, refusal, wanted) {
  if (error instanceof refusal) return error.message;
  console.error(error);
  return `The file could not be read. ${wanted}`;
}

/** Words as the name of a file: lower case letters and digits, joined by hyphens. @param {string} words @param {number} longest characters */
export function slug(words, longest) {
  return words
    .normalize("NFKD")
    .replace(/\p{M}/gu, "")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .slice(0, longest)
    .replace(/^-+|-+$/g, "");
}
