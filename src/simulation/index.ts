export {
  type ChosenDelays,
  type DelayChoice,
  type OscillatorChoice,
  type StandIn,
  STAND_IN_DELAY,
  arcKey,
  chooseDelays,
  wireKey,
} from "./choice.js";
export { type Contention } from "./contention.js";
export { type StrayWrite } from "./memory-state.js";
export { type PowerUp } from "./power-up.js";
export { type NetObserver, type SimulatorOptions, NoProgress, Simulator } from "./simulator.js";
export { type Driver, type Tables, type Variable, type Wire, compileTables } from "./tables.js";
export { type Value, HIGH, LOW, UNDRIVEN, UNKNOWN, VALUE } from "./value.js";
