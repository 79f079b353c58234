import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { type PathExample, provePath, proveRead } from "./worked-circuits.js";
import {
  type Activity,
  canLimits,
  changeWindow,
  holdOfLoop,
  networkTimes,
  presetCounter,
  reloadedCounter,
  ripplePeriod,
  staticHazard,
  turnAround,
  writeWindow,
} from "./worked-cases.js";

/** One worked example with its published answer. */
interface Row {
  readonly id: string;
  readonly source: string;
  readonly asked: string;
  readonly given: Readonly<Record<string, unknown>>;
  readonly expected: Readonly<Record<string, number | boolean>>;
  /** In the unit of the answer, or as a share of it. */
  readonly tolerance: { readonly abs: number } | { readonly rel: number };
  /** Where the published page is wrong or ours differs: who is right. */
  readonly note?: string;
  readonly fromMemory?: true;
}

const { rows } = JSON.parse(readFileSync(new URL("../data/worked-timing.json", import.meta.url), "utf8")) as {
  readonly rows: readonly Row[];
};

/** Reads a number, a list of numbers or anything else that the example gives. */
interface Given {
  (name: string): number;
  pair(name: string): readonly [number, number];
  list(name: string): readonly number[];
  any(name: string): unknown;
}

/** Sums of decimal fractions are not exact in binary; times are kept in femtoseconds. */
const BINARY = 1e-9;

function slop({ tolerance }: Row, published: number): number {
  return "abs" in tolerance ? tolerance.abs + BINARY : tolerance.rel * Math.abs(published);
}

function givenOf(id: string): Given {
  const row = rows.find((one) => one.id === id);
  if (!row) throw new Error(`no example ${id}`);
  const { given } = row;
  const numberIn = (name: string): number => {
    const value = given[name];
    if (typeof value !== "number") throw new Error(`${id} gives no number ${name}`);
    return value;
  };
  const list = (name: string): readonly number[] => {
    const value = given[name];
    if (!Array.isArray(value)) throw new Error(`${id} gives no list ${name}`);
    return value.map(Number);
  };
  const pair = (name: string) => {
    const [least = NaN, most = NaN] = list(name);
    return [least, most] as const;
  };
  return Object.assign(numberIn, { list, pair, any: (name: string) => given[name] });
}

/** Long enough for every path; what is asked of a clock is this less the margin. */
const LONG = 1000;

/** The clock cells of a derated example: the first of both paths as one, or as if they were two. */
function clockCells(given: Given, share: number, isShared: boolean) {
  const cell = (delay: number) => [delay * (1 - share), delay * (1 + share)] as const;
  const launch = given.list("launch_clock_ns").map(cell);
  const capture = given.list("capture_clock_ns").map(cell);
  if (!isShared) return { launchClock: launch, captureClock: capture };
  return { sharedClock: launch.slice(0, 1), launchClock: launch.slice(1), captureClock: capture.slice(1) };
}

function deratedPath(given: Given, clockDerate: number, dataDerate: number, isShared: boolean) {
  const [least, most] = [1 - dataDerate, 1 + dataDerate];
  return provePath({
    ...clockCells(given, clockDerate, isShared),
    period: given("T_ns"),
    clockToOutput: [given("t_clkq_ns") * least, given("t_clkq_ns") * most],
    gates: [[given("t_cd_min_ns") * least, given("t_pd_max_ns") * most]],
    setUp: given("t_su_ns"),
    hold: given("t_h_ns"),
  });
}

/** The read of mem-05 to mem-10, with the times of mem-09: the latest of three ways decides. */
function readOf27128(deadline: number, memory: { tACC?: number; tCE?: number; tOE?: number } = {}): number {
  const given = givenOf("mem-09");
  const tOE = givenOf("mem-10")("t_OE_ns");
  return proveRead({
    period: deadline,
    cycle: "one with enables",
    address: given("data_by_ACC_path_ns") - given("t_ACC_ns"),
    chipEnable: given("data_by_CE_path_ns") - given("t_CE_ns"),
    outputEnable: given("data_by_OE_path_ns") - tOE,
    fromAddress: memory.tACC ?? given("t_ACC_ns"),
    fromChipEnable: memory.tCE ?? given("t_CE_ns"),
    fromOutputEnable: memory.tOE ?? tOE,
    back: givenOf("mem-05")("data_at_cpu_ns") - given("data_by_OE_path_ns"),
  });
}

