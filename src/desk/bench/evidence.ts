import {
  type Fault,
  type FaultBench,
  type Look,
  type Observation,
  ReadingTable,
  type ScreenSignature,
  type Signature,
  Suspicion,
  compareCapture,
  comparedSeconds,
  departureLines,
  firstDepartureOf,
  galleryOf,
  looksLike,
  matchLooks,
  observationText,
  pinLabel,
  readObservation,
  readingText,
} from "../../bench/index.js";
import type { ReadCapture } from "./read-captured.js";
import type { BenchTold, Piece, ReadMeasurement } from "./protocol.js";

/** Suspects and faults of each that are shown. */
const SUSPECTS = 8;
const FAULTS = 3;
const NEAREST = 5;
/** Suspects below this share are not counted as left. */
const LEFT = 1e-3;

/** What is known of the board, and which of the faults simulated so far explain it. */
export class Evidence {
  private readonly bench: FaultBench;
  private readonly tell: (told: BenchTold) => void;
  private readonly signatures: (Signature | undefined)[] = [];
  private suspicion: Suspicion | undefined;
  /** The faults that are simulated, as the looks count them. */
  private own: readonly Fault[] = [];
  private looks: readonly Look[] = [];
  private shown: readonly ScreenSignature[] = [];
  private measured: readonly string[] = [];
  private captured: ReadCapture | undefined;
  /** Lines on where the capture departs; worked out once for each capture and its nets. */
  private departs: readonly string[] = [];
  private channelNets: ReadonlyMap<string, string> = new Map();
  private photo: Float64Array | undefined;
  /** When the suspects were last worked out, and how long that took, in milliseconds. */
  private refreshed = 0;
  private took = 0;

  constructor(bench: FaultBench, tell: (told: BenchTold) => void) {
    this.bench = bench;
    this.tell = tell;
  }

  /** Takes boards that have been simulated; shows them where that has not been done just now. */
  add({ from, boards }: Piece): void {
    boards.forEach(({ numbers, ...own }, index) => {
      this.signatures[from + index] = { ...own, readings: new ReadingTable(numbers) };
    });
    if (performance.now() - this.refreshed > 4 * this.took) this.refresh();
  }

  /** Works everything out again from all boards that are there. */
  refresh(): void {
    const begin = performance.now();
    const { faults, good } = this.bench;
    const known = faults.flatMap((fault, index) => {
      const signature = this.signatures[index];
      return signature ? [{ fault, signature }] : [];
    });
    const own = known.map(({ fault }) => fault);
    const signatures = known.map(({ signature }) => signature);
    this.suspicion = new Suspicion(this.bench, signatures, own);
    this.looks = galleryOf(own, signatures, good.screens?.[0]);
    this.own = own;
    this.tellGallery();
    if (this.photo) this.match(this.photo);
    else this.weigh();
    this.took = performance.now() - begin;
    this.refreshed = performance.now();
  }

  measure(measured: readonly string[]): void {
    this.measured = measured;
    this.weigh();
  }

  choose(numbers: readonly number[]): void {
    this.shown = numbers.flatMap((number) => this.looks[number - 1]?.screen ?? []);
    this.weigh();
  }

  /** Finds the looks nearest to a straightened photograph, and takes them for what the screen shows. */
  match(cells: Float64Array): void {
    this.photo = cells;
    const nearest = matchLooks(cells, this.looks).slice(0, NEAREST);
    this.tell({ kind: "matched", looks: nearest.map(({ look }) => look.number), cells: Uint8Array.from(cells) });
    this.choose(nearest.map(({ look }) => look.number));
  }

  forgetPhoto(): void {
    this.photo = undefined;
    this.choose([]);
    this.tellGallery();
  }

  /** Seconds of a capture whose edges are kept. */
  get compared(): number {
    return comparedSeconds(this.bench.scenario);
  }

