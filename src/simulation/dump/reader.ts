import { Declarations } from "./declarations.js";
import type { DumpListener, DumpRemark, DumpSection, DumpVariable, Place } from "./dump.js";
import { LONGEST_WORD, Words } from "./words.js";

const SECTIONS: ReadonlySet<string> = new Set<DumpSection>(["$dumpvars", "$dumpall", "$dumpoff", "$dumpon"]);
const DECLARATIONS: ReadonlySet<string> = new Set([
  "$date",
  "$enddefinitions",
  "$scope",
  "$timescale",
  "$upscope",
  "$var",
  "$version",
]);

const NUMBER_SIGN = 35;
const ZERO = 48;
/** The value that each letter stands for, by its number. */
const SCALARS: readonly (string | undefined)[] = Array.from({ length: 123 }, (_, code) =>
  /[01xXzZ]/.test(String.fromCharCode(code)) ? String.fromCharCode(code).toLowerCase() : undefined,
);

/** No more remarks than this are kept: a file may have one for each of its million lines. */
const MOST_NOTES = 100;

/** A command between its keyword and its `$end`. */
interface OpenCommand extends DumpRemark {
  readonly words: string[];
  /** How many words it has; of a text only some are kept. */
  count: number;
}

/** A value whose code comes as the next word. */
interface OpenValue extends DumpRemark {
  readonly kind: "bits" | "left out";
  readonly bits: string;
}

/**
 * Reads a value change dump of IEEE 1364-2001, clause 18 (four-state), from text that comes in pieces, and holds no more of
 * it than its declarations. Numbers with a fraction, texts and events are left out with a note. Whatever is not as the
 * standard has it ends the reading with its line and column.
 */
export class DumpReader {
  private readonly listener: DumpListener;
  private readonly words = new Words((word, line, column) => this.take(word, line, column));
  private readonly declarations = new Declarations(({ what }) => this.noteOnce(this.at, what));
  private variables: ReadonlyMap<string, DumpVariable> | undefined;
  /** Those with a code of one letter, by its number: most changes of most dumps. */
  private readonly byLetter: (DumpVariable | undefined)[] = Array.from({ length: 127 });
  private command: OpenCommand | undefined;
  private section: DumpRemark | undefined;
  private value: OpenValue | undefined;
  private time = 0;
  private line = 1;
  private column = 1;
  /** Where the command stands whose `$end` was read last. */
  private at: Place = { line: 1, column: 1 };
  private failure: DumpRemark | undefined;
  private readonly remarks: DumpRemark[] = [];
  private readonly noted = new Set<string>();
  private isEmpty = true;

  constructor(listener: DumpListener) {
    this.listener = listener;
  }

  /** What was left out or passed over, in order; at most a hundred. */
  get notes(): readonly DumpRemark[] {
    return this.remarks;
  }

  /** Why the reading ended early. */
  get problem(): DumpRemark | undefined {
    return this.failure;
  }

  /** Reads on; after a problem the rest is passed over. */
  push(text: string): void {
    this.words.push(text);
  }

  /** Ends the reading, and says what is wrong if anything is: what is still open is. */
  end(): DumpRemark | undefined {
    this.words.end();
    if (this.failure) return this.failure;
    const { command, section, value, words } = this;
    if (this.isEmpty) this.fail(words.place, "there is nothing in it");
    else if (command) this.fail(command, `${command.what} is not closed by $end`);
    else if (!this.variables) this.fail(words.place, "it ends before $enddefinitions");
    else if (value) this.fail(value, `no code follows the value ${value.what}`);
    else if (section) this.fail(section, `${section.what} is not closed by $end`);
    return this.failure;
  }

  private take(word: string, line: number, column: number): boolean {
    this.isEmpty = false;
    [this.line, this.column] = [line, column];
    if (word.length > LONGEST_WORD) this.fail(this.here, `a word has more than ${LONGEST_WORD} characters`);
    else if (this.command) this.takeInside(this.command, word);
    else if (this.value) this.takeCode(this.value, word);
    else if (!this.variables) this.takeDeclaration(word);
    else this.takeChange(word);
    return this.failure === undefined;
  }

  /** Where the word stands that is being read. */
  private get here(): Place {
    return { line: this.line, column: this.column };
  }

  private takeDeclaration(word: string): void {
    if (SECTIONS.has(word)) this.fail(this.here, `${word} stands before $enddefinitions`);
    else if (/^\$[a-z]/.test(word) && word !== "$end") this.command = { ...this.here, what: word, words: [], count: 0 };
    else this.fail(this.here, `${quoted(word)} stands where a declaration such as $var should`);
  }

  private takeInside(command: OpenCommand, word: string): void {
    // The code of a variable may be any word, even this one.
    const isCode = command.what === "$var" && command.count === 2;
    if (word !== "$end" || isCode) {
      if (command.words.length < this.declarations.mostWords) command.words.push(word);
      command.count++;
      return;
    }
    this.command = undefined;
    this.at = command;
    if (command.what === "$comment") return;
    if (!DECLARATIONS.has(command.what)) {
      this.noteOnce(command, `${command.what} is not of the standard and was passed over`);
      return;
    }
    const problem = this.declarations.take(command.what, command.words, command.count);
    if (problem !== undefined) {
      this.fail(command, problem);
      return;
    }
    if (command.what !== "$enddefinitions") return;
    const declared = this.declarations.finish();
    if (typeof declared === "string") {
      this.fail(this.here, declared);
      return;
    }
    this.variables = new Map(declared.variables.map((variable) => [variable.code, variable]));
    for (const variable of declared.variables) {
      if (variable.code.length === 1) this.byLetter[variable.code.charCodeAt(0)] = variable;
    }
    this.listener.declared?.(declared);
  }

