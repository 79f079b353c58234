/** One term of a sum: a factor, and the symbol of a time; without a symbol the factor is the time itself. */
export interface Term {
  readonly factor: number;
  readonly symbol?: string;
}

const TERM = /\s*([+-])?\s*(?:(\d+(?:\.\d+)?)(?:\s+([A-Za-z]\w*))?|([A-Za-z]\w*))/y;

/**
 * Reads a sum of times such as `2 T + H - TdCr_A`: terms with a sign between them, each a symbol, a number before a symbol,
 * or a number alone. Throws SyntaxError on anything else.
 */
export function parseSum(text: string): readonly Term[] {
  const terms: Term[] = [];
  TERM.lastIndex = 0;
  let read = 0;
  while (read < text.trimEnd().length) {
    const match = TERM.exec(text);
    const [whole, sign, number, after, alone] = match ?? [];
    if (whole === undefined || (sign === undefined) !== (terms.length === 0)) {
      throw new SyntaxError(`no sum of times: '${text}'`);
    }
    read = TERM.lastIndex;
    const symbol = after ?? alone;
    const factor = (sign === "-" ? -1 : 1) * (number === undefined ? 1 : Number(number));
    terms.push({ factor, ...(symbol !== undefined && { symbol }) });
  }
  if (terms.length === 0) throw new SyntaxError("an empty sum of times");
  return terms;
}

/** The value of a sum in ns. Throws RangeError on a symbol that has no time. */
export function sumOf(text: string, timeOf: ReadonlyMap<string, number>): number {
  return parseSum(text).reduce((sum, term) => sum + term.factor * valueOf(term, timeOf, text), 0);
}

/** The sum with its numbers: `2 T + H - TdCr_A = 200 + 40 - 65`. */
export function writtenOut(text: string, timeOf: ReadonlyMap<string, number>): string {
  const terms = parseSum(text);
  if (terms.length === 1 && terms[0]?.factor === 1) return text;
  const numbers = terms.map((term, i) => {
    const value = tidy(Math.abs(term.factor) * valueOf(term, timeOf, text));
    const isMinus = term.factor < 0;
    return i === 0 ? `${isMinus ? "-" : ""}${value}` : `${isMinus ? "-" : "+"} ${value < 0 ? `(${value})` : value}`;
  });
  return `${text} = ${numbers.join(" ")}`;
}

function valueOf({ symbol }: Term, timeOf: ReadonlyMap<string, number>, text: string): number {
  if (symbol === undefined) return 1;
  const time = timeOf.get(symbol);
  if (time === undefined) throw new RangeError(`no time ${symbol} for '${text}'`);
  return time;
}

function tidy(value: number): number {
  return Math.round(value * 1000) / 1000;
}
