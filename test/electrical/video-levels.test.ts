import { describe, expect, test } from "vitest";
import { bestNetwork } from "../../src/electrical/network-search.js";
import { asNumber } from "../../src/electrical/rational.js";
import { judgeElectrical } from "../../src/electrical/index.js";
import { videoAdvice, videoVerdicts } from "../../src/electrical/video-rule.js";
import { boardFrom } from "../paper/board-fixture.js";

interface BoardText {
  readonly supply?: string;
  readonly part?: string;
  readonly picture?: string;
  /** The net that the picture has as its vertical sync. */
  readonly vsync?: string;
  /** Outputs of the hex inverter, in order, after the two syncs. */
  readonly nets?: readonly string[];
  readonly passives?: readonly string[];
}

/** A hex inverter that drives two syncs and what else is named. */
function board(text: BoardText) {
  const { supply = "5 V ± 2 %", part = "74ACT04", picture, vsync = "VSYNC", nets = ["VIDEO"], passives = [] } = text;
  const outputs = ["HSYNC", "VSYNC", ...nets];
  const rest = [1, 2, 3, 4, 5, 6].slice(outputs.length);
  return boardFrom(`
dotwright: 1
title: Harbour lamp
supply: ${supply}
raster: 640x480@60
picture: {size: 320 x 240, hsync: HSYNC, vsync: ${vsync}, ${picture ?? "video: VIDEO"}}
inputs:
  IN: {power-up only: low, at least: 100 ms}
chips:
  U1:
    part: ${part}
    pins:
      1A, 2A, 3A, 4A, 5A, 6A: IN
${outputs.map((net, at) => `      ${at + 1}Y: ${net}`).join("\n")}
${rest.map((at) => `      ${at}Y: open`).join("\n")}
passives:
  C1: {value: 100 nF, between: [high, low]}
  C2: {value: 47 uF, between: [high, low]}
${passives.map((line) => `  ${line}`).join("\n")}
`);
}

const verdicts = (text: BoardText) => new Map(videoVerdicts(board(text), {}).map((one) => [one.name, one]));
const volts = (microvolts: number | undefined) => (microvolts ?? Number.NaN) / 1e6;

describe("white of a computer monitor, 0.665 to 0.770 V (VESA VSIS, as Intel 317607-001 table 11-6 cites it)", () => {
  const white = "video level MONITOR";

  test("holds through 430 ohm of 1 % from an ACT output on a supply of 5 V ± 2 %", () => {
    const found = verdicts({ passives: ["R1: {value: 430 ohm, tolerance: 1 %, between: [VIDEO, MONITOR]}"] }).get(
      white,
    );
    expect(found?.state).toBe("holds");
    expect(found?.restsOn).toEqual([]);
  });

  test("is what the divider makes of supply, resistor and output at their worst", () => {
    const found = verdicts({
      supply: "5 V ± 10 %",
      passives: ["R1: {value: 430 ohm, tolerance: 1 %, between: [VIDEO, MONITOR]}"],
    }).get(white);
    // No drop at 5.5 V: 5.5 · 75 / (75 + 425.7).
    expect(found?.state).toBe("fails");
    expect(volts(found?.available)).toBeCloseTo((5.5 * 75) / (75 + 430 * 0.99), 5);
    // 74ACT at 4.5 V, 85 °C: 3.76 V at 24 mA, which is 31 ohm.
    const ohms = (4.5 - 3.76) / 0.024;
    const least = (4.5 * 75) / (75 + 430 * 1.01 + ohms);
    const line = found?.reckoning.find(({ text }) => text === "white above black at least");
    expect(volts(line?.figure?.amount)).toBeCloseTo(least, 5);
  });

  test("fails through 430 ohm of which nothing says that it is better than 5 %", () => {
    const found = verdicts({ passives: ["R1: {value: 430 ohm, between: [VIDEO, MONITOR]}"] }).get(white);
    expect(found?.state).toBe("fails");
    expect(found?.restsOn).toEqual(["common practice"]);
    expect(found?.remedies).toEqual(["430 ohm from VIDEO, 1 %"]);
  });

  test("names a closer supply where no resistor helps on the file's", () => {
    const found = verdicts({
      supply: "5 V ± 10 %",
      passives: ["R1: {value: 430 ohm, tolerance: 1 %, between: [VIDEO, MONITOR]}"],
    }).get(white);
    expect(found?.remedies).toEqual([
      expect.stringMatching(/^4\d\d ohm from VIDEO, 1 %, and a supply within ± 3 % of 5 V$/),
    ]);
  });

  test("fails through a resistor meant for another supply, and straight from the output", () => {
    const wrong = verdicts({ passives: ["R1: {value: 270 ohm, tolerance: 1 %, between: [VIDEO, MONITOR]}"] }).get(
      white,
    );
    expect(wrong?.state).toBe("fails");
    expect(wrong?.note).toContain("bright");
  });

  test("hardly comes out of a 74HC gate, whose output has 165 ohm of its own when hot", () => {
    const found = verdicts({
      part: "74HC04",
      passives: ["R1: {value: 430 ohm, tolerance: 1 %, between: [VIDEO, MONITOR]}"],
    });
    expect(found.get(white)?.state).toBe("fails");
    // Philips HC: 4 mA with a level, 25 mA at the very most.
    const current = found.get("output current U1 3Y");
    expect(current?.state).toBe("holds");
    expect(current?.restsOn).toContain("common practice");
  });

  test("is judged three times where one net feeds three colours, and counts what they draw together", () => {
    const resistor = (at: number, colour: string) =>
      `R${at}: {value: 430 ohm, tolerance: 1 %, between: [VIDEO, ${colour}]}`;
    const found = verdicts({ passives: [resistor(1, "RED"), resistor(2, "GREEN"), resistor(3, "BLUE")] });
    expect([...found.keys()].filter((name) => name.startsWith("video level"))).toEqual([
      "video level RED",
      "video level GREEN",
      "video level BLUE",
    ]);
    const alone = verdicts({ passives: [resistor(1, "RED")] });
    const amperes = (of: typeof found) => of.get("output current U1 3Y")?.required ?? 0;
    expect(amperes(found)).toBeCloseTo(3 * amperes(alone), -3);
  });
});

