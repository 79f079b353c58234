/** A lamp that a Z84C00 switches: the smallest board on which a processor writes through gates. */
export const lampByProcessor = `dotwright: 1
title: Lamp of the harbour entrance
supply: 5 V ± 10 %
ambient: 0 to 50 °C
build: printed board
raster: 640x480@60
picture: {size: 320 x 240, hsync: HS, vsync: VS, video: LAMP}
chips:
  X1: {part: OSC-25.175MHz, pins: {OUT: DOT}}
  X2: {part: OSC-4MHz, pins: {OUT: CLOCK}}
  U1:
    part: 74AC04
    pins: {1A: DOT, 1Y: HS, 2A: DOT, 2Y: VS, 3A: Q, 3Y: LAMP, 4A: PA15, 4Y: HIGH#, 5A: low, 5Y: open, 6A: low, 6Y: open}
  U2:
    part: 74AHCT74
    pins: {1CLK: WRITE#, 1D: PD0, 1Q: Q, 1Q#: open, "1PRE#, 1CLR#": high, "2CLK, 2D": low, "2PRE#, 2CLR#": high, "2Q, 2Q#": open}
  U3:
    part: 74AC32
    pins: {1A: WR#, 1B: HIGH#, 1Y: WRITE#, "2A, 2B, 3A, 3B, 4A, 4B": low, "2Y, 3Y, 4Y": open}
  U30:
    part: Z84C0006
    strobe: WRITE#
    pins:
      CLK: CLOCK
      "INT#, NMI#, WAIT#, BUSREQ#, RESET#": high
      "A[0..14]": open
      A15: PA15
      D0: PD0
      "D[1..7]": open
      WR#: WR#
      "M1#, MREQ#, IORQ#, RD#, RFSH#, HALT#, BUSACK#": open
`;

/** The text with some of its words put in the place of others, each of which must stand in it once. */
export function changed(text: string, ...changes: readonly (readonly [from: string, to: string])[]): string {
  return changes.reduce((whole, [from, to]) => {
    if (whole.split(from).length !== 2)
      throw new RangeError(`'${from}' stands in it ${whole.split(from).length - 1} times`);
    return whole.replace(from, () => to);
  }, text);
}
