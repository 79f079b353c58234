import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { type Fates, provedFate } from "../../support/fates-from-start.js";

/** Made by following each state of each circuit by itself; `npm run test:long` does it again. */
const TABLE = new URL("../../data/fates-from-start.json", import.meta.url);

test("the proof finds what following each start state by itself finds", () => {
  const table = JSON.parse(readFileSync(TABLE, "utf8")) as Fates;
  const names = Object.keys(table);
  expect(Object.fromEntries(names.map((name) => [name, provedFate(name)]))).toEqual(table);
});