/** How each example is computed. */
const solutions: Readonly<Record<string, (given: Given) => Record<string, number | boolean>>> = {
  // Whatever the clock is: what the memory may take from its output enable is what the buffers leave.
  "mem-03": (given) => {
    const clock = LONG;
    const period = given("clocks") * clock - given("less_ns");
    const back = given("transceiver_ns") - given("capacitance_credit_ns");
    const { margin } = provePath({ period, gates: [given("buffer_ns"), back] }).setUp;
    return { c_ns: given("clocks") * clock - margin };
  },
  "mem-05": (given) => ({ margin_ns: readOf27128(given("t_AD_max_ns")) }),
  "mem-06": (given) => {
    const used = given("data_at_cpu_ns") - given("ALE_trailing_edge_ns");
    const { margin } = provePath({ period: given("t_LDR_max_ns"), gates: [used] }).setUp;
    return { used_ns: given("t_LDR_max_ns") - margin, margin_ns: margin };
  },
  // The data must stand 300 ns after RD#, which comes at 270 ns.
  "mem-07": (given) => ({ margin_ns: readOf27128(given("RD_active_ns") + given("t_RD_max_ns")) }),
  "mem-09": (given) => {
    // How much of a delay that is LONG more does not count, since another way is the latest.
    const before = readOf27128(LONG);
    const spare = (memory: { tACC?: number; tCE?: number }) => readOf27128(2 * LONG, memory) - before;
    return {
      t_ACC_max_ns: given("t_ACC_ns") + spare({ tACC: given("t_ACC_ns") + LONG }),
      t_CE_max_ns: given("t_CE_ns") + spare({ tCE: given("t_CE_ns") + LONG }),
    };
  },
  "mem-10": (given) => {
    const [tACC, tCE, tOE] = [given("t_ACC_max_ns"), given("t_CE_max_ns"), given("t_OE_ns")];
    const deadline = givenOf("mem-05")("data_at_cpu_ns") + given("extra_margin_ns");
    return {
      t_ACC_ns: tACC + readOf27128(deadline, { tACC }),
      t_CE_ns: tCE + readOf27128(deadline, { tCE }),
      t_OE_ns: tOE + readOf27128(deadline, { tOE }),
    };
  },
  // 575 ns are two and a half clocks of 320 ns less 225.
  "mem-12": (given) => {
    const period = given("T_ns");
    const example = { period, address: 2.5 * period - given("t_AD_ns") };
    const short = { ...example, cycle: "one and a half" } as const;
    return {
      t_AD_ns: proveRead({ ...example, cycle: "two and a half", fromAddress: 0 }),
      t_AD_short_ns: proveRead({ ...short, fromAddress: 0 }),
      RAM_ns: proveRead({ ...short, fromAddress: given("overhead_ns") }),
    };
  },
  "mem-14": (given) => {
    const example = { period: given("t_CYC_ns"), address: given("t_ADS_ns"), setUp: given("t_DSR_ns") };
    return {
      t_ACC_ns: proveRead({ ...example, fromAddress: 0 }),
      left_ns: proveRead({ ...example, fromAddress: given("memory_ns") }),
    };
  },
  "mem-16": (given) => {
    const gates = (given.any("path") as readonly string[]).map((part) => Number(part.split(" ")[1]));
    return { t_ns: LONG - provePath({ period: LONG, gates }).setUp.margin };
  },
  "mem-19": (given) => {
    const example = { period: given("cycle_ns"), setUp: given("t_DSR_ns") };
    return {
      deadline_ns: provePath(example).setUp.margin,
      t_ns: provePath({ ...example, clockToOutput: given("CS_sampled_ns") }).setUp.margin,
    };
  },
  // The oscillator is high first: its fall is the rise of phi2, and the deadline is 15 ns before the cycle's end.
  "mem-20": (given) => {
    const period = givenOf("mem-19")("cycle_ns");
    const { margin } = provePath({
      period,
      highShare: given("phi2_rise_ns") / period,
      launchEdge: "fall",
      clockToOutput: given("RW_decode_ns"),
      setUp: period - given("deadline_ns"),
    }).setUp;
    return { t_ns: margin };
  },
  "mem-21": (given) => {
    const { from, to } = writeWindow(
      given("phi2_rise_ns"),
      given("phi2_fall_ns"),
      given("t_MDS_ns"),
      given("t_DHW_ns"),
    );
    return { from_ns: from, to_ns: to, width_ns: to - from };
  },
  "mem-22": (given) => {
    const { released, state } = turnAround(
      given("phi2_fall_ns"),
      given("read_hold_kept_ns"),
      given("next_phi2_rise_ns"),
    );
    return { release_ns: released, noOverlap: state === "holds" };
  },
  "mem-23": (given) => {
    const gates = Array.from({ length: given("gates") }, () => given("t_pd_max_ns"));
    return { t_ns: LONG - provePath({ period: LONG, gates }).setUp.margin };
  },
  "mem-24": (given) => ({
    t_ns: proveRead({
      period: given("T_ns"),
      cycle: "three",
      address: given("TCLAV_ns"),
      fromAddress: 0,
      setUp: given("TDVCL_ns"),
    }),
  }),
  "syn-01": (given) => {
    const example = { clockToOutput: given("t_clkq_ns"), gates: [given("t_comb_max_ns")], setUp: given("t_su_ns") };
    return { T_ns: LONG - provePath({ period: LONG, ...example }).setUp.margin };
  },
  "syn-04": (given) => {
    const { setUp, hold } = provePath({
      period: given("T_ns"),
      clockToOutput: given("t_clkq_ns"),
      gates: [[given("t_comb_min_ns"), given("t_comb_max_ns")]],
      setUp: given("t_su_ns"),
      hold: given("t_h_ns"),
      captureClock: [given("skew_capture_late_ns")],
    });
    return { setup_slack_ns: setUp.margin, hold_slack_ns: hold.margin };
  },
  "syn-05": (given) => {
    const skewed = [[0, given("skew_max_ns")]] as const;
    const { setUp, hold } = provePath({
      period: LONG,
      clockToOutput: given("t_pd_ns"),
      gates: [given("t_comb_ns")],
      setUp: given("t_su_ns"),
      hold: given("t_h_ns"),
      launchClock: skewed,
      captureClock: skewed,
    });
    return { T_ns: LONG - setUp.margin, hold_limit_ns: hold.available };
  },
  "syn-06": (given) => {
    const { setUp, hold } = deratedPath(given, 0, 0, true);
    return { setup_ns: setUp.margin, hold_ns: hold.margin };
  },
  "syn-07": (given) => {
    const { setUp, hold } = deratedPath(given, given("clock_derate"), given("data_derate"), false);
    return { setup_ns: setUp.margin, hold_ns: hold.margin };
  },
  "syn-08": (given) => {
    const [apart, shared] = [false, true].map((isShared) =>
      deratedPath(given, given("clock_derate"), given("data_derate"), isShared),
    );
    const [before, after] = [apart?.setUp.margin ?? NaN, shared?.setUp.margin ?? NaN];
    return { credit_ns: after - before, setup_ns: after, hold_ns: shared?.hold.margin ?? NaN };
  },
  "syn-09": (given) => {
    const cells = (names: number) =>
      Array.from({ length: names }, () => [given("early_ns_each"), given("late_ns_each")] as const);
    // The output comes well after the clock, so that late clocks capture what was there before it.
    const clockToOutput = 100;
    const skew = (clocks: Partial<PathExample>) =>
      LONG - clockToOutput - provePath({ period: LONG, clockToOutput, ...clocks }).setUp.available;
    const late = skew({ launchClock: cells(3) });
    const early = -skew({ captureClock: cells(3) });
    const before = skew({ launchClock: cells(3), captureClock: cells(3) });
    const after = skew({ sharedClock: cells(2), launchClock: cells(1), captureClock: cells(1) });
    return {
      launch_late_ns: late,
      capture_early_ns: early,
      skew_before_ns: before,
      credit_ns: before - after,
      skew_after_ns: after,
    };
  },
  "syn-11": (given) => {
    // One buffer that is 0.2 ns faster early than late, and 0.9 ns more on the way to the flip-flop that launches.
    const spread = given("same_corner_ns") - given("launch_late_capture_early_ns");
    const buffer = [[1, 1 + spread]] as const;
    const launch = [-given("same_corner_ns")];
    const example = { period: 2, setUp: 2 - given("rest_ns") };
    const apart = { ...example, launchClock: [...buffer, ...launch], captureClock: buffer };
    return {
      mixed_ns: provePath(apart).setUp.margin,
      one_corner_ns: provePath({ ...example, sharedClock: buffer, launchClock: launch }).setUp.margin,
    };
  },
  "syn-13": (given) => {
    const example = { clockToOutput: given.pair("t_ff_ns"), setUp: given("t_su_ns"), hold: given("t_h_ns") };
    const least = (gates: readonly (readonly [number, number])[]) =>
      LONG - provePath({ period: LONG, ...example, gates }).setUp.margin;
    return {
      T_direct_ns: least([]),
      f_direct_MHz: 1000 / least([]),
      T_with_gate_ns: least([given.pair("t_gate_ns")]),
    };
  },
  "syn-14": (given) => {
    const { hold, states } = holdOfLoop({
      clock: [0, given("skew_ns")],
      flipFlop: given.pair("t_ff_ns"),
      gates: Array.from({ length: given("gates_in_loop") }, () => given.pair("gate_ns")),
      setUp: given("t_su_ns"),
      hold: given("t_h_ns"),
    });
    return { shortest_ns: hold.available, violation: states.hold === "fails" };
  },
  "syn-15": (given) => {
    const [ps, period] = [0.001, 1];
    const clockToOutput = [given("t_ccq_ps") * ps, given("t_pcq_ps") * ps] as const;
    const prove = (count: number, skew = 0) =>
      provePath({
        period,
        clockToOutput,
        gates: Array.from({ length: count }, () => [given("gate_cd_ps") * ps, given("gate_pd_ps") * ps] as const),
        setUp: given("t_su_ps") * ps,
        hold: given("t_h_ps") * ps,
        launchClock: [[0, skew * ps]],
        captureClock: [[0, skew * ps]],
      });
    const least = (skew: number) => (period - prove(given("gates_long"), skew).setUp.margin) / ps;
    const short = prove(given("gates_short"));
    const buffered = prove(given("buffer_added_gates_short"));
    return {
      T_ps: least(0),
      f_GHz: 1000 / least(0),
      short_ps: short.hold.available / ps,
      shortFails: short.states.hold === "fails",
      short_with_buffer_ps: buffered.hold.available / ps,
      bufferedFails: buffered.states.hold === "fails",
      T_skew_ps: least(given("skew_ps")),
    };
  },
  "cnt-02": (given) => ({ f_MHz: 1000 / ripplePeriod(Math.log2(given("modulus")), given("t_ff_ns")) }),
  "cnt-03": (given) => {
    const preset = presetCounter() - given("divide_by");
    return { preset, divide_by: presetCounter(preset) };
  },
  "cnt-07": (given) => ({ f_Hz: given("f_in_Hz") / reloadedCounter(0, given("modulus") - 1) }),
  "cnt-10": (given) => {
    const both = given("t_su_plus_h_ns");
    return { t_ns: changeWindow(1000 / given("f_MHz"), (2 / 3) * both, both / 3) };
  },
  "cnt-11": (given) => ({ t_ns: LONG - changeWindow(LONG, given("t_su_ns"), given("t_h_ns")) }),
  "cnt-13": (given) => {
    const { least, greatest } = canLimits(given("f_MHz"), given("ppm"));
    return { min_Hz: least, max_Hz: greatest };
  },
  "cnt-14": (given) => ({ modulus: reloadedCounter(given("preset"), given("reload_after")) }),
  "gl-01": (given) => ({
    t_ns: staticHazard(given("inverter_ns"), given("and1_ns"), given("and2_ns"), given("or_ns")),
  }),
  "thy-03": (given) => {
    const gates = Array.from({ length: given("parts") }, () => [1 - given("each"), 1 + given("each")] as const);
    const { setUp, hold } = provePath({ period: LONG, gates });
    return { worst: (LONG - setUp.available - hold.available) / 2 };
  },
  "thy-05": (given) => {
    const times = networkTimes(given.any("activities") as Readonly<Record<string, Activity>>);
    const all = ["A", "B", "C", "D", "E", "F"].flatMap((name) => {
      const [finish, slack] = [times.finish(name), times.slack(name)];
      return [
        [`${name}_es`, finish - times.duration(name)],
        [`${name}_ef`, finish],
        [`${name}_lf`, finish + slack],
        [`${name}_slack`, slack],
      ] as const;
    });
    return Object.fromEntries(all);
  },
};

describe("worked examples of timing", { timeout: 30_000 }, () => {
  test("each is computed", () => {
    expect(Object.keys(solutions).sort()).toEqual(rows.map(({ id }) => id).sort());
  });

  test.each(rows)("$id: $asked", (row) => {
    const got = solutions[row.id]?.(givenOf(row.id)) ?? {};
    const apart = Object.entries(row.expected).filter(([name, published]) => {
      const ours = got[name];
      if (typeof published === "boolean" || typeof ours !== "number") return ours !== published;
      return !(Math.abs(ours - published) <= slop(row, published));
    });
    expect(apart.map(([name, published]) => ({ name, published, got: got[name] }))).toEqual([]);
  });
});
