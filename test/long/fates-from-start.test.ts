import { expect, test } from "vitest";
import { followedFates } from "../support/fates-from-start.js";

/** `npx vitest run --config vitest.long.config.ts test/long/fates-from-start.test.ts -u` writes the table anew. */
test("the table of fates is what following each state by itself finds", async () => {
  const fates = followedFates();
  await expect(`${JSON.stringify(fates, null, 2)}\n`).toMatchFileSnapshot("../data/fates-from-start.json");
});
