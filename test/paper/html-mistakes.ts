import { HtmlValidate } from "html-validate";

const validator = new HtmlValidate({
  extends: ["html-validate:standard", "html-validate:a11y", "html-validate:document"],
  rules: { "no-inline-style": "error", "require-sri": "off" },
});

/** What is wrong with a page by the HTML standard and the rules for those who cannot see it, a line each. */
export async function mistakesIn(html: string): Promise<string[]> {
  const { results } = await validator.validateString(html);
  return results.flatMap(({ messages }) =>
    messages.map(({ line, ruleId, message }) => `${line}: ${ruleId}: ${message}`),
  );
}

/** Whatever a page would fetch from elsewhere or run. */
export function reachesOut(html: string): readonly string[] {
  const tags = html.match(/<(?:script|link|iframe|object|embed)\b|@import/gi) ?? [];
  const addresses = [...html.matchAll(/(?:src|href)="([^"]*)"/g)].map(([, address = ""]) => address);
  const inStyles = [...html.matchAll(/url\(([^)]*)\)/g)].map(([, address = ""]) => address);
  return [
    ...tags,
    ...addresses.filter((address) => !/^(?:#|data:(?:image\/png;base64|text\/plain;charset=utf-8),)/.test(address)),
    ...inStyles.filter((address) => !address.startsWith("#")),
  ];
}
