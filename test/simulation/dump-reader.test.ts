import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it, vi } from "vitest";
import { ns } from "../../src/quantity/index.js";
import { ChangeDump, DumpReader, DumpRecording, groupBuses } from "../../src/simulation/index.js";
import { compareOnDamagedDumps, readDump as read } from "../support/damaged-dump.js";
import { eventsOf, parseDump } from "../support/dump-grammar.js";
import { randomCircuits } from "../support/random-circuit.js";
import { randomDumps } from "../support/random-dump.js";
import { play, start } from "./running.js";

/** Hundreds of texts take seconds where the machine is busy. */
vi.setConfig({ testTimeout: 60_000 });

/** Cuts a text at some places. */
function cut(text: string, places: readonly number[]): string[] {
  const at = [...new Set(places.map((place) => place % (text.length + 1)))].sort((a, b) => a - b);
  return [0, ...at].map((from, index) => text.slice(from, at[index] ?? text.length));
}

const header = (declarations: string) => `$timescale 1 ns $end\n${declarations}\n$enddefinitions $end\n`;
const oneWire = header("$var wire 1 ! HSYNC $end\n$var wire 4 % DATA [3:0] $end");

/** Names, sizes and values of the published example: sources in test/data/value-change-dump.json. */
const published = JSON.parse(readFileSync(new URL("../data/value-change-dump.json", import.meta.url), "utf8")) as {
  readonly example: { readonly text: readonly string[]; readonly check: Readonly<Record<string, string | number>> };
};

describe("a reader of value change dumps", () => {
  it("reads the published example", () => {
    const { declarations, events, problem, notes } = read(published.example.text.join("\n"));
    const { check } = published.example;
    expect([problem, notes]).toEqual([undefined, []]);
    expect(declarations?.unitFs).toBe(1000);
    const codeOf = (name: string) =>
      declarations?.variables.find(({ names }) => names.some((one) => one.name === name))?.code;
    const at = (name: string, time: number) =>
      events.filter((event) => event.code === codeOf(name) && event.time <= time).at(-1)?.bits;
    expect(at("data", 0)).toBe(check["data at 0"]);
    expect(at("data", 2296)).toBe(check["data at 2296"]);
    expect(events.filter(({ code }) => code === codeOf("data_valid")).slice(-2)).toMatchObject([
      { time: check["data_valid high from"], bits: "1" },
      { time: check["data_valid high to"], bits: "0" },
    ]);
  });

  it("reads every form that the standard allows, in pieces of any size", () => {
    fc.assert(
      fc.property(randomDumps, fc.array(fc.nat(), { maxLength: 6 }), (dump, places) => {
        const { declarations, events, problem } = read(...cut(dump.text, places));
        expect(problem).toBeUndefined();
        expect(declarations?.unitFs).toBe(dump.unitFs);
        expect(events).toEqual(dump.events);
        const declared = declarations?.variables.map(({ code, size, names }) => ({
          code,
          size,
          paths: names.map(({ scopes, name }) => [...scopes, name].join(".")),
        }));
        const byCode = (a: { code: string }, b: { code: string }) => (a.code < b.code ? -1 : 1);
        expect([...(declared ?? [])].sort(byCode)).toEqual([...dump.variables].sort(byCode));
      }),
      { numRuns: 300 },
    );
  });

  it("reads what a general-purpose parser reads by the standard's grammar", () => {
    fc.assert(
      fc.property(randomDumps, ({ text }) => {
        expect(read(text).events).toEqual(eventsOf(parseDump(text)));
      }),
      { numRuns: 300 },
    );
  });

  it("accepts nothing without a note that the standard's grammar does not have", () => {
    expect(compareOnDamagedDumps(1500)).toBeGreaterThan(100);
  });

  it("takes any text in any pieces without failing, and says the same of it", () => {
    const scraps = fc.constantFrom(
      ..."$var wire 1 ! A $end $scope module top $upscope $timescale 1 ns $enddefinitions $dumpvars $dumpoff #0 #1 b01 0! 1! xz $comment".split(
        " ",
      ),
    );
    const anyText = fc.oneof(
      fc.string({ unit: "binary", maxLength: 60 }),
      fc.array(fc.oneof(scraps, fc.string({ maxLength: 4 })), { maxLength: 40 }).map((list) => list.join(" ")),
    );
    fc.assert(
      fc.property(anyText, fc.array(fc.nat(), { maxLength: 5 }), (text, places) => {
        const [whole, pieces] = [read(text), read(...cut(text, places))];
        expect(pieces).toEqual(whole);
      }),
      { numRuns: 1000 },
    );
  });

  it("tells of time, and of sections in which values are given or end", () => {
    const told: unknown[] = [];
    const reader = new DumpReader({
      time: (time) => told.push(time),
      section: (time, section) => told.push([time, section]),
    });
    reader.push(`${oneWire}$dumpvars 0! $end #5 1! #7 $dumpoff x! $end #9 $dumpon 0! $end $dumpall 0! $end #12`);
    expect(reader.end()).toBeUndefined();
    expect(told).toEqual([[0, "$dumpvars"], 5, 7, [7, "$dumpoff"], 9, [9, "$dumpon"], [9, "$dumpall"], 12]);
  });
});

