import type { NetId } from "../../circuit/circuit.js";
import type { Fs } from "../../quantity/index.js";

/** A number that is known, or one that stands for what is written at the moment. */
export type ScriptNumber = number | "ADDRESS" | "DATA" | "BIT";

/** One thing that is done at the inputs. */
export type Step =
  | { readonly kind: "set"; readonly nets: readonly { readonly nets: readonly NetId[]; readonly to: ScriptNumber }[] }
  | { readonly kind: "wait"; readonly time: Fs }
  /** So long after the reset. */
  | { readonly kind: "until"; readonly time: Fs }
  | { readonly kind: "after"; readonly net: NetId; readonly edge: "rise" | "fall" }
  | {
      readonly kind: "bits";
      readonly of: "ADDRESS" | "DATA";
      readonly first: number;
      readonly last: number;
      readonly steps: readonly Step[];
    }
  /** Bytes to consecutive addresses, each by the steps of a write. */
  | { readonly kind: "write"; readonly at: number; readonly bytes: Uint8Array };

/** What a processor does at the inputs of a circuit. */
export interface Script {
  /** How one byte is written. */
  readonly write: readonly Step[];
  readonly steps: readonly Step[];
}
