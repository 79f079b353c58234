import { z } from "zod";
import type { Circuit } from "../circuit/index.js";
import type { MachineState, SimulatorState } from "../simulation/index.js";
import { BadInput } from "./bad-input.js";
import { readBytes, writeWhole } from "./files.js";

/** A board at one moment, as it lies in a file: with delays or without. */
export type Snapshot =
  | { readonly kind: "with delays"; readonly state: SimulatorState }
  | { readonly kind: "without delays"; readonly state: MachineState };

/** Which board a snapshot is of: one with other delays would not go on as this one. */
export interface SnapshotOf {
  readonly circuit: Circuit;
  readonly delays: string;
  readonly seed: number;
}

const count = z.number().int().nonnegative();
const time = z.number().nonnegative();
const coded = z.base64();
const schema = z.object({
  snapshot: z.literal(1),
  delays: z.string(),
  seed: count,
  circuit: z.string(),
  board: z.union([
    z.object({
      kind: z.literal("with delays"),
      now: time,
      counts: z.tuple([count, count]),
      arrays: z.array(z.object({ bytes: coded, of: z.enum(["u8", "i32", "f64"]) })),
      memories: z.array(z.array(z.number())),
      events: z.array(z.tuple([time, z.number().int(), z.number().int()])),
    }),
    z.object({
      kind: z.literal("without delays"),
      now: time,
      bytes: coded,
      edges: z.array(count),
      planned: z.array(
        z.object({ time, source: count, value: z.union([z.literal(0), z.literal(1), z.literal(2), z.literal(3)]) }),
      ),
      doubts: z.array(
        z.object({
          kind: z.enum(["race", "pulse", "address moves", "loop", "unknown"]),
          place: z.string(),
          nets: z.array(z.string()),
          firstAt: time,
          count,
        }),
      ),
    }),
  ]),
});

/**
 * Writes a snapshot.
 *
 * @throws BadInput where the file cannot be written
 */
export async function writeSnapshot(
  path: string,
  { circuit, delays, seed }: SnapshotOf,
  taken: Snapshot,
): Promise<void> {
  const board =
    taken.kind === "with delays"
      ? { kind: taken.kind, ...taken.state, arrays: taken.state.arrays.map(encodeArray) }
      : { kind: taken.kind, ...taken.state, bytes: Buffer.from(taken.state.bytes).toString("base64") };
  const text = JSON.stringify({ snapshot: 1, delays, seed, circuit: fingerprint(circuit), board });
  await writeWhole(path, new TextEncoder().encode(text));
}

/**
 * Reads a snapshot of this board.
 *
 * @throws BadInput where it cannot be read, is none, or is of another board
 */
export async function readSnapshot(path: string, { circuit, delays, seed }: SnapshotOf): Promise<Snapshot> {
  const read = schema.safeParse(parsed(new TextDecoder().decode(await readBytes(path))));
  if (!read.success) throw new BadInput(`${path}: is no snapshot that --save wrote`);
  const { board, ...of } = read.data;
  if (of.circuit !== fingerprint(circuit))
    throw new BadInput(`${path}: was saved of another circuit, or before a change to it`);
  const isByLuck = delays === "random" || delays === "ends";
  if (of.delays !== delays || (isByLuck && of.seed !== seed)) {
    const options = `--delays ${of.delays}${of.delays === "random" || of.delays === "ends" ? ` --seed ${of.seed}` : ""}`;
    throw new BadInput(`${path}: was saved with ${options}; it goes on with the same`);
  }
  if (board.kind === "without delays") {
    const { kind, bytes, ...state } = board;
    return { kind, state: { ...state, bytes: new Uint8Array(Buffer.from(bytes, "base64")) } };
  }
  const { kind, arrays, ...state } = board;
  return { kind, state: { ...state, arrays: arrays.map(decodeArray) } };
}

/** What is said of a snapshot that was asked for. */
export interface Saved {
  readonly isWritten: boolean;
  readonly text: string;
  readonly data: object;
}

/**
 * Writes a snapshot where there is one: there is none while a script is at work, whose place in it is not the board's.
 *
 * @throws BadInput where the file cannot be written
 */
export async function saveSnapshot(path: string, of: SnapshotOf, snapshot: Snapshot | undefined): Promise<Saved> {
  if (!snapshot) {
    const text = `Not saved to ${path}: the script was not done. --frames runs longer.`;
    return { isWritten: false, text, data: { notSaved: "the script was not done" } };
  }
  await writeSnapshot(path, of, snapshot);
  return {
    isWritten: true,
    text: `All that the board holds: ${path}; --resume goes on from it`,
    data: { savedPath: path },
  };
}

/** @throws BadInput where options do not go together with a snapshot */
export function refuseSnapshot(options: {
  readonly save: string | undefined;
  readonly resume: string | undefined;
  readonly busy: boolean;
  readonly memory: readonly string[];
  readonly boards: number | undefined;
  readonly witness: string | undefined;
}): void {
  const { save, resume, boards, witness } = options;
  const isOne = boards === undefined && witness === undefined;
  if (!isOne && (save !== undefined || resume !== undefined)) {
    throw new BadInput("--save and --resume are of one board; --boards and --witness choose their own");
  }
  if (save !== undefined && options.busy) {
    throw new BadInput("--save and --busy: what plays at the inputs cannot be saved; leave one of them out");
  }
  if (resume !== undefined && options.memory.length > 0) {
    throw new BadInput("--resume and --memory: the snapshot says what the memory holds; leave one of them out");
  }
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

function encodeArray(array: ArrayLike<number>) {
  const of = array instanceof Uint8Array ? "u8" : array instanceof Int32Array ? "i32" : "f64";
  const typed = ArrayBuffer.isView(array) ? array : Float64Array.from(array);
  return { of, bytes: Buffer.from(typed.buffer, typed.byteOffset, typed.byteLength).toString("base64") };
}

function decodeArray({ of, bytes }: { readonly of: "u8" | "i32" | "f64"; readonly bytes: string }): ArrayLike<number> {
  const decoded = new Uint8Array(Buffer.from(bytes, "base64"));
  if (of === "u8") return decoded;
  const width = of === "i32" ? 4 : 8;
  const whole = decoded.buffer.slice(0, decoded.length - (decoded.length % width));
  return of === "i32" ? new Int32Array(whole) : new Float64Array(whole);
}

/** The same for circuits of the same chips, alike wired. */
function fingerprint({ chips, nets, inputs }: Circuit): string {
  const parts = chips.map(({ ref, part, nets: own }) => [
    ref,
    part.number,
    [...own].map(([pin, net]) => [pin, net.id]),
  ]);
  const text = JSON.stringify([nets.map(({ name, rail }) => [name, rail]), parts, inputs.map(({ net }) => net)]);
  // FNV-1a of 32 bits, from two starts.
  const hash = (start: number) => {
    let value = start;
    for (let index = 0; index < text.length; index++) value = Math.imul(value ^ text.charCodeAt(index), 0x01000193);
    return (value >>> 0).toString(16).padStart(8, "0");
  };
  return hash(0x811c9dc5) + hash(0x12345678);
}
