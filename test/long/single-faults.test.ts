import { describe, expect, it } from "vitest";
import { Suspicion, faultBenchOf, galleryOf, matchLooks, simulateEdits } from "../../src/bench/index.js";
import { disturbs, lookOf, search } from "../bench/probing.js";
import { photographOf } from "../bench/photographs.js";
import { openBoard } from "../examples/board.js";
import { randomNumbers } from "../support/random-bits.js";

const bench = faultBenchOf(openBoard("tide-board"));
const signatures = simulateEdits(
  bench,
  bench.faults.map(({ edit }) => edit),
);

describe("every single fault of the tide board", () => {
  it("is among three suspects after at most seven probes in nineteen cases of twenty", () => {
    const suspicion = new Suspicion(bench, signatures);
    const numbers = randomNumbers(1);
    const noise = () => numbers(1000) / 1000;
    const places = bench.faults.flatMap((_, index) =>
      disturbs(suspicion, index, (index % 2) as 0 | 1) ? [index] : [],
    );
    const looks = galleryOf(bench.faults, signatures, bench.good.screens?.[0]);
    const known = new Map<string, number | undefined>();
    const searchAll = (some: readonly number[], order: "best" | "wiring", most: number) =>
      some.flatMap((index) => {
        const way = (index % 2) as 0 | 1;
        const look = lookOf(looks, signatures[index], way);
        return search(suspicion, bench.faults, index, { way, most, order, noise, known, ...(look && { look }) }) ?? [];
      });
    const found = searchAll(places, "best", 7);
    // In the order of the wiring it takes so many probes that one fault in twenty must do.
    const inOrder = searchAll(
      places.filter((_, index) => index % 20 === 0),
      "wiring",
      60,
    );
    const mean = (of: typeof found) => of.reduce((sum, { probes }) => sum + probes, 0) / of.length;
    const share = found.filter(({ rank }) => rank < 3).length / found.length;
    console.log(
      `${places.length} of ${bench.faults.length} faults disturb a net in use; ${(100 * share).toFixed(1)} % among three suspects ` +
        `after seven probes; probes until the right one leads: ${mean(found).toFixed(1)} of at most 7, ` +
        `in the order of the wiring ${mean(inOrder).toFixed(1)} of at most 60`,
    );
    expect(places.length).toBeGreaterThan(1000);
    expect(share).toBeGreaterThanOrEqual(0.95);
    expect(mean(found)).toBeLessThan(mean(inOrder));
  });

  it("is in a group that a photograph of the screen puts among the first five in nine cases of ten", () => {
    const looks = galleryOf(bench.faults, signatures, bench.good.screens?.[0]);
    const numbers = randomNumbers(2);
    const tried = Array.from({ length: 200 }, () => looks[numbers(looks.length)]).filter((look) => look !== undefined);
    const right = tried.filter((look) => {
      const { cells } = photographOf(look.screen, numbers);
      return matchLooks(cells, looks)
        .slice(0, 5)
        .some((match) => match.look === look);
    });
    console.log(`${looks.length} looks; ${right.length} of ${tried.length} photographs found among the first five`);
    expect(right.length / tried.length).toBeGreaterThanOrEqual(0.9);
  });
});
