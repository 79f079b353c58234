import type { ScreenMap } from "../mapping/screen-map.js";

export interface WrittenDots {
  /** Dots that do not come out as wanted. */
  readonly unlike: number;
}

/**
 * Sets the RAM bits behind dots, all in a row in `ram`, so that the dots have these values; -1 leaves a dot as it is. Where one
 * bit is behind several dots or nets that want different levels, the more of them win.
 */
export function writeDots({ nets }: ScreenMap, values: Int32Array, ram: Uint8Array): WrittenDots {
  const votes = new Int32Array(ram.length);
  const weightOf = (net: number) => nets.length - 1 - net;
  nets.forEach((net, index) => {
    for (let dot = 0; dot < values.length; dot++) {
      const [value, number] = [values[dot] as number, net.ram[dot] as number];
      if (value < 0 || number < 0) continue;
      votes[number] =
        (votes[number] as number) + ((((value >> weightOf(index)) & 1) ^ (net.level[dot] as number)) === 1 ? 1 : -1);
    }
  });
  votes.forEach((vote, number) => {
    if (vote !== 0) ram[number] = vote > 0 ? 1 : 0;
  });
  let unlike = 0;
  for (let dot = 0; dot < values.length; dot++) {
    const value = values[dot] as number;
    if (value < 0) continue;
    const isLike = nets.every((net, index) => {
      const number = net.ram[dot] as number;
      const level = (net.level[dot] as number) ^ (number < 0 ? 0 : (ram[number] as number));
      return net.known[dot] === 1 && level === ((value >> weightOf(index)) & 1);
    });
    if (!isLike) unlike++;
  }
  return { unlike };
}
