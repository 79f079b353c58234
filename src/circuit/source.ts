import { Composer, type Document, type Node, Lexer, Parser, isAlias, isMap, isScalar, isSeq, visit } from "yaml";
import * as say from "./messages.js";
import type { Complaint, Span } from "./problem.js";
import { LIMITS } from "./limits.js";
import { refuseText } from "./refusal.js";
import type { Report } from "./report.js";
import type { Path, Value } from "./value.js";

/** A YAML file's value together with where each part of it stands. */
export interface Source {
  readonly root: Value;
  /** Where the value at `path` stands; the nearest surrounding value where there is none. */
  valueAt(path: Path): Span;
  /** Where the key at the end of `path` stands. */
  keyAt(path: Path): Span;
  /** Where characters of the text at `path` stand; the whole text where it has escapes or line breaks. */
  insideValue(path: Path): Inside;
  /** The same for the key at the end of `path`. */
  insideKey(path: Path): Inside;
}

/** Where the characters from one index up to another of a text stand. */
export type Inside = (from: number, to: number) => Span;

interface Located {
  readonly key: Span;
  readonly value: Span;
}

/** Reads YAML. Undefined where it is refused or its YAML is wrong; the report then says why. */
export function readYaml(text: string, report: Report): Source | undefined {
  if (refuseText(text, report)) return undefined;
  const document = compose(text, report);
  if (!document) return undefined;
  if (document.errors.length > 0) {
    reportYamlErrors(document, text, report);
    return undefined;
  }
  for (const warning of document.warnings) {
    report.add({ start: warning.pos[0], end: warning.pos[1] }, say.yamlWarning(warning.message));
  }
  const converter = new Converter(text, report);
  const root = document.contents === null ? null : converter.convert(document.contents, []);
  return converter.isRefused ? undefined : converter.source(root);
}

/** Text to document, stopping at the first sign of a text made to exhaust the reader. */
function compose(text: string, report: Report): Document.Parsed | undefined {
  const parser = new Parser();
  const composer = new Composer({ uniqueKeys: false, prettyErrors: false, keepSourceTokens: false });
  const documents: Document.Parsed[] = [];
  let lexemes = 0;
  for (const lexeme of new Lexer().lex(text)) {
    for (const token of parser.next(lexeme)) documents.push(...composer.next(token));
    if (parser.stack.length > 2 * LIMITS.depth) return refuse(parser.offset, say.tooDeep(LIMITS.depth, report.kind));
    if (++lexemes > LIMITS.lexemes) return refuse(parser.offset, say.tooMany("words and marks", LIMITS.lexemes));
    if (documents.length > 1) return refuse(documents[1]?.range[0] ?? parser.offset, say.severalDocuments(report.kind));
  }
  for (const token of parser.end()) documents.push(...composer.next(token));
  documents.push(...composer.end(true, text.length));
  const second = documents[1];
  return second ? refuse(second.range[0], say.severalDocuments(report.kind)) : documents[0];

  function refuse(offset: number, complaint: Complaint): undefined {
    report.add({ start: offset, end: offset }, complaint);
  }
}

/**
 * Errors on one line, or on lines that follow one another without a gap, get one complaint: the parser's later ones mostly
 * follow from its first.
 */
function reportYamlErrors(document: Document.Parsed, text: string, report: Report): void {
  let lastLine = -1;
  for (const { pos, code, message } of document.errors) {
    const span = { start: (code === "MISSING_CHAR" && startOfQuote(document, pos[0])) || pos[0], end: pos[1] };
    const { line } = report.place({ start: pos[0], end: pos[1] });
    const follows = line === lastLine || line === lastLine + 1;
    lastLine = line;
    if (follows) continue;
    // A hint looks at the begin of the line only: matching costs time that grows faster than the line.
    const begin = text.lastIndexOf("\n", span.start - 1) + 1;
    const [lineText = ""] = text.slice(begin, begin + 200).split("\n");
    report.add(span, say.yamlError(code, message, lineText));
  }
}

/** Where the quoted text begins that ends at `end` without its closing quote. */
function startOfQuote(document: Document.Parsed, end: number): number | undefined {
  let start: number | undefined;
  visit(document, {
    Scalar: (_, { type, range }) => {
      if (!range || range[1] !== end || (type !== "QUOTE_DOUBLE" && type !== "QUOTE_SINGLE")) return undefined;
      start = range[0];
      return visit.BREAK;
    },
  });
  return start;
}

