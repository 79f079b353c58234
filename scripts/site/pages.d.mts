export const chapters: readonly {
  readonly title: string;
  readonly pages: readonly { readonly file: string; readonly name: string }[];
}[];
