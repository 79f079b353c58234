import type { Circuit } from "../circuit/index.js";
import { encodePng } from "../raster/index.js";
import {
  type SeenWithoutDelays,
  type WithoutDelaysOptions,
  TooMuchOpen,
  simulateWithoutDelays,
} from "../simulation/index.js";
import { BadInput } from "./bad-input.js";
import type { Answer } from "./command.js";
import type { Film } from "./film.js";
import { writeWhole } from "./files.js";
import type { Progress } from "../judging/index.js";
import { saveSnapshot } from "./snapshot-file.js";
import { pictureLine, pictureOn } from "./shown-picture.js";
import {
  describeGivenUp,
  describeWithoutDelays,
  givenUpData,
  isInOrderWithoutDelays,
  withoutDelaysData,
} from "./without-delays-text.js";

/** What a run without delays is asked to show and to write. */
export interface RunWithoutDelays {
  readonly file: string;
  readonly asked: { readonly seed: number; readonly frames: number; readonly busy: boolean };
  readonly board: Pick<WithoutDelaysOptions, "memory" | "script" | "range" | "resume">;
  readonly film: Film | undefined;
  readonly picture: string | undefined;
  readonly keep: string | undefined;
  readonly save: string | undefined;
  readonly warnings: readonly unknown[];
}

/** @throws BadInput where the options that are given with it are about times */
export function refuseTimes(options: {
  readonly vcd: string | undefined;
  readonly watch: boolean;
  readonly boards: number | undefined;
  readonly witness: string | undefined;
}): void {
  const { vcd, watch, boards, witness } = options;
  const given = Object.entries({ vcd, watch, boards, witness });
  const [first] = given.find(([, value]) => value !== undefined && value !== false) ?? [];
  if (first) throw new BadInput(`--${first} is about times, and --delays none knows none; leave one of them out`);
}

/**
 * Runs the compiled circuit, and writes what was asked for.
 *
 * @throws BadInput where a circuit cannot be run without delays
 */
export async function runWithoutDelays(
  circuit: Circuit,
  { file, asked, board, film, picture, keep, save, warnings }: RunWithoutDelays,
  progress: Progress,
): Promise<Answer> {
  const head = { title: circuit.title, delays: "none", ...asked };
  const seen = await progress.during("simulating", (tell) =>
    orGivenUp(file, () =>
      simulateWithoutDelays(circuit, {
        ...asked,
        ...board,
        ...(film && { onFrame: (shown, frame) => film.add(shown, frame) }),
        onProgress: (_, done, total) => tell(done, total),
      }),
    ),
  );
  if (seen instanceof TooMuchOpen) {
    return { exitCode: 1, text: describeGivenUp(seen).join("\n"), json: { ...head, ...givenUpData(seen), warnings } };
  }
  const shown = pictureOn(seen.monitor);
  const hasPicture = picture !== undefined && shown !== undefined;
  if (hasPicture) await writeWhole(picture, encodePng(shown));
  const kept = seen.memories[0]?.contents;
  if (keep !== undefined && kept) await writeWhole(keep, kept);
  const written = await film?.write();
  const snapshot = seen.state && { kind: "without delays" as const, state: seen.state };
  const of = { circuit, delays: "none", seed: asked.seed };
  const saved = save === undefined ? undefined : await saveSnapshot(save, of, snapshot);
  const json = {
    ...head,
    ...withoutDelaysData(circuit, seen),
    ...(hasPicture && { picturePath: picture }),
    ...written?.data,
    ...saved?.data,
    warnings,
  };
  const files = [
    ...(hasPicture ? [pictureLine(seen.monitor, picture)] : []),
    ...(written?.text ?? []),
    ...(saved ? [saved.text] : []),
  ];
  const text = [...describeWithoutDelays(circuit, seen), ...files].join("\n");
  return { exitCode: isInOrderWithoutDelays(seen) && saved?.isWritten !== false ? 0 : 1, text, json };
}

/** @throws BadInput where a circuit cannot be run without delays */
function orGivenUp(file: string, work: () => SeenWithoutDelays): SeenWithoutDelays | TooMuchOpen {
  try {
    return work();
  } catch (error) {
    if (error instanceof TooMuchOpen) return error;
    if (!(error instanceof RangeError)) throw error;
    throw new BadInput(
      `${file}: cannot be run without delays: ${error.message}; --delays typical runs one board in time`,
    );
  }
}