describe("a reader of value change dumps says where and why it cannot go on", () => {
  it.each([
    ["", 1, 1, "there is nothing in it"],
    [" \n\n ", 3, 2, "there is nothing in it"],
    ["$timescale 1 ns $end\n", 2, 1, "it ends before $enddefinitions"],
    ["$date today", 1, 1, "$date is not closed by $end"],
    ["$enddefinitions $end", 1, 17, "no $timescale says how long a unit of time is"],
    ["$timescale 2 ns $end", 1, 1, "$timescale is 1, 10 or 100 and s, ms, us, ns, ps or fs, such as 10 ns"],
    ["$timescale 10 0 ns $end", 1, 1, "$timescale is 1, 10 or 100 and s, ms, us, ns, ps or fs, such as 10 ns"],
    ["$timescale 1ns $end\n $timescale 1ns $end", 2, 2, "$timescale is given twice"],
    ["#0 1!", 1, 1, "'#0' stands where a declaration such as $var should"],
    ["$dumpvars", 1, 1, "$dumpvars stands before $enddefinitions"],
    [header("$upscope $end"), 2, 1, "$upscope leaves a scope where none is open"],
    [header("$scope module $end"), 2, 1, "$scope has a kind and a name, such as module board"],
    [header("$scope module board\n$var wire 1 ! A $end"), 2, 1, "$scope is not closed by $end before $var"],
    [header("$var wire 1 ! $end"), 2, 1, "$var has a type, a size, a code and a name, such as wire 8 ! DATA"],
    [header("$var wire 0 ! A $end"), 2, 1, "the size of a $var is a whole number of bits from 1 to 65536"],
    [header("$var wire 99999 ! A $end"), 2, 1, "the size of a $var is a whole number of bits from 1 to 65536"],
    [header("$var wire 1 é A $end"), 2, 1, "the code of a $var has other characters than ! to ~"],
    [
      header("$var wire 1 ! A [x] $end"),
      2,
      1,
      "the name of a $var may be followed by [bit] or [first:last] and nothing else",
    ],
    [
      header("$var wire 1 ! A $end\n  $var wire 2 ! B $end"),
      3,
      3,
      "the code ! is given to B with 2 bits and to another with 1",
    ],
    [`${oneWire}#1 1! #0`, 5, 7, "the time 0 comes after 1; times must not fall"],
    [`${oneWire}#1.5`, 5, 1, "'#1.5' is no time: # and a whole number were expected"],
    [
      `${oneWire}#99999999999999999999`,
      5,
      1,
      "the time '#99999999999999999999' is beyond 9007199254740991, the greatest that is read",
    ],
    [`${oneWire}1?`, 5, 1, "the code '?' was not declared"],
    [`${oneWire}#0\n\t1 !`, 6, 2, "no code stands right after the value 1"],
    [`${oneWire}b012 %`, 5, 1, "'b012' is no value: b and digits 0, 1, x, z were expected"],
    [`${oneWire}b01010 %`, 5, 8, "5 bits are given to DATA, which has 4"],
    [`${oneWire}b0101`, 5, 1, "no code follows the value b0101"],
    [`${oneWire}r1.5 !`, 5, 1, "the value 'r1.5' is given to HSYNC, which has bits"],
    [`${oneWire}$dumpvars 1!`, 5, 1, "$dumpvars is not closed by $end"],
    [`${oneWire}$dumpoff $dumpon`, 5, 10, "$dumpon stands inside $dumpoff"],
    [`${oneWire}$end`, 5, 1, "$end stands where nothing is open"],
    [`${oneWire}$var wire 1 " B $end`, 5, 1, "$var stands after $enddefinitions"],
    [`${oneWire}pL 6 0 <0`, 5, 1, "this is an extended dump of ports, which is another format"],
    [`${oneWire}q!`, 5, 1, "'q!' is no change of a value and no time"],
    ["PK\u0003\u0004\u0000binary", 1, 1, "'PK\\x03\\x04\\x00binary' stands where a declaration such as $var should"],
  ])("%j", (text, line, column, what) => {
    expect(read(text).problem).toEqual({ line, column, what });
  });

  it("before a word or a section without end fills the memory", () => {
    const reader = new DumpReader({});
    for (let piece = 0; piece < 40; piece++) reader.push("x".repeat(100_000));
    expect(reader.end()?.what).toBe("a word has more than 1048576 characters");
    const silent = new DumpReader({});
    silent.push(`${oneWire}$comment `);
    for (let piece = 0; piece < 200; piece++) silent.push("word ".repeat(5000));
    expect(silent.end()).toMatchObject({ line: 5, column: 1, what: "$comment is not closed by $end" });
  });
});

