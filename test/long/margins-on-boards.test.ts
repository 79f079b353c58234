import { expect, test } from "vitest";
import { marginsOnBoards } from "../support/margins-on-boards.js";
import { openSolver } from "../support/racing/smt.js";

/** `npm run test:long -- -u` writes the table anew. */
test("the table of margins is what boards have, and no board has less", { timeout: 1_200_000 }, async () => {
  const solver = await openSolver();
  try {
    const table = await marginsOnBoards(solver);
    await expect(`${JSON.stringify(table, null, 2)}\n`).toMatchFileSnapshot("../data/margins-on-boards.json");
  } finally {
    solver.close();
  }
});
