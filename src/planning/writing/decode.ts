import { type Gate, WIDEST, chipsFor, distinct } from "./gates.js";
import { type Product, type Table, smallestSums } from "./minimise.js";

/** A function of counted bits that is to be made of gates. */
export interface Wanted {
  /** The nets of the bits, the lowest first. */
  readonly bits: readonly string[];
  readonly table: Table;
  /** The net that shows it; one with `#` is low where the function is high. */
  readonly net: string;
  /** Further nets that must be high as well. */
  readonly and?: readonly string[];
  readonly remark?: string;
}

/** One way of making something of gates. */
export type Way = readonly Gate[];

/** A net with the gates that make it. */
interface Made {
  readonly net: string;
  readonly gates: readonly Gate[];
}

/** Ways to make a function; its net is the output of the last gate, unless a bit shows it as it is. */
export function waysFor({ bits, table, net, and = [], remark }: Wanted): readonly Way[] {
  const isLow = net.endsWith("#");
  const ways: Way[] = [];
  const { high, low } = sumsOf(table);
  for (const sum of high) {
    for (const made of sumStyles(sum, bits)) {
      // The function is the AND of `and` and one net, or of several where it is one product.
      ways.push(finish(isLow ? "NAND" : "AND", made, and, net));
      if (and.length === 0 && made.length === 1 && made[0]) ways.push(...orForms(sum, bits, isLow, net));
    }
  }
  for (const sum of low) {
    ways.push(finish(isLow ? "NAND" : "AND", productsLow(sum, bits), and, net));
    if (and.length === 0) {
      for (const made of sumStyles(sum, bits)) ways.push(finish(isLow ? "AND" : "NAND", made, [], net));
    }
  }
  return unique(ways.map((way) => withRemark(way, remark)));
}

/** Ways to have a function as several nets that are all high where it is high: what a wider AND or NAND takes in. */
export function factorsFor({
  bits,
  table,
}: Pick<Wanted, "bits" | "table">): readonly { nets: readonly string[]; gates: Way }[] {
  const { high, low } = sumsOf(table);
  const made = [...high.flatMap((sum) => sumStyles(sum, bits)), ...low.map((sum) => productsLow(sum, bits))];
  return made.map((factors) => ({ nets: factors.map(({ net }) => net), gates: factors.flatMap(({ gates }) => gates) }));
}

/** Smallest sums of where a function is high, and of where it is low. */
interface Sums {
  readonly high: readonly (readonly Product[])[];
  readonly low: readonly (readonly Product[])[];
}

/** A table is asked for as often as there are nets that may show it. */
const sumsOfTables = new WeakMap<Table, Sums>();

function sumsOf(table: Table): Sums {
  const known = sumsOfTables.get(table);
  if (known) return known;
  const found = { high: smallestSums(table), low: smallestSums(opposite(table)) };
  sumsOfTables.set(table, found);
  return found;
}

export function opposite(table: Table): Table {
  return {
    variables: table.variables,
    at: (combination) => {
      const level = table.at(combination);
      return level === undefined ? undefined : !level;
    },
  };
}

/** Chips, then gates, then inputs of gates: what a choice of ways costs beside gates that are there anyway. */
function costOf(gates: readonly Gate[]): number {
  const all = distinct(gates);
  const inputs = all.reduce((sum, gate) => sum + gate.inputs.length, 0);
  return chipsFor(all) * 1e6 + all.length * 1e3 + inputs;
}

/** Of each thing that is wanted the way with which all together take fewest chips; going on until no single change helps. */
export function chooseWays(wanted: readonly (readonly Way[])[], others: readonly Gate[]): readonly Gate[] {
  const chosen = wanted.map((ways) => [...ways].sort((a, b) => costOf(a) - costOf(b))[0] ?? []);
  const total = () => costOf([...others, ...chosen.flat()]);
  let best = total();
  for (let isBetter = true; isBetter;) {
    isBetter = false;
    wanted.forEach((ways, index) => {
      for (const way of ways) {
        const before = chosen[index] ?? [];
        chosen[index] = way;
        const cost = total();
        if (cost < best) [best, isBetter] = [cost, true];
        else chosen[index] = before;
      }
    });
  }
  return distinct([...others, ...chosen.flat()]);
}

/** The nets whose AND is the sum: literals of one product, or one net where there are several. */
function sumStyles(sum: readonly Product[], bits: readonly string[]): readonly (readonly Made[])[] {
  const [first] = sum;
  if (!first) return [];
  if (sum.length === 1) return productStyles(first, bits);
  const styles: (readonly Made[])[] = [[joined("NAND", productsLow(sum, bits))]];
  const care = sum.reduce((common, one) => common & one.care & ~(one.value ^ first.value), first.care);
  if (care !== 0) {
    const rest = sum.map((one) => ({ care: one.care & ~care, value: one.value & ~care }));
    const common = literals({ care, value: first.value & care }, bits);
    styles.push(...sumNets(rest, bits).map((net) => [...common, net]));
  }
  return styles;
}

/** One net for a sum: NANDs of NANDs, or ORs where its products are single literals. */
function sumNets(sum: readonly Product[], bits: readonly string[]): readonly Made[] {
  const nets = [joined("NAND", productsLow(sum, bits))];
  if (sum.every(({ care }) => (care & (care - 1)) === 0)) {
    nets.push(
      joined(
        "OR",
        sum.flatMap((product) => literals(product, bits)),
      ),
    );
  }
  return nets;
}

