export interface SiteEntry {
  readonly id: number;
  readonly href: string;
  /** Title of the page, and of the section on it. */
  readonly page: string;
  readonly title: string;
  readonly chapter: string;
  readonly text: string;
}

export function deskOnSite(html: string): string;

export function makeSite(style: string): {
  readonly pages: ReadonlyMap<string, string>;
  readonly copies: ReadonlyMap<string, string>;
  readonly entries: readonly SiteEntry[];
};
