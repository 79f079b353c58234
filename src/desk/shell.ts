import { html, nothing, render, type TemplateResult } from "lit-html";
import { unsafeHTML } from "lit-html/directives/unsafe-html.js";
import { sentence } from "./editor.js";
import { exampleList } from "./examples/examples.js";
import { type AnswerLine, type Question, questions } from "./protocol.js";
import { answerTo, type DeskState, isOlder, type KnownAnswer } from "./state.js";

/** What the reader can do from the shell. */
export interface ShellActions {
  newFile(): void;
  open(file: File): void;
  save(): void;
  example(name: string): void;
  share(): void;
  report(): void;
  goTo(line: number, column: number): void;
  dismiss(): void;
}

export const headings: Readonly<Record<Question, string>> = {
  plan: "What can I build?",
  lock: "Will the monitor lock?",
  slots: "Does every slot fit?",
  picture: "What will I see?",
  wiring: "What do I wire?",
  fill: "How do I fill it?",
  bench: "Why isn't it working?",
};

/** Signs that differ without colour. */
const signs = { holds: "○", fails: "▲", "not settled": "◌", "not covered": "◌" } as const;

/** Where the documentation is, on a site that has it. */
const { docs } = document.documentElement.dataset;

/** Paints everything around the editor. */
export function paintShell(state: DeskState, actions: ShellActions): void {
  paint("head", headOf(state, actions));
  paint("notice", noticeOf(state, actions));
  paint("tabs", html`${questions.map((question) => tabOf(state, question))}`);
  paint("problems", problemsOf(state, actions));
  paint("page-head", pageHeadOf(state));
  paint("progress", progressOf(state));
  const page = document.getElementById("page-content");
  const answer = answerTo(state, state.page);
  if (page) page.classList.toggle("older", answer !== undefined && isOlder(state, answer));
}

/** Puts the content of the chosen page in place; only called when it is another one. */
export function paintPage(answer: KnownAnswer | undefined): void {
  paint("page-content", answer ? html`${unsafeHTML(answer.html)}` : html`<p class="quiet">Being worked out.</p>`);
}

function paint(id: string, content: TemplateResult | typeof nothing): void {
  const element = document.getElementById(id);
  if (element) render(content, element);
}

function headOf({ fileName, isUnsaved, title }: DeskState, actions: ShellActions): TemplateResult {
  const chosen = (event: Event) => {
    const select = event.target as HTMLSelectElement;
    if (select.value !== "") actions.example(select.value);
    select.value = "";
  };
  const opened = (event: Event) => {
    const input = event.target as HTMLInputElement;
    const [file] = input.files ?? [];
    if (file) actions.open(file);
    input.value = "";
  };
  return html`<div class="what">
      <h1>${title ?? "Dotwright"}</h1>
      <p>
        Dotwright tells whether a video circuit of standard logic chips will work before you wire it: write down the
        chips and their nets, read the answers beside them. Nothing leaves this computer.
        ${docs === undefined ? nothing : html`<a href=${docs}>How it works</a>`}
      </p>
    </div>
    <div class="deeds">
      <p class="file">
        <span class="mono">${fileName}</span><span class="quiet">${isUnsaved ? ", not saved to a file yet" : ""}</span>
      </p>
      <p>
        <button type="button" @click=${() => actions.newFile()}>New</button>
        <label class="button">Open<input type="file" accept=".yaml,.yml" @change=${opened} /></label>
        <button type="button" @click=${() => actions.save()}>Save</button>
        <label class="example"
          >Example
          <select @change=${chosen}>
            <option value="">choose one</option>
            ${exampleList.map(({ name, about }) => html`<option value=${name}>${about}</option>`)}
          </select></label
        >
        <button type="button" @click=${() => actions.share()}>Copy a link</button>
        <button type="button" @click=${() => actions.report()}>Report to print</button>
      </p>
    </div>`;
}

function noticeOf({ notice }: DeskState, actions: ShellActions): TemplateResult | typeof nothing {
  if (!notice) return nothing;
  return html`<p role="alert">
    ${notice.text}
    ${notice.choices.map(({ label, run }) => html`<button type="button" @click=${run}>${label}</button> `)}
    <button type="button" @click=${() => actions.dismiss()}>Close this note</button>
  </p>`;
}

function tabOf(state: DeskState, question: Question): TemplateResult {
  const answer = answerTo(state, question);
  const current = state.page === question ? "page" : nothing;
  return html`<a href="#${question}" class="tab" aria-current=${current}>
    <span class="question">${headings[question]}</span>
    ${answer ? answer.lines.map(lineOf) : html`<span class="answer quiet">Being worked out.</span>`}
    ${answer ? ageOf(state, answer) : nothing}
  </a>`;
}

function lineOf({ state, text }: AnswerLine): TemplateResult {
  const accent = state === "holds" || state === "fails" ? state : "gap";
  const sign = state ? html`<span class="sign ${accent}" aria-hidden="true">${signs[state]}</span> ` : nothing;
  return html`<span class="answer">${sign}${text}</span>`;
}

/** Says whether an answer is of an older text or not the last word. */
function ageOf(state: DeskState, answer: KnownAnswer): TemplateResult | typeof nothing {
  if (isOlder(state, answer)) return html`<span class="age">of the text before</span>`;
  if (answer.isProvisional) return html`<span class="age">so far; still looking</span>`;
  return nothing;
}

function pageHeadOf(state: DeskState): TemplateResult {
  const answer = answerTo(state, state.page);
  return html`<h2 id="page-heading" tabindex="-1">${headings[state.page]}</h2>
    ${answer?.lines.map((line) => html`<p class="said">${lineOf(line)}</p>`)} ${answer ? ageOf(state, answer) : nothing}`;
}

function progressOf({ progress }: DeskState): TemplateResult {
  if (!progress) return html`<span class="quiet">All is worked out.</span>`;
  const share = progress.share === undefined ? "" : ` ${Math.floor(progress.share * 100)} %`;
  return html`<span class="quiet">Now ${progress.label}${share}</span>`;
}

/** The first mistakes in words; all of them are underlined. */
function problemsOf({ problems }: DeskState, actions: ShellActions): TemplateResult | typeof nothing {
  if (problems.length === 0) return nothing;
  const mistakes = problems.filter(({ severity }) => severity === "error");
  const errors = mistakes.length;
  // What is only to be looked at waits until the file can be judged.
  const told = errors > 0 ? mistakes : problems;
  const shown = told.slice(0, 5);
  const words =
    errors > 0
      ? `${errors === 1 ? "One mistake keeps" : `${errors} mistakes keep`} the file from being judged:`
      : "To look at:";
  return html`<p>${words}</p>
    <ul>
      ${shown.map(
        (problem) =>
          html`<li class=${problem.severity}>
            <button type="button" class="choose" @click=${() => actions.goTo(problem.line, problem.column)}>
              line ${problem.line}</button
            >: ${sentence(problem)}
          </li>`,
      )}
    </ul>
    ${told.length > shown.length ? html`<p>and ${told.length - shown.length} more</p>` : nothing}`;
}
