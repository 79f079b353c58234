import { nearestNames } from "../parts/index.js";
import { type Judged, groupsOf } from "../verdict/index.js";
import { BadInput } from "./bad-input.js";

/**
 * The verdict of that name, or the worst of the group of that label.
 *
 * @throws BadInput with names that come close
 */
export function verdictNamed<V extends Judged>(verdicts: readonly V[], wanted: string): V {
  const found = maybeNamed(verdicts, wanted);
  if (found) return found;
  throw noVerdictNamed(wanted, verdicts);
}

/** Undefined where none has that name. */
export function maybeNamed<V extends Judged>(verdicts: readonly V[], wanted: string): V | undefined {
  const tidy = (name: string) => name.trim().replace(/\s+/g, " ").toUpperCase();
  return (
    verdicts.find(({ name }) => tidy(name) === tidy(wanted)) ??
    groupsOf(verdicts).find(({ label }) => tidy(label) === tidy(wanted))?.worst
  );
}

export function noVerdictNamed(wanted: string, verdicts: readonly Judged[]): BadInput {
  const near = nearestNames(
    wanted,
    verdicts.map(({ name }) => name),
  );
  const advice =
    near.length > 0 ? `did you mean ${near.map((name) => `"${name}"`).join(" or ")}?` : "prove --all lists them";
  return new BadInput(`no verdict is called "${wanted}": ${advice}`);
}
