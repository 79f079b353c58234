/** The same function of texts, which works out each answer once and keeps it. `undefined` is not kept. */
export function remembered<A extends readonly string[], R>(answer: (...question: A) => R): (...question: A) => R {
  const answers = new Map<string, R>();
  return (...question) => {
    const key = question.join("\n");
    const known = answers.get(key);
    if (known !== undefined) return known;
    const fresh = answer(...question);
    answers.set(key, fresh);
    return fresh;
  };
}
