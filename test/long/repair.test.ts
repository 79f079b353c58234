import { describe, expect, test } from "vitest";
import { evaluate, repaired } from "../planning/repaired.js";

describe("the repairer, which never sees the circuit before it was spoilt", { timeout: 900_000 }, () => {
  test("puts a register back that a write strobe was taken past", async () => {
    const { spoilt, best } = await repaired([{ kind: "net", chip: "U2", pin: "5A", net: "WRITE_NEXT" }]);
    expect(evaluate(spoilt).failing.length).toBeGreaterThan(0);
    expect(best?.changes).toHaveLength(1);
    const { failing, electrical } = evaluate(best?.text ?? "");
    expect([...failing.map(({ name }) => name), ...electrical]).toEqual([]);
  });
});
