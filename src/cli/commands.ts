import { adoptCommand } from "./adopt-command.js";
import type { Command } from "./command.js";
import { deskCommand } from "./desk-command.js";
import { loadCommand } from "./load-command.js";
import { diagnoseCommand } from "./diagnose-command.js";
import { noteCommand } from "./note-command.js";
import { partsCommand } from "./parts-command.js";
import { planCommand } from "./plan-command.js";
import { proveCommand } from "./prove-command.js";
import { reportCommand } from "./report-command.js";
import { screenCommand } from "./screen-command.js";
import { simulateCommand } from "./simulate-command.js";
import { versionCommand } from "./version-command.js";
import { wireCommand } from "./wire-command.js";

/** The command table, in the order in which the help lists it. A new command is written in its own file and added here. */
export const commands: readonly Command[] = [
  planCommand,
  proveCommand,
  simulateCommand,
  screenCommand,
  wireCommand,
  loadCommand,
  diagnoseCommand,
  noteCommand,
  reportCommand,
  deskCommand,
  partsCommand,
  adoptCommand,
  versionCommand,
];
