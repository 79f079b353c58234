import type { Circuit } from "../circuit/index.js";
import { printOhms } from "../quantity/index.js";
import { isMissing, sourceLine } from "../parts/index.js";
import { measure } from "../quantity/index.js";
import { componentVerdicts } from "./component-levels.js";
import { compositeVerdicts } from "./composite-levels.js";
import type { Advice, ElectricalOptions } from "./judge.js";
import { makeVerdict } from "./make-verdict.js";
import { choose, valuesOf } from "./network-advice.js";
import { mostAmperesFrom } from "./output-amperes.js";
import { driveOf } from "./output-drive.js";
import { preferredValuesSource } from "./preferred-values.js";
import { outputRating } from "./ratings.js";
import { syncVerdict } from "./sync-levels.js";
import type { ElectricalVerdict } from "./verdict.js";
import { type VideoOutput, bareBits, videoOutputs } from "./video-networks.js";
import { citation, componentVideo } from "./video-standards.js";

/** The levels of everything that goes to the monitor, and what its outputs carry. */
export function videoVerdicts(circuit: Circuit, { compositeSystem }: ElectricalOptions): readonly ElectricalVerdict[] {
  const outputs = videoOutputs(circuit);
  const levels = outputs.flatMap((output): readonly ElectricalVerdict[] => {
    if (output.missing.length > 0) return [notCovered(output)];
    if (output.kind === "component") return componentVerdicts(output);
    return output.kind === "composite" ? compositeVerdicts(output, compositeSystem) : [syncVerdict(output)];
  });
  return [...levels, ...outputCurrents(outputs)];
}

/** Networks to wire where the file has none between a colour and the monitor. */
export function videoAdvice(circuit: Circuit): readonly Advice[] {
  const networks = bareBits(circuit).flatMap((nets): string[] => {
    const drives = nets.flatMap((net) => {
      const drive = driveOf(net, circuit);
      return drive && !isMissing(drive) ? [drive] : [];
    });
    const names = nets.map(({ name }) => name);
    return drives.length === nets.length ? [valuesOf(names, choose(drives, "E96"))] : [];
  });
  if (networks.length === 0) return [];
  const { loadOhms, full, source } = componentVideo;
  return [
    {
      subject: "video",
      text:
        `The file has no resistors between the picture's nets and the monitor. For ${full.nominal} V into ` +
        `${printOhms(loadOhms)} the nearest of E96 are ${[...new Set(networks)].join("; ")}.`,
      source: `${citation(source)}; ${preferredValuesSource}`,
    },
  ];
}

function notCovered({ cable, kind, missing }: VideoOutput): ElectricalVerdict {
  return makeVerdict({
    rule: kind === "sync" ? "sync level" : "video level",
    nameParts: { head: kind === "sync" ? "sync level" : "video level", item: cable, tail: "" },
    quantity: "voltage",
    state: "not covered",
    net: cable,
    demand: "What the monitor sees follows from the levels of the output that drives it.",
    note: `No sheet on record gives ${missing.join("; nor ")}.`,
    missing,
  });
}

/** What each output gives into resistors, against its absolute maximum. */
function outputCurrents(outputs: readonly VideoOutput[]): readonly ElectricalVerdict[] {
  const judged = new Set<string>();
  return outputs.flatMap(({ network }) =>
    [...network.drives].flatMap(([net, { pin, promised, isOhmic, highSource }]): ElectricalVerdict[] => {
      const { part, ref } = pin.chip;
      const rating = outputRating(part);
      if (judged.has(net) || !rating) return [];
      judged.add(net);
      const amperes = mostAmperesFrom(network, net);
      const [required, available] = [measure("current", amperes * 1e9), measure("current", rating.limit * 1e6)];
      const margin = available.amount - required.amount;
      const isBeyond = amperes > promised;
      return [
        makeVerdict({
          rule: "output current",
          nameParts: { head: `output current ${ref}`, item: pin.pin, tail: "" },
          quantity: "current",
          state: margin < 0 ? "fails" : "holds",
          chip: ref,
          part: part.number,
          pin: pin.pin,
          net,
          required: required.amount,
          available: available.amount,
          margin,
          demand: `An output of a ${part.number} carries ${rating.limit} mA at the very most.`,
          note: isBeyond
            ? `The sheet promises a level up to ${(promised * 1000).toFixed(promised < 0.001 ? 2 : 1)} mA; ` +
              (isOhmic ? "beyond that its drop is carried on in a straight line." : "beyond that it promises none.")
            : "",
          remedies: margin < 0 ? ["larger resistors, or a buffer that carries more"] : [],
          restsOn: [
            ...(rating.fromMemory ? (["from memory"] as const) : []),
            ...(isBeyond ? (["common practice"] as const) : []),
          ],
          reckoning: [
            { text: `${net} high and every other output low`, figure: required },
            {
              text: "promised with a level",
              figure: measure("current", promised * 1e9),
              source: sourceLine(highSource),
            },
            { text: "absolute maximum", figure: available, source: rating.source },
          ],
        }),
      ];
    }),
  );
}
