/** A register whose clock comes late: whether before or after what it captures, delays decide. */
export const lateClock = `
dotwright: 1
title: A late clock
supply: 5 V ± 10 %
ambient: 0 to 50 °C
build: breadboard
raster: 640x480@60
chips:
  X1:
    part: OSC-1MHz
    pins: {OUT: CK}
  U1:
    part: 74HC04
    pins:
      1A: CK
      1Y: CK#
      2A: CK#
      2Y: LATE
      3A, 4A, 5A, 6A: low
      3Y, 4Y, 5Y, 6Y: open
  U2:
    part: 74AHC74
    pins:
      1CLK: CK
      1D: Q#
      1Q: Q
      1Q#: Q#
      2CLK: LATE
      2D: Q
      2Q, 2Q#: open
      1PRE#, 1CLR#, 2PRE#, 2CLR#: high
`;
