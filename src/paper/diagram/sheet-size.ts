/**
 * What a sheet of A4 across has room for, in px of a drawing. Printed at 273 mm of width, letters of 9.5 px are then 5.6 points high.
 */
export const sheetSize = { width: 1300, height: 770 };
