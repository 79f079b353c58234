import type { Chip, Circuit, Net } from "../circuit/index.js";
import type { ElectricalOptions, Fight } from "../electrical/index.js";
import { memoryPorts, namesIn } from "../parts/index.js";
import { findRaster, inHertz, lineRate } from "../raster/index.js";
import { type Activity, NoProgress, countActivity } from "../simulation/index.js";
import type { Proof } from "../timing/index.js";
import type { Progress } from "./progress.js";

/** What the electrical rules need to know of how the circuit runs: from the proof, a simulation and the raster. */
export async function observe(
  circuit: Circuit,
  proof: Proof,
  progress: Progress,
): Promise<Pick<ElectricalOptions, "edgesPerSecond" | "outputsTogether" | "fights" | "compositeSystem">> {
  const activity = await progress.during("counting what switches", (tell) => activityOf(circuit, tell));
  const system = compositeSystem(circuit);
  const seen = activity ? seenFights(activity) : [];
  const proved = provedFights(circuit, proof, activity).filter(
    // How long two that drive together do so only the simulation knows.
    ({ isTimed, fight }) => isTimed || !seen.some((other) => isSame(other, fight)),
  );
  const fights = [...proved.map(({ fight }) => fight), ...seen].reduce<readonly Fight[]>(merge, []);
  return {
    ...(activity && {
      edgesPerSecond: activity.edgesPerSecond,
      outputsTogether: new Map([...activity.together].map(([chip, count]) => [chip.ref, count])),
    }),
    fights,
    ...(system !== undefined && { compositeSystem: system }),
  };
}

function isSame(one: Fight, other: Fight): boolean {
  return one.net === other.net && other.pins.every((pin) => one.pins.includes(pin));
}

/** One fight for two outputs, whichever takes the net from the other. */
function merge(fights: readonly Fight[], fight: Fight): readonly Fight[] {
  const known = fights.find((other) => isSame(other, fight));
  if (!known) return [...fights, fight];
  const both: Fight = {
    ...known,
    longest: Math.max(known.longest, fight.longest),
    perSecond: Math.max(known.perSecond, fight.perSecond),
  };
  return fights.map((other) => (other === known ? both : other));
}

/** Undefined where gates feed each other without end. */
function activityOf(circuit: Circuit, onProgress: (done: number, total: number) => void): Activity | undefined {
  try {
    return countActivity(circuit, { onProgress });
  } catch (error) {
    if (error instanceof NoProgress) return undefined;
    throw error;
  }
}

/** An overlap that the proof found; `isTimed` where it tells how long it is. */
interface ProvedFight {
  readonly fight: Fight;
  readonly isTimed: boolean;
}

/**
 * The overlaps that the proof found, whether the file allows them or not. Each comes as often as the output that takes the
 * net is switched on, and not more often than it was checked.
 */
function provedFights(
  { nets, chips }: Circuit,
  { verdicts, cycleTicks, leadTicks, period }: Proof,
  activity: Activity | undefined,
): readonly ProvedFight[] {
  if (!period) return [];
  const tick = seconds((period.min + period.max) / 2);
  const explored = (cycleTicks + leadTicks) * tick;
  return verdicts.flatMap(
    ({ rule, chip: ref, pin, net, reference, available, allowance = 0, count }): ProvedFight[] => {
      const id = nets.find(({ name }) => name === net)?.id;
      const chip = chips.find((one) => one.ref === ref);
      if (rule !== "contention" || id === undefined || !chip || reference === "" || explored <= 0) return [];
      const isTimed = available !== undefined;
      const longest = isTimed ? seconds(allowance - available) : tick;
      if (longest <= 0) return [];
      const switched = enablesOf(chip, pin).map((enable) => (activity?.edgesPerSecond.get(enable.id) ?? Infinity) / 2);
      const perSecond = Math.min(count / explored, ...(switched.length > 0 ? [Math.max(...switched)] : []));
      return [{ fight: { net: id, pins: [reference, `${ref} ${pin}`], longest, perSecond }, isTimed }];
    },
  );
}

/** The nets that switch an output on and off. */
function enablesOf({ part: { behaviour }, nets }: Chip, pin: string): readonly Net[] {
  const port = memoryPorts(behaviour).find(({ data }) => data.includes(pin));
  const enable = port?.read ?? behaviour.outputs.find((output) => output.pin === pin)?.enable;
  return enable ? [...namesIn(enable)].flatMap((name) => nets.get(name) ?? []).filter(({ rail }) => !rail) : [];
}

function seenFights({ fights, time }: Activity): readonly Fight[] {
  return fights.flatMap(({ net, pins: [one, other], longest, count }): Fight[] =>
    one === undefined || other === undefined
      ? []
      : [{ net, pins: [one, other], longest: seconds(longest), perSecond: count / seconds(time) }],
  );
}

/** The system of television whose line rate and number of lines a raster has: 15.6 or 15.7 kHz, 625 or 525 lines or half. */
function compositeSystem({ raster }: Circuit): ElectricalOptions["compositeSystem"] {
  const found = findRaster(raster);
  if (!found.found) return undefined;
  const kilohertz = inHertz(lineRate(found.raster)) / 1000;
  if (kilohertz < 15.5 || kilohertz > 15.9) return undefined;
  const lines = found.raster.v.total;
  const near = (whole: number) => [whole, (whole - 1) / 2, (whole + 1) / 2].includes(lines);
  return near(625) ? "625" : near(525) ? "525" : undefined;
}

function seconds(femtoseconds: number): number {
  return femtoseconds / 1e15;
}
