import description from "#package.json" with { type: "json" };
import { defineCommand } from "./command.js";

/** The package's version, from package.json. */
export const version = versionOf(description);

export const versionCommand = defineCommand({
  name: "version",
  summary: "Print the version of dotwright and of Node",
  arguments: {},
  options: {},
  examples: ["npx dotwright version"],
  run: () => ({
    exitCode: 0,
    text: `dotwright ${version}, Node ${process.versions.node}`,
    json: { dotwright: version, node: process.versions.node },
  }),
});

function versionOf(value: unknown): string {
  if (typeof value === "object" && value !== null && "version" in value && typeof value.version === "string") {
    return value.version;
  }
  throw new TypeError("package.json has no version");
}
