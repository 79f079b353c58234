import { describe, expect, test } from "vitest";
import { readCsv } from "../../src/circuit/index.js";
import { lamp, lines, read } from "./harbour.js";
import { type Hostile, hostileToAll, timed } from "./hostile-texts.js";

/** One text for each way to make a reader wait for ever or fill the memory, and the line that it gets. */
const hostile: readonly Hostile[] = [
  ...hostileToAll("a circuit file", "chips, their pins and nets, which is four deep"),
  [
    "bytes that are no UTF-8",
    () => new TextDecoder().decode(Uint8Array.of(0xff, 0xd8, 0xff, 0xe0)),
    "lamp.yaml:1:1: the file is not UTF-8 text: expected text in UTF-8",
  ],
  [
    "an alias that stands for what it stands in",
    () => `${lamp}passives: &all\n  R1: {value: *all}\n`,
    "lamp.yaml:17:15: alias *all stands inside what it stands for, which has no end",
  ],
  [
    "lists of lines ten thousand deep",
    () => `${"- ".repeat(10_000)}x`,
    "lists and maps are more than 64 deep inside each other: expected chips, their pins and nets, which is four deep",
  ],
  [
    "maps a thousand deep",
    () => Array.from({ length: 1000 }, (_, depth) => `${" ".repeat(depth)}a:`).join("\n"),
    "lists and maps are more than 64 deep inside each other: expected chips, their pins and nets, which is four deep",
  ],
  ["a million commas", () => `[${"a,".repeat(1_900_000)}]`, "there are more than 300,000 words and marks"],
  ["a million comments", () => "#\n".repeat(1_000_000), "there are more than 300,000 words and marks"],
  [
    "a hundred thousand documents",
    () => "---\n".repeat(100_000),
    "a second document begins here: expected one circuit a file",
  ],
  [
    "more than two thousand chips",
    () =>
      `${lamp}${Array.from({ length: 2100 }, (_, n) => `  Z${n}: {part: 74HC04, pins: {"[1..6]A": low, "[1..6]Y": open}}\n`).join("")}`,
    "there are more than 2,000 chips",
  ],
  [
    "more than twenty thousand nets",
    () =>
      `${lamp}${Array.from({ length: 1700 }, (_, n) => `  Z${n}: {part: 74HC04, pins: {"[1..6]A": "A${n}_[1..6]", "[1..6]Y": "Y${n}_[1..6]"}}\n`).join("")}`,
    "there are more than 20,000 nets",
  ],
  [
    "a range of a thousand million nets",
    () => lamp.replace("3Y: LAMP", '"[0..999999999]Y": LAMP'),
    "lamp.yaml:13:8: the range '[0..999999999]Y' has 1,000,000,000 members: expected at most 1024",
  ],
  [
    "wide ranges at every chip",
    () =>
      `${lamp}${Array.from({ length: 1900 }, (_, n) => `  Z${n}: {part: 74HC04, pins: {"[1..1000]A": "N[1..1000]"}}\n`).join("")}`,
    "there are more than 200,000 names of pins and nets",
  ],
  [
    "two thousand unknown parts",
    () => `${lamp}${Array.from({ length: 1900 }, (_, n) => `  Z${n}: {part: 74HC9${n}, pins: {A: low}}\n`).join("")}`,
    "part 74HC9500 was not looked for: it is too long, or too many before it are unknown: expected the full part number, such as 74HC163 or 62256-70",
  ],
  [
    "forty thousand unknown keys",
    () => `${lamp}${Array.from({ length: 40_000 }, (_, n) => `k${n}: 1\n`).join("")}`,
    "there are more mistakes than the 1,000 that are listed",
  ],
  [
    "a million commas between pins",
    () => lamp.replace("3Y: LAMP", `3Y: "LAMP${",".repeat(1_000_000)}"`),
    "a name is missing between the commas",
  ],
  [
    "a key of a million characters",
    () => lamp.replace("3Y: LAMP", `"${",".repeat(1_000_000)}": LAMP`),
    "the : indicator must be at most 1024 chars after the start of an implicit block mapping key",
  ],
  [
    "a million spaces in a quantity",
    () => lamp.replace("raster:", `supply: "5${" ".repeat(1_000_000)}V"\nraster:`),
    "it is too long: expected a range with its unit, such as 4.5 V to 5.5 V or 5 V ± 10 %",
  ],
  [
    "a million letters for a part and a raster",
    () => lamp.replace("74HC04", "A".repeat(1_000_000)).replace("640x480@60", "B".repeat(1_000_000)),
    "it is too long, or too many before it are unknown: expected the full part number, such as 74HC163 or 62256-70",
  ],
  [
    "ranges upon ranges",
    () => lamp.replace("3Y: LAMP", `3Y: "${"N[1..1000], ".repeat(5000)}LAMP"`),
    "has 2,000 members: expected at most 1024",
  ],
];

describe("a text made to exhaust the reader is refused in under a second", () => {
  test.each(hostile)("%s", (_, text, line) => {
    const written = text();
    const [seconds, { circuit, problems }] = timed(() => read(written));
    expect(circuit).toBeUndefined();
    expect(lines(problems).some((found) => found.endsWith(line))).toBe(true);
    expect(seconds).toBeLessThan(1);
  });
});

describe("a wiring list made to exhaust the reader is refused too", () => {
  test.each([
    ["a binary file", "chip,part,pin,net\nU1\0", "the file is not text"],
    ["too long a file", "chip,part,pin,net\n".padEnd(5 * 1024 * 1024, "x"), "the file is 5.0 MiB long"],
    [
      "a hundred thousand chips",
      `chip,part,pin,net\n${Array.from({ length: 100_000 }, (_, n) => `U${n},74HC04,1A,low\n`).join("")}`,
      "there are more than 2,000 chips",
    ],
    ["a million quotes", `chip,part,pin,net\n${'"'.repeat(1_000_001)}`, "this quote is not closed"],
    ["a million line ends", `chip,part,pin,net${"\n".repeat(1_000_000)}`, ""],
  ])("%s", (_, text, message) => {
    const [seconds, { problems }] = timed(() => readCsv(text, "board.csv"));
    expect(seconds).toBeLessThan(1);
    expect(problems.some((problem) => problem.message.startsWith(message))).toBe(message !== "");
  });
});

test("a thousand mistakes are listed, and then that there are more", () => {
  const { problems } = read(`${lamp}${Array.from({ length: 1500 }, (_, n) => `colour${n}: red\n`).join("")}`);
  expect(problems).toHaveLength(1001);
  expect(problems.filter(({ code }) => code === "too-many")).toHaveLength(1);
});
