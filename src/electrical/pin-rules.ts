import type { Circuit } from "../circuit/index.js";
import { canLoadVerdicts } from "./can-load-rule.js";
import { currentVerdicts } from "./current-rule.js";
import { edgeVerdicts } from "./edge-rule.js";
import { floatingNetVerdicts, openInputVerdicts } from "./floating-rule.js";
import type { ElectricalOptions } from "./judge.js";
import { levelVerdicts } from "./level-rule.js";
import { limitVerdicts } from "./limit-rule.js";
import { missingVerdicts } from "./missing-rule.js";
import { boardPins } from "./net-pins.js";
import { supplyVerdicts } from "./supply-rule.js";
import type { ElectricalVerdict } from "./verdict.js";

/** The rules about pins on nets: levels, loads, edges, floating inputs, supplies. */
export function pinVerdicts(circuit: Circuit, options: ElectricalOptions): readonly ElectricalVerdict[] {
  const board = boardPins(circuit);
  return [
    ...levelVerdicts(board),
    ...limitVerdicts(board),
    ...currentVerdicts(board),
    ...canLoadVerdicts(board, circuit.build),
    ...edgeVerdicts(board, circuit),
    ...openInputVerdicts(circuit),
    ...floatingNetVerdicts(board, circuit, options),
    ...supplyVerdicts(circuit),
    ...missingVerdicts(board),
  ];
}
