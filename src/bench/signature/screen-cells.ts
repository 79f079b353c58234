/** Cells of a reduced picture. */
export const CELLS_WIDE = 80;
export const CELLS_HIGH = 60;
