import type { Verdict } from "../../../src/timing/index.js";
import type { Certificate, CertificateDecision, CertificatePair } from "../../../src/verdict/index.js";
import { CLOCK_PERIOD_NS, HOLD_NS, type RacingCircuit, SET_UP_NS, WIDTH_NS } from "../racing/random-racing-circuit.js";
import { circuitOf } from "../racing/random-racing-circuit.js";
import { ns } from "../../../src/quantity/index.js";
import { type Run, runBoard } from "../waves-run.js";
import { type Before, type Flank, type Pack, ReplayedCircuit, type Seen } from "./replayed-circuit.js";
import { Refused, ShownBy, type Sum, added, keyOf, negated } from "./shown-by.js";

/** Oscillator periods after the last that is judged, in which its changes come. */
const MORE_TICKS = 4;

/**
 * Checks the certificate of a verdict of a racing circuit: replays the circuit from the model of uncertainty, asks the
 * certificate for every order that limits leave open, and adds up what is to show each gap. Shares nothing with what made it
 * but the figures. Throws Refused, saying why.
 *
 * @param ticks oscillator periods from power-up until the circuit has been in every state
 */
export function checkCertificate(racing: RacingCircuit, verdict: Verdict, ticks: number): void {
  const certificate = verdict.exact?.certificate;
  if (!certificate) throw new Refused("no certificate");
  new CertificateCheck(racing, certificate, ticks).check(verdict);
}

/** Boards at typical delays, which are slow to run, by the circuit. */
const typicalRuns = new Map<string, Run>();

/** Two packs that a rule holds against each other. */
interface Held {
  /** Equal for those that differ in their ticks only. */
  readonly kind: string;
  readonly hasOtherSide: boolean;
  gaps(before: Before): readonly Sum[];
}

class CertificateCheck {
  readonly #certificate: Certificate;
  readonly #by: ShownBy;
  readonly #circuit: ReplayedCircuit;
  readonly #ticks: number;
  readonly #surePacks = new Map<string, boolean>();
  readonly #shown = new Set<string>();

  constructor(racing: RacingCircuit, certificate: Certificate, ticks: number) {
    this.#certificate = certificate;
    this.#by = new ShownBy(certificate);
    this.#ticks = ticks;
    const circuit = circuitOf(racing);
    const key = `${racing.seed} ${ticks}`;
    const run = typicalRuns.get(key) ?? runBoard(circuit, 1, "typical", ticks + MORE_TICKS);
    typicalRuns.set(key, run);
    const names = circuit.nets.map(({ name }) => name);
    this.#circuit = new ReplayedCircuit(racing, ticks + MORE_TICKS, run, names, (pack) => this.#isSure(pack));
  }

  check({ rule, symbol, chip, pin, reference, net, state, required, available, margin }: Verdict): void {
    this.#checkUnknowns();
    const cell = this.#circuit.cell(chip);
    if (rule === "glitch") {
      if (state !== "holds") throw new Refused("a glitch that is not ruled out");
      for (const { packs } of this.#circuit.seenAt(cell, pin)) {
        for (const pack of packs) if (!pack.isSingle && !this.#isSure(pack)) throw new Refused("a pulse");
      }
      return;
    }
    const { least } = this.#certificate;
    const asked = requiredBy(rule, symbol);
    if (least === undefined || available !== least || required !== asked || margin !== least - asked) {
      throw new Refused("a margin that is another");
    }
    if ((state === "holds") !== margin >= 0) throw new Refused("a state that does not follow");
    if (rule === "set-up" || rule === "hold")
      return this.#checkCaptures(this.#circuit.cell(chip), rule === "set-up", least);
    if (rule === "contention") return this.#checkHandOvers(chip, reference.split(" ")[0] ?? "", net, least);
    return this.#checkClock(this.#circuit.cell(chip), symbol, least);
  }

  /** That the certificate's limits are those of the circuit. */
  #checkUnknowns(): void {
    const { limits } = this.#circuit;
    const { unknowns, duty } = this.#certificate;
    if (new Set(unknowns.map(({ name }) => name)).size < unknowns.length) throw new Refused("an unknown that is two");
    for (const { name, min, max } of unknowns) {
      if (name === "high time") {
        const [low, high] = limits.duty;
        if (min > (low * limits.period[0]) / 100 || max < (high * limits.period[1]) / 100) throw new Refused(name);
      } else {
        const [least, most] = limits.of(name);
        if (min !== least || max !== most) throw new Refused(`limits of ${name}`);
      }
    }
    const isShare = ([part, of]: readonly [number, number], hundredths: number) =>
      part * 100 === hundredths * of && of > 0;
    if (!isShare(duty[0], limits.duty[0]) || !isShare(duty[1], limits.duty[1])) throw new Refused("the duty");
  }

