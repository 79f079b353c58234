/** Text as it may stand in a cell of a table in Markdown. */
export function markdownCell(text: string): string {
  return text.replaceAll("|", String.raw`\|`);
}
