import { BearsPage } from "./bears-page.js";
import { MendsPage } from "./mends-page.js";
import { PlanPage } from "./plan-page.js";
import type { Hands } from "../script-page.js";

/** The script's whole effect: the desk, which loaded it, finds here how to make the pages. */
Object.assign(globalThis, {
  dotwrightPlan: (hands: Hands) => new PlanPage(hands),
  dotwrightBears: () => new BearsPage(),
  dotwrightMends: (hands: Hands) => new MendsPage(hands),
});
