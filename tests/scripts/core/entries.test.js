// Entries of a job: sound ones, their order, and which still stand.
import assert from "node:assert/strict";
import { test } from "node:test";
import { entryProblem, inOrder, newEntry, newId, now, standing } from "../../../docs/scripts/core/entries.js";

const job = "a".repeat(32);
const entry = (change = {}) => ({
  ...newEntry({ job, kind: "done", build: "0.2.0", procedure: "set-bearing", step: "set-bearing/seat", place: "LF" }),
  ...change,
});

test("a fresh entry is sound", () => assert.equal(entryProblem(entry()), null));

for (const [what, change] of Object.entries({
  "a place that no vehicle has": { place: "left" },
  "a kind that is none": { kind: "finished" },
  "a step without its place": { place: null },
  "a reason that is blank": { kind: "override", note: "  " },
  "an unknown key": { colour: "red" },
  "an id that is short": { id: "12" },
  "a time without its offset": { time: "2026-11-25T12:00:00" },
}))
  test(`refused: ${what}`, () => assert.equal(typeof entryProblem(entry(change)), "string"));

test("times compare as instants, whatever their offset", () => {
  const late = entry({ time: "2026-11-25T12:30:00+01:00" });
  const later = entry({ time: "2026-11-25T12:00:00Z" });
  assert.deepEqual(
    inOrder([later, late]).map(({ id }) => id),
    [late.id, later.id],
  );
});

test("what was withdrawn no longer stands, and neither does its withdrawal", () => {
  const [kept, gone] = [entry({ time: "2026-11-25T12:00:00Z" }), entry({ time: "2026-11-25T12:01:00Z" })];
  const undo = entry({ kind: "withdrawn", step: null, place: null, typed: { withdraws: gone.id }, time: "2026-11-25T12:02:00Z" });
  assert.deepEqual(
    standing([undo, gone, kept]).map(({ id }) => id),
    [kept.id],
  );
});

test("ids are 16 bytes in hex, and no two alike", () => {
  const ids = new Set(Array.from({ length: 1000 }, newId));
  assert.equal(ids.size, 1000);
  for (const id of ids) assert.match(id, /^[0-9a-f]{32}$/);
});

test("now is ISO 8601 with an offset, and the same instant", () => {
  const date = new Date("2026-11-25T12:34:56.789Z");
  assert.match(now(date), /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}[+-]\d\d:\d\d$/);
  assert.equal(Date.parse(now(date)), date.getTime());
});
