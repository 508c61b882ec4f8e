// Plain data as YAML: every scalar quoted, empty lists and mappings in one line. The build's reader reads it back: tests of the page writer.
import assert from "node:assert/strict";
import { test } from "node:test";
import { plainYaml } from "../../../docs/scripts/core/plain-yaml.js";

test("a mapping with lists", () =>
  assert.equal(
    plainYaml({ id: "x", steps: [{ do: "yes" }], none: [], empty: {} }),
    'id: "x"\nsteps:\n  - do: "yes"\nnone: []\nempty: {}\n',
  ));

test("what YAML takes for the end of a line is escaped", () => assert.equal(plainYaml({ a: "1\u20282\u0085" }), 'a: "1\\u20282\\u0085"\n'));

test("a key that is no plain word is quoted", () => assert.equal(plainYaml({ "Odd key: #": "v" }), '"Odd key: #": "v"\n'));
