import type { Behaviour } from "../behaviour.js";
import { adderBehaviours } from "./adders.js";
import { bufferBehaviours } from "./buffers.js";
import { comparatorBehaviours } from "./comparators.js";
import { counterBehaviours } from "./counters.js";
import { decoderBehaviours } from "./decoders.js";
import { flipFlopBehaviours } from "./flip-flops.js";
import { gateBehaviours } from "./gates.js";
import { latchBehaviours } from "./latches.js";
import { memoryBehaviours } from "./memories.js";
import { multiplexerBehaviours } from "./multiplexers.js";
import { oscillatorBehaviours } from "./oscillators.js";
import { registerBehaviours } from "./registers.js";
import { shiftRegisterBehaviours } from "./shift-registers.js";
import { transceiverBehaviours } from "./transceivers.js";

/** Every function on record, each once. */
export const behaviours: readonly Behaviour[] = [
  ...gateBehaviours,
  ...bufferBehaviours,
  ...transceiverBehaviours,
  ...multiplexerBehaviours,
  ...decoderBehaviours,
  ...flipFlopBehaviours,
  ...registerBehaviours,
  ...latchBehaviours,
  ...counterBehaviours,
  ...shiftRegisterBehaviours,
  ...comparatorBehaviours,
  ...adderBehaviours,
  ...memoryBehaviours,
  ...oscillatorBehaviours,
];

const byFunction = new Map(behaviours.map((behaviour) => [behaviour.function, behaviour]));

/** The behaviour of a function by its trade number, `163`, or a memory's organisation, `32Kx8`. */
export function behaviourOf(functionNumber: string): Behaviour | undefined {
  return byFunction.get(functionNumber);
}
