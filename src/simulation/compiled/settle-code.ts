import { BitGraph, TRUE } from "./bit-graph.js";
import { GraphEmitter } from "./graph-emitter.js";
import { UNKNOWN_LEVEL } from "./level.js";
import { settledRest } from "./settled.js";
import { Plane, inputOf, placeOf, storedRest } from "./signal-store.js";
import type { Store } from "./store.js";
import { FunctionCode, ModuleWriter } from "./wasm-writer.js";
import { type WasmFunction, functionOf, instantiate } from "./web-assembly.js";

/**
 * A function that works all nets out from storage and sources as the store has them, everything being known that is not
 * nobody's. Undefined where nets hold something in a loop.
 */
export function settleFunction({ structure, layout, vagueness, memory }: Store): WasmFunction | undefined {
  const graph = new BitGraph();
  const stored = storedRest(graph, structure, vagueness);
  const rest = settledRest(
    graph,
    structure,
    (signal) => stored.levels[signal] ?? UNKNOWN_LEVEL,
    (signal) => stored.driven[signal] ?? TRUE,
  );
  if (!rest) return undefined;
  const outputs: { readonly place: number; readonly bit: number }[] = [];
  const output = (net: number, plane: number, bit: number) => {
    outputs.push({ place: layout.signals + placeOf(inputOf(net, plane), structure.signalCount), bit });
  };
  for (let net = 0; net < structure.netCount; net++) {
    const level = rest.levels[net];
    if (!level || structure.circuit.nets[net]?.rail) continue;
    output(net, Plane.value, level.value);
    if (vagueness.mayBeUnknown(net)) output(net, Plane.known, level.known);
    if (vagueness.mayBeUndriven(net)) output(net, Plane.driven, rest.driven[net] ?? TRUE);
  }
  const code = new FunctionCode(0);
  const host = {
    input: (into: FunctionCode, index: number) =>
      void into.constant(0).load(8, layout.signals + placeOf(index, structure.signalCount)),
    arrayAt: (memory: number) => layout.arrayAt[memory] ?? 0,
  };
  const emitter = new GraphEmitter(
    graph,
    code,
    host,
    outputs.map(({ bit }) => bit),
    [],
  );
  for (const { place, bit } of outputs) {
    code.constant(0);
    emitter.push(bit);
    code.store(8, place);
  }
  code.constant(0);
  const writer = new ModuleWriter();
  writer.add(code, "settle");
  return functionOf(instantiate(writer.toBytes(), { host: { memory } }), "settle");
}