  /** What tells the order of two times: their limits, else what a case says. */
  #orders(decisions: readonly CertificateDecision[]): Before {
    const taken = new Map<string, boolean>();
    for (const { difference, isLater } of decisions) {
      const sum = this.#by.sum(difference);
      taken.set(keyOf(sum), isLater);
      taken.set(keyOf(negated(sum)), !isLater);
    }
    return (one, other, first) => {
      const difference = added(other, one, -1);
      const [least, most] = this.#circuit.limits.ends(difference);
      if (first ? least >= 0 : least > 0) return true;
      if (first ? most < 0 : most <= 0) return false;
      const told = taken.get(keyOf(difference));
      if (told === undefined) throw new Refused(`an order that no case tells: ${keyOf(difference)}`);
      return told;
    };
  }

  #isSure(pack: Pack): boolean {
    const known = this.#surePacks.get(pack.kind);
    if (known !== undefined) return known;
    const isSure = this.#certificate.sure.some(({ driver, edges, cases }) => {
      if (driver !== pack.driver || edges !== (pack.from === pack.to ? 0 : 1)) return false;
      return this.#agrees(() => {
        this.#by.mustCover(cases);
        for (const decisions of cases) {
          this.#by.conditionsOf(decisions);
          if (pack.flanks(this.#orders(decisions)).length !== edges) throw new Refused("another number of edges");
        }
      });
    });
    this.#surePacks.set(pack.kind, isSure);
    return isSure;
  }

  #agrees(look: () => void): boolean {
    try {
      look();
      return true;
    } catch (error) {
      if (error instanceof Refused) return false;
      throw error;
    }
  }

  /** That some pair of the certificate shows every gap of these packs to be no less than `least`. */
  #mustShow(held: Held, least: number): void {
    if (this.#shown.has(held.kind)) return;
    const reasons: string[] = [];
    for (const pair of this.#certificate.pairs) {
      try {
        this.#showsAll(held, pair, least);
        this.#shown.add(held.kind);
        return;
      } catch (error) {
        if (!(error instanceof Refused)) throw error;
        reasons.push(error.message);
      }
    }
    throw new Refused(`not shown: ${[...new Set(reasons)].join("; ")}`);
  }

  #showsAll(held: Held, { cases }: CertificatePair, least: number): void {
    this.#by.mustCover(cases.map(({ decisions }) => decisions));
    for (const { decisions, gaps } of cases) {
      const conditions = this.#by.conditionsOf(decisions);
      for (const gap of held.gaps(this.#orders(decisions))) {
        const told = gaps.find((one) => keyOf(this.#by.sum(one.gap)) === keyOf(gap));
        if (!told) throw new Refused("a gap that no case tells");
        if (told.isOtherSide) {
          if (!held.hasOtherSide || !this.#by.isAtLeast(negated(gap), 0, conditions, told.multipliers)) {
            throw new Refused("a gap that is not on the other side");
          }
        } else if (!this.#by.isAtLeast(gap, least, conditions, told.multipliers)) {
          throw new Refused("a gap that may be less");
        }
      }
    }
  }

  /** Least time between two packs as they arrive, by their limits. */
  #leastBetween(
    one: Pack,
    [, late]: readonly [number, number],
    other: Pack,
    [early]: readonly [number, number],
  ): number {
    const ticks = other.tick - one.tick;
    return other.earliest + early - one.latest - late + ticks * this.#circuit.limits.period[ticks >= 0 ? 0 : 1];
  }

  #checkCaptures(cell: ReturnType<ReplayedCircuit["cell"]>, isBefore: boolean, least: number): void {
    const [clock] = this.#circuit.seenAt(cell, "CLK");
    if (!clock) throw new Refused("no clock");
    for (const { pack: capture } of this.#circuit.captures(cell)) {
      if (capture.tick >= this.#ticks) continue;
      for (const data of this.#circuit.seenAt(cell, "D")) {
        for (const change of data.packs) {
          const [at, comes] = [clock.wireLimits, data.wireLimits];
          const gap = isBefore
            ? this.#leastBetween(change, comes, capture, at)
            : this.#leastBetween(capture, at, change, comes);
          const back = isBefore
            ? this.#leastBetween(capture, at, change, comes)
            : this.#leastBetween(change, comes, capture, at);
          // Far enough apart, or surely on the other side.
          if (gap >= least || back > 0) continue;
          const kind = `${change.kind} ${change.tick - capture.tick} ${capture.kind}`;
          this.#mustShow({ kind, hasOtherSide: true, gaps: gapsAround(change, data, capture, clock, isBefore) }, least);
        }
      }
    }
  }

  #checkClock(cell: ReturnType<ReplayedCircuit["cell"]>, symbol: string, least: number): void {
    this.#circuit.captures(cell);
    const [clock] = this.#circuit.seenAt(cell, "CLK");
    const edges = clock?.packs.filter(({ from, to }) => from !== to) ?? [];
    const begins = symbol === "tw low" ? 0 : 1;
    edges.forEach((one, index) => {
      const other = edges[index + (symbol === "fmax" ? 2 : 1)];
      if (!other || one.to !== begins || other.tick >= this.#ticks) return;
      if (this.#leastBetween(one, [0, 0], other, [0, 0]) >= least) return;
      const gaps = (before: Before) => {
        const [from, to] = [one.flanks(before)[0], other.flanks(before)[0]];
        return from && to ? [added(to.time, from.time, -1)] : [];
      };
      this.#mustShow({ kind: `${one.kind} ${other.tick - one.tick} ${other.kind}`, hasOtherSide: false, gaps }, least);
    });
  }

  #checkHandOvers(taker: string, leaver: string, net: string, least: number): void {
    if (!this.#circuit.driversOf(net).includes(taker)) throw new Refused("no such driver");
    const takes = this.#circuit.output(taker).packs.filter(({ isSingle, from }) => !isSingle || from === 2);
    const releases = this.#circuit.output(leaver).packs.filter(({ isSingle, to }) => !isSingle || to === 2);
    for (const take of takes) {
      if (take.tick >= this.#ticks) continue;
      // What is let go surely afterwards is another hand-over.
      const before = releases.filter((one) => !this.#circuit.isOver(take, one));
      for (let release = before.pop(); release; release = release.isSingle ? undefined : before.pop()) {
        if (this.#leastBetween(release, [0, 0], take, [0, 0]) < least) this.#mustShow(handOver(release, take), least);
      }
    }
  }
}

function handOver(release: Pack, take: Pack): Held {
  return {
    kind: `${release.kind} ${take.tick - release.tick} ${take.kind}`,
    hasOtherSide: false,
    gaps: (before) => {
      const left = release.flanks(before).filter(({ after }) => after === 2);
      const taken = take.flanks(before).filter((flank) => flank.before === 2);
      return taken.flatMap((one) => left.map((other) => added(one.time, other.time, -1)));
    },
  };
}

function gapsAround(change: Pack, data: Seen, capture: Pack, clock: Seen, isBefore: boolean) {
  return (before: Before): readonly Sum[] => {
    const [edge] = capture.flanks(before);
    if (!edge) return [];
    const at = added(edge.time, clock.wire);
    return change.flanks(before).map(({ time }: Flank) => {
      const comes = added(time, data.wire);
      return isBefore ? added(at, comes, -1) : added(comes, at, -1);
    });
  };
}

/** What racing circuits ask for, in femtoseconds. */
function requiredBy(rule: string, symbol: string): number {
  if (rule === "set-up") return ns(SET_UP_NS);
  if (rule === "hold") return ns(HOLD_NS);
  if (rule === "contention") return 0;
  return ns(symbol === "fmax" ? CLOCK_PERIOD_NS : WIDTH_NS);
}
