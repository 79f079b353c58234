export { attain, holdsInTime, isAttained } from "./attain.js";
export { type Corner, type End, NOWHERE, stepValues } from "./corner.js";
export { type Rest, type Scene, stage } from "./scene.js";
export { type Sighting } from "./sighting.js";
export { type Witness, type WitnessOptions, findWitnesses, marginOf, witnessOfCases } from "./witness.js";
export { type Replay, replay } from "./replay.js";
export { type Settled, settle } from "./settle.js";
