import type { Problem } from "../circuit/index.js";
import type { AnswerLine, Names, Question, Told } from "./protocol.js";

/** The answer to one question, with the revision of the text that it is about. */
export interface KnownAnswer {
  /** Absent where it is about no text. */
  readonly revision?: number;
  readonly lines: readonly AnswerLine[];
  readonly html: string;
  readonly isProvisional: boolean;
}

/** Everything that the page shows. */
export interface DeskState {
  readonly page: Question;
  readonly fileName: string;
  /** The text differs from what was last saved to a file. */
  readonly isUnsaved: boolean;
  readonly title: string | undefined;
  /** The revision of the text that is being judged. */
  readonly revision: number;
  readonly problems: readonly Problem[];
  readonly names: Names | undefined;
  readonly answers: Readonly<Partial<Record<Question, KnownAnswer>>>;
  /** What the worker is busy with. */
  readonly progress: { readonly label: string; readonly share?: number } | undefined;
  /** Something that the reader has to know or to decide. */
  readonly notice: Notice | undefined;
}

export interface Notice {
  readonly text: string;
  readonly choices: readonly { readonly label: string; readonly run: () => void }[];
}

export const emptyState: DeskState = {
  page: "lock",
  fileName: "",
  isUnsaved: false,
  title: undefined,
  revision: 0,
  problems: [],
  names: undefined,
  answers: {},
  progress: undefined,
  notice: undefined,
};

/** The state after the worker has told something. */
export function after(state: DeskState, told: Told): DeskState {
  switch (told.kind) {
    case "read":
      return {
        ...state,
        problems: told.problems,
        title: told.title ?? state.title,
        names: told.names ?? state.names,
      };
    case "answer": {
      const { question, revision, lines, html, isProvisional } = told;
      return { ...state, answers: { ...state.answers, [question]: { revision, lines, html, isProvisional } } };
    }
    case "progress": {
      const { label, share } = told;
      return { ...state, progress: { label, ...(share !== undefined && { share }) } };
    }
    case "done":
      return { ...state, progress: undefined };
    case "failed": {
      const text = `This could not be worked out: ${told.what}`;
      return { ...state, progress: undefined, notice: { text, choices: [] } };
    }
    default:
      return state;
  }
}

/** What can be built hangs on no circuit. */
const planAnswer: KnownAnswer = {
  lines: [{ text: "Say what you have and what you want; see the boards that no other beats." }],
  html: '<div class="plan-place"></div>',
  isProvisional: false,
};

/** The answer to a question, as far as there is one. */
export function answerTo({ answers }: DeskState, question: Question): KnownAnswer | undefined {
  return question === "plan" ? planAnswer : answers[question];
}

/** Whether an answer is about an older text than the one in the editor, or was kept because the new one has mistakes. */
export function isOlder(state: DeskState, answer: KnownAnswer): boolean {
  return answer.revision !== undefined && answer.revision !== state.revision;
}