describe("a reader of value change dumps notes", () => {
  it("what it leaves out, once, with its place", () => {
    const { notes, events, problem } = read(
      header('$var real 64 ! VOLTS $end\n$var real 64 " AMPS $end\n$var event 1 # TRIGGER $end\n$var wire 1 $ A $end'),
      'r1.25 !\nR-2 "\n1#\n1$',
    );
    expect(problem).toBeUndefined();
    expect(events).toEqual([{ time: 0, code: "$", bits: "1" }]);
    expect(notes).toEqual([
      { line: 2, column: 1, what: "numbers with a fraction, such as VOLTS, are left out" },
      { line: 4, column: 1, what: "events, such as TRIGGER, are left out" },
    ]);
  });

  it("times and comments inside sections, which it reads all the same", () => {
    const { notes, events, problem } = read(oneWire, "$dumpvars #3 1! $comment ready $end 0! $end");
    expect(problem).toBeUndefined();
    expect(events.map(({ time, bits }) => [time, bits])).toEqual([
      [3, "1"],
      [3, "0"],
    ]);
    expect(notes).toEqual([
      { line: 5, column: 11, what: "a time inside $dumpvars is not of the standard" },
      { line: 5, column: 17, what: "$comment inside $dumpvars is not of the standard" },
    ]);
  });

  it("what is not of the standard and read all the same", () => {
    const { notes, problem, events } = read(
      header(
        "$attrbegin 1 2 $end $scope module my board $end $upscope $end $scope interface bus $end $var logic 1 ! A $end",
      ),
      "1!",
    );
    expect(problem).toBeUndefined();
    expect(events).toHaveLength(1);
    expect(notes.map(({ what }) => what)).toEqual([
      "$attrbegin is not of the standard and was passed over",
      "scopes whose names have spaces, such as my board, are not of the standard",
      "scopes of the kind interface are not of the standard and are read as others",
      "variables of the type logic are not of the standard and are read as bits",
      "the scope bus is not closed by $upscope",
    ]);
  });
});

