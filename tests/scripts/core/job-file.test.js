// A job as a file: canonical JSON by RFC 8785, and a file that was changed is refused.
import assert from "node:assert/strict";
import { test } from "node:test";
import { newEntry } from "../../../docs/scripts/core/entries.js";
import { canonical, JobFileError, readJob, writeJob } from "../../../docs/scripts/core/job-file.js";

// RFC 8785, section 3.2.2.3 and appendix B: numbers as ECMAScript writes them.
for (const [bits, written] of [
  ["0000000000000000", "0"],
  ["8000000000000000", "0"],
  ["0000000000000001", "5e-324"],
  ["7fefffffffffffff", "1.7976931348623157e+308"],
  ["4340000000000000", "9007199254740992"],
  ["44b52d02c7e14af6", "1e+23"],
  ["41b3de4355555555", "333333333.3333333"],
]) {
  const view = new DataView(new ArrayBuffer(8));
  view.setBigUint64(0, BigInt(`0x${bits}`));
  test(`${bits} is written ${written}`, () => assert.equal(canonical(view.getFloat64(0)), written));
}

test("keys stand in the order of their UTF-16 units (RFC 8785, 3.2.3)", () => {
  const names = ["\u20ac", "\r", "\ufb33", "1", "\u{1f600}", "\u0080", "\u00f6"];
  const written = canonical(Object.fromEntries(names.map((name) => [name, 0])));
  assert.deepEqual(
    [...written.matchAll(/"((?:\\.|[^"\\])*)":/g)].map(([, name]) => JSON.parse(`"${name}"`)),
    ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\u{1f600}", "\ufb33"],
  );
});

const job = { id: "a".repeat(32), name: "Demo A", vehicle: "Demo A", started: "2026-11-25T13:00:00+01:00" };
const entries = [newEntry({ job: job.id, kind: "text", build: "1", step: "a/b", place: "LF", typed: { text: "24.1 mm" } })];

test("a job comes back as it was saved", () => assert.deepEqual(readJob(writeJob(job, entries)), { job, entries }));

test("a file with one character changed is refused in one line", () => {
  const text = writeJob(job, entries);
  assert.throws(
    () => readJob(text.replace("24.1 mm", "24.7 mm")),
    (error) => error instanceof JobFileError && !error.message.includes("\n"),
  );
});
