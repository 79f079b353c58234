export function ensureDebianFonts(): string[];