describe("a dump that is written and read again", () => {
  it("has every change of every net, and is what the standard's grammar has", () => {
    fc.assert(
      fc.property(randomCircuits(), fc.nat(), fc.boolean(), (random, seed, inBuses) => {
        const { circuit, changes } = random;
        const simulator = start(circuit, { delays: { seed, spread: "even" }, powerUp: { seed } });
        const signals = circuit.nets.filter(({ rail }) => !rail);
        const ids = signals.map(({ id }) => id);
        const nets = inBuses ? groupBuses(circuit, ids) : signals.map(({ id, name }) => ({ name, nets: [id] }));
        const seen = new Map(
          signals.map(({ id }) => [id, [[0, "01xz"[simulator.valueOf(id)] ?? ""]] as [number, string][]]),
        );
        for (const id of ids) {
          simulator.observe(id, (time, word) => {
            if (time > 0 && time <= 700e6) seen.get(id)?.push([time, "01xz"[word & 3] ?? ""]);
          });
        }
        const dump = new ChangeDump(simulator, { nets, from: ns(0), to: ns(700) });
        changes.forEach(({ input, time }, index) => play(simulator, input, [[time, index % 2 ? 0 : 1]]));
        simulator.run(ns(700));
        dump.end();
        const text = dump.read();

        const names = nets.flatMap(({ name, nets: bits }) =>
          bits.map((id, bit) => [id, bits.length > 1 ? `${name}[${bit}]` : name] as const),
        );
        const recording = new DumpRecording(names.map(([, name]) => name));
        const reader = new DumpReader(recording);
        reader.push(text);
        expect([reader.end(), reader.notes, recording.problems]).toEqual([undefined, [], []]);
        expect(recording.untilFs).toBe(700e6);
        for (const [id, name] of names) {
          const tape = recording.tapes.get(name);
          const changesRead = [...(tape?.timesFs ?? [])].map((time, index) => [
            time,
            "01xz"[tape?.values[index] ?? 2] ?? "",
          ]);
          // The last of several changes in one moment counts, and what does not change is not written.
          const settled = (seen.get(id) ?? []).filter(([time], index, all) => all[index + 1]?.[0] !== time);
          const expected = settled.filter(([, value], index) => value !== (settled[index - 1]?.[1] ?? "x"));
          expect(changesRead, `net ${name}`).toEqual(expected);
        }
        expect(read(text).events).toEqual(eventsOf(parseDump(text)));
      }),
      { numRuns: 100 },
    );
  });
});

describe("the recording of a dump", () => {
  const text =
    "$timescale 10 ns $end $scope module board $end $var wire 1 ! HSYNC $end $var wire 8 % D [7:0] $end " +
    "$var wire 4 & UP [0:3] $end $scope module chip $end $var wire 1 + HSYNC $end $upscope $end $upscope $end " +
    '$var wire 1 " V [2] $end $enddefinitions $end ' +
    '#100 1! 0+ b00010010 % b0001 & 1" #103 0! #110 $dumpoff x! $end #120 $dumpon 1! b1 % 0" $end #130';

  function recordingOf(...names: readonly string[]): DumpRecording {
    const recording = new DumpRecording(names);
    const reader = new DumpReader(recording);
    reader.push(text);
    expect(reader.end()).toBeUndefined();
    return recording;
  }

  it("counts in femtoseconds from the first time on, and knows nothing while nothing is dumped", () => {
    const recording = recordingOf("board.HSYNC", "D[4]", "D[0]", "UP[3]", "UP[0]", "V");
    expect([recording.problems, recording.untilFs, recording.isCut]).toEqual([[], 300e6, false]);
    const changes = (name: string) => {
      const tape = recording.tapes.get(name);
      return [...(tape?.timesFs ?? [])].map((time, index) => [time / 1e6, tape?.values[index]]);
    };
    expect(changes("board.HSYNC")).toEqual([
      [0, 1],
      [30, 0],
      [100, 2],
      [200, 1],
    ]);
    expect(changes("D[4]")).toEqual([
      [0, 1],
      [100, 2],
      [200, 0],
    ]);
    expect(changes("D[0]").at(-1)).toEqual([200, 1]);
    // The range of UP counts upwards: bit 3 is the least significant.
    expect([changes("UP[3]")[0], changes("UP[0]")[0]]).toEqual([
      [0, 1],
      [0, 0],
    ]);
    expect(changes("V").at(-1)).toEqual([200, 0]);
  });

  it("says what is wrong with names", () => {
    expect(recordingOf("HSYNC", "VSYNC", "D", "D[8]", "V[2]", "chip.HSYNC").problems).toEqual([
      "the dump has 2 nets HSYNC: say which, such as board.HSYNC or board.chip.HSYNC",
      "the dump has no VSYNC",
      "D has 8 bits: say which, as in D[0]",
      "D has no bit 8",
      "the dump has no chip.HSYNC",
    ]);
  });

  it("stops where femtoseconds can no longer be counted, and says so", () => {
    const recording = new DumpRecording(["A"]);
    const reader = new DumpReader(recording);
    reader.push("$timescale 1 s $end $var wire 1 ! A $end $enddefinitions $end #0 0! #1 1! #9 0! #10 1!");
    expect(reader.end()).toBeUndefined();
    expect([recording.isCut, recording.untilFs, recording.tapes.get("A")?.count]).toEqual([true, 9e15, 3]);
  });
});
