/** Names in few words: three or more that follow each other become a range, `QA, QD to QN`, `1Q to 8Q`. */
export function runsOf(names: readonly string[]): string {
  const runs: string[][] = [];
  for (const name of names) {
    const run = runs.at(-1);
    const last = run?.at(-1);
    if (run && last !== undefined && follows(last, name)) run.push(name);
    else runs.push([name]);
  }
  return runs.flatMap((run) => (run.length > 2 ? [`${run[0]} to ${run.at(-1)}`] : run)).join(", ");
}

/** Whether two names are alike but for one number or one letter, which is one higher in the second. */
function follows(before: string, name: string): boolean {
  const numbered = before.split(/(\d+)/).map((piece, i, all) => [all, i, piece] as const);
  for (const [all, i, piece] of numbered) {
    const next = /^\d+$/.test(piece) ? String(Number(piece) + 1) : nextLetter(piece, i === all.length - 1);
    if (next !== undefined && [...all.slice(0, i), next, ...all.slice(i + 1)].join("") === name) return true;
  }
  return false;
}

function nextLetter(piece: string, isLast: boolean): string | undefined {
  const [, head = "", letter] = /^(.*)([A-Y])$/.exec(piece) ?? [];
  return isLast && letter !== undefined ? head + String.fromCharCode(letter.charCodeAt(0) + 1) : undefined;
}
