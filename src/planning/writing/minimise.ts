/**
 * A product of variables: bit v of `care` is set where variable v is in it, bit v of `value` where it must be high. `value`
 * has no bits outside `care`.
 */
export interface Product {
  readonly care: number;
  readonly value: number;
}

/** A function of up to 12 variables, by the places where it is high, low, or does not matter. */
export interface Table {
  readonly variables: number;
  /** For each combination, variable 0 in the lowest bit. */
  at(combination: number): boolean | undefined;
}

/** How far the search of smallest covers goes before the best one so far is taken. Our own choice. */
const MOST_STEPS = 20_000;

/**
 * Sums of fewest products, and among these of fewest literals, that are high where the table is and low where it is not: at most
 * `most` of them. Prime implicants by Quine and McCluskey (McCluskey, Bell System Technical Journal 35, 1956), the choice
 * among them as Petrick's product of sums, followed by branch and bound. Empty where the function is never high.
 */
export function smallestSums(table: Table, most = 4): readonly (readonly Product[])[] {
  const on: number[] = [];
  for (let at = 0; at < 2 ** table.variables; at++) if (table.at(at) === true) on.push(at);
  if (on.length === 0) return [];
  const primes = primesOf(table).filter(({ care, value }) => on.some((at) => (at & care) === value));
  return covers(on, primes, most);
}

/** Products that are never high where the function is low and lose that when any variable is left out. */
export function primesOf(table: Table): readonly Product[] {
  const { variables } = table;
  const size = 3 ** variables;
  // A product's place has one digit of base 3 for each variable: low, high, not in it.
  const isFree = new Uint8Array(size);
  const [cares, values] = [new Uint16Array(size), new Uint16Array(size)];
  for (let v = 0, step = 1; v < variables; v++, step *= 3) {
    for (let place = 0; place < step; place++) {
      const [care = 0, value = 0] = [cares[place], values[place]];
      cares[place] = cares[place + step] = care | (1 << v);
      cares[place + 2 * step] = care;
      values[place + step] = value | (1 << v);
      values[place + 2 * step] = value;
    }
  }
  for (let place = 0; place < size; place++) {
    let step = 1;
    let rest = place;
    while (rest > 0 && rest % 3 !== 2) {
      rest = Math.floor(rest / 3);
      step *= 3;
    }
    // The first variable that is left out: free is what is free with it high and low.
    if (rest === 0) isFree[place] = table.at(values[place] ?? 0) === false ? 0 : 1;
    else isFree[place] = (isFree[place - step] ?? 0) & (isFree[place - 2 * step] ?? 0);
  }
  const found: Product[] = [];
  for (let place = size - 1; place >= 0; place--) {
    if (isFree[place] === 0) continue;
    let isPrime = true;
    for (let v = 0, step = 1, rest = place; v < variables; v++, step *= 3, rest = Math.floor(rest / 3)) {
      if (rest % 3 !== 2 && isFree[place + (2 - (rest % 3)) * step] === 1) isPrime = false;
    }
    if (isPrime) found.push({ care: cares[place] ?? 0, value: values[place] ?? 0 });
  }
  return found.reverse();
}

function covers(on: readonly number[], primes: readonly Product[], most: number): readonly (readonly Product[])[] {
  const everyRow = on.map((at) => primes.flatMap(({ care, value }, index) => ((at & care) === value ? [index] : [])));
  const byRow = [...new Map(everyRow.map((row) => [row.join(), row])).values()];
  // A place that is covered whenever another one is need not be looked at.
  const rows = byRow.filter(
    (row, index) =>
      !byRow.some((other, at) => at !== index && isPart(other, row) && (other.length < row.length || at < index)),
  );
  const literals = primes.map(({ care }) => bitsOf(care));
  let best: { readonly size: number; readonly literals: number } = { size: Infinity, literals: Infinity };
  let found: number[][] = [];
  let steps = 0;
  const search = (chosen: readonly number[], cost: number) => {
    if (steps++ > MOST_STEPS && found.length > 0) return;
    if (chosen.length > best.size || (chosen.length === best.size && cost > best.literals)) return;
    const open = rows.filter((row) => !row.some((prime) => chosen.includes(prime)));
    const [narrowest] = [...open].sort((a, b) => a.length - b.length);
    if (!narrowest) {
      const isBetter = chosen.length < best.size || cost < best.literals;
      if (isBetter) found = [];
      best = { size: chosen.length, literals: cost };
      const sorted = [...chosen].sort((a, b) => a - b);
      if (found.length < most && !found.some((one) => one.join() === sorted.join())) found.push(sorted);
      return;
    }
    if (chosen.length + 1 > best.size) return;
    const gains = narrowest.map((prime) => ({ prime, gain: open.filter((row) => row.includes(prime)).length }));
    gains.sort((a, b) => b.gain - a.gain || (literals[a.prime] ?? 0) - (literals[b.prime] ?? 0));
    for (const { prime } of gains) search([...chosen, prime], cost + (literals[prime] ?? 0));
  };
  search([], 0);
  return found.map((cover) => cover.flatMap((index) => primes[index] ?? []));
}

function isPart(part: readonly number[], whole: readonly number[]): boolean {
  return part.every((one) => whole.includes(one));
}

export function bitsOf(word: number): number {
  let count = 0;
  for (let rest = word; rest > 0; rest >>= 1) count += rest & 1;
  return count;
}
