import type { Circuit, Net, Passive } from "../circuit/index.js";
import { decoupling } from "../electrical/index.js";
import { railOfNet, type Terminal } from "./terminal.js";
import type { Link, LinkBlock, NetPins } from "./wiring-chain.js";

/** What comes from the connector, nets that no chip drives, the parts between nets, and what leaves. */
export function outsideBlocks(circuit: Circuit, pins: NetPins): LinkBlock[] {
  const parts = signalParts(circuit);
  const wired = circuit.nets.filter(({ toCome, rail }) => !toCome && rail === undefined);
  const railOf = new Map(circuit.nets.map((net) => [net.name, railOfNet(circuit, net)]));
  const leaving = netsLeaving(circuit, parts, pins);
  const entering = new Set(wired.filter(comesFromOutside).map(({ name }) => name));

  const anchor = (net: string): Terminal => {
    const rail = railOf.get(net);
    if (rail) return rail;
    const pin = pins.of(net)[0];
    if (pin) return pin;
    if (leaving.has(net) || entering.has(net)) return { kind: "outside", net };
    return { kind: "leg", part: parts.find(({ nets }) => nets.includes(net))?.ref ?? net, net };
  };
  const comingIn = wired
    .filter(({ name }) => entering.has(name))
    .flatMap(({ name, drivers }): Link[] => {
      const first = pins.of(name)[0];
      const way: Link[] = first ? [{ net: name, from: { kind: "outside", net: name }, to: first }] : [];
      return drivers.length > 0 ? way : [...way, ...pins.chain(name)];
    });
  const between = parts.map(({ ref, value, nets: [a, b] }): Link => ({
    net: railOf.get(a) ? b : a,
    from: anchor(a),
    to: anchor(b),
    part: `${ref}, ${value}`,
  }));
  const goingOut = [...leaving].flatMap((net): Link[] => {
    const from = pins.of(net)[0];
    return from && !entering.has(net) ? [{ net, from, to: { kind: "outside", net } }] : [];
  });
  const undriven = wired.filter(({ name, drivers }) => drivers.length === 0 && !entering.has(name));
  return [
    { heading: "From the connector", links: comingIn },
    { heading: "Nets that no chip drives", links: undriven.flatMap(({ name }) => pins.chain(name)) },
    { heading: "Resistors and capacitors", links: between },
    { heading: "To the connector", links: goingOut },
  ];
}

/** Whether a net comes in at the connector: not where a processor of the circuit, or a gate behind it, is what drives it. */
function comesFromOutside({ input, drivers }: Net): boolean {
  return input !== undefined && (input.by === undefined || drivers.length === 0);
}

/** The resistors and capacitors that are not there for the supply. */
function signalParts(circuit: Circuit): Passive[] {
  const { atChip, bulk } = decoupling(circuit);
  const atSupply = new Set([...atChip.values(), ...bulk].map(({ ref }) => ref));
  return circuit.passives.filter(({ ref }) => !atSupply.has(ref));
}

/**
 * The nets that leave the board: those of the picture, or what stands behind their series resistors, and nets that one leg
 * of one part reaches and nothing else.
 */
function netsLeaving(circuit: Circuit, parts: readonly Passive[], pins: NetPins): ReadonlySet<string> {
  const rails = new Set(circuit.nets.filter(({ rail }) => rail).map(({ name }) => name));
  const isFree = (net: string) => pins.of(net).length === 0 && !rails.has(net);
  const behindResistor = (net: string) =>
    parts
      .filter(({ kind, nets }) => kind === "resistor" && nets.includes(net))
      .flatMap(({ nets }) => nets.filter((other) => other !== net && isFree(other)));

  const leaving = new Set<string>();
  for (const id of pictureNets(circuit)) {
    const name = circuit.nets[id]?.name;
    if (name === undefined) continue;
    const behind = behindResistor(name);
    for (const net of behind.length > 0 ? behind : [name]) leaving.add(net);
  }
  const legs = parts.flatMap(({ nets }) => nets);
  for (const net of legs) if (isFree(net) && legs.filter((other) => other === net).length === 1) leaving.add(net);
  return leaving;
}

function pictureNets({ picture }: Circuit): readonly number[] {
  if (!picture) return [];
  const { hsync, vsync, video } = picture;
  return video.kind === "mono"
    ? [hsync, vsync, video.net]
    : [hsync, vsync, ...video.red, ...video.green, ...video.blue];
}