  capture(captured: ReadCapture | undefined, nets: ReadonlyMap<string, string>): void {
    this.captured = captured;
    this.channelNets = nets;
    const { bench } = this;
    const compared = captured && compareCapture(bench, captured.channels, nets);
    this.departs = compared
      ? departureLines(
          firstDepartureOf(bench.scenario, compared, captured.begin),
          (net) => bench.board.nodeNames[net] ?? "",
        )
      : [];
    this.weigh();
  }

  private tellGallery(): void {
    this.tell({
      kind: "gallery",
      looks: this.looks.map(({ number, text, detail, faults, screen }) => ({
        number,
        text,
        ...(detail !== undefined && { detail }),
        faults: faults.length,
        first: this.own[faults[0] ?? 0]?.text ?? "",
        ...(screen.locked && { cells: screen.cells }),
      })),
      shown: this.shownLooks().map(({ number }) => number),
    });
  }

  private shownLooks(): readonly Look[] {
    return this.looks.filter(({ screen }) => this.shown.some((one) => looksLike(one, screen)));
  }

  private weigh(): void {
    const { bench, suspicion } = this;
    const { board } = bench;
    const captured = this.compareCapture();
    if (!suspicion) return;
    const observations: Observation[] = [];
    const measured = this.measured.map((text): ReadMeasurement => {
      const found = readObservation(board, text);
      if ("problem" in found) return { text, problem: found.problem };
      observations.push(found);
      return { text, right: readingText(suspicion.usualAt(found.pin)[0]) };
    });
    observations.push(...captured);
    const looks = this.shownLooks();
    const prior = looks.length > 0 ? suspicion.among(new Set(looks.flatMap(({ faults }) => faults))) : undefined;
    const weights = suspicion.weigh(observations, prior);
    const ranked = suspicion.ranked(weights);
    const next = suspicion.next(weights, new Set(observations.map(({ pin }) => pin)));
    this.tell({
      kind: "weighed",
      simulated: this.signatures.reduce((sum) => sum + 1, 0),
      left: ranked.filter(({ share }) => share > LEFT).length,
      isExplained: suspicion.isExplained(observations),
      hasEvidence: observations.length > 0 || looks.length > 0,
      suspects: ranked
        .filter(({ share }) => share > 0)
        .slice(0, SUSPECTS)
        .map(({ share, faults }) => ({
          share,
          faults: [
            ...faults.slice(0, FAULTS).map(({ text }) => text),
            ...(faults.length > FAULTS ? [`and ${faults.length - FAULTS} more there, or that measure the same`] : []),
          ],
        })),
      measured,
      ...(next && {
        next: {
          pin: pinLabel(next.pin),
          place: `${next.pin.chip?.ref ?? ""}.${next.pin.number}`,
          net: board.nodeNames[next.pin.node] ?? "",
          right: readingText(suspicion.usualAt(next.pin.id)[0]),
        },
      }),
    });
  }

  private compareCapture(): readonly Observation[] {
    if (!this.captured) return [];
    const { board, good } = this.bench;
    const { channels, unknown, clockError } = compareCapture(this.bench, this.captured.channels, this.channelNets);
    const clock =
      clockError === undefined
        ? ""
        : ` Its clock is ${Math.abs(clockError * 1e6).toFixed(0)} ppm ${clockError < 0 ? "slower" : "faster"} than nominal; that is taken out.`;
    this.tell({
      kind: "captured",
      channels: channels.map(({ channel, net, observation }) => {
        const [usual] = good.readings.at(net) ?? [];
        return {
          name: channel.name,
          net: board.nodeNames[net] ?? "",
          said: observation ? observationText(observation) : "on record for too short to count",
          right: usual ? readingText(usual) : "",
        };
      }),
      unknown,
      sentence: `The capture has ${channels.length} nets of the circuit.${clock}`,
      departs: this.departs,
    });
    return channels.flatMap(({ observation }) => observation ?? []);
  }
}
