import type { Passive, PinRef } from "./circuit.js";
import { drivingOf } from "./driving.js";
import * as say from "./messages.js";
import type { GrowingNet } from "./nets.js";
import type { Span } from "./problem.js";
import type { Report } from "./report.js";
import { type Wiring, pinKey } from "./wiring.js";

/** What besides chips uses nets. */
export interface OtherUses {
  /** Nets that the monitor sees; where that is unknown, no net is said to be unread. */
  readonly shown: ReadonlySet<GrowingNet> | "unknown";
  readonly passives: readonly Passive[];
}

/** Checks that every net is driven by one thing at a time and read by something, as far as wiring alone tells. */
export function checkNets(wiring: Wiring, uses: OtherUses, report: Report): void {
  const { nets } = wiring;
  const passivesOn = new Map<string, string[]>();
  for (const { ref, nets: ends } of uses.passives) {
    for (const end of ends) passivesOn.set(end, [...(passivesOn.get(end) ?? []), ref]);
  }
  const undriven: GrowingNet[] = [];
  const neverDriven: GrowingNet[] = [];
  const unread: GrowingNet[] = [];
  for (const net of nets.all) {
    if (net.rail) {
      for (const pin of net.drivers) checkOutputOnRail(pin, net);
      continue;
    }
    const driving = net.drivers.map((pin) => ({ pin, driving: drivingOf(pin) }));
    checkAlways(
      net,
      driving.flatMap(({ pin, driving }) => (driving === "always" ? [pin] : [])),
    );
    if (nets.doubtful.has(net.name) || net.input || net.toCome) continue;
    if (net.drivers.length === 0 && net.receivers.length > 0) undriven.push(net);
    else if (!isUnread(net) && driving.length > 0 && driving.every(({ driving }) => driving === "never")) {
      neverDriven.push(net);
    } else if (isUnread(net) && !isShown(net) && !passivesOn.has(net.name)) unread.push(net);
  }

  const throughPassives = undriven.filter(({ name }) => passivesOn.has(name));
  const byNothing = undriven.filter(({ name }) => !passivesOn.has(name));
  for (const [span, group] of bySpan(byNothing)) {
    const near = report.suggest(group[0]?.name ?? "", () => namesOf(unread));
    report.add(span, say.noDriver(namesOf(group), group.flatMap(({ receivers }) => receivers).map(label), near));
  }
  for (const [span, group] of bySpan(throughPassives)) {
    const passives = group.flatMap(({ name }) => passivesOn.get(name) ?? []);
    report.add(span, say.drivenThroughPassive(namesOf(group), [...new Set(passives)]));
  }
  for (const [span, group] of bySpan(neverDriven)) {
    report.add(span, say.neverEnabled(namesOf(group), group.flatMap(({ drivers }) => drivers).map(label)));
  }
  for (const [span, group] of bySpan(unread)) {
    const near = report.suggest(group[0]?.name ?? "", () => namesOf(undriven));
    report.add(span, say.noReceiver(namesOf(group), group.flatMap(({ drivers }) => drivers).map(label), near));
  }

  function isShown(net: GrowingNet): boolean {
    return uses.shown === "unknown" || uses.shown.has(net);
  }

  function checkAlways(net: GrowingNet, always: readonly PinRef[]): void {
    const [first, second] = always;
    if (net.input && !net.input.by && first) report.add(spanOf(first), say.drivenInput(net.name, always.map(label)));
    else if (second) report.add(spanOf(second), say.twoDrivers(net.name, always.map(label)));
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

  /** Nets in groups that are first named at one place, as the members of a range are: each group gets one line. */
  function bySpan(list: readonly GrowingNet[]): ReadonlyMap<Span, readonly GrowingNet[]> {
    const groups = new Map<Span, GrowingNet[]>();
    for (const net of list) {
      const span = nets.spanOf(net.name) ?? { start: 0, end: 0 };
      const group = groups.get(span);
      if (group) group.push(net);
      else groups.set(span, [net]);
    }
    return groups;
  }
}

function namesOf(nets: readonly GrowingNet[]): readonly string[] {
  return nets.map(({ name }) => name);
}

/** Whether no pin but the one that drives the net reads it. */
function isUnread(net: GrowingNet): boolean {
  const [driver] = net.drivers;
  return net.drivers.length > 0 && net.receivers.every((reader) => net.drivers.length === 1 && reader === driver);
}

function label({ chip, pin }: PinRef): string {
  return `${chip.ref} ${pin}`;
}
