import { formatTime, fs } from "../quantity/index.js";
import type { Comparison, NoPicture, Raster, Shown, TelevisionComparison } from "../raster/index.js";

/** What a monitor makes of a signal, and the raster that it was meant to have; absent where no published one has its name. */
export interface SeenOnScreen {
  readonly monitor: NoPicture | Shown;
  readonly raster?: Raster;
}

/** Whether it locks and to what, or why not and what is seen of it. */
export function lockSentence({ monitor, raster }: SeenOnScreen, unnamed: string): string {
  if (!monitor.locked) return doesNotLock(monitor);
  const { lock, against } = monitor;
  const sync = lock.composite ? ", composite sync" : "";
  const rates = `${(lock.lineRateHz / 1000).toFixed(3)} kHz, ${lock.fieldRateHz.toFixed(2)} Hz${sync}`;
  if (!raster) return `Locks: ${rates}, nearest to ${against.raster.name}.${unnamed}`;
  return `Locks: ${rates}, ${against.meets ? "meets" : "does not meet"} ${raster.name}.`;
}

function doesNotLock({ reason, detail, unheld }: NoPicture): string {
  const seen = unheld && unheld.what !== "" ? ` A flat screen shows nothing. ${unheld.what}` : "";
  return `Does not lock: ${reason}. ${detail}${seen}`;
}

/** What is not as it should be and what to do about it; why there is no lock is told elsewhere. */
export function findingSentences({ monitor }: SeenOnScreen): readonly string[] {
  return monitor.findings.map(({ what, todo }) => (monitor.locked ? `  ${what} ${todo}` : `  ${todo}`));
}

/** For how long nobody knows what the nets carried. */
export function unknownSentences(unknownSyncFs: number, unknownVideoFs: number): readonly string[] {
  const of = (what: string, time: number) =>
    time > 0 ? [`The ${what} unknown or undriven for ${formatTime(fs(Math.round(time)))} in all; taken for low.`] : [];
  return [...of("syncs were", unknownSyncFs), ...of("video was", unknownVideoFs)];
}

/** How a signal differs from the raster that it is held against, which others it could be, and what television says. */
export function standardSentences({ against, recognition, porches, television }: Shown): readonly string[] {
  return [
    `  ${deviations(against)}`,
    ...(porches ? [`  ${porchSentence(porches)}`] : []),
    ...ambiguity(against, recognition),
    ...(television ? [televisionSentence(television)] : []),
  ];
}

function deviations({ raster, ...by }: Comparison): string {
  const { h, v } = raster;
  return (
    `Off by: line ${signed(-by.lineRatePercent)} % (${signed(by.lineDots)} of ${h.total} dots), ` +
    `frame rate ${signed(by.fieldRatePercent)} % (${signed(by.lines)} of ${v.total} lines), ` +
    `horizontal sync ${signed(by.hSyncWidthPercent)} % (${signed(by.hSyncWidthDots)} of ${h.sync} dots), ` +
    `vertical sync ${signed(by.vSyncWidthPercent)} % (${signed(by.vSyncWidthLines)} of ${v.sync} lines).`
  );
}

function porchSentence({ hFront, hBack, vFront, vBack }: NonNullable<Shown["porches"]>): string {
  const of = ({ seen, published }: { seen: number; published: number }) => `${seen.toFixed(1)} of ${published}`;
  return (
    `From light to sync: front porch ${of(hFront)} dots, back porch ${of(hBack)}; ` +
    `front ${of(vFront)} lines, back ${of(vBack)}.`
  );
}

/** Names of published rasters that the signal meets as well, the one that it is held against left out. */
function ambiguity(against: Comparison, { best, alike, alsoMet }: Shown["recognition"]): string[] {
  const isOther = ({ raster }: Comparison) => raster.id !== against.raster.id;
  const names = (list: readonly Comparison[]) => list.filter(isOther).map(({ raster }) => raster.name);
  const isNamed = [best, ...alike].some((one) => !isOther(one));
  const twins = names([best, ...alike].filter(({ meets }) => meets));
  const near = names(alsoMet);
  if (!against.meets) return twins.length === 0 ? [] : [`  It meets ${listed(twins)}.`];
  if (isNamed) {
    return [
      ...(twins.length > 0 ? [`  Syncs alone cannot tell it from ${listed(twins)}.`] : []),
      ...(near.length > 0 ? [`  Within tolerance it is also ${listed(near)}.`] : []),
    ];
  }
  return [`  Within tolerance it is also ${listed([...twins, ...near])}.`];
}

const MOST_NAMED = 4;

function listed(names: readonly string[]): string {
  const [shown, rest] = [names.slice(0, MOST_NAMED), names.length - MOST_NAMED];
  if (rest > 0) return `${shown.join(", ")} and ${rest} more`;
  return shown.length > 1 ? `${shown.slice(0, -1).join(", ")} and ${shown.at(-1)}` : (shown[0] ?? "");
}

function televisionSentence({ system, interlaced, figures, meets }: TelevisionComparison): string {
  const name = `${system.name} (${system.standard})`;
  if (meets) return `  Its composite sync meets ${name}.`;
  const outside = figures.filter((figure) => !figure.meets).length;
  const lines = interlaced ? "" : " with whole lines in a field, as home computers had them (common practice)";
  if (outside === 0) return `  Its composite sync is that of ${name}${lines}.`;
  return `  Its composite sync is nearest to ${name}${lines}; ${outside} ${outside === 1 ? "figure is" : "figures are"} beyond it.`;
}

/** `+0.02`, `0`, `-1.5`: two decimals at most. */
function signed(value: number): string {
  const text = value.toFixed(2).replace(/\.?0+$/, "");
  return Number(text) === 0 ? "0" : value > 0 ? `+${text}` : text;
}
