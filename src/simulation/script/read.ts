import type { Circuit, NetId } from "../../circuit/circuit.js";
import { FileContext } from "../../circuit/file-context.js";
import { SCRIPT_FILE } from "../../circuit/file-kind.js";
import type { Problem } from "../../circuit/problem.js";
import { Report } from "../../circuit/report.js";
import { readYaml } from "../../circuit/source.js";
import { checkStructure } from "../../circuit/structure.js";
import type { Path } from "../../circuit/value.js";
import { type Fs, fs, isMisread, parseTime } from "../../quantity/index.js";
import * as say from "./messages.js";
import type { Script, ScriptNumber, Step } from "./script.js";
import { type ScriptFile, type StepEntry, scriptFile } from "./shape.js";

/** More bytes than any memory of these circuits has. */
const MOST_BYTES = 4 * 1024 * 1024;

export interface ScriptReading {
  /** Absent where the script has mistakes. */
  readonly script?: Script;
  readonly problems: readonly Problem[];
}

/** The bytes of a file that a script names, or why there are none. */
export type FileBytes = Uint8Array | { readonly unreadable: string };

/** Names of the files that a script takes bytes from; none where it is no script. */
export function filesOf(text: string): readonly string[] {
  const source = readYaml(text, new Report(text, "", SCRIPT_FILE));
  const read = scriptFile.safeParse(source?.root);
  return (read.data?.steps ?? []).flatMap((step) =>
    "write" in step && step.write.file !== undefined ? [step.write.file] : [],
  );
}

/** Reads a script for a circuit. Never throws for any text; every mistake is a problem with its place. */
export function readScript(
  text: string,
  fileName: string,
  circuit: Circuit,
  bytesOf: (file: string) => FileBytes | undefined,
): ScriptReading {
  const report = new Report(text, fileName, SCRIPT_FILE);
  const source = readYaml(text, report);
  if (!source) return { problems: report.problems };
  checkStructure(source, report, scriptFile);
  if (report.hasErrors) return { problems: report.problems };
  const file: ScriptFile = scriptFile.parse(source.root);
  const reader = new ScriptReader(circuit, new FileContext(source, report), bytesOf, (file.write ?? []).length > 0);
  const write = (file.write ?? []).flatMap((step, index) => reader.step(step, ["write", index], ["ADDRESS", "DATA"]));
  const steps = file.steps.flatMap((step, index) => reader.step(step, ["steps", index], []));
  return report.hasErrors ? { problems: report.problems } : { script: { write, steps }, problems: report.problems };
}

class ScriptReader {
  readonly #circuit: Circuit;
  readonly #context: FileContext;
  readonly #bytesOf: (file: string) => FileBytes | undefined;
  readonly #canWrite: boolean;
  /** Inputs by name, buses by the name before their numbers, bit 0 first. */
  readonly #inputs: ReadonlyMap<string, readonly NetId[]>;

  constructor(
    circuit: Circuit,
    context: FileContext,
    bytesOf: (file: string) => FileBytes | undefined,
    canWrite: boolean,
  ) {
    this.#circuit = circuit;
    this.#context = context;
    this.#bytesOf = bytesOf;
    this.#canWrite = canWrite;
    this.#inputs = inputsOf(circuit);
  }

  /** One step of the file; none where it is wrong. `known` are the words that stand for something here. */
  step(entry: StepEntry, path: Path, known: readonly ScriptNumber[]): readonly Step[] {
    if ("set" in entry) return this.#set(entry.set, [...path, "set"], known);
    if ("wait" in entry) return this.#time(entry.wait, [...path, "wait"]).map((time) => ({ kind: "wait", time }));
    if ("until" in entry) return this.#time(entry.until, [...path, "until"]).map((time) => ({ kind: "until", time }));
    if ("after" in entry) return this.#after(entry.after, [...path, "after"]);
    if ("write" in entry) return this.#write(entry.write, [...path, "write"]);
    const { of, first, last, do: inside } = entry.bits;
    if (!known.includes(of)) this.#context.complain([...path, "bits", "of"], say.outOfPlace(of));
    const steps = inside.flatMap((one, index) => this.step(one, [...path, "bits", "do", index], [...known, "BIT"]));
    return [{ kind: "bits", of, first, last, steps }];
  }

