import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fs, ns } from "../../src/quantity/index.js";
import { ChangeDump, groupBuses } from "../../src/simulation/index.js";
import { ANY_TIME, buildCircuit, gate, known, netOf } from "../support/build-circuit.js";
import { randomCircuits } from "../support/random-circuit.js";
import { play, start } from "./running.js";

/** The grammar of IEEE 1364's four-state dump as published, with sources, in test/data/value-change-dump.json. */
interface Grammar {
  readonly declaration_keywords: readonly string[];
  readonly simulation_keywords: readonly string[];
  readonly timescale: { readonly number: readonly number[]; readonly unit: readonly string[] };
  readonly scope_types: { readonly list: readonly string[] };
  readonly variable_types: { readonly list: readonly string[] };
  readonly scalar_values: readonly string[];
  readonly example: { readonly text: readonly string[]; readonly check: Readonly<Record<string, string | number>> };
}
const file = new URL("../data/value-change-dump.json", import.meta.url);
const grammar = JSON.parse(readFileSync(file, "utf8")) as Grammar;

interface Read {
  readonly timescale: string;
  /** By reference: bits, most significant first, at each time at which they change. */
  readonly variables: ReadonlyMap<string, readonly (readonly [time: number, bits: string])[]>;
  readonly end: number;
}

