/** Digits three dots wide and five high, one number a row with the left dot as the most significant of three bits. */
const DIGITS: readonly (readonly number[])[] = [
  [0b111, 0b101, 0b101, 0b101, 0b111],
  [0b010, 0b110, 0b010, 0b010, 0b111],
  [0b111, 0b001, 0b111, 0b100, 0b111],
  [0b111, 0b001, 0b011, 0b001, 0b111],
  [0b101, 0b101, 0b111, 0b001, 0b001],
  [0b111, 0b100, 0b111, 0b001, 0b111],
  [0b111, 0b100, 0b111, 0b101, 0b111],
  [0b111, 0b001, 0b010, 0b010, 0b010],
  [0b111, 0b101, 0b111, 0b101, 0b111],
  [0b111, 0b101, 0b111, 0b001, 0b111],
];

/** Height of a digit, and the way from one digit to the next, in dots. */
export const DIGIT_HEIGHT = 5;
export const DIGIT_PITCH = 4;

/** Calls `set` for every lit dot of a whole number, its top left corner at `x`, `y`. */
export function drawNumber(value: number, x: number, y: number, set: (x: number, y: number) => void): void {
  Array.from(String(value), Number).forEach((digit, place) => {
    DIGITS[digit]?.forEach((bits, row) => {
      for (let column = 0; column < 3; column++) {
        if ((bits >> (2 - column)) & 1) set(x + place * DIGIT_PITCH + column, y + row);
      }
    });
  });
}
