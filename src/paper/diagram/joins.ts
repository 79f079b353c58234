import type { Frame } from "./frame.js";
import type { Line } from "./layered-layout.js";
import type { NetEnds } from "./net-ends.js";

/** A line between two ports with what it carries. */
export interface Join extends Line {
  readonly isBus: boolean;
}

type FramePort = Frame["ports"][number];

/** The lines of a sheet: each joined net, and each bus that two symbols share, as a star from the pin that drives it. */
export function joinsOf(frames: readonly Frame[], sheet: number, ends: NetEnds): Join[] {
  return [...netJoins(frames, sheet, ends), ...busJoins(frames)];
}

function netJoins(frames: readonly Frame[], sheet: number, ends: NetEnds): Join[] {
  const byNet = new Map<string, FramePort[]>();
  for (const port of frames.flatMap(({ ports }) => ports)) {
    const [net] = port.nets;
    if (port.isBus || net === undefined || !ends.isJoined(net, sheet)) continue;
    const ports = byNet.get(net);
    if (ports) ports.push(port);
    else byNet.set(net, [port]);
  }
  return [...byNet].flatMap(([net, ports]) => star(net, ports).map(([from, to]) => join(net, from, to, false)));
}

function busJoins(frames: readonly Frame[]): Join[] {
  const ports = frames.flatMap((frame) => frame.ports.filter(({ isBus }) => isBus));
  const shared = (a: FramePort, b: FramePort) => a.nets.filter((net) => b.nets.includes(net)).length;
  const joins: Join[] = [];
  const joined = new Set<string>();
  for (const from of ports.filter(({ drives }) => drives)) {
    for (const to of ports) {
      const pair = [from.id, to.id].sort().join("\n");
      if (to === from || shared(from, to) < 3 || joined.has(pair)) continue;
      joined.add(pair);
      joins.push(join(from.nets[0] ?? "", from, to, true));
    }
  }
  return joins;
}

function join(net: string, from: FramePort, to: FramePort, isBus: boolean): Join {
  return { id: `${isBus ? "bus" : "net"} ${net}: ${from.id} to ${to.id}`, from: from.id, to: to.id, isBus };
}

/** From the one that drives, else from a port on the right, to every other. */
function star(net: string, ports: readonly FramePort[]): [FramePort, FramePort][] {
  const drivers = ports.filter(({ drives }) => drives);
  const source = drivers[0] ?? ports.find(({ side }) => side === "right") ?? ports[0];
  if (!source) throw new RangeError(`${net} has no pin on its sheet`);
  return ports.filter((port) => port !== source).map((port) => [source, port]);
}
