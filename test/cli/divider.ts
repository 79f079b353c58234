/** Halves an oscillator; shows nothing. */
export const divider = `
dotwright: 1
title: Half a megahertz
supply: 5 V ± 10 %
ambient: 0 to 50 °C
build: breadboard
raster: 640x480@60
chips:
  X1:
    part: OSC-1MHz
    pins: {OUT: OSC}
  U1:
    part: 74HC74
    pins:
      1CLK: OSC
      1D: HALF#
      1Q: HALF
      1Q#: HALF#
      1PRE#, 1CLR#: high
      2CLK, 2D, 2PRE#, 2CLR#: low
      2Q, 2Q#: open
`;
