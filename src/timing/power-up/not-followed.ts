/** Something that the course of a part hangs on cannot be told. */
export class NotFollowed extends Error {}

/** More states than are followed. */
export class TooManyToFollow extends NotFollowed {}
