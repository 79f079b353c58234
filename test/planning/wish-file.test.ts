import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { z } from "zod";
import { formatProblem } from "../../src/circuit/index.js";
import { readWishFile, wishesSchema } from "../../src/planning/index.js";
import { undescribedKeys } from "../circuit/undescribed-keys.js";

const example = readFileSync(new URL("../../examples/harbour-clock.wishes.yaml", import.meta.url), "utf8");

const complaints = (text: string) => readWishFile(text, "w.yaml").problems.map(formatProblem);

test("the published JSON Schema of wish files is the one that the reader checks by (vitest --update writes it anew)", async () => {
  await expect(`${JSON.stringify(wishesSchema(), null, 2)}\n`).toMatchFileSnapshot("../../data/wishes.schema.json");
});

describe("the published JSON Schema of wish files", () => {
  test("describes every key", () => {
    expect(undescribedKeys(wishesSchema())).toEqual([]);
  });

  test("takes the bundled example", () => {
    const schema = z.fromJSONSchema(wishesSchema() as z.core.JSONSchema.JSONSchema);
    expect(schema.safeParse(parse(example)).success).toBe(true);
  });
});

describe("a wish file", () => {
  test("without mistakes gives its wishes as written", () => {
    const { texts, problems } = readWishFile(example, "harbour-clock.wishes.yaml");
    expect(problems).toEqual([]);
    expect(texts).toMatchObject({ picture: "320 x 240", chips: 32, "write rate": "100 kB/s" });
  });

  test.each([
    ["wishes: 1\npicture: large\n", /^w\.yaml:2:10: 'large' is no size of a picture/],
    ["wishes: 1\noscillators: [25 MHz, 25 parsecs]\n", /^w\.yaml:2:23: '25 parsecs' is no frequency/],
    ["wishes: 1\nrasters: 640x481@60\n", /^w\.yaml:2:10: there is no published raster 640x481@60.*such as 640x480@60/],
    ["wishes: 1\nmemory: [62256-70, 74HC00]\n", /^w\.yaml:2:20: 74HC00 is no static RAM/],
    ["wishes: 1\nchip: 20\n", /^w\.yaml:2:1: there is no 'chip'/],
    ["wishes: 1\nbits: 3\n", /^w\.yaml:2:7: 3 bits a dot do not fit a byte/],
    ["wishes: 1\npicture: 320x240\ntext: 40x25\n", /^w\.yaml:3:7: both a picture and a page/],
    ["wishes: 1\nwrite rate: 300 kB\n", /^w\.yaml:2:13: '300 kB' is no rate/],
    ["wishes: 1\ndeviation: 40 %\n", /^w\.yaml:2:12: no monitor is that far/],
    ["wishes: 1\nmonitor: fast\n", /^w\.yaml:2:10: 'fast' is no range of a monitor/],
    ["wishes: 1\nprocessor: 74HC00\n", /^w\.yaml:2:12: 74HC00 is no processor/],
    ["wishes: 1\nsharing: sometimes\n", /^w\.yaml:2:10: .*sometimes/],
    ["", /the file is empty/],
    ["wishes: [\n", /^w\.yaml:/],
  ])("tells of the mistake in %j with its line and column", (text, expected) => {
    expect(complaints(text).join("\n")).toMatch(expected);
    expect(readWishFile(text, "w.yaml").texts).toBeUndefined();
  });
});
