import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { formatProblem } from "../../src/circuit/index.js";
import { fs, ns } from "../../src/quantity/index.js";
import { type Script, type ScriptOutcome, powerUpBoard, readScript } from "../../src/simulation/index.js";
import { openBoard } from "../examples/board.js";

const board = openBoard("tide-board");
const read = (text: string) => readScript(text, "gauge.script.yaml", board, () => undefined);
const complaints = (text: string) => read(text).problems.map(formatProblem);

const WRITE = (rest: string) => `script: 1
write:
  - set: { PA: ADDRESS, PD: DATA, WR#: 0 }
  - wait: 150 ns
  - set: { WR#: 1 }
  - wait: ${rest}
steps:
`;

function scriptOf(text: string): Script {
  const { script, problems } = read(text);
  if (!script) throw new Error(problems.map(formatProblem).join("\n"));
  return script;
}

/** What came of a script on the tide board, so many nanoseconds after its reset. */
function run(text: string, nanoseconds: number): ScriptOutcome {
  const contents = new Map(
    board.chips.filter(({ part }) => part.behaviour.memory).map((chip) => [chip, new Uint8Array(32768)]),
  );
  const { simulator, script, released } = powerUpBoard(board, { script: scriptOf(text), contents });
  simulator.run(fs(released + ns(nanoseconds)));
  if (!script) throw new Error("no script");
  return script.outcome;
}

describe("a script at the inputs of the tide board", () => {
  test("brings every byte to its cell, and changes nothing else", () => {
    const { bytes, begun, ended, memories, broken } = run(
      `${WRITE("2.45 us")}  - write: { at: 0x100, bytes: [0x81, 0x7e, 0x18] }\n  - write: { at: 0x200, text: "TIDE" }\n`,
      40_000,
    );
    expect({ bytes, begun }).toEqual({ bytes: 7, begun: 7 });
    expect(ended).toBeDefined();
    expect(memories).toEqual([{ ref: "U25", meant: 7, cells: 7, lost: [], strays: [] }]);
    expect(broken).toEqual([]);
  });

  test("loses bytes that come faster than the memory cycle takes them, and breaks the promise of the file", () => {
    const { memories, broken } = run(`${WRITE("250 ns")}  - write: { at: 0x100, bytes: [0xaa], count: 24 }\n`, 40_000);
    expect(memories[0]?.lost.length).toBeGreaterThan(4);
    expect(broken).toContainEqual(
      expect.objectContaining({ net: "WR#", what: "repeat", promised: ns(2600), kept: ns(400) }),
    );
  });

  test("is told of when its address and data move too near to the edge that latches them", () => {
    const text = `script: 1
steps:
  - set: { WR#: 0 }
  - wait: 500 ns
  - set: { PD: 0x55 }
  - wait: 12 ns
  - set: { WR#: 1 }
`;
    const { broken } = run(text, 5000);
    const before = broken.filter(({ what }) => what === "steady before WR# rise");
    // Four of the eight bits change.
    expect(before.map(({ net, kept }) => [net, kept])).toEqual(
      ["PD0", "PD2", "PD4", "PD6"].map((net) => [net, ns(12)]),
    );
  });

  test("waits for edges of any net, and until a time after the reset", () => {
    const atEdge = run("script: 1\nsteps:\n  - after: HSYNC fall\n", 40_000);
    expect(atEdge.ended).toBeDefined();
    const atTime = run("script: 1\nsteps:\n  - until: 30 us\n", 40_000);
    expect(atTime.ended).toBe(fs(ns(10_000) + ns(30_000)));
    expect(run("script: 1\nsteps:\n  - until: 30 us\n", 20_000).ended).toBeUndefined();
  });
});

describe("mistakes in a script", () => {
  test("are named with their place and what was meant", () => {
    const text = `${WRITE("2 us")}  - set: { WE#: 0 }
  - set: { PD: 256 }
  - wait: 3 parsecs
  - after: VSINC fall
  - after: VSYNC
  - set: { PA: ADDRESS }
  - write: { at: 1 }
  - write: { at: 1, file: missing.bin }
  - write: { at: 1, text: "水" }
`;
    expect(complaints(text)).toEqual([
      expect.stringMatching(
        /^gauge\.script\.yaml:8:12: 'WE#' is no input of the circuit, nor a bus of inputs: did you mean WR#\?$/,
      ),
      expect.stringMatching(/:9:16: 256 does not go into PD: expected at most 255$/),
      expect.stringMatching(/:10:11: '3 parsecs' is no time/),
      expect.stringMatching(/:11:12: there is no net 'VSINC': did you mean VSYNC\?$/),
      expect.stringMatching(/:12:12: 'VSYNC' is no edge: expected a net and 'rise' or 'fall'/),
      expect.stringMatching(/:13:16: ADDRESS stands for nothing here/),
      expect.stringMatching(/:14:\d+: it is not said what is written/),
      expect.stringMatching(/:15:27: missing\.bin: cannot be read/),
      expect.stringMatching(/:16:27: '水' is no letter of ISO 8859-1/),
    ]);
  });

  test("never throw, whatever the text", () => {
    const words = [
      "script: 1",
      "steps:",
      "write:",
      "  - set: {PA: ADDRESS}",
      "  - wait: 1 us",
      "  - bits: {of: DATA}",
      "- {",
      "&a [*a]",
    ];
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          fc.array(fc.constantFrom(...words)).map((lines) => lines.join("\n")),
        ),
        (text) => {
          const { script, problems } = read(text);
          expect(script === undefined).toBe(problems.some(({ severity }) => severity === "error"));
        },
      ),
    );
  });
});