describe("several bits a colour", () => {
  const twoBits = (msb: string, lsb: string) => ({
    picture: "red: [R1B, R0B], green: [R1B, R0B], blue: [R1B, R0B]",
    nets: ["R1B", "R0B"],
    passives: [
      `R1: {value: ${msb}, tolerance: 1 %, between: [R1B, MONITOR]}`,
      `R2: {value: ${lsb}, tolerance: 1 %, between: [R0B, MONITOR]}`,
    ],
  });

  test("make levels in order where the resistors stand 1 to 2", () => {
    const found = verdicts(twoBits("665 ohm", "1330 ohm"));
    expect(found.get("video steps MONITOR")?.state).toBe("holds");
    expect(found.get("video level MONITOR")?.state).toBe("holds");
    const middle = found.get("video level MONITOR")?.reckoning.find(({ text }) => text.startsWith("level 2 of 3"));
    expect(volts(middle?.figure?.amount)).toBeCloseTo((0.7 * 2) / 3, 1);
  });

  test("make levels out of order where the resistors are swapped", () => {
    const found = verdicts(twoBits("1330 ohm", "665 ohm")).get("video steps MONITOR");
    expect(found?.state).toBe("fails");
    expect(found?.note).toBe("Level 2 can be darker than level 1.");
  });

  // Values found on many hobby boards for 3.3 V (from memory): 470, 1000 and 2200 ohm.
  test("get from the search what hobby boards use: 470, 1000 and 2200 ohm of E12 from 3.3 V", () => {
    const driver = { high: { volts: 3.3, ohms: 0 }, low: { volts: 0, ohms: 0 } };
    const { ohms } = bestNetwork({
      drivers: [driver, driver, driver],
      loadOhms: 75,
      fullVolts: 0.7,
      series: "E12",
      shunt: false,
      leastOhms: 100,
      mostOhms: 10_000,
    });
    expect(ohms).toEqual([470, 1000, 2200]);
  });

  // electronics.stackexchange.com question 453377: 280 ohm for 0.7 V from 3.3 V.
  test("get 280 ohm of E96 for one bit from 3.3 V, as published", () => {
    const driver = { high: { volts: 3.3, ohms: 0 }, low: { volts: 0, ohms: 0 } };
    const found = bestNetwork({
      drivers: [driver],
      loadOhms: 75,
      fullVolts: 0.7,
      series: "E96",
      shunt: false,
      leastOhms: 100,
      mostOhms: 10_000,
    });
    expect(found.ohms).toEqual([280]);
    expect(asNumber(found.mostAmperes)).toBeCloseTo(3.3 / 355, 6);
  });
});

