import { autocompletion, completionKeymap } from "@codemirror/autocomplete";
import { defaultKeymap, history, historyKeymap, isolateHistory } from "@codemirror/commands";
import { yaml } from "@codemirror/lang-yaml";
import { HighlightStyle, syntaxHighlighting } from "@codemirror/language";
import { type Diagnostic, lintKeymap, setDiagnostics } from "@codemirror/lint";
import { EditorState, type Text } from "@codemirror/state";
import { drawSelection, EditorView, keymap, lineNumbers } from "@codemirror/view";
import { tags } from "@lezer/highlight";
import type { Problem } from "../circuit/index.js";
import { completeFrom } from "./completion.js";
import type { Names } from "./protocol.js";

/** The circuit file as text that can be written in. */
export class Editor {
  readonly #view: EditorView;

  constructor(parent: HTMLElement, onChange: (text: string) => void, names: () => Names | undefined) {
    const nonce = document.querySelector<HTMLElement>("meta[name=nonce]")?.getAttribute("content") ?? "";
    this.#view = new EditorView({
      parent,
      state: EditorState.create({
        extensions: [
          lineNumbers(),
          history(),
          drawSelection(),
          EditorState.allowMultipleSelections.of(false),
          yaml(),
          syntaxHighlighting(ink),
          autocompletion({ override: [completeFrom(names)], icons: false }),
          keymap.of([...completionKeymap, ...historyKeymap, ...lintKeymap, ...defaultKeymap]),
          EditorView.lineWrapping,
          EditorView.contentAttributes.of({ "aria-label": "Circuit file", tabindex: "0" }),
          ...(nonce === "" ? [] : [EditorView.cspNonce.of(nonce)]),
          EditorView.updateListener.of(({ docChanged, state }) => {
            if (docChanged) onChange(state.doc.toString());
          }),
          look,
        ],
      }),
    });
  }

  get text(): string {
    return this.#view.state.doc.toString();
  }

  /** Puts another text in its place; undo brings the old one back. */
  replace(text: string): void {
    this.#view.dispatch({
      changes: { from: 0, to: this.#view.state.doc.length, insert: text },
      selection: { anchor: 0 },
      annotations: isolateHistory.of("full"),
    });
    this.#view.scrollDOM.scrollTop = 0;
  }

  /** Follows a text that was changed elsewhere: only what differs is replaced, so that cursor and view stay where they are. */
  follow(text: string): void {
    const before = this.text;
    const most = Math.min(before.length, text.length);
    let from = 0;
    while (from < most && before[from] === text[from]) from += 1;
    let kept = 0;
    while (kept < most - from && before.at(-1 - kept) === text.at(-1 - kept)) kept += 1;
    this.#view.dispatch({
      changes: { from, to: before.length - kept, insert: text.slice(from, text.length - kept) },
      // Undone by itself, without what was typed just before.
      annotations: isolateHistory.of("full"),
    });
  }

  /** Underlines mistakes where they are. */
  underline(problems: readonly Problem[]): void {
    const { doc } = this.#view.state;
    const diagnostics = problems.map((problem): Diagnostic => {
      const from = offset(doc, problem.line, problem.column);
      const to = Math.max(from, offset(doc, problem.endLine, problem.endColumn));
      return { from, to, severity: problem.severity, message: sentence(problem) };
    });
    this.#view.dispatch(setDiagnostics(this.#view.state, diagnostics));
  }

  /** Puts the cursor at a mistake. */
  goTo(line: number, column: number): void {
    const anchor = offset(this.#view.state.doc, line, column);
    this.#view.dispatch({ selection: { anchor }, effects: EditorView.scrollIntoView(anchor, { y: "center" }) });
    this.#view.focus();
  }
}

/** `no pin CLKR on 74HC163: did you mean CLR#?` */
export function sentence({ message, suggestion, expected }: Problem): string {
  if (suggestion !== undefined) return `${message}: did you mean ${suggestion}?`;
  return expected === undefined ? message : `${message}: expected ${expected}`;
}

function offset(doc: Text, line: number, column: number): number {
  if (line > doc.lines) return doc.length;
  const { from, to } = doc.line(Math.max(1, line));
  return Math.min(from + column - 1, to);
}

/** Names in ink, remarks set back: the file reads as text, not as code. */
const ink = HighlightStyle.define([
  { tag: [tags.propertyName, tags.definition(tags.propertyName)], color: "var(--ink)", fontWeight: "600" },
  { tag: tags.comment, color: "var(--quiet)", fontStyle: "italic" },
  { tag: [tags.string, tags.content, tags.literal], color: "var(--asks)" },
]);

const look = EditorView.theme({
  "&": { height: "100%", fontSize: "13px", backgroundColor: "transparent", color: "var(--ink)" },
  "&.cm-focused": { outline: "2px solid var(--asks)", outlineOffset: "-2px" },
  ".cm-content": { fontFamily: "inherit", caretColor: "var(--ink)", padding: "0 0 40vh" },
  ".cm-gutters": { backgroundColor: "transparent", color: "var(--quiet)", border: "none" },
  ".cm-cursor": { borderLeftColor: "var(--ink)" },
  ".cm-selectionBackground, &.cm-focused .cm-selectionBackground": { backgroundColor: "var(--hairline) !important" },
  ".cm-tooltip": { backgroundColor: "var(--paper)", color: "var(--ink)", border: "1px solid var(--ink)" },
  ".cm-tooltip-autocomplete ul li[aria-selected]": { backgroundColor: "var(--asks)", color: "var(--paper)" },
  ".cm-lintRange-error": { backgroundImage: "none", borderBottom: "2px solid var(--fails)" },
  ".cm-lintRange-warning": { backgroundImage: "none", borderBottom: "2px dashed var(--ink)" },
  ".cm-diagnostic": { borderLeft: "none", fontFamily: "inherit" },
});
