import { execFile, spawn } from "node:child_process";
import { once } from "node:events";
import { expect, test } from "vitest";

const file = "test/desk/tide-lamp.circuit.yaml";

for (const signal of ["SIGINT", "SIGTERM"] as const) {
  test(`the desk is served from the build until ${signal}, and ends as one that is done`, async () => {
    const desk = spawn(process.execPath, ["dist/cli/main.js", "desk", file, "--port", "0", "--no-open", "--json"]);
    const [first] = (await once(desk.stdout, "data")) as [Buffer];
    const told = JSON.parse(first.toString()) as { readonly address: string; readonly file: string };
    expect(told.file).toBe(file);
    const page = await fetch(told.address);
    expect(await page.text()).toContain('<html data-served="true"');
    const following = await fetch(new URL("changes", told.address));
    expect(following.headers.get("content-type")).toContain("text/event-stream");
    const ended = once(desk, "exit");
    desk.kill(signal);
    expect(await ended).toEqual([0, null]);
    await following.body?.cancel().catch(() => undefined);
  });
}

test("a port that another program has is refused in one line", async () => {
  const first = spawn(process.execPath, ["dist/cli/main.js", "desk", file, "--port", "0", "--no-open", "--json"]);
  const [told] = (await once(first.stdout, "data")) as [Buffer];
  const { port } = new URL((JSON.parse(told.toString()) as { address: string }).address);
  const second = await new Promise((resolve) =>
    execFile(process.execPath, ["dist/cli/main.js", "desk", file, "--port", port, "--no-open"], (error, _out, stderr) =>
      resolve({ code: error?.code, stderr }),
    ),
  );
  expect(second).toEqual({ code: 2, stderr: `--port ${port}: another program uses this port; give another one\n` });
  const ended = once(first, "exit");
  first.kill("SIGINT");
  await ended;
});
