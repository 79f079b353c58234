/** Told of every word with its line and column, both from 1. A return of false ends the reading. */
export type TakeWord = (word: string, line: number, column: number) => boolean;

/** More characters are no word of a dump: the widest variable that is read takes fewer. */
export const LONGEST_WORD = 1 << 20;

const NEW_LINE = 10;
const SPACE = 32;
/** White space besides: tabulator, new line, vertical tabulator, form feed, carriage return. */
const [FIRST_WHITE, LAST_WHITE] = [9, 13];

/** Splits text that comes in pieces of any size into the words between white space. */
export class Words {
  private readonly take: TakeWord;
  /** What of a word came at the end of the last piece. */
  private begun = "";
  private line = 1;
  private column = 1;
  private isOver = false;

  constructor(take: TakeWord) {
    this.take = take;
  }

  /** Reads on. What comes after `take` has ended the reading is passed over. */
  push(text: string): void {
    if (this.isOver) return;
    let { line, column } = this;
    let start = 0;
    for (let at = 0; at < text.length; at++) {
      const code = text.charCodeAt(at);
      if (code > SPACE || (code < SPACE && (code < FIRST_WHITE || code > LAST_WHITE))) continue;
      const length = at - start + this.begun.length;
      if (length > 0) {
        if (!this.hand(text.slice(start, at), line, column)) return;
        column += length;
      }
      if (code === NEW_LINE) {
        line++;
        column = 1;
      } else {
        column++;
      }
      start = at + 1;
    }
    this.begun += text.slice(start);
    [this.line, this.column] = [line, column];
    // What is too long is handed on as it is, so that it does not grow for ever.
    if (this.begun.length > LONGEST_WORD) this.hand("", line, column);
  }

  /** Hands on the word that the text ends with. */
  end(): void {
    if (!this.isOver && this.begun !== "") this.hand("", this.line, this.column);
  }

  /** Where the next word would begin. */
  get place(): { readonly line: number; readonly column: number } {
    return { line: this.line, column: this.column + this.begun.length };
  }

  private hand(rest: string, line: number, column: number): boolean {
    const word = this.begun + rest;
    this.begun = "";
    this.isOver = !this.take(word, line, column);
    return !this.isOver;
  }
}