function orForms(sum: readonly Product[], bits: readonly string[], isLow: boolean, net: string): readonly Way[] {
  if (sum.length < 2 || !sum.every(({ care }) => (care & (care - 1)) === 0)) return [];
  return [
    finish(
      isLow ? "NOR" : "OR",
      sum.flatMap((product) => literals(product, bits)),
      [],
      net,
    ),
  ];
}

/** A product's literals as nets: inverters for those that must be low, or one NOR for all of them. */
function productStyles(product: Product, bits: readonly string[]): readonly (readonly Made[])[] {
  const plain = literals(product, bits);
  const low = bits.filter((_, v) => (product.care >> v) & 1 && !((product.value >> v) & 1));
  if (low.length < 2) return [plain];
  const high = literals({ care: product.value, value: product.value }, bits);
  return [
    plain,
    [
      ...high,
      joined(
        "NOR",
        low.map((net) => ({ net, gates: [] })),
      ),
    ],
  ];
}

/** A net for each product that is low where the product is high. */
function productsLow(sum: readonly Product[], bits: readonly string[]): readonly Made[] {
  return sum.map((product) => {
    const made = literals(product, bits);
    if (made.length > 1) return joined("NAND", made);
    const index = Math.log2(product.care);
    return literal(bits[index] ?? "", product.value !== 0);
  });
}

function literals({ care, value }: Product, bits: readonly string[]): readonly Made[] {
  return bits.flatMap((net, v) => ((care >> v) & 1 ? [literal(net, ((value >> v) & 1) === 0)] : [])).reverse();
}

function literal(net: string, isLow: boolean): Made {
  if (!isLow) return { net, gates: [] };
  const output = inverse(net);
  return { net: output, gates: [{ kind: "NOT", inputs: [net], output }] };
}

export function inverse(net: string): string {
  return net.endsWith("#") ? net.slice(0, -1) : `${net}#`;
}

/** A gate named by what it says: `COL5.4.0#` is a NAND, `COL3+4` an OR. */
function joined(kind: "NAND" | "AND" | "OR" | "NOR", made: readonly Made[]): Made {
  const nets = made.map(({ net }) => net);
  const output = expressionName(kind, nets);
  return { net: output, gates: finish(kind, made, [], output) };
}

function expressionName(kind: "NAND" | "AND" | "OR" | "NOR", nets: readonly string[]): string {
  const sign = kind === "OR" || kind === "NOR" ? "+" : ".";
  // Inverted ones first, so that a # at the end is the gate's own.
  const sorted = [...nets].sort((a, b) => Number(b.endsWith("#")) - Number(a.endsWith("#")));
  const short: string[] = [];
  let before = "";
  for (const net of sorted) {
    const [, prefix = net, rest = ""] = /^([A-Z_]+)(\d.*)$/.exec(net) ?? [];
    short.push(prefix === before && rest !== "" ? rest : net);
    before = rest === "" ? "" : prefix;
  }
  return `${shortened(short.join(sign))}${kind === "NAND" || kind === "NOR" ? "#" : ""}`;
}

/** A name may have 64 letters; a longer one is told from others by a number. */
const LONGEST_NAME = 40;

function shortened(name: string): string {
  if (name.length <= LONGEST_NAME) return name;
  let digest = 0;
  for (const letter of name) digest = (digest * 31 + letter.charCodeAt(0)) % 1_000_003;
  return `${name.slice(0, LONGEST_NAME - 10)}...${digest}`;
}

/** The gate that joins nets, further ones before it where it would be too wide. */
function finish(kind: "NAND" | "AND" | "OR" | "NOR", made: readonly Made[], and: readonly string[], net: string): Way {
  const gates = made.flatMap((one) => one.gates);
  let inputs = [...made.map((one) => one.net), ...and];
  if (inputs.length === 1) return [...gates, ...alone(kind, inputs[0] ?? "", net)];
  const widest = WIDEST[kind];
  const early = kind === "NAND" || kind === "AND" ? "AND" : "OR";
  const before: Gate[] = [];
  while (inputs.length > widest) {
    const part = inputs.slice(0, Math.min(WIDEST[early], inputs.length - widest + 1));
    const output = expressionName(early, part);
    before.push({ kind: early, inputs: part, output });
    inputs = [output, ...inputs.slice(part.length)];
  }
  return [...gates, ...before, { kind, inputs, output: net }];
}

/** One net as it is, or inverted. A gate is needed for either, so that the function's net has the name that was asked for. */
function alone(kind: "NAND" | "AND" | "OR" | "NOR", input: string, net: string): Way {
  if (kind === "NAND" || kind === "NOR") return [{ kind: "NOT", inputs: [input], output: net }];
  return [{ kind: "AND", inputs: [input, input], output: net }];
}

function withRemark(way: Way, remark: string | undefined): Way {
  const last = way.at(-1);
  return remark === undefined || !last ? way : [...way.slice(0, -1), { ...last, remark }];
}

function unique(ways: readonly Way[]): readonly Way[] {
  return [...new Map(ways.map((way) => [JSON.stringify(way), way])).values()];
}
