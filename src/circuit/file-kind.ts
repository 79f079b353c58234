/** What messages say of the kind of file that is read. */
export interface FileKind {
  /** `a circuit file`. */
  readonly name: string;
  /** How deep lists and maps stand inside each other in a right file. */
  readonly depth: string;
  /** What one file holds. */
  readonly holds: string;
}

export const CIRCUIT_FILE: FileKind = {
  name: "a circuit file",
  depth: "chips, their pins and nets, which is four deep",
  holds: "one circuit",
};

export const OWN_PARTS_FILE: FileKind = {
  name: "an own parts file",
  depth: "figures, their delays and the columns of these, which is five deep",
  holds: "one list of parts",
};

export const SCRIPT_FILE: FileKind = {
  name: "a script",
  depth: "steps and what they do for each bit, which is six deep",
  holds: "one script",
};

export const WISH_FILE: FileKind = {
  name: "a wish file",
  depth: "wishes and lists of what there is, which is two deep",
  holds: "one list of wishes",
};

export const LOADING_LIST: FileKind = {
  name: "a loading list",
  depth: "layers, what they say and the part of a picture, which is four deep",
  holds: "one list",
};
