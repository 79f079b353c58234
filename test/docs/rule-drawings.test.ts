import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { readCircuit } from "../../src/circuit/index.js";
import { underLoad } from "../../src/electrical/index.js";
import { chainDrawing, drawCycle, standaloneSvg } from "../../src/paper/index.js";
import { prove } from "../../src/timing/index.js";

const root = new URL("../../", import.meta.url).pathname;

/** The failing verdict of a circuit of examples/rules whose two chains are drawn. */
const drawn = {
  "set-up": "set-up U4 1D",
  hold: "hold U4 1D",
  "memory-read": "memory read U4 1D",
  "memory-write": "tAS U4 A0",
  contention: "contention WIRE U3 1Y/U3 2Y",
  recovery: "recovery U4 CLR#",
};

describe("the drawing of a rule is the one of its circuit (npm run references writes it anew)", () => {
  test.each(Object.entries(drawn))("%s", async (name, verdictName) => {
    const file = `examples/rules/${name}.circuit.yaml`;
    const { circuit } = readCircuit(readFileSync(join(root, file), "utf8"), file);
    if (!circuit) throw new Error(`${file} has mistakes`);
    const loaded = underLoad(circuit);
    const { period, verdicts } = prove(loaded);
    const verdict = verdicts.find((one) => one.name === verdictName);
    const drawing = verdict && chainDrawing(loaded, verdict, period);
    if (!drawing) throw new Error(`${verdictName} has no chains to draw`);
    expect(verdict.state).not.toBe("holds");
    await expect(standaloneSvg(drawCycle(drawing).svg)).toMatchFileSnapshot(
      join(root, `docs/images/rules/${name}.svg`),
    );
  });
});
