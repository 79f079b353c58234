import type { Circuit } from "../circuit/index.js";
import type { ElectricalOptions, Fight } from "../electrical/index.js";
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
  const proved = provedFights(circuit, proof);
  const isProved = ({ net, pins }: Fight) =>
    proved.some((other) => other.net === net && other.pins.every((pin) => pins.includes(pin)));
  const seen = activity ? seenFights(activity).filter((fight) => !isProved(fight)) : [];
  return {
    ...(activity && {
      edgesPerSecond: activity.edgesPerSecond,
      outputsTogether: new Map([...activity.together].map(([chip, count]) => [chip.ref, count])),
    }),
    fights: [...proved, ...seen],
    ...(system !== undefined && { compositeSystem: system }),
  };
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

/** The overlaps that the proof found, whether the file allows them or not, each as often as it was checked. */
function provedFights({ nets }: Circuit, { verdicts, cycleTicks, leadTicks, period }: Proof): readonly Fight[] {
  const explored = period ? seconds(((cycleTicks + leadTicks) * (period.min + period.max)) / 2) : 0;
  return verdicts.flatMap(({ rule, chip, pin, net, reference, available, allowance = 0, count }): Fight[] => {
    const id = nets.find(({ name }) => name === net)?.id;
    if (rule !== "contention" || id === undefined || chip === "" || reference === "") return [];
    // Where nothing tells the one to let go they fight without end.
    const overlap = available === undefined ? explored : seconds(allowance - available);
    if (overlap <= 0 || explored <= 0) return [];
    return [{ net: id, pins: [reference, `${chip} ${pin}`], longest: overlap, perSecond: count / explored }];
  });
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