describe("composite video", () => {
  const sum = (sync: string, video: string) => ({
    picture: "video: VIDEO",
    nets: ["VIDEO", "CSYNC"],
    passives: [
      `R1: {value: ${sync}, tolerance: 1 %, between: [CSYNC, CVBS]}`,
      `R2: {value: ${video}, tolerance: 1 %, between: [VIDEO, CVBS]}`,
    ],
  });

  // From memory, a university course's television circuit: 1 kilohm for sync and 470 ohm for video from 5 V, 0, 0.3 and 1 V.
  test("of 1 kilohm and 470 ohm from 5 V has sync of 0.3 V and white at 1 V, nearly", () => {
    const found = verdicts(sum("1 kohm", "470 ohm"));
    const level = found.get("composite level CVBS");
    expect(level?.state).toBe("holds");
    expect(found.get("composite sync CVBS")?.state).toBe("holds");
    const figure = (start: string) =>
      volts(level?.reckoning.find(({ text }) => text.startsWith(start))?.figure?.amount);
    expect(figure("sync tip from black")).toBeCloseTo(-0.3, 1);
    expect(figure("white from black")).toBeCloseTo(0.65, 1);
  });

  test("without enough sync fails, since a receiver holds the picture by it", () => {
    const found = verdicts(sum("4.7 kohm", "430 ohm"));
    expect(found.get("composite sync CVBS")?.state).toBe("fails");
    expect(found.get("composite sync CVBS")?.remedies).toEqual(["a smaller value for the sync resistor"]);
  });

  test("of twice the volts fails", () => {
    expect(verdicts(sum("470 ohm", "150 ohm")).get("composite level CVBS")?.state).toBe("fails");
  });

  test("stands beside the nominal levels of the raster's own system", () => {
    const circuit = board(sum("1 kohm", "470 ohm"));
    const texts = (system: "525" | "625") =>
      videoVerdicts(circuit, { compositeSystem: system })[0]
        ?.reckoning.map(({ text }) => text)
        .join("\n");
    // ITU BT.470-5: 625 lines -43 and 100 per cent of 0.7 V; 525 lines -40 and 100 IRE of 140 IRE to the volt.
    expect(texts("625")).toContain("from blanking: sync -300 mV, black 0 mV, white 700 mV");
    expect(texts("525")).toContain("from blanking: sync -286 mV, black 54 mV, white 714 mV");
    expect(texts("525")).not.toContain("625");
  });
});

describe("syncs", () => {
  test("reach TTL levels through 68 ohm, and straight from the output", () => {
    const found = verdicts({ passives: ["R1: {value: 68 ohm, between: [HSYNC, MONITOR_HSYNC]}"] });
    expect(found.get("sync level MONITOR_HSYNC")?.state).toBe("holds");
    expect(found.get("sync level VSYNC")?.state).toBe("holds");
  });

  test("on one net are judged once", () => {
    const names = videoVerdicts(board({ vsync: "HSYNC" }), {}).map(({ name }) => name);
    expect(names.filter((name) => name.startsWith("sync level"))).toEqual(["sync level HSYNC"]);
  });

  test("do not reach them through 10 kilohm", () => {
    const found = verdicts({ passives: ["R1: {value: 10 kohm, between: [HSYNC, MONITOR_HSYNC]}"] });
    expect(found.get("sync level MONITOR_HSYNC")?.state).toBe("fails");
  });
});

describe("advice on video", () => {
  test("names the resistors where the file has none", () => {
    const [advice] = videoAdvice(board({}));
    expect(advice?.text).toMatch(/the nearest of E96 are 4\d\d ohm from VIDEO\.$/);
    expect(videoVerdicts(board({}), {}).filter(({ rule }) => rule === "video level")).toEqual([]);
  });

  test("is silent where there are some, and where nothing is shown", () => {
    expect(videoAdvice(board({ passives: ["R1: {value: 430 ohm, between: [VIDEO, MONITOR]}"] }))).toEqual([]);
    const { picture, ...blind } = board({});
    expect(picture).toBeDefined();
    expect(judgeElectrical(blind).verdicts.filter(({ rule }) => /video|sync/.test(rule))).toEqual([]);
  });
});
