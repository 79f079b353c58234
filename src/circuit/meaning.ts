import { Report } from "./report.js";
import { readYaml } from "./source.js";

/**
 * What a circuit file says, without its comments and layout: two texts with one meaning are one circuit. Undefined where it is
 * no YAML that can be read.
 */
export function meaningOf(text: string): string | undefined {
  const source = readYaml(text, new Report(text, ""));
  return source && JSON.stringify(source.root);
}
