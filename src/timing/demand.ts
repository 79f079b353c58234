import type { Verdict } from "./verdict.js";
import { nsText } from "./ns-text.js";

/** What has to happen before what, in a sentence or two, and the names of the two events that set the available time. */
export interface Demand {
  readonly sentence: string;
  readonly earlier: string;
  readonly later: string;
}

/** Says in plain words what a verdict's rule asks at its place. */
export function demandOf(verdict: Verdict): Demand {
  const { rule, symbol, chip, part, pin, net, reference, required } = verdict;
  const at = `${chip} ${pin}`;
  const time = required === undefined ? "its time" : `${nsText(required)} ns`;
  const change = `the last change of ${net} at ${at} before that edge`;
  const next = `the next change of ${net} at ${at}`;
  const edge = `the edge at ${chip} ${reference} that captures it`;
  switch (rule) {
    case "set-up":
      return {
        sentence: `${net} at ${at} (${part}) must be steady ${time} before ${reference} captures it.`,
        earlier: change,
        later: edge,
      };
    case "hold":
      return {
        sentence: `${net} at ${at} (${part}) must stay as it is for ${time} after ${reference} has captured it.`,
        earlier: edge,
        later: next,
      };
    case "memory read":
      return {
        sentence: `The memory's data on ${net} must stand at ${at} (${part}) ${time} before ${reference} captures it.`,
        earlier: `the moment at which the data is ready at ${at}`,
        later: edge,
      };
    case "memory write":
      return memoryWrite(verdict, time);
    case "memory cycle":
      return {
        sentence: `The address bit at ${at} (${part}) must stand for ${time}, a whole ${symbol === "tWC" ? "write" : "read"} cycle (${symbol}).`,
        earlier: `one change of ${net} at ${at}`,
        later: "its next change",
      };
    case "pulse width":
      return {
        sentence: `${net} must stay ${symbol.replace(/^tw /, "")} at ${at} (${part}) for at least ${time}.`,
        earlier: "the edge that begins the pulse",
        later: "the edge that ends it",
      };
    case "clock period":
      return {
        sentence: `From one clock edge at ${at} (${part}) to the next of the same direction there must be at least ${time}.`,
        earlier: "one clock edge",
        later: "the next of the same direction",
      };
    case "recovery":
      return {
        sentence: `${at} (${part}) must have been released ${time} before the next edge of ${reference}.`,
        earlier: `the release of ${net} at ${at}`,
        later: `the next edge at ${chip} ${reference}`,
      };
    case "contention":
      return contention(verdict);
    case "undriven":
      return {
        sentence:
          symbol === "gap"
            ? `From the moment at which one driver lets go of ${net} until ${at} (${part}) drives it, nothing does.`
            : `Something must drive ${net} when ${at} (${part}) reads it at the edge of ${reference}.`,
        earlier: `the last driver lets go of ${net}`,
        later: `${at} drives it`,
      };
    case "glitch":
      return {
        sentence: `No glitch may reach ${chip === "" ? `${net}, a sync output` : `${at} (${part}), which acts at once (${symbol})`}.`,
        earlier: "the first change can come from here on",
        later: "the last change has come by here",
      };
    case "asynchronous signal":
      // What was not followed has no place of its own, and its note says all of it.
      if (chip === "") return { sentence: verdict.note, earlier: "", later: "" };
      return {
        sentence: `${net} may change at any time, so what captures it at ${at} (${part}) must be the first of two flip-flops in a row.`,
        earlier: "the change from outside",
        later: `the edge at ${chip} ${reference}`,
      };
    case "settling":
      return {
        sentence: `${net} must come to rest between one change at ${at} (${part}) and the next.`,
        earlier: "the first change can come from here on",
        later: "the last change so far has come by here",
      };
    default:
      return { sentence: verdict.note, earlier: "", later: "" };
  }
}

function memoryWrite({ symbol, chip, part, pin, net, reference }: Verdict, time: string): Demand {
  const at = `${chip} ${pin}`;
  const begin = `the begin of the write at ${chip} ${reference}`;
  const end = `the end of the write at ${chip} ${reference}`;
  const settled = `the last change of ${net} at ${at} before`;
  const next = `the next change of ${net} at ${at}`;
  const words: Readonly<Record<string, Demand>> = {
    tAS: {
      sentence: `The address bit at ${at} (${part}) must be steady ${time} before the write begins (tAS), or another cell is written.`,
      earlier: settled,
      later: begin,
    },
    tAW: {
      sentence: `The address bit at ${at} (${part}) must be steady ${time} before the write ends (tAW).`,
      earlier: settled,
      later: end,
    },
    tWR: {
      sentence: `The address bit at ${at} (${part}) must stay as it is for ${time} after the write has ended (tWR), or another cell is written.`,
      earlier: end,
      later: next,
    },
    tDW: {
      sentence: `The data at ${at} (${part}) must be steady ${time} before the write ends (tDW).`,
      earlier: settled,
      later: end,
    },
    tDH: {
      sentence: `The data at ${at} (${part}) must stay as it is for ${time} after the write has ended (tDH).`,
      earlier: end,
      later: next,
    },
    tCW: {
      sentence: `The chip must have been selected at ${at} (${part}) for ${time} before the write ends (tCW).`,
      earlier: settled,
      later: end,
    },
  };
  const sentence = `${symbol} of ${at} (${part}) must be at least ${time}.`;
  return words[symbol] ?? { sentence, earlier: `the earlier change`, later: `the later change` };
}

function contention({ symbol, chip, pin, net, reference }: Verdict): Demand {
  const taker = `${chip} ${pin}`;
  return {
    sentence:
      symbol === "both drive"
        ? `${reference} and ${taker} must not both drive ${net}.`
        : `${reference} must have let go of ${net} before ${taker} begins to drive it.`,
    earlier: `${reference} lets go of ${net}`,
    later: `${taker} begins to drive it`,
  };
}
