export { type Corner, type End, stepValues } from "./corner.js";
export { type Rest, type Scene } from "./scene.js";
export { type Sighting } from "./sighting.js";
export { type Witness, type WitnessOptions, findWitnesses, marginOf } from "./witness.js";
export { type Replay, replay } from "./replay.js";
export { type Settled, settle } from "./settle.js";
