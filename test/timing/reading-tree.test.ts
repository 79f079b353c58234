import fc from "fast-check";
import { expect, test } from "vitest";
import { ReadingTree } from "../../src/timing/reading-tree.js";

const CELLS = 6;

/**
 * Looks at cells of 0 and 1, at first at cell 0, the next as what it saw tells, and makes a choice now and then. What comes of
 * it names all that was seen.
 */
function run(cells: readonly number[], choices: readonly number[]) {
  const readings: number[] = [];
  let chosen = 0;
  let at = 0;
  for (let step = 0; step < 4; step++) {
    const found = cells[at] ?? 0;
    readings.push(at, found);
    if (found === 1 && step % 2 === 1) readings.push(-2, choices[chosen++] ?? 0);
    at = (2 * at + found + 1) % CELLS;
    if (readings.includes(at) && found === 0) break;
  }
  return { readings, leaf: { seen: readings.join(" ") } };
}

test("what comes of a step comes again where all that it looked at is the same, and nowhere else", () => {
  const boards = fc.array(fc.array(fc.integer({ min: 0, max: 1 }), { minLength: CELLS, maxLength: CELLS }), {
    maxLength: 40,
  });
  fc.assert(
    fc.property(boards, (all) => {
      const tree = new ReadingTree<{ readonly seen: string }>();
      const known = new Set<string>();
      const follow = (cells: readonly number[], choices: readonly number[]): void => {
        const found = tree.find((cell) => cells[cell] ?? 0, choices);
        if (typeof found === "number") {
          for (let choice = 0; choice < found; choice++) follow(cells, [...choices, choice]);
          return;
        }
        const { readings, leaf } = run(cells, choices);
        expect(found?.seen).toBe(known.has(leaf.seen) ? leaf.seen : undefined);
        if (found) return;
        known.add(leaf.seen);
        tree.add(readings, leaf);
        // Of a choice that was met only now the other possibilities are still to come.
        if (readings.filter((one) => one === -2).length > choices.length) follow(cells, choices);
      };
      for (const cells of all) follow(cells, []);
      expect(new Set(tree.leaves().map(({ seen }) => seen))).toEqual(known);
    }),
  );
});
