import type { Circuit, Net, PictureNets } from "../circuit/index.js";
import { type Missing, isMissing } from "../parts/index.js";
import type { DrivenNetwork } from "./network-levels.js";
import { type OutputDrive, driveOf } from "./output-drive.js";
import { type CableFeed, cableFeeds } from "./resistor-paths.js";
import { componentVideo, compositeInterface, separateSync } from "./video-standards.js";

/** What goes to the monitor on one wire. */
export interface VideoOutput {
  readonly kind: "component" | "composite" | "sync";
  /** The net at the connector. */
  readonly cable: string;
  /** Nets of the picture's bits that lead to it, most significant first. */
  readonly bits: readonly string[];
  /** The other driven nets that lead to it: of composite video the sync. */
  readonly others: readonly string[];
  readonly network: DrivenNetwork;
  /** Figures that no sheet on record gives of an output that leads to it. */
  readonly missing: readonly string[];
}

/**
 * The wires that leave for the monitor: each network of resistors that a net of the picture leads to, and syncs that lead to
 * none. A wire with bits of the picture and other nets on it is composite: video and sync are added up.
 */
export function videoOutputs(circuit: Circuit): readonly VideoOutput[] {
  const { picture } = circuit;
  if (!picture) return [];
  const feeds = cableFeeds(circuit);
  const bits = bitNets(circuit, picture);
  const syncs = [...new Set([picture.hsync, picture.vsync])].flatMap((id) => circuit.nets[id] ?? []);
  const outputs = feeds.flatMap((feed): VideoOutput[] => {
    const names = feed.from.map(({ name }) => name);
    const own = bits.filter((name) => names.includes(name));
    const others = names.filter((name) => !own.includes(name));
    const isSync = own.length === 0 && others.every((name) => syncs.some((net) => net.name === name));
    if (own.length === 0 && !isSync) return [];
    const kind = isSync ? "sync" : others.length > 0 ? "composite" : "component";
    return [{ kind, cable: feed.cable, bits: own, others, ...networkOf(circuit, feed, feeds, kind) }];
  });
  const bare = syncs.filter((net) => net.drivers.length > 0 && !feeds.some(({ from }) => from.includes(net)));
  return [
    ...outputs,
    ...bare.map((net): VideoOutput => {
      const feed: CableFeed = { cable: net.name, resistors: [], from: [net] };
      return { kind: "sync", cable: net.name, bits: [], others: [net.name], ...networkOf(circuit, feed, [], "sync") };
    }),
  ];
}

/** The nets of the picture's dots that lead to no network of resistors. */
export function bareBits(circuit: Circuit): readonly (readonly Net[])[] {
  const { picture } = circuit;
  if (!picture) return [];
  const fed = new Set(cableFeeds(circuit).flatMap(({ from }) => from));
  const { video } = picture;
  const colours = video.kind === "mono" ? [[video.net]] : [video.red, video.green, video.blue];
  return colours
    .map((ids) => ids.flatMap((id) => circuit.nets[id] ?? []))
    .filter((nets) => nets.length > 0 && nets.every((net) => net.drivers.length > 0 && !fed.has(net)));
}

function bitNets({ nets }: Circuit, { video }: PictureNets): readonly string[] {
  const ids = video.kind === "mono" ? [video.net] : [...video.red, ...video.green, ...video.blue];
  return [...new Set(ids.flatMap((id) => nets[id]?.name ?? []))];
}

/** The network behind a cable, with those that share an output with it, since what they draw pulls the output down. */
function networkOf(circuit: Circuit, feed: CableFeed, feeds: readonly CableFeed[], kind: VideoOutput["kind"]) {
  const together = new Set([feed]);
  for (const one of together) {
    for (const other of feeds) if (other.from.some((net) => one.from.includes(net))) together.add(other);
  }
  const resistors = [...together].flatMap((one) => one.resistors);
  const ends = new Set(resistors.flatMap(({ nets }) => nets));
  const drives = new Map<string, OutputDrive>();
  const missing: string[] = [];
  for (const net of new Set([...together].flatMap(({ from }) => from))) {
    const drive: OutputDrive | Missing | undefined = driveOf(net, circuit);
    if (!drive) continue;
    if (isMissing(drive)) missing.push(`${net.drivers[0]?.chip.ref ?? ""}: ${drive.missing}`);
    else drives.set(net.name, drive);
  }
  const rails = new Map(
    circuit.nets.flatMap(({ name, rail }) => (rail && ends.has(name) ? [[name, rail] as const] : [])),
  );
  const load =
    kind === "sync"
      ? separateSync.loadOhms
      : kind === "composite"
        ? compositeInterface.loadOhms
        : componentVideo.loadOhms;
  const loads = new Map([...together].map(({ cable }) => [cable, load]));
  return { network: { resistors, drives, rails, loads }, missing };
}
