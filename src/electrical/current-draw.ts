/** What a chip draws from its supply, and for what. Volts, amperes, farads, hertz. */
export interface Draw {
  readonly volts: number;
  /** With nothing switching. */
  readonly quiescent: number;
  /** CMOS inputs that stand at a TTL high level: how many, what each adds, and what share of the time. */
  readonly ttlInputs?: { readonly count: number; readonly each: number; readonly share: number };
  /** Inside the chip: power dissipation capacitance of each unit and how often it cycles. */
  readonly inside: readonly Switched[];
  /** What outputs charge. */
  readonly loads: readonly Switched[];
  /** Through resistors at the outputs. */
  readonly resistors: number;
}

/** A capacitance that is charged and discharged so often a second. */
export interface Switched {
  readonly farads: number;
  readonly hertz: number;
}

/** The parts of a chip's supply current, in amperes. */
export interface Amperes {
  readonly quiescent: number;
  readonly ttlInputs: number;
  readonly inside: number;
  readonly loads: number;
  readonly resistors: number;
  readonly total: number;
}

/**
 * The mean supply current: I = ICC + ΔICC·N·D + V·Σ(Cpd·f) + V·Σ(CL·f), as Texas Instruments (SCAA035: PT = Cpd·V²·f,
 * PL = CL·V²·f, PS = V·ICC) and the 74FCT sheets add it up.
 */
export function amperesOf({ volts, quiescent, ttlInputs, inside, loads, resistors }: Draw): Amperes {
  const switching = (all: readonly Switched[]) =>
    all.reduce((sum, { farads, hertz }) => sum + farads * volts * hertz, 0);
  const parts = {
    quiescent,
    ttlInputs: ttlInputs ? ttlInputs.count * ttlInputs.each * ttlInputs.share : 0,
    inside: switching(inside),
    loads: switching(loads),
    resistors,
  };
  return { ...parts, total: parts.quiescent + parts.ttlInputs + parts.inside + parts.loads + parts.resistors };
}

/** The capacitor that gives so much current for so long while its voltage sags by so much: C = I·t/ΔV. */
export function faradsFor({ amperes, seconds, sag }: { amperes: number; seconds: number; sag: number }): number {
  return (amperes * seconds) / sag;
}

/** How far a capacitor sags that gives so much current for so long: ΔV = I·t/C. */
export function sagOf({ amperes, seconds, farads }: { amperes: number; seconds: number; farads: number }): number {
  return (amperes * seconds) / farads;
}
