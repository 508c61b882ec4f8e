// The condition language against the vectors that the build passes too: Kleene's three-valued logic (tests/content/when.json).
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { axesOf, holds, inWords } from "../../../docs/scripts/core/when.js";

const vectors = JSON.parse(readFileSync(new URL("../../content/when.json", import.meta.url), "utf-8"));

for (const { says, when, layout, holds: expected } of vectors) test(says, () => assert.equal(holds(when, layout), expected));

test("a condition asks about its questions and no other", () => {
  assert.deepEqual([...axesOf([{ rotor: ["hub"] }, { bearing: ["tapered-roller"], rotor: ["slip-on"] }])].sort(), ["bearing", "rotor"]);
  assert.deepEqual([...axesOf(null)], []);
});

test("in words, alternatives are joined by or, questions by and", () => {
  const label = (axis, value) => value ?? axis.toUpperCase();
  assert.match(inWords([{ rotor: ["hub"], nut: ["castle"] }], label), /ROTOR: hub and NUT: castle/);
});
