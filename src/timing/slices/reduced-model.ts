import { carriesData } from "../control.js";
import { Delays } from "../delays.js";
import type { CellId, CellModel, ChipModel, Model, NetModel, OutputModel, PinModel } from "../model.js";
import type { Slice } from "./slice.js";

/** The model without some bits of its buses. Cells, nets and sections keep their numbers, and it has the same time line. */
export function withoutSlices(model: Model, slices: readonly Slice[]): Model {
  const nets = new Set(slices.flatMap((slice) => slice.nets));
  const gone = new Set<PinModel | OutputModel>([
    ...slices.flatMap(({ pins }) => pins.map(({ pin }) => pin)),
    ...slices.flatMap(({ outputs }) => outputs.map(({ output }) => output)),
  ]);
  const leftNets = new Map<NetModel, NetModel>(
    model.nets.map((net) => [net, { ...net, wave: nets.has(net) ? -1 : net.wave, drivers: [], receivers: [] }]),
  );
  const netOf = (net: NetModel): NetModel => leftNets.get(net) ?? net;
  const pins = new Map<PinModel, PinModel>();
  const outputs = new Map<OutputModel, OutputModel>();
  const chips = new Map<ChipModel, ChipModel>();
  for (const chip of model.chips) {
    const isLeft = !isNothing(chip, gone);
    const keep = <T extends PinModel | OutputModel>(all: readonly T[], copies: Map<T, T>): T[] =>
      all.flatMap((one) => {
        if (!isLeft || gone.has(one)) return [];
        const copy = { ...one, net: netOf(one.net) };
        copies.set(one, copy);
        return [copy];
      });
    chips.set(chip, { ...chip, pins: keep(chip.pins, pins), outputs: keep(chip.outputs, outputs) });
  }
  const chipOf = (chip: ChipModel): ChipModel => chips.get(chip) ?? chip;
  for (const [net, left] of leftNets) {
    for (const { cell, chip, output } of net.drivers) {
      const copy = outputs.get(output);
      if (copy) left.drivers.push({ cell, chip: chipOf(chip), output: copy });
    }
    for (const { chip, pin } of net.receivers) {
      const copy = pins.get(pin);
      if (copy) left.receivers.push({ chip: chipOf(chip), pin: copy });
    }
  }
  const cells = model.cells.map((cell): CellModel => {
    if (cell.kind === "driver") {
      return { ...cell, chip: chipOf(cell.chip), output: outputs.get(cell.output) ?? cell.output };
    }
    return cell.kind === "chip" ? { ...cell, chip: chipOf(cell.chip) } : { ...cell, net: netOf(cell.net) };
  });
  const isData = (net: NetModel) => carriesData(model, net);
  return {
    ...model,
    chips: [...chips.values()],
    nets: [...leftNets.values()],
    outside: model.outside.map((signal) => ({ ...signal, net: netOf(signal.net) })),
    cells,
    leftOut: leftOut(model, slices, [...chips]),
    oscillator: { ...model.oscillator, net: netOf(model.oscillator.net) },
    delays: new Delays(model.circuit, model.time, cells, isData, model.missing),
  };
}

/**
 * Whether nothing is left of a section without these pins and outputs: it shows nothing and captures nothing, and there is
 * no release of an override to be told.
 */
function isNothing(chip: ChipModel, gone: ReadonlySet<PinModel | OutputModel>): boolean {
  const { pins, outputs, storage } = chip;
  const isTouched = pins.some((pin) => gone.has(pin)) || outputs.some((output) => gone.has(output));
  const isKept = (one: PinModel | OutputModel) => !gone.has(one);
  return (
    isTouched &&
    !outputs.some(isKept) &&
    !pins.some((pin) => pin.isCaptured && isKept(pin)) &&
    !storage.some(({ overrides }) => overrides.length > 0)
  );
}

function leftOut(
  model: Model,
  slices: readonly Slice[],
  chips: readonly (readonly [ChipModel, ChipModel])[],
): ReadonlySet<CellId> {
  const sections = chips.flatMap(([chip, left]) => {
    const isEmpty = left.pins.length === 0 && left.outputs.length === 0;
    return isEmpty && chip.pins.length + chip.outputs.length > 0 ? [chip.cell] : [];
  });
  const nets = slices.flatMap((slice) => slice.nets);
  const shared = nets.flatMap((net) => (net.drivers.length > 1 ? [net.wave] : []));
  const drivers = slices.flatMap(({ outputs }) => outputs.map(({ output }) => output.cell));
  const outside = model.outside.flatMap(({ net, cell }) => (nets.includes(net) ? [cell] : []));
  return new Set([...sections, ...shared, ...drivers, ...outside]);
}
