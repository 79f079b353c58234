import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { type MarginsOnBoards, proveSmall, provedMargins, smallCircuit } from "../support/margins-on-boards.js";

/** Made by simulation, and by a solver that knows nothing of the proof; `npm run test:long` does it again. */
const table = JSON.parse(readFileSync(new URL("../data/margins-on-boards.json", import.meta.url), "utf8")) as Readonly<
  Record<string, MarginsOnBoards>
>;

test.for(Object.entries(table))("every margin of %s is that of its worst board", ([name, margins]) => {
  const proved = provedMargins(proveSmall(smallCircuit(name)));
  expect(Object.fromEntries(Object.keys(margins).map((verdict) => [verdict, proved[verdict]]))).toEqual(margins);
  const unseen = Object.entries(proved).filter(([verdict, margin]) => isFailure(margin) && !(verdict in margins));
  expect(unseen).toEqual([]);
});

function isFailure(margin: number | string): boolean {
  return typeof margin === "string" || margin < 0;
}
