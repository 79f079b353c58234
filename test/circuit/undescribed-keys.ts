/** The keys of a JSON Schema that say nothing of themselves, each with its path. */
export function undescribedKeys(schema: unknown): readonly string[] {
  const found: string[] = [];
  const visit = (node: unknown, path: string): void => {
    if (typeof node !== "object" || node === null) return;
    const { properties = {}, ...rest } = node as { properties?: Record<string, unknown> };
    for (const [key, property] of Object.entries(properties)) {
      if (!(property as { description?: string }).description) found.push(`${path}/${key}`);
      visit(property, `${path}/${key}`);
    }
    for (const [key, value] of Object.entries(rest)) if (key !== "examples") visit(value, path);
  };
  visit(schema, "");
  return found;
}
