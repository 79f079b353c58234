/** What the bundler puts in place of these is text. */
declare module "*.yaml" {
  const text: string;
  export default text;
}

/** The whole code of the workers. */
declare module "worker:desk" {
  const code: string;
  export default code;
}

/** The worker that answers with all of the engines. */
declare module "worker:thorough" {
  const code: string;
  export default code;
}

/** The workers that search, try otherwise and mend. */
declare module "worker:planning" {
  const code: string;
  export default code;
}

/** The worker that makes the report. */
declare module "worker:report" {
  const code: string;
  export default code;
}

/** The workers of the page that looks for faults. */
declare module "worker:bench" {
  const code: string;
  export default code;
}

/** The worker of the page that fills the memory. */
declare module "worker:fill" {
  const code: string;
  export default code;
}