  /** Called for every word of a dump's millions, so it looks at characters and makes no objects where it need not. */
  private takeChange(word: string): void {
    const letter = word.charCodeAt(0);
    const bit = SCALARS[letter];
    if (bit !== undefined) {
      if (word.length === 1) this.fail(this.here, `no code stands right after the value ${word}`);
      else this.change(word, 1, bit);
    } else if (letter === NUMBER_SIGN) {
      this.takeTime(word);
    } else if (word[0] === "b" || word[0] === "B") {
      if (/^.[01xXzZ]+$/.test(word)) this.open(word, "bits", word.slice(1).toLowerCase());
      else this.fail(this.here, `${quoted(word)} is no value: b and digits 0, 1, x, z were expected`);
    } else if (/^[rRsS]/.test(word)) {
      this.open(word, "left out", "");
    } else if (/^\$[a-z]/.test(word)) {
      this.takeKeyword(word);
    } else if (word.startsWith("p")) {
      this.fail(this.here, "this is an extended dump of ports, which is another format");
    } else {
      this.fail(this.here, `${quoted(word)} is no change of a value and no time`);
    }
  }

  private open(what: string, kind: OpenValue["kind"], bits: string): void {
    this.value = { line: this.line, column: this.column, what, kind, bits };
  }

  private takeKeyword(word: string): void {
    if (word === "$end") {
      if (this.section) this.section = undefined;
      else this.fail(this.here, "$end stands where nothing is open");
    } else if (SECTIONS.has(word)) {
      if (this.section) {
        this.fail(this.here, `${word} stands inside ${this.section.what}`);
        return;
      }
      this.section = { ...this.here, what: word };
      this.listener.section?.(this.time, word as DumpSection);
    } else if (DECLARATIONS.has(word)) {
      this.fail(this.here, `${word} stands after $enddefinitions`);
    } else {
      if (this.section) this.noteOnce(this.here, `${word} inside ${this.section.what} is not of the standard`);
      this.command = { ...this.here, what: word, words: [], count: 0 };
    }
  }

  private takeTime(word: string): void {
    let time = word.length > 1 ? 0 : Number.NaN;
    for (let at = 1; at < word.length; at++) {
      const digit = word.charCodeAt(at) - ZERO;
      time = digit >= 0 && digit <= 9 ? time * 10 + digit : Number.NaN;
    }
    if (Number.isNaN(time)) {
      this.fail(this.here, `${quoted(word)} is no time: # and a whole number were expected`);
    } else if (time > Number.MAX_SAFE_INTEGER) {
      this.fail(this.here, `the time ${quoted(word)} is beyond ${Number.MAX_SAFE_INTEGER}, the greatest that is read`);
    } else if (time < this.time) {
      this.fail(this.here, `the time ${time} comes after ${this.time}; times must not fall`);
    } else {
      if (this.section) this.noteOnce(this.here, `a time inside ${this.section.what} is not of the standard`);
      this.time = time;
      this.listener.time?.(time);
    }
  }

  private takeCode(value: OpenValue, word: string): void {
    this.value = undefined;
    if (value.kind === "bits") {
      this.change(word, 0, value.bits);
      return;
    }
    const variable = this.variables?.get(word);
    if (!variable) this.fail(this.here, notDeclared(word));
    else if (variable.kind === "bits") {
      this.fail(value, `the value ${quoted(value.what)} is given to ${nameOf(variable)}, which has bits`);
    }
  }

  /** The code of the variable begins at the place `from` of the word. */
  private change(word: string, from: number, bits: string): void {
    const variable =
      word.length === from + 1 ? this.byLetter[word.charCodeAt(from)] : this.variables?.get(word.slice(from));
    if (!variable) {
      this.fail(this.here, notDeclared(word.slice(from)));
      return;
    }
    if (variable.kind === "left out") return;
    const { size } = variable;
    if (bits.length > size) {
      this.fail(this.here, `${bits.length} bits are given to ${nameOf(variable)}, which has ${size}`);
      return;
    }
    this.listener.change?.(this.time, variable, bits.length === size ? bits : extended(bits, size));
  }

  private fail({ line, column }: Place, what: string): void {
    this.failure ??= { line, column, what };
  }

  private noteOnce({ line, column }: Place, what: string): void {
    if (this.noted.has(what)) return;
    this.noted.add(what);
    if (this.remarks.length < MOST_NOTES) this.remarks.push({ line, column, what });
  }
}

/** Fills up on the left as the standard has it: with zeros after 0 and 1, else with the first digit. */
function extended(bits: string, size: number): string {
  const first = bits[0] ?? "x";
  return bits.padStart(size, first === "1" ? "0" : first);
}

function notDeclared(code: string): string {
  return `the code ${quoted(code)} was not declared`;
}

/** The first name of a variable, with its scopes. */
export function nameOf({ names, code }: DumpVariable): string {
  const [first] = names;
  return first ? [...first.scopes, first.name].join(".") : code;
}

const MOST_QUOTED = 24;

/** A word for a message: what does not print is shown as its number, what is long is cut. */
export function quoted(word: string): string {
  const short = word.length > MOST_QUOTED ? `${word.slice(0, MOST_QUOTED)}…` : word;
  return `'${short.replaceAll(/[^ -~…\u00a1-\uffff]/g, (letter) => `\\x${letter.charCodeAt(0).toString(16).padStart(2, "0")}`)}'`;
}
