/** A value of the file: text, number, true or false, null, a list or a map. */
export type Value = string | number | boolean | null | readonly Value[] | { readonly [key: string]: Value };

/** A way into the value: keys and list indexes from the root. */
export type Path = readonly (string | number)[];
