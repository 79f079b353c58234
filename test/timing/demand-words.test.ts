import { describe, expect, test } from "vitest";
import { ns } from "../../src/quantity/index.js";
import type { Verdict } from "../../src/timing/index.js";
import { demandOf } from "../../src/timing/demand.js";
import { howToSupply } from "../../src/timing/own-figures.js";
import { namePartsOf, uniqueNames } from "../../src/timing/verdict-names.js";
import { nameOf } from "../../src/verdict/index.js";

/** A verdict at data pin D of U7, a 74HC574 on net N; of a memory at its address pin. */
function verdict(rule: Verdict["rule"], symbol: string, more: Partial<Verdict> = {}): Verdict {
  return {
    ...{ name: "", nameParts: { head: "", item: "", tail: "" }, state: "holds", count: 1, source: "", note: "" },
    ...{ rule, symbol, chip: "U7", part: "74HC574", pin: "D", net: "N", reference: "CLK", required: ns(4) },
    ...{ missing: [], restsOn: [] },
    ...more,
  };
}

/** Name, then what has to happen before what: the sentence, the earlier of the two events, the later one. */
const DEMANDS: readonly (readonly [Verdict, string, string, string, string])[] = [
  [
    verdict("set-up", "tsu"),
    "set-up U7 D",
    "N at U7 D (74HC574) must be steady 4.00 ns before CLK captures it.",
    "the last change of N at U7 D before that edge",
    "the edge at U7 CLK that captures it",
  ],
  [
    verdict("hold", "th"),
    "hold U7 D",
    "N at U7 D (74HC574) must stay as it is for 4.00 ns after CLK has captured it.",
    "the edge at U7 CLK that captures it",
    "the next change of N at U7 D",
  ],
  [
    verdict("memory read", "tsu"),
    "memory read U7 D",
    "The memory's data on N must stand at U7 D (74HC574) 4.00 ns before CLK captures it.",
    "the moment at which the data is ready at U7 D",
    "the edge at U7 CLK that captures it",
  ],
  [
    verdict("memory write", "tAS", { reference: "WE#" }),
    "tAS U7 D",
    "The address bit at U7 D (74HC574) must be steady 4.00 ns before the write begins (tAS), or another cell is written.",
    "the last change of N at U7 D before",
    "the begin of the write at U7 WE#",
  ],
  [
    verdict("memory write", "tAW", { reference: "WE#" }),
    "tAW U7 D",
    "The address bit at U7 D (74HC574) must be steady 4.00 ns before the write ends (tAW).",
    "the last change of N at U7 D before",
    "the end of the write at U7 WE#",
  ],
  [
    verdict("memory write", "tWR", { reference: "WE#" }),
    "tWR U7 D",
    "The address bit at U7 D (74HC574) must stay as it is for 4.00 ns after the write has ended (tWR), or another cell is written.",
    "the end of the write at U7 WE#",
    "the next change of N at U7 D",
  ],
  [
    verdict("memory write", "tDW", { reference: "WE#" }),
    "tDW U7 D",
    "The data at U7 D (74HC574) must be steady 4.00 ns before the write ends (tDW).",
    "the last change of N at U7 D before",
    "the end of the write at U7 WE#",
  ],
  [
    verdict("memory write", "tDH", { reference: "WE#" }),
    "tDH U7 D",
    "The data at U7 D (74HC574) must stay as it is for 4.00 ns after the write has ended (tDH).",
    "the end of the write at U7 WE#",
    "the next change of N at U7 D",
  ],
  [
    verdict("memory write", "tCW", { reference: "WE#" }),
    "tCW U7 D",
    "The chip must have been selected at U7 D (74HC574) for 4.00 ns before the write ends (tCW).",
    "the last change of N at U7 D before",
    "the end of the write at U7 WE#",
  ],
  [
    verdict("memory write", "tWP", { reference: "WE#" }),
    "tWP U7 D",
    "tWP of U7 D (74HC574) must be at least 4.00 ns.",
    "the earlier change",
    "the later change",
  ],
  [
    verdict("memory cycle", "tWC"),
    "tWC U7 D",
    "The address bit at U7 D (74HC574) must stand for 4.00 ns, a whole write cycle (tWC).",
    "one change of N at U7 D",
    "its next change",
  ],
  [
    verdict("memory cycle", "tRC"),
    "tRC U7 D",
    "The address bit at U7 D (74HC574) must stand for 4.00 ns, a whole read cycle (tRC).",
    "one change of N at U7 D",
    "its next change",
  ],
  [
    verdict("pulse width", "tw low"),
    "pulse width U7 D low",
    "N must stay low at U7 D (74HC574) for at least 4.00 ns.",
    "the edge that begins the pulse",
    "the edge that ends it",
  ],
  [
    verdict("clock period", "tc"),
    "clock period U7 D",
    "From one clock edge at U7 D (74HC574) to the next of the same direction there must be at least 4.00 ns.",
    "one clock edge",
    "the next of the same direction",
  ],
  [
    verdict("recovery", "trec"),
    "recovery U7 D",
    "U7 D (74HC574) must have been released 4.00 ns before the next edge of CLK.",
    "the release of N at U7 D",
    "the next edge at U7 CLK",
  ],
  [
    verdict("contention", "turn-around", { reference: "U3 1Y" }),
    "contention N U3/U7",
    "U3 1Y must have let go of N before U7 D begins to drive it.",
    "U3 1Y lets go of N",
    "U7 D begins to drive it",
  ],
  [
    verdict("contention", "both drive", { reference: "U3 1Y" }),
    "contention N U3/U7 together",
    "U3 1Y and U7 D must not both drive N.",
    "U3 1Y lets go of N",
    "U7 D begins to drive it",
  ],
  [
    verdict("undriven", "gap"),
    "undriven N U7",
    "From the moment at which one driver lets go of N until U7 D (74HC574) drives it, nothing does.",
    "the last driver lets go of N",
    "U7 D drives it",
  ],
  [
    verdict("undriven", "read"),
    "undriven U7 D",
    "Something must drive N when U7 D (74HC574) reads it at the edge of CLK.",
    "the last driver lets go of N",
    "U7 D drives it",
  ],
  [
    verdict("glitch", "clock"),
    "glitch U7 D",
    "No glitch may reach U7 D (74HC574), which acts at once (clock).",
    "the first change can come from here on",
    "the last change has come by here",
  ],
  [
    verdict("glitch", "sync", { chip: "" }),
    "glitch N",
    "No glitch may reach N, a sync output.",
    "the first change can come from here on",
    "the last change has come by here",
  ],
  [
    verdict("asynchronous signal", "synchroniser"),
    "synchroniser U7 D",
    "N may change at any time, so what captures it at U7 D (74HC574) must be the first of two flip-flops in a row.",
    "the change from outside",
    "the edge at U7 CLK",
  ],
  [
    verdict("settling", ""),
    "settling U7 D",
    "N must come to rest between one change at U7 D (74HC574) and the next.",
    "the first change can come from here on",
    "the last change so far has come by here",
  ],
];

