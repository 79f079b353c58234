/**
 * Lets the mutation tester run chosen mutants alone: those named in the file of the environment's MUTANTS_CHOSEN, or all where
 * that is not set. A place that its option `mutate` gives holds the mutants of every expression within.
 */
import { readFileSync } from "node:fs";
import { relative } from "node:path";
import { PluginKind, declareValuePlugin } from "@stryker-mutator/api/plugin";
import { nameOf } from "./list.mjs";

const file = process.env.MUTANTS_CHOSEN;
const chosen = file && new Set(JSON.parse(readFileSync(file, "utf8")));

export const NOT_IN_SAMPLE = "not in the sample";

const passed = { status: "passed" };
/** The only way to tell the tester that a mutant does not count. */
const leftOut = { status: "compileError", reason: NOT_IN_SAMPLE };

const checker = {
  async init() {},

  async check(mutants) {
    const isChosen = (mutant) => !chosen || chosen.has(nameOf({ ...mutant, fileName: relative("", mutant.fileName) }));
    return Object.fromEntries(mutants.map((mutant) => [mutant.id, isChosen(mutant) ? passed : leftOut]));
  },

  /** All at once. */
  async group(mutants) {
    return [mutants.map(({ id }) => id)];
  },
};

export const strykerPlugins = [declareValuePlugin(PluginKind.Checker, "chosen", checker)];
