// @ts-check
/** The ways round a step: it does not apply, it is signed with a reason, or a note stands beside it, with its picture. */

import { button, labeled, textField } from "../lib/controls.js";
import { element } from "../lib/elements.js";
import { filePicker } from "../lib/files.js";
import { PLACE_NAMES, placesOf } from "../state/steps.js";
import { restoreInto } from "../store/drafts.js";
import { recordAt } from "./journal.js";
import { signBox } from "./signing.js";

/** @typedef {import("../core/entries.js").Entry} Entry */
/** @typedef {import("../core/entries.js").Place} Place */
/** @typedef {import("../state/steps.js").Step} Step */
/** @typedef {import("./signing.js").Signing} Signing */

/** Once a step: does not apply, signed out of turn or without its reading, or a note. @param {Step} step @param {() => Signing} signing */
export function addOtherWays(step, signing) {
  const details = element(
    "details",
    "step__other",
    element(
      "summary",
      "",
      "Another way",
      element(
        "span",
        "step__other-more",
        step.completes ? " – note" : step.mustBeWorked ? " – sign with a reason, note" : " – does not apply, sign with a reason, note",
      ),
    ),
  );
  details.addEventListener("toggle", () => {
    if (!details.open || details.children.length > 1) return;
    details.append(otherForm(step, signing));
    restoreInto(details);
  });
  signBox(step).after(details);
}

/** @param {Step} step @param {() => Signing} signing */
function otherForm(step, signing) {
  const text = element("textarea");
  Object.assign(text, { id: `${step.box.id}-reason`, rows: 2, name: "reason" });
  const line = element("p", "step__problem");
  line.setAttribute("role", "status");
  const picture = pictureField(`${step.box.id}-picture`);
  const form = labeled("Reason or note", text, picture.box, line);
  /** @param {Place} place @param {(reason: string) => Partial<Entry> & {kind: string}} make */
  const keep = async (place, make) => {
    const reason = text.value.trim();
    if (!signing().job) return signing().needJob();
    line.textContent = reason ? await recordAt(step, place, make(reason)) : "Write the reason first, for example: the indicator is broken.";
    if (!reason || line.textContent) return text.focus();
    for (const control of [text, picture.name]) {
      control.value = "";
      control.dispatchEvent(new Event("input", { bubbles: true }));
    }
    signing().signed(step);
  };
  const row = (/** @type {Place} */ place) =>
    element(
      "div",
      "step__other-row",
      ...(step.mustBeWorked || step.completes
        ? []
        : [button("", `${PLACE_NAMES[place]} does not apply`, () => keep(place, (note) => ({ kind: "not-applicable", note })))]),
      ...(step.completes
        ? []
        : [button("", `Sign ${PLACE_NAMES[place]} with this reason`, () => keep(place, (note) => ({ kind: "override", note })))]),
      button("", `Note for ${PLACE_NAMES[place]}`, () =>
        keep(place, (note) => ({
          kind: "text",
          typed: { note, ...(picture.name.value.trim() && { picture: picture.name.value.trim() }) },
        })),
      ),
    );
  const rows = element("div", "step__other-rows");
  // The places are those of the axle, which may be chosen after the form was unfolded.
  const draw = () => {
    const places = placesOf(step, signing().progress.axle);
    if (rows.dataset.places === String(places)) return;
    rows.dataset.places = String(places);
    rows.replaceChildren(...places.map(row));
  };
  draw();
  document.addEventListener("handbook:drawn", draw);
  form.append(rows);
  return form;
}

/** Which picture belongs to a note: its file name alone, since the record holds no pictures. @param {string} id */
function pictureField(id) {
  const { box, input: name } = textField(
    id,
    "Picture that belongs to the note, by its file name; it is kept beside the job’s file",
    "",
    200,
  );
  name.name = "picture";
  const picker = filePicker(
    "Picture",
    (file) => {
      name.value = file.name.slice(0, 200);
      name.dispatchEvent(new Event("input", { bubbles: true }));
    },
    "image/*",
  );
  box.append(
    button("", "Choose the picture", () => picker.click()),
    picker,
  );
  return { name, box };
}
