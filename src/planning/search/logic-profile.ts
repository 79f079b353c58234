import { type BuildStyle, wireDelayOf } from "../../circuit/index.js";
import { type Conditions, describeConditions } from "../../parts/index.js";
import { inNs } from "../../quantity/index.js";
import { LEAST_PHASE_NS, type LogicFamily } from "../design.js";
import { type RoleFigures, roleFigures } from "./role-figures.js";

/** Which part does what. The bundled boards are built so: HC is the tide board, fast its wide sister. */
const ROLES = {
  HC: {
    ring: "74HC175",
    decoder: "74HC11",
    decodeRegister: "74ACT174",
    strobe: "74ACT174",
    writeStrobe: "74ACT74",
    divider: "74ACT74",
    clockGate: "74ACT86",
    quickStrobe: "74ACT174",
    loadDriver: "74ACT244",
    shifter: "74HCT166",
    displayAddress: "74HC541",
    processorAddress: "74HC574",
    processorData: "74AHCT574",
    request: "74HC74",
    synchroniser: "74HC175",
    counter: "74HC161",
    gate: "74HC10",
    readRegister: "74HCT574",
    processorBuffer: "74AHCT541",
    characterLatch: "74HCT574",
    selector: "74HCT157",
  },
  fast: {
    ring: "74ACT174",
    decoder: "74AHCT08",
    decodeRegister: "74ACT174",
    strobe: "74ALS109",
    writeStrobe: "74ACT174",
    divider: "74ACT74",
    clockGate: "74ACT86",
    quickStrobe: "74F74",
    loadDriver: "74F244",
    shifter: "74ALS166",
    displayAddress: "74AHCT541",
    processorAddress: "74AHCT574",
    processorData: "74AHCT574",
    request: "74AHCT74",
    synchroniser: "74HC175",
    counter: "74HC161",
    gate: "74HC10",
    readRegister: "74AHCT574",
    processorBuffer: "74AHCT541",
    characterLatch: "74AHCT574",
    selector: "74AHCT157",
  },
} as const satisfies Record<LogicFamily, Record<string, string>>;

/** Which times of a role the estimates use. */
const USED = {
  ring: ["clockToOutput", "setUp", "clockHigh"],
  decoder: ["propagation"],
  decodeRegister: ["clockToOutput", "setUp"],
  strobe: ["clockToOutput", "setUp", "clockHigh"],
  writeStrobe: ["clockToOutput"],
  divider: ["clockToOutput", "clockHigh", "setUp"],
  clockGate: ["propagation"],
  quickStrobe: ["clockToOutput"],
  loadDriver: ["propagation"],
  shifter: ["setUp", "clockPeriod", "clockHigh"],
  displayAddress: ["enable", "disable"],
  processorAddress: ["enable", "disable"],
  processorData: ["enable", "disable"],
  readRegister: ["setUp"],
  processorBuffer: ["propagation", "enable", "disable"],
  request: ["clockToOutput"],
  synchroniser: ["setUp"],
  counter: ["clockToOutput", "setUp"],
  gate: ["propagation"],
  characterLatch: ["clockToOutput"],
  selector: ["propagation"],
} as const satisfies Record<keyof (typeof ROLES)["HC"], readonly (keyof RoleFigures)[]>;

type Role = keyof typeof USED;
type TimesOf<R extends Role> = { readonly [K in (typeof USED)[R][number]]: NonNullable<RoleFigures[K]> };

/** What the estimates need to know of a choice of logic. */
export interface LogicProfile {
  readonly family: LogicFamily;
  /** The part in each role. */
  readonly parts: Readonly<Record<Role, string>>;
  readonly times: { readonly [R in Role]: TimesOf<R> };
  /** The shortest phase with which the ring, its reset and the strobes were proved, in nanoseconds. */
  readonly leastPhase: number;
  /** Phases of the ring from the display's enable to the load: the fast shift register's hold costs one of three. */
  readonly readPhases: number;
  /** Phases from the processor's enable to the end of the write pulse, at least; what it reads is taken at the same time. */
  readonly writePhases: number;
  /** The longest wire, in nanoseconds. */
  readonly wire: number;
}

/** The profile of a family, or what no sheet on record gives under the conditions. */
export function logicProfile(
  family: LogicFamily,
  build: BuildStyle,
  conditions: Conditions,
): LogicProfile | { readonly missing: string } {
  const parts: Readonly<Record<Role, string>> = ROLES[family];
  const times: Partial<Record<Role, RoleFigures>> = {};
  for (const role of Object.keys(USED) as Role[]) {
    const figures = roleFigures(parts[role], conditions);
    const missing = USED[role].find((time) => figures?.[time] === undefined);
    if (!figures || missing !== undefined) {
      return { missing: `${parts[role]} ${missing ?? ""}, ${describeConditions(conditions)}` };
    }
    times[role] = figures;
  }
  return {
    family,
    parts,
    // Every time of `USED` was found above.
    times: times as LogicProfile["times"],
    leastPhase: LEAST_PHASE_NS[family],
    readPhases: family === "HC" ? 3 : 2,
    writePhases: family === "HC" ? 2.5 : 2,
    wire: inNs(wireDelayOf(build).max),
  };
}
