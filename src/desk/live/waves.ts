import type { Circuit, NetId } from "../../circuit/index.js";
import {
  type CycleDrawing,
  drawCycle,
  type Lane,
  type LaneEdge,
  type LaneLevel,
  type LaneSegment,
} from "../../paper/index.js";
import { fs } from "../../quantity/index.js";
import { type DumpedNets, groupBuses, HIGH, LOW, UNDRIVEN, UNKNOWN, type Value } from "../../simulation/index.js";

/** Half dots that stay in view. */
const kept = 64;

/** What the watched nets did over the last half dots. */
export class Waves {
  readonly lanes: readonly DumpedNets[];
  #watched: readonly DumpedNets[] = [];
  #samples: { readonly time: number; readonly values: readonly (readonly Value[])[] }[] = [];

  constructor(circuit: Circuit) {
    this.lanes = groupBuses(
      circuit,
      circuit.nets.filter(({ rail }) => !rail).map(({ id }) => id),
    );
  }

  /** What tells most about a picture at first: the memory's pins and what goes to the monitor. */
  firstOf(circuit: Circuit): readonly string[] {
    const shown = new Set<NetId>();
    for (const { part, nets } of circuit.chips) {
      const { memory, clockSource } = part.behaviour;
      if (memory) for (const net of nets.values()) shown.add(net.id);
      const clock = clockSource && nets.get(clockSource.pin);
      if (clock) shown.add(clock.id);
    }
    const { picture } = circuit;
    if (picture) for (const net of [picture.hsync, picture.vsync]) shown.add(net);
    const { video } = picture ?? {};
    if (video?.kind === "mono") shown.add(video.net);
    if (video?.kind === "colour") for (const net of [...video.red, ...video.green, ...video.blue]) shown.add(net);
    return this.lanes.filter(({ nets }) => nets.some((net) => shown.has(net))).map(({ name }) => name);
  }

  watch(names: readonly string[]): void {
    this.#watched = this.lanes.filter(({ name }) => names.includes(name));
    this.#samples = [];
  }

  sample(time: number, levelOf: (net: NetId) => Value): void {
    this.#samples.push({ time, values: this.#watched.map(({ nets }) => nets.map(levelOf)) });
    if (this.#samples.length > kept) this.#samples.shift();
  }

  forget(): void {
    this.#samples = [];
  }

  /** The drawing as markup; empty where there is nothing to draw yet. */
  draw(width: number): string {
    const [first, last] = [this.#samples[0], this.#samples.at(-1)];
    if (!first || !last || this.#watched.length === 0 || last.time <= first.time) return "";
    const step = (last.time - first.time) / (this.#samples.length - 1);
    const at = (time: number) => fs(Math.round(time - first.time));
    const span = at(last.time + step);
    const lanes = this.#watched.map(({ name, nets }, lane) =>
      laneOf(
        nets.length > 1 ? `${name}[0..${nets.length - 1}]` : name,
        nets.length > 1,
        span,
        this.#samples,
        (sample) => ({
          time: at(sample.time),
          values: sample.values[lane] ?? [],
        }),
      ),
    );
    const ticks = this.#samples.filter((_, index) => index % 2 === 0).map(({ time }) => at(time));
    const drawing: CycleDrawing = { title: "The watched nets over the last dots", span, ticks, lanes, brackets: [] };
    return drawCycle(drawing, "live", width).svg.text;
  }
}

function laneOf<S>(
  name: string,
  isBus: boolean,
  span: ReturnType<typeof fs>,
  samples: readonly S[],
  read: (sample: S) => { readonly time: ReturnType<typeof fs>; readonly values: readonly Value[] },
): Lane {
  const segments: LaneSegment[] = [];
  const edges: LaneEdge[] = [];
  for (const sample of samples) {
    const { time, values } = read(sample);
    const level = levelOf(values, isBus);
    const label = isBus ? hexOf(values) : undefined;
    const before = segments.at(-1);
    if (before && before.level === level && before.label === label) continue;
    if (before) {
      segments[segments.length - 1] = { ...before, to: time };
      edges.push({ earliest: time, latest: time, from: before.level, to: level });
    }
    segments.push({ from: time, to: span, level, ...(label !== undefined && { label }) });
  }
  return { name, kind: isBus ? "bus" : "signal", segments, edges };
}

function levelOf(values: readonly Value[], isBus: boolean): LaneLevel {
  if (values.every((value) => value === UNDRIVEN)) return "z";
  if (values.includes(UNKNOWN) || values.includes(UNDRIVEN)) return "may change";
  if (isBus) return "steady";
  return values[0] === HIGH ? 1 : 0;
}

/** `1F3` in hexadecimal, least bit first in `values`; absent where a bit is not known. */
function hexOf(values: readonly Value[]): string | undefined {
  if (values.some((value) => value !== HIGH && value !== LOW)) return undefined;
  let text = "";
  for (let bit = 0; bit < values.length; bit += 4) {
    const nibble = [0, 1, 2, 3].reduce((sum, index) => sum + (values[bit + index] === HIGH ? 2 ** index : 0), 0);
    text = nibble.toString(16).toUpperCase() + text;
  }
  return text;
}
