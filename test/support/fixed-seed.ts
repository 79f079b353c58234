import fc from "fast-check";

/**
 * Random tests take the same examples in every run, so that a run of one commit always ends the same way. `SEED=$RANDOM npm test`
 * looks at others.
 */
fc.configureGlobal({ seed: Number(process.env["SEED"] ?? 1) });
