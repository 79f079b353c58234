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
  // A product's place has one digit of base 3 for each variable: low, high, not in it.
  const isFree = new Uint8Array(3 ** variables);
  for (let combination = 0; combination < 2 ** variables; combination++) {
    if (table.at(combination) !== false) isFree[placeOf(combination, variables)] = 1;
  }
  // Free is what is free with a variable high and low, taken one after the other: those above it are still in every product.
  for (let v = 0, step = 1; v < variables; v++, step *= 3) {
    for (const from of bases(v + 1, variables)) {
      for (let place = from; place < from + step; place++) {
        isFree[place + 2 * step] = (isFree[place] ?? 0) & (isFree[place + step] ?? 0);
      }
    }
  }
  const found: Product[] = [];
  for (let place = 0; place < isFree.length; place++) {
    if (isFree[place] === 1 && !isPartOfFree(place)) found.push(productAt(place, variables));
  }
  return found;

  function isPartOfFree(place: number): boolean {
    for (let rest = place, step = 1; step < isFree.length; rest = Math.floor(rest / 3), step *= 3) {
      if (rest % 3 < 2 && isFree[place + (2 - (rest % 3)) * step] === 1) return true;
    }
    return false;
  }
}

/** The place of the product of all variables that is high at one combination alone. */
function placeOf(combination: number, variables: number): number {
  let place = 0;
  for (let v = variables - 1; v >= 0; v--) place = 3 * place + ((combination >> v) & 1);
  return place;
}

/** Places of the products of all variables from one on, each low or high, and of the others low. */
function bases(from: number, variables: number): readonly number[] {
  return Array.from({ length: 2 ** (variables - from) }, (_, high) => placeOf(high << from, variables));
}

function productAt(place: number, variables: number): Product {
  let [care, value] = [0, 0];
  for (let v = 0, rest = place; v < variables; v++, rest = Math.floor(rest / 3)) {
    if (rest % 3 < 2) care |= 1 << v;
    if (rest % 3 === 1) value |= 1 << v;
  }
  return { care, value };
}

function covers(on: readonly number[], primes: readonly Product[], most: number): readonly (readonly Product[])[] {
  const everyRow = on.map((at) => {
    const row: number[] = [];
    for (const [index, { care, value }] of primes.entries()) if ((at & care) === value) row.push(index);
    return row;
  });
  const byRow = [...new Map(everyRow.map((row) => [row.join(), row])).values()];
  // A place that is covered whenever another one is need not be looked at.
  const rows = byRow.filter((row) => !byRow.some((other) => other.length < row.length && isPart(other, row)));
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
