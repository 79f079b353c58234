import { describe, expect, test } from "vitest";
import { type Circuit, formatProblem, readCircuit } from "../../src/circuit/index.js";
import { fs, inNs } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { changed, lampByProcessor } from "../circuit/processor-board.js";
import { verdictOf } from "./verdict-fixture.js";

function board(...changes: readonly (readonly [from: string, to: string])[]): Circuit {
  const { circuit, problems } = readCircuit(changed(lampByProcessor, ...changes), "lamp");
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return circuit;
}

/** Its program writes to the lamp now and then. */
const seldom = ["    strobe", "    cycles between writes: 40\n    strobe"] as const;

const states = (circuit: Circuit) =>
  Object.fromEntries(prove(circuit).verdicts.flatMap(({ name, state }) => (state === "holds" ? [] : [[name, state]])));

describe("a board with its processor in the file", () => {
  test("is proved: a processor's own oscillator is no second one of the board", () => {
    const proof = prove(board());
    expect(states(board())).toEqual({});
    // A 74AHCT74 asks a hold time of 0; the data stay until 45 ns after WR#, less the gate, the wires and so on.
    expect(inNs(verdictOf(proof, "hold U2 1D").margin ?? fs(0))).toBeGreaterThan(30);
    expect(verdictOf(proof, "hold U2 1D").chains?.later.some(({ source }) => source.includes("PS017801"))).toBe(true);
    expect(verdictOf(proof, "strobe U30 WRITE#").state).toBe("holds");
  });

  test("has what it writes held for too short a time where the gate is slow", () => {
    const slow = board(
      seldom,
      ["part: 74AC32", "part: 74HC32"],
      ["part: Z84C0006", "part: Z84C0020"],
      ["OSC-4MHz", "OSC-10MHz"],
    );
    // At 10 MHz TdWRr(D) = 40 - 25 = 15 ns, less than the gate takes.
    expect(states(slow)["hold U2 1D"]).toBe("fails");
  });

  test("marks what rests on a processor whose figures were recalled", () => {
    const recalled = board(
      ["part: Z84C0006", "part: MC6809"],
      ["CLK: CLOCK", "EXTAL: CLOCK\n      XTAL: low\n      E: E\n      R/W#: RW"],
      ['"INT#, NMI#, WAIT#, BUSREQ#, RESET#": high', '"IRQ#, FIRQ#, NMI#, MRDY, HALT#, DMA/BREQ#, RESET#": high'],
      ['      WR#: WR#\n      "M1#, MREQ#, IORQ#, RD#, RFSH#, HALT#, BUSACK#": open', '      "Q, BA, BS": open'],
      ["part: 74AC32", "part: 74HC10"],
      [
        '1A: WR#, 1B: HIGH#, 1Y: WRITE#, "2A, 2B, 3A, 3B, 4A, 4B": low, "2Y, 3Y, 4Y": open',
        '1A: E, 1B: W, 1C: PA15, 1Y: WRITE#, "2A, 2B, 2C, 3A, 3B, 3C": low, "2Y, 3Y": open',
      ],
      ["4A: PA15, 4Y: HIGH#", "4A: RW, 4Y: W"],
    );
    const proof = prove(recalled);
    expect(verdictOf(proof, "hold U2 1D").restsOn).toContain("from memory");
    expect(verdictOf(proof, "strobe U30 WRITE#").restsOn).toContain("from memory");
  });
});

test("what makes a processor with an oscillator of its own wait is not judged, and the sheet's demand is told", () => {
  const found = prove(
    board(
      [
        '"2CLK, 2D": low, "2PRE#, 2CLR#": high, "2Q, 2Q#": open',
        '2CLK: DOT, 2D: Q, "2PRE#, 2CLR#": high, 2Q: WAIT#, 2Q#: open',
      ],
      ["NMI#, WAIT#, BUSREQ#", "NMI#, BUSREQ#"],
      ["      D0", "      WAIT#: WAIT#\n      D0"],
    ),
  );
  const { state, note } = verdictOf(found, "processor U30 WAIT#");
  expect(state).toBe("not covered");
  // Zilog PS017801-0602, TsWAIT(Cf) and ThWAIT(Cf) of the 6 MHz grade.
  expect(note).toContain("from 60 ns before the fall of CLK until 10 ns after it");
});

describe("a processor that the board clocks", () => {
  /** A flip-flop halves the dot clock for it; the lamp's second flip-flop makes it wait every other cycle. */
  const clocked = (clock: string, waitAt = "CLOCK") =>
    board(
      [
        "  X2: {part: OSC-4MHz, pins: {OUT: CLOCK}}\n",
        '  U4: {part: 74AHCT74, pins: {1CLK: DOT, 1D: HALF#, "1PRE#, 1CLR#": high, 1Q: CLOCK, 1Q#: HALF#, "2CLK, 2D, 2PRE#, 2CLR#": high, "2Q, 2Q#": open}}\n',
      ],
      [
        '"2CLK, 2D": low, "2PRE#, 2CLR#": high, "2Q, 2Q#": open}\n  U3',
        `2CLK: ${waitAt}, 2D: GO, "2PRE#, 2CLR#": high, 2Q: WAIT#, 2Q#: GO}\n  U3`,
      ],
      ["NMI#, WAIT#, BUSREQ#", "NMI#, BUSREQ#"],
      ["      D0", "      WAIT#: WAIT#\n      D0"],
      ["part: Z84C0006", "part: Z84C0020"],
      ["    strobe", `    clock: ${clock}\n    cycles between writes: 40\n    strobe`],
    );

  test("has its clock compared with the rate that the file states, and its writes taken as coming at any time", () => {
    const found = states(clocked("12.6 MHz, 36 to 64 % high"));
    expect(Object.keys(found).filter((name) => name.includes("U30 CLK"))).toEqual([]);
    expect(states(clocked("10 MHz, 36 to 64 % high"))["clock period U30 CLK"]).toBe("fails");
    expect(states(clocked("12.6 MHz, 48 to 52 % high"))["pulse width U30 CLK high"]).toBe("fails");
  });

  test("is made to wait in time, or not", () => {
    // Zilog PS017801-0602, 20 MHz grade: WAIT# 7.5 ns before the clock falls and 10 ns after it.
    const proof = prove(clocked("12.6 MHz, 36 to 64 % high"));
    expect(inNs(verdictOf(proof, "set-up U30 WAIT#").required ?? fs(0))).toBe(7.5);
    expect(inNs(verdictOf(proof, "hold U30 WAIT#").required ?? fs(0))).toBe(10);
    expect(states(clocked("12.6 MHz, 36 to 64 % high", "HALF#"))["hold U30 WAIT#"]).toBe("fails");
  });
});
