/** What the bundler puts in place of these is text. */
declare module "*.yaml" {
  const text: string;
  export default text;
}

/** The whole code of a worker. */
declare module "worker:answers" {
  const code: string;
  export default code;
}
