import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { type Circuit, readCircuit } from "../../src/circuit/index.js";
import { underLoad } from "../../src/electrical/index.js";
import { replay, settle } from "../../src/evidence/index.js";
import { blocksOf, pinDiagram } from "../../src/paper/diagram/index.js";
import { chainDrawing, drawCycle, standaloneSvg, witnessDrawing } from "../../src/paper/index.js";
import { fs } from "../../src/quantity/index.js";
import { powerUpBoard, record } from "../../src/simulation/index.js";
import { prove } from "../../src/timing/index.js";

const root = new URL("../../", import.meta.url).pathname;

/** The failing verdict of a circuit of examples/rules whose two chains are drawn. */
const drawn = {
  "set-up": "set-up U4 1D",
  hold: "hold U4 1D",
  "clock-period": "clock period U2 CLK",
  "memory-read": "memory read U4 1D",
  "memory-write": "tAS U4 A0",
  contention: "contention WIRE U3 1Y/U3 2Y",
  recovery: "recovery U4 CLR#",
};

/** Of these the board is drawn on which the failure was found. */
const shown = { glitch: "glitch U4 1CLK" };

function open(name: string): Circuit {
  const file = `examples/rules/${name}.circuit.yaml`;
  const { circuit } = readCircuit(readFileSync(join(root, file), "utf8"), file);
  if (!circuit) throw new Error(`${file} has mistakes`);
  return circuit;
}

function proved(name: string, verdictName: string) {
  const loaded = underLoad(open(name));
  const proof = prove(loaded);
  const verdict = proof.verdicts.find((one) => one.name === verdictName);
  if (!verdict) throw new Error(`${name} has no ${verdictName}`);
  expect(verdict.state).not.toBe("holds");
  return { loaded, proof, verdict };
}

const picture = (name: string) => join(root, `docs/images/rules/${name}.svg`);

describe("the drawing of a rule is the one of its circuit (npm run references writes it anew)", () => {
  test.each(Object.entries(drawn))("%s", async (name, verdictName) => {
    const { loaded, proof, verdict } = proved(name, verdictName);
    const drawing = chainDrawing(loaded, verdict, proof.period);
    if (!drawing) throw new Error(`${verdictName} has no chains to draw`);
    await expect(standaloneSvg(drawCycle(drawing).svg)).toMatchFileSnapshot(picture(name));
  });

  test.each(Object.entries(shown))("%s", async (name, verdictName) => {
    const { loaded, proof, verdict } = proved(name, verdictName);
    const witness = settle(loaded, proof, () => true).witnesses.get(verdictName);
    if (!witness) throw new Error(`no board was found for ${verdictName}`);
    const drawing = witnessDrawing(verdict, witness, replay(loaded, verdict, witness));
    await expect(standaloneSvg(drawCycle(drawing).svg)).toMatchFileSnapshot(picture(name));
  });

  test("undriven", async () => {
    const { loaded, verdict } = proved("undriven", "undriven U2 2D");
    const { simulator } = powerUpBoard(loaded);
    const tapes = ["CLOCK", "TURN#", "WIRE"].map((name) => {
      const net = loaded.nets.find((one) => one.name === name);
      if (!net) throw new Error(`there is no ${name}`);
      return { net, tape: record(simulator, net.id) };
    });
    const period = fs(250e6);
    const [from, to] = [fs(9.75 * period), fs(14.25 * period)];
    simulator.run(to);
    const drawing = witnessDrawing(verdict, { from, to }, { from, to, period, tapes });
    await expect(standaloneSvg(drawCycle(drawing).svg)).toMatchFileSnapshot(picture("undriven"));
  });

  test.each(["synchroniser", "level"])("%s", async (name) => {
    const circuit = open(name);
    const [sheet] = await pinDiagram(circuit, blocksOf(circuit));
    if (!sheet) throw new Error("nothing was drawn");
    await expect(standaloneSvg(sheet.svg)).toMatchFileSnapshot(picture(name));
  });
});
