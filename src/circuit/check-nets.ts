import type { Passive, PictureNets, PinRef } from "./circuit.js";
import { drivingOf } from "./driving.js";
import * as say from "./messages.js";
import type { GrowingNet } from "./nets.js";
import type { Span } from "./problem.js";
import type { Report } from "./report.js";
import { type Wiring, pinKey } from "./wiring.js";

/** What besides chips uses nets. */
export interface OtherUses {
  readonly picture: PictureNets | undefined;
  readonly passives: readonly Passive[];
}

/** Checks that every net is driven by one thing at a time and read by something, as far as wiring alone tells. */
export function checkNets(wiring: Wiring, uses: OtherUses, report: Report): void {
  const { nets } = wiring;
  const passivesOn = new Map<string, string[]>();
  for (const { ref, nets: ends } of uses.passives) {
    for (const end of ends) passivesOn.set(end, [...(passivesOn.get(end) ?? []), ref]);
  }
  const seen = seenByMonitor(uses.picture);
  const references = new Set(
    nets.all.flatMap(({ input }) => (input && "net" in input.timing ? [input.timing.net] : [])),
  );
  const undriven = nets.all.filter((net) => net.drivers.length === 0 && isSignal(net));
  const unread = nets.all.filter((net) => isUnread(net) && isSignal(net));
  const namesOf = (list: readonly GrowingNet[]) => list.map(({ name }) => name);

  for (const net of nets.all) {
    if (net.rail) {
      for (const pin of net.drivers) checkOutputOnRail(pin, net);
      continue;
    }
    const driving = net.drivers.map((pin) => ({ pin, driving: drivingOf(pin) }));
    const always = driving.flatMap(({ pin, driving }) => (driving === "always" ? [pin] : []));
    const first = always[0];
    if (net.input && first) report.add(spanOf(first), say.drivenInput(net.name, always.map(label)));
    else if (always[1]) report.add(spanOf(always[1]), say.twoDrivers(net.name, always.map(label)));
    if (nets.doubtful.has(net.name) || net.input || net.toCome) continue;
    if (driving.every(({ driving }) => driving === "never")) complainOfDriver(net);
    else if (isUnread(net) && !seen.has(net.id) && !references.has(net.id) && !passivesOn.has(net.name)) {
      const near = report.suggest(net.name, namesOf(undriven));
      report.add(netSpan(net), say.noReceiver(net.name, net.drivers.map(label), near));
    }
  }

  function complainOfDriver(net: GrowingNet): void {
    const passives = passivesOn.get(net.name);
    if (net.drivers.length > 0) report.add(netSpan(net), say.neverEnabled(net.name, net.drivers.map(label)));
    else if (passives) report.add(netSpan(net), say.drivenThroughPassive(net.name, passives));
    else {
      const near = report.suggest(net.name, namesOf(unread));
      report.add(netSpan(net), say.noDriver(net.name, net.receivers.map(label), near));
    }
  }

  function checkOutputOnRail(ref: PinRef, net: GrowingNet): void {
    const role = ref.chip.part.behaviour.pins.find(({ name }) => name === ref.pin)?.role;
    // A pin that is an input too, such as a transceiver's, may be tied while its direction makes it one.
    const isOutput = role === "output" || drivingOf(ref) === "always";
    if (isOutput) report.add(spanOf(ref), say.outputOnRail(ref.chip.ref, ref.pin, net.name));
  }

  function spanOf(ref: PinRef): Span {
    return wiring.pinSpans.get(pinKey(ref.chip.ref, ref.pin)) ?? { start: 0, end: 0 };
  }

  function netSpan(net: GrowingNet): Span {
    return nets.spanOf(net.name) ?? { start: 0, end: 0 };
  }
}

/** Whether no pin but the one that drives the net reads it. */
function isUnread(net: GrowingNet): boolean {
  const [driver] = net.drivers;
  return net.drivers.length > 0 && net.receivers.every((reader) => net.drivers.length === 1 && reader === driver);
}

function isSignal(net: GrowingNet): boolean {
  return !net.rail && !net.input && !net.toCome;
}

function label({ chip, pin }: PinRef): string {
  return `${chip.ref} ${pin}`;
}

function seenByMonitor(picture: PictureNets | undefined): ReadonlySet<number> {
  if (!picture) return new Set();
  const { hsync, vsync, video } = picture;
  return new Set([
    hsync,
    vsync,
    ...(video.kind === "mono" ? [video.net] : [...video.red, ...video.green, ...video.blue]),
  ]);
}