/** Turns YAML nodes into plain values and keeps where each stood. */
class Converter {
  isRefused = false;
  private readonly text: string;
  private readonly report: Report;
  private readonly places = new WeakMap<object, Map<string | number, Located>>();
  private readonly anchors = new Map<string, Node>();
  private readonly open = new Set<Node>();
  private values = 0;

  constructor(text: string, report: Report) {
    this.text = text;
    this.report = report;
  }

  convert(node: Node, path: Path): Value {
    if (this.isRefused) return null;
    if (++this.values > LIMITS.values) return this.refuse(node, say.aliasBomb(LIMITS.values));
    if (path.length > LIMITS.depth) return this.refuse(node, say.tooDeep(LIMITS.depth, this.report.kind));
    if (isAlias(node)) return this.alias(node, path);
    if (node.anchor !== undefined) this.anchors.set(node.anchor, node);
    if (isScalar(node)) return this.scalar(node.value);
    this.open.add(node);
    const value = isMap(node) ? this.map(node, path) : isSeq(node) ? this.list(node, path) : null;
    this.open.delete(node);
    return value;
  }

  source(root: Value): Source {
    const whole = { start: 0, end: 0 };
    const find = (path: Path, part: "key" | "value"): Span => {
      let value = root;
      let span: Span = whole;
      for (const [depth, step] of path.entries()) {
        const located = typeof value === "object" && value !== null ? this.places.get(value)?.get(step) : undefined;
        if (!located) return span;
        span = depth === path.length - 1 ? located[part] : located.key;
        value = (value as Readonly<Record<string | number, Value>>)[step] ?? null;
      }
      return span;
    };
    const inside = (span: Span): Inside => {
      const written = this.text.slice(span.start, span.end);
      if (/[\n\\]/.test(written)) return () => span;
      const start = span.start + (/^["']/.test(written) ? 1 : 0);
      return (from, to) => (start + to > span.end ? span : { start: start + from, end: start + to });
    };
    return {
      root,
      valueAt: (path) => find(path, "value"),
      keyAt: (path) => find(path, "key"),
      insideValue: (path) => inside(find(path, "value")),
      insideKey: (path) => inside(find(path, "key")),
    };
  }

  private scalar(value: unknown): Value {
    if (typeof value === "bigint") return Number(value);
    if (typeof value === "string" || typeof value === "number" || typeof value === "boolean") return value;
    return null;
  }

  private alias(node: Node & { source: string }, path: Path): Value {
    const target = this.anchors.get(node.source);
    if (!target) return this.refuse(node, say.unknownAnchor(node.source));
    if (this.open.has(target)) return this.refuse(node, say.selfReference(node.source));
    return this.convert(target, path);
  }

  private list(node: { items: unknown[] }, path: Path): Value {
    const list: Value[] = [];
    const places = new Map<number, Located>();
    for (const item of node.items as Node[]) {
      const span = this.span(item);
      places.set(list.length, { key: span, value: span });
      list.push(this.convert(item, [...path, list.length]));
    }
    this.places.set(list, places);
    return list;
  }

  private map(node: { items: { key: unknown; value: unknown }[] }, path: Path): Value {
    const map: Record<string, Value> = Object.create(null) as Record<string, Value>;
    const places = new Map<string, Located>();
    for (const pair of node.items) {
      const key = pair.key as Node;
      const keySpan = this.span(key);
      const name = this.keyText(key);
      if (name === undefined) {
        this.report.add(keySpan, say.keyIsNoText());
        continue;
      }
      const first = places.get(name);
      if (first) {
        this.report.add(keySpan, say.duplicateKey(name, path, this.report.place(first.key).line));
        continue;
      }
      const value = pair.value as Node | null;
      places.set(name, { key: keySpan, value: value?.range ? this.span(value) : keySpan });
      map[name] = value === null ? null : this.convert(value, [...path, name]);
    }
    this.places.set(map, places);
    return map;
  }

  /** A key as it is written, so that `1` and `0x1` stay different pins. */
  private keyText(key: Node): string | undefined {
    if (isAlias(key) || !isScalar(key)) return undefined;
    return typeof key.value === "string" ? key.value : (key.source ?? "");
  }

  private span(node: Node): Span {
    const [start, end] = node.range ?? [0, 0];
    return { start, end };
  }

  private refuse(node: Node, complaint: Complaint): null {
    this.isRefused = true;
    this.report.add(this.span(node), complaint);
    return null;
  }
}