/** Reads a dump by the grammar alone; throws on whatever the grammar does not have. */
function parse(text: string): Read {
  const tokens = text.split(/\s+/).filter((token) => token !== "");
  let position = 0;
  const next = () => tokens[position++] ?? fail("unexpected end");
  const fail = (what: string): never => {
    throw new Error(
      `${what} near token ${position}: ${tokens.slice(Math.max(0, position - 3), position + 3).join(" ")}`,
    );
  };
  const oneOf = (list: readonly string[], token: string) =>
    list.includes(token) ? token : fail(`${token} is unknown`);
  const section = () => {
    const inside: string[] = [];
    for (let token = next(); token !== "$end"; token = next()) inside.push(token);
    return inside;
  };

  const codes = new Map<string, { reference: string; size: number; changes: [number, string][] }>();
  let timescale = "";
  for (let scopes = 0; ;) {
    const keyword = oneOf(grammar.declaration_keywords, next());
    const inside = section();
    if (keyword === "$enddefinitions") {
      if (inside.length > 0 || scopes !== 0) fail("declarations are not closed");
      break;
    }
    if (keyword === "$timescale") {
      const [, number = "", unit = ""] = /^(\d+)([a-z]+)$/.exec(inside.join("")) ?? [];
      oneOf(grammar.timescale.number.map(String), number);
      timescale = number + oneOf(grammar.timescale.unit, unit);
    }
    if (keyword === "$scope") {
      if (inside.length !== 2) fail("a scope has a type and a name");
      oneOf(grammar.scope_types.list, inside[0] ?? "");
      scopes++;
    }
    if (keyword === "$upscope") scopes--;
    if (keyword !== "$var") continue;
    const [type = "", size = "", code = "", reference = ""] = inside;
    oneOf(grammar.variable_types.list, type);
    if (inside.length !== 4 || !/^[1-9]\d*$/.test(size) || !/^[!-~]+$/.test(code) || codes.has(code))
      fail("bad variable");
    if (!/^[^[\]]+(\[\d+(:\d+)?\])?$/.test(reference)) fail("bad reference");
    codes.set(code, { reference, size: Number(size), changes: [] });
  }

  let time = -1;
  const change = (code: string, bits: string) => {
    const variable = codes.get(code) ?? fail(`${code} was not declared`);
    if (bits.length > variable.size) fail("more bits than declared");
    const first = bits[0] === "1" ? "0" : (bits[0] ?? "");
    variable.changes.push([time, bits.padStart(variable.size, first).toLowerCase()]);
  };
  let isOpen = false;
  while (position < tokens.length) {
    const token = next();
    if (token === "$end") {
      if (!isOpen) fail("nothing to end");
      isOpen = false;
    } else if (token.startsWith("$")) {
      oneOf(grammar.simulation_keywords, token);
      isOpen = true;
    } else if (token.startsWith("#")) {
      if (!/^#\d+$/.test(token) || Number(token.slice(1)) <= time) fail("time must rise");
      time = Number(token.slice(1));
    } else if (/^[bB]/.test(token)) {
      if (!/^[01xXzZ]+$/.test(token.slice(1))) fail("bad bits");
      change(next(), token.slice(1));
    } else {
      oneOf(grammar.scalar_values, token[0] ?? "");
      change(token.slice(1), token[0] ?? "");
    }
  }
  return {
    timescale,
    variables: new Map([...codes.values()].map(({ reference, changes }) => [reference, changes])),
    end: time,
  };
}

describe("the test's own reader of dumps", () => {
  it("reads the published example", () => {
    const { variables, end } = parse(grammar.example.text.join("\n"));
    const at = (name: string, time: number) =>
      variables
        .get(name)
        ?.filter(([change]) => change <= time)
        .at(-1)?.[1];
    const { check } = grammar.example;
    expect(at("data", 0)).toBe(check["data at 0"]);
    expect(at("data", 2296)).toBe(check["data at 2296"]);
    expect(variables.get("data_valid")?.slice(-2)).toEqual([
      [check["data_valid high from"], "1"],
      [check["data_valid high to"], "0"],
    ]);
    expect(end).toBe(2303);
  });
});

describe("a value change dump", () => {
  it("tells of every net what the simulation did in the span, and nothing else", () => {
    const span = fc.tuple(fc.integer({ min: 0, max: 300 }), fc.integer({ min: 0, max: 300 }));
    fc.assert(
      fc.property(randomCircuits(), span, fc.nat(), (random, [from, length], seed) => {
        const run = () => start(random.circuit, { delays: { seed, spread: "even" }, powerUp: { seed } });
        const stimulate = (simulator: ReturnType<typeof start>) => {
          random.changes.forEach(({ input, time }, index) => play(simulator, input, [[time, index % 2 ? 0 : 1]]));
        };
        const all = random.circuit.nets.map(({ id, name }) => ({ name, nets: [id] }));
        const to = ns(from + length);

        const dumped = run();
        const dump = new ChangeDump(dumped, { nets: all, from: ns(from), to });
        stimulate(dumped);
        let text = "";
        for (let time = 0; time <= 700; time += 100) {
          dumped.run(ns(time));
          text += dump.read();
        }
        dump.end();
        text += dump.read();
        const { timescale, variables, end } = parse(text);
        expect([timescale, end]).toEqual(["1fs", Number(to)]);

        const plain = run();
        const expected = new Map(all.map(({ name }) => [name, new Map<number, string>()]));
        for (const [net, changes] of expected) {
          const { id } = netOf(random.circuit, net);
          changes.set(from * 1e6, "01xz"[plain.valueOf(id)] ?? "");
          plain.observe(id, (time, word) => {
            if (time <= to) changes.set(Math.max(time, from * 1e6), "01xz"[word & 3] ?? "");
          });
        }
        stimulate(plain);
        plain.run(ns(700));
        expect(variables).toEqual(new Map([...expected].map(([net, changes]) => [net, [...changes]])));
      }),
      { numRuns: 200 },
    );
  });

  it("writes a bus as one variable, with undriven and unknown bits", () => {
    const circuit = buildCircuit({
      chips: { U1: [known("244", { delay: 10 }), "1OE#=OE# 1A1..1A4=A0..A3 1Y1..1Y4=D0..D3"] },
      inputs: { "OE#": ANY_TIME, "A0..A3": ANY_TIME },
    });
    const simulator = start(circuit, { inputs: { "OE#": 0, A1: 1, A2: 2 } });
    const nets = groupBuses(
      circuit,
      circuit.nets.filter(({ rail }) => !rail).map(({ id }) => id),
    );
    expect(nets.map(({ name }) => name)).toEqual(["OE#", "A", "D"]);
    const dump = new ChangeDump(simulator, { nets, from: fs(0), to: ns(200), comment: "made $end by a test" });
    play(simulator, "A0", [[50, 1]]);
    play(simulator, "A3", [[50, 1]]);
    play(simulator, "OE#", [[100, 1]]);
    simulator.run(ns(200));
    dump.end();
    const { variables } = parse(dump.read());
    expect(variables.get("D[3:0]")).toEqual([
      [0, "0x10"],
      [60e6, "1x11"],
      [110e6, "zzzz"],
    ]);
    expect(variables.get("OE#")).toEqual([
      [0, "0"],
      [100e6, "1"],
    ]);
  });

  it("gives hundreds of nets codes of their own", () => {
    const names = Array.from({ length: 300 }, (_, index) => `Y${index}x`);
    const circuit = buildCircuit({
      chips: Object.fromEntries(names.map((name) => [`U${name}`, [gate("A", "A", 5), `A=IN Y=${name}`] as const])),
      inputs: { IN: ANY_TIME },
    });
    const simulator = start(circuit);
    const nets = circuit.nets.map(({ id, name }) => ({ name, nets: [id] }));
    const dump = new ChangeDump(simulator, { nets, from: fs(0), to: ns(10) });
    dump.end();
    expect(parse(dump.read()).variables.size).toBe(circuit.nets.length);
  });
});
