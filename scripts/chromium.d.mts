export const chromiumArguments: string[];
export function ensureChromium(): string;
