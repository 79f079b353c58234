/**
 * The compiled simulation: a circuit as WebAssembly, straight from the behaviours of its chips, without delays. Nothing here is
 * Node's; a browser's worker runs it as well.
 *
 * - `simulateWithoutDelays(circuit, options)` runs some frames and says what a monitor shows, as `simulateFrame` does in time.
 * - For a board that goes on while somebody looks at it and touches it:
 *
 *       const { machine, raster } = powerUpMachine(circuit, { seed: 1 });       // compiled, its resets let go
 *       const screen = new BeamScreen(machine, circuit.picture, { raster });
 *       const seen = screen.runFrame();                   // to the end of a frame: locked or not, and why
 *       if (seen.locked) show(toRgb(seen.picture));       // three bytes a dot, of every dot of the raster
 *       machine.load(chip, Uint8Array.of(0xff), 0x2840);  // into a memory, past the circuit
 *       machine.drive(net.id, machine.now, LOW);          // or an input; it acts as the circuit goes on
 *       screen.runFor(machine.period);                    // one period on; the picture is as far as the beam has come
 *       const half = screen.pictureSoFar();
 *       const level = VALUE_LETTERS[machine.valueOf(net.id)];   // "0", "1", "x" unknown, "z" undriven
 *       const state = machine.save();                     // a copy of all that it holds
 *       machine.restore(state);
 *       screen.restart();                                 // to be told that time has jumped
 *       machine.doubts;                                   // places where the outcome hung on delays, by name
 *
 *   `testCardFor` says what to load for a test card. A frame takes a few milliseconds, most of it for the picture. Whatever
 *   runs throws `TooMuchOpen` where the outcome hangs on delays at almost every edge and `mostThorough` was given.
 * - `Machine` is what all is made of: levels, memories, oscillators and inputs in time, without a screen.
 */
export { type MachineOptions, Machine } from "./machine.js";
export type { MachineState } from "./machine-state.js";
export type { Recording } from "./recording.js";
export { type FoundDoubt, TooMuchOpen } from "./stepper.js";
export type { DoubtKind } from "./step-view.js";
export {
  type CardInMemory,
  type PoweredMachine,
  type PowerUpMachineOptions,
  powerUpMachine,
  testCardFor,
  testCardIn,
} from "./power-up-machine.js";
export { BeamScreen } from "./beam-screen.js";
export { type SeenWithoutDelays, type WithoutDelaysOptions, simulateWithoutDelays } from "./without-delays.js";