describe("what has to happen before what", () => {
  test.for(DEMANDS)("%#: $1", ([at, name, sentence, earlier, later]) => {
    expect(demandOf(at)).toEqual({ sentence, earlier, later });
    expect(nameOf(namePartsOf(checkOf(at)))).toBe(name);
  });

  test("a rule that no time decides is told by its note, and so is a signal that was not followed", () => {
    const told = { sentence: "It may stand anywhere.", earlier: "", later: "" };
    const more = { note: "It may stand anywhere." };
    expect(demandOf(verdict("feedback", "", more))).toEqual(told);
    expect(demandOf(verdict("asynchronous signal", "", { ...more, chip: "" }))).toEqual(told);
  });

  test("a time that no sheet gives is told as such", () => {
    const { required: _, ...unknown } = verdict("hold", "th");
    expect(demandOf(unknown).sentence).toContain("stay as it is for its time after");
  });
});

describe("names that would be the same are told apart by as few words as it takes", () => {
  const names = (...verdicts: readonly Verdict[]) => uniqueNames(verdicts.map(checkOf)).map(nameOf);

  test("one that stands alone is short", () => {
    expect(names(verdict("set-up", "tsu"), verdict("hold", "th"))).toEqual(["set-up U7 D", "hold U7 D"]);
  });

  test("by what captures, by the net, by what is asked", () => {
    const one = verdict("set-up", "tsu");
    expect(names(one, { ...one, reference: "LE" })).toEqual(["set-up U7 D to CLK", "set-up U7 D to LE"]);
    expect(names(one, { ...one, net: "M" })).toEqual(["set-up U7 D to CLK on N", "set-up U7 D to CLK on M"]);
    expect(names({ ...one, reference: "" }, { ...one, reference: "", symbol: "ts" })).toEqual([
      "set-up U7 D on N tsu",
      "set-up U7 D on N ts",
    ]);
  });

  test("by the outputs that fight, and by the pin that takes a net over", () => {
    const fight = verdict("contention", "turn-around", { reference: "U3 1Y" });
    expect(names(fight, { ...fight, reference: "U3 2Y" })).toEqual([
      "contention N U3 1Y/U7 D",
      "contention N U3 2Y/U7 D",
    ]);
    const gap = verdict("undriven", "gap");
    expect(names(gap, { ...gap, pin: "E" })).toEqual(["undriven N U7 D", "undriven N U7 E"]);
  });
});

describe("a figure that no sheet gives", () => {
  const row = (one: Verdict) => howToSupply({ ...one, missing: ["U7: it"] });
  const written = (text: string) =>
    `To supply it, write it into a file of your own that the circuit file names under 'own parts', such as ${text} (docs/own-parts.md).`;
  const requirement = (kind: string, more: string, time = "ns") =>
    written(`'{ kind: ${kind}, pins: D${more}, -40 to 85 C: .. ${time} }' under 'requirements' of a 74HC574`);

  test.for([
    [verdict("set-up", "tsu"), requirement("set-up", ", reference: CLK")],
    [verdict("hold", "th"), requirement("hold", ", reference: CLK")],
    [verdict("recovery", "trec"), requirement("recovery", ", reference: CLK")],
    [verdict("memory read", "tsu"), requirement("set-up", ", reference: CLK")],
    [verdict("pulse width", "tw high"), requirement("width high", "")],
    [verdict("pulse width", "tw low"), requirement("width low", "")],
    [verdict("clock period", "tc"), requirement("clock frequency", "", "MHz")],
    [verdict("memory write", "tDW"), written("'tDW: .. ns' under 'times' of a 74HC574")],
    [verdict("memory cycle", "tRC"), written("'tRC: .. ns' under 'times' of a 74HC574")],
  ] as const)("%#: is written under the rule that asks for it", ([one, text]) => {
    expect(row(one)).toBe(text);
  });

  test("where nothing tells which, it says only where such figures go", () => {
    expect(row(verdict("glitch", "clock"))).toBe(
      "To supply it, write it into a file of your own that the circuit file names under 'own parts' (docs/own-parts.md).",
    );
  });
});

function checkOf({ rule, symbol, chip, pin, net, reference }: Verdict): Parameters<typeof namePartsOf>[0] {
  const figures = { required: 0, available: 0, typical: 0 };
  return { ...figures, rule, symbol, chip, pin, net, reference } as Parameters<typeof namePartsOf>[0];
}
