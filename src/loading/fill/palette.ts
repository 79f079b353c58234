import { toRgb } from "../../raster/index.js";
import type { ScreenMap } from "../mapping/screen-map.js";
import type { Palette } from "../picture/dither.js";

/** What a dot can show: its values, as `Picture` has them, and the colour of each. */
export interface DotValues {
  readonly values: readonly number[];
  readonly colours: Palette;
}

/**
 * The values that dots of the circuit can have, by what their memory bits can do: two where one bit is behind all video nets,
 * more where they have bits of their own. Of dots that differ in this the most count. A character generator's dots have those
 * of its ROM.
 */
export function valuesOf({ nets, depth }: ScreenMap): DotValues {
  const kinds = new Map<string, { count: number; readonly values: readonly number[] }>();
  const dots = nets[0]?.level.length ?? 0;
  for (let dot = 0; dot < dots; dot++) {
    const groups = nets.map((net) =>
      (net.rom[dot] as number) >= 0 ? ~(net.rom[dot] as number) : (net.ram[dot] as number),
    );
    const isFixed = nets.map((net) => (net.rom[dot] as number) < 0 && (net.ram[dot] as number) < 0);
    const names = [...new Set(groups.filter((_, net) => !isFixed[net]))];
    const levels = nets.map((net) => net.level[dot] as number);
    const kind = groups.map((group, net) => `${isFixed[net] ? "-" : names.indexOf(group)}${levels[net]}`).join(" ");
    const known = kinds.get(kind);
    if (names.length === 0) continue;
    if (known) {
      known.count++;
      continue;
    }
    const values = Array.from({ length: 2 ** names.length }, (_, choice) =>
      groups.reduce((value, group, net) => {
        const turns = isFixed[net] ? 0 : (choice >> names.indexOf(group)) & 1;
        return 2 * value + ((levels[net] ?? 0) ^ turns);
      }, 0),
    );
    kinds.set(kind, { count: 1, values });
  }
  const [best] = [...kinds.values()].sort((one, other) => other.count - one.count);
  const values = [...new Set(best?.values ?? [0])].sort((a, b) => a - b);
  const rgb = toRgb({ width: values.length, height: 1, depth, dots: Uint16Array.from(values) });
  const colours = values.map((_, at): [number, number, number] => [
    rgb[3 * at] ?? 0,
    rgb[3 * at + 1] ?? 0,
    rgb[3 * at + 2] ?? 0,
  ]);
  return { values, colours };
}
