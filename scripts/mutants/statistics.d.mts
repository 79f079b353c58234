export function sampleOf<T>(all: readonly T[], size: number, seed: number): T[];
export function scoreInterval(hits: number, size: number): { least: number; most: number };