  #set(levels: Readonly<Record<string, ScriptNumber>>, path: Path, known: readonly ScriptNumber[]): readonly Step[] {
    const nets = Object.entries(levels).flatMap(([name, to]) => {
      const found = this.#inputs.get(name);
      if (!found) {
        const near = this.#context.report.suggest(name, () => [...this.#inputs.keys()]);
        this.#context.complainOfKey([...path, name], say.noInput(name, near));
        return [];
      }
      if (typeof to === "number" && to >= 2 ** found.length) {
        this.#context.complain([...path, name], say.tooLarge(to, name, found.length));
      }
      if (typeof to !== "number" && !known.includes(to)) {
        this.#context.complain([...path, name], say.outOfPlace(to));
      }
      return [{ nets: found, to }];
    });
    return [{ kind: "set", nets }];
  }

  #time(text: string, path: Path): readonly Fs[] {
    const reading = parseTime(text);
    if (isMisread(reading)) this.#context.complain(path, say.misread(reading));
    return isMisread(reading) ? [] : [fs(Math.max(0, reading.value))];
  }

  #after(text: string, path: Path): readonly Step[] {
    const [, name, edge] = /^(\S+)\s+(rise|fall)$/.exec(text.trim()) ?? [];
    if (name === undefined || (edge !== "rise" && edge !== "fall")) {
      this.#context.complain(path, say.noEdge(text));
      return [];
    }
    const net = this.#circuit.nets.find((one) => one.name === name && !one.rail);
    if (net) return [{ kind: "after", net: net.id, edge }];
    const near = this.#context.report.suggest(name, () => this.#circuit.nets.map((one) => one.name));
    this.#context.complain(path, say.noNet(name, near));
    return [];
  }

  #write(entry: Extract<StepEntry, { write: unknown }>["write"], path: Path): readonly Step[] {
    if (!this.#canWrite) this.#context.complainOfKey(path, say.noWay());
    const once = this.#bytes(entry, path);
    if (!once) return [];
    if (once.length === 0) {
      this.#context.complain(path, say.noBytes());
      return [];
    }
    const count = entry.count ?? once.length;
    if (count > MOST_BYTES) {
      this.#context.complain([...path, "count"], say.tooMany(count, MOST_BYTES));
      return [];
    }
    const bytes = Uint8Array.from({ length: count }, (_, index) => once[index % once.length] ?? 0);
    return [{ kind: "write", at: entry.at, bytes }];
  }

  #bytes({ bytes, file, text }: Extract<StepEntry, { write: unknown }>["write"], path: Path): Uint8Array | undefined {
    if ([bytes, file, text].filter((one) => one !== undefined).length !== 1) {
      return this.#context.complain(path, say.noBytes());
    }
    if (bytes) return Uint8Array.from(bytes);
    if (text !== undefined) {
      const wrong = [...text].find((letter) => (letter.codePointAt(0) ?? 0) > 0xff);
      if (wrong !== undefined) return this.#context.complain([...path, "text"], say.badLetter(wrong));
      return Uint8Array.from(text, (letter) => letter.charCodeAt(0));
    }
    const found = file === undefined ? undefined : this.#bytesOf(file);
    if (found instanceof Uint8Array) return found;
    return this.#context.complain([...path, "file"], say.unreadable(file ?? "", found?.unreadable ?? "cannot be read"));
  }
}

function inputsOf({ inputs, nets }: Circuit): ReadonlyMap<string, readonly NetId[]> {
  const names = new Map<string, NetId>(inputs.map(({ net }) => [nets[net]?.name ?? "", net]));
  const found = new Map<string, readonly NetId[]>([...names].map(([name, net]) => [name, [net]]));
  for (const name of names.keys()) {
    const [, stem] = /^(.*\D)0$/.exec(name) ?? [];
    if (stem === undefined || found.has(stem)) continue;
    const bus: NetId[] = [];
    for (let bit = 0; names.has(`${stem}${bit}`); bit++) bus.push(names.get(`${stem}${bit}`) as NetId);
    found.set(stem, bus);
  }
  return found;
}
