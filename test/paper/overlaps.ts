import type { Label } from "../../src/paper/sheet.js";

/** Pairs of labels whose boxes meet. */
export function overlaps(labels: readonly Label[]): string[] {
  const meets = (a: Label, b: Label) =>
    a.x < b.x + b.width - 1e-6 &&
    b.x < a.x + a.width - 1e-6 &&
    a.y < b.y + b.height - 1e-6 &&
    b.y < a.y + a.height - 1e-6;
  return labels.flatMap((a, i) =>
    labels
      .slice(i + 1)
      .flatMap((b) => (meets(a, b) ? [`'${a.text}' on '${b.text}' at ${Math.round(b.x)}, ${Math.round(b.y)}`] : [])),
  );
}
