import { type Circuit, formatProblem, readCircuit } from "../../src/circuit/index.js";
import { type ElectricalVerdict, judgeElectrical } from "../../src/electrical/index.js";
import { type Pin, findPart, isPartProblem } from "../../src/parts/index.js";

/** A few chips on a printed board, without a picture. */
export interface Bench {
  /** Part and the pins that are on nets, `1A=IN 1Y=OUT`; other inputs are low, other outputs open. */
  readonly chips: Readonly<Record<string, readonly [part: string, pins: string]>>;
  readonly supply?: string;
  readonly build?: string;
  readonly ambient?: string;
  /** Lines of YAML under the key. */
  readonly inputs?: string;
  readonly passives?: string;
  readonly limits?: string;
}

export function bench(description: Bench): Circuit {
  const text = benchText(description);
  const { circuit, problems } = readCircuit(text, "bench.yaml");
  if (!circuit) throw new Error(`${problems.map(formatProblem).join("\n")}\n${text}`);
  return circuit;
}

function benchText({ chips, supply, build, ambient, inputs, passives, limits }: Bench): string {
  const sections = Object.entries({ inputs, passives, limits }).flatMap(([key, lines]) =>
    lines === undefined ? [] : [`${key}:`, ...lines.split("\n").map((line) => `  ${line}`)],
  );
  return [
    "dotwright: 1",
    "title: Bench",
    "raster: 640x480@60",
    `supply: ${supply ?? "5 V ± 5 %"}`,
    `build: ${build ?? "printed board"}`,
    `ambient: ${ambient ?? "0 to 50 °C"}`,
    ...sections,
    "chips:",
    ...Object.entries(chips).flatMap(([ref, [part, pins]]) => chipLines(ref, part, pins)),
    "",
  ].join("\n");
}

function chipLines(ref: string, number: string, pins: string): readonly string[] {
  const part = findPart(number, {
    supplyVolts: { min: 4.75, max: 5.25 },
    ambientCelsius: { min: 0, max: 50 },
    unstatedMinimum: { fractionOfTypical: 0.25 },
  });
  if (isPartProblem(part)) throw new Error(part.problem);
  const wired = new Map(pins.split(" ").map((word) => word.split("=") as [string, string]));
  const lines = part.behaviour.pins.flatMap((pin) => {
    const net = wired.get(pin.name) ?? unused(pin);
    return net === undefined ? [] : [`      ${JSON.stringify(pin.name)}: ${net}`];
  });
  return [`  ${ref}:`, `    part: ${number}`, "    pins:", ...lines];
}

function unused({ role }: Pin): string | undefined {
  if (role === "input") return "low";
  return role === "output" || role === "in-out" ? "open" : undefined;
}

/** The electrical verdict of that name. */
export function verdictNamed(circuit: Circuit, name: string): ElectricalVerdict {
  const { verdicts } = judgeElectrical(circuit);
  const found = verdicts.find((verdict) => verdict.name === name);
  if (!found) throw new Error(`no verdict ${name} among ${verdicts.map((one) => one.name).join(", ")}`);
  return found;
}

/** The same gate so many times over, four or six of them a chip, each with its input on one net. */
export function inputsOn(net: string, count: number, part: string, inputsPerChip = 6): Bench["chips"] {
  const chips: Record<string, readonly [string, string]> = {};
  for (let first = 0; first < count; first += inputsPerChip) {
    const inputs = Array.from({ length: Math.min(inputsPerChip, count - first) }, (_, n) => `${n + 1}A=${net}`);
    chips[`R${first / inputsPerChip + 1}`] = [part, inputs.join(" ")];
  }
  return chips;
}
