import { type Circuit, boardOscillators } from "../../circuit/index.js";
import { type Raster, fieldRate, inHertz } from "../../raster/index.js";
import { type Machine, powerUpMachine, repeatsOf } from "../../simulation/index.js";
import { type SyncRom, makeSyncRom } from "../sync/sync-rom.js";
import { memoriesOf } from "./bit-numbers.js";
import { findScreenMap } from "./find-map.js";
import type { NoMap, ScreenMap } from "./screen-map.js";

/** A circuit that runs. */
export interface RunningScreen {
  readonly circuit: Circuit;
  readonly machine: Machine;
  readonly raster: Raster;
  /** Where a ROM makes the syncs: what it was given for them. */
  readonly syncRom?: SyncRom;
}

/** A circuit that runs, and what its dots show. */
export interface MappedScreen extends RunningScreen {
  readonly map: ScreenMap;
}

/** So many steps that have to be worked out thoroughly take some seconds. A circuit that needs more of them is not mapped. */
const MOST_THOROUGH = 5000;

/** Powers a circuit up without delays. Throws TooMuchOpen where its outcome hangs on delays at almost every edge. */
export function powerScreen(circuit: Circuit): RunningScreen | NoMap {
  if (!circuit.picture) return { problem: "The circuit does not say which nets are the picture." };
  if (boardOscillators(circuit).length === 0) return { problem: "The circuit has no oscillator." };
  const { machine, raster } = powerUpMachine(circuit, { mostThorough: MOST_THOROUGH });
  if (!raster) return { problem: `${circuit.raster} is no published raster.` };
  const { width, height } = circuit.picture;

  if (!repeatsOf({ raster }, { width, height })) {
    return { problem: `A picture of ${width} x ${height} dots does not go evenly into the raster ${circuit.raster}.` };
  }
  const [rom, another] = memoriesOf(circuit).syncRoms;
  if (another) return { problem: "Its syncs hang on several ROMs; what these hold is not made." };
  const syncRom = rom && makeSyncRom(machine, raster, rom);
  if (syncRom && "problem" in syncRom) {
    return { problem: `The syncs hang on what ${rom?.ref ?? "a ROM"} holds. ${syncRom.problem}` };
  }
  const screen = { circuit, machine, raster, ...(syncRom && { syncRom }) };
  // Its counters stand anywhere before it has its say.
  if (syncRom) passField(screen);
  // One field, so that what runs on its own is on its way.
  passField(screen);
  return screen;
}

/** Lets the time of one field go by. */
export function passField({ machine, raster }: RunningScreen): void {
  machine.run(Math.round(machine.now + 1e15 / inHertz(fieldRate(raster))));
}

/** Finds what the dots of a circuit that runs show now. */
export function mapRunning(
  screen: RunningScreen,
  onProgress?: (done: number, total: number) => void,
): MappedScreen | NoMap {
  const map = findScreenMap(screen.circuit, screen.machine, screen.raster, onProgress);
  return "problem" in map ? map : { ...screen, map };
}

/** Both: what a circuit shows as it comes up. */
export function mapScreen(circuit: Circuit, onProgress?: (done: number, total: number) => void): MappedScreen | NoMap {
  const screen = powerScreen(circuit);
  return "problem" in screen ? screen : mapRunning(screen, onProgress);
}
