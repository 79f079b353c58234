import type { Circuit } from "../../circuit/index.js";
import type { ChainStep, Verdict } from "../../timing/index.js";
import { coneOf } from "./cone.js";
import type { Focus, PinName } from "./evaluate.js";

/** Rule and chips: what fails alike is mended alike. */
export function placeOf({
  rule,
  symbol,
  chip,
  reference,
}: Pick<Verdict, "rule" | "symbol" | "chip" | "reference">): string {
  return `${rule} ${symbol} ${chip} ${reference.split(" ")[0] ?? ""}`;
}

/** One verdict of each place, worst first. */
export function placesOf(failing: readonly Verdict[]): readonly Verdict[] {
  const first = new Map<string, Verdict>();
  for (const verdict of failing) if (!first.has(placeOf(verdict))) first.set(placeOf(verdict), verdict);
  return [...first.values()];
}

/** The pins that a verdict is about. */
function pinsOf({ chip, pin, reference }: Verdict): readonly PinName[] {
  const [other = "", otherPin] = reference.split(" ");
  const beside = otherPin === undefined ? { chip, pin: other } : { chip: other, pin: otherPin };
  return [{ chip, pin }, beside].filter((one) => one.chip !== "" && one.pin !== "");
}

/** What has to be proved to know of some places. */
export function focusOn(places: readonly Verdict[]): Focus {
  const isOfOwners = places.every(({ rule }) => rule === "contention" || rule === "undriven");
  return { pins: places.flatMap(pinsOf), what: isOfOwners ? "owners" : "all" };
}

/** The place that the least of the circuit decides, and so is tried soonest; undefined where none is decided by less than most. */
export function soonestOf(circuit: Circuit, places: readonly Verdict[]): Verdict | undefined {
  const chipOf = new Map(circuit.chips.map((chip) => [chip.ref, chip]));
  const sized = places.flatMap((verdict) => {
    const { pins, what } = focusOn([verdict]);
    const found = pins.flatMap(({ chip: ref, pin }) => {
      const chip = chipOf.get(ref);
      return chip ? [{ chip, pin }] : [];
    });
    const cone = found.length === 0 ? undefined : coneOf(circuit, found, what);
    return cone ? [{ verdict, size: cone.chips.reduce((sum, { nets }) => sum + nets.size, 0) }] : [];
  });
  return sized.sort((a, b) => a.size - b.size)[0]?.verdict;
}

/** Whether one chip has to do with all that fails by some time: its requirement, or a delay that counts. */
export function haveChipInCommon(places: readonly Verdict[]): boolean {
  const [first, ...others] = places.flatMap(({ chip, chains }) =>
    chains ? [new Set([chip, ...[...chains.earlier, ...chains.later].flatMap(countedChip)])] : [],
  );
  return first === undefined || [...first].some((ref) => others.every((refs) => refs.has(ref)));
}

function countedChip({ kind, chip, cancelled }: ChainStep): readonly string[] {
  return kind === "arc" && !cancelled ? [chip] : [];
}
