/**
 * What a sheet of A4 across has room for, in px of a drawing. Printed at 273 mm of width, letters of 9.5 px are then 6.7 points high.
 */
export const sheetSize = { width: 1100, height: 650 };
