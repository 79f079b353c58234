import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { EventQueue } from "../../src/simulation/queue.js";

const near = fc.integer({ min: 0, max: 300_000_000 }); // about the wheel's reach, in femtoseconds
const far = fc.integer({ min: 0, max: 20_000_000_000 });
const ahead = fc.oneof({ weight: 3, arbitrary: near }, far, fc.constantFrom(0, 1, 65_536, 268_435_456));

describe("the queue of events", () => {
  it("gives events in order of time, those of one time in the order in which they were put in", () => {
    const steps = fc.array(fc.record({ put: fc.array(ahead, { maxLength: 6 }), take: fc.nat(4), wait: ahead }), {
      maxLength: 60,
    });
    fc.assert(
      fc.property(steps, (steps) => {
        const queue = new EventQueue(4);
        const expected: { time: number; target: number }[] = [];
        let now = 1e13;
        let count = 0;
        for (const step of steps) {
          for (const later of step.put) {
            expected.push({ time: now + later, target: count });
            queue.put(now + later, count++, 0);
          }
          const until = now + step.wait;
          for (let taken = 0; taken < step.take; taken++) {
            expected.sort((a, b) => a.time - b.time || a.target - b.target);
            const due = expected[0] && expected[0].time <= until ? expected.shift() : undefined;
            const event = queue.take(until);
            expect(event < 0 ? undefined : { time: queue.time[event], target: queue.target[event] }).toEqual(due);
            if (event >= 0) queue.free(event);
            now = due?.time ?? until;
          }
          expect(queue.waiting).toBe(expected.length);
        }
      }),
      { numRuns: 500 },
    );
  });
});
