/**
 * The layer rule: dependencies between the folders of src/ point one way. Each folder lists what it may use besides
 * itself; one rule a folder is made from the list. Type-only imports count too, since a type from above is knowledge of
 * what is above.
 */
const belowCircuit = ["quantity", "parts"];
const circuitAndBelow = [...belowCircuit, "circuit"];
const belowEngines = [...circuitAndBelow, "verdict"];
const engines = ["raster", "timing", "electrical", "simulation"];
const belowPaper = [...belowEngines, ...engines, "evidence", "exact", "judging", "planning", "bench", "loading"];

const layers = {
  quantity: { uses: [], because: "Times, frequencies and voltages are the ground that everything stands on." },
  parts: { uses: ["quantity"], because: "A part is described without knowing any circuit that it is used in." },
  circuit: { uses: belowCircuit, because: "A circuit is chips and nets; what is computed from it stands above." },
  raster: { uses: ["quantity"], because: "A raster is arithmetic of published timings and knows of no chips." },
  verdict: {
    uses: circuitAndBelow,
    because: "States, names and acceptances are the same whoever judges; what a rule measures is not known here.",
  },
  timing: {
    uses: belowEngines,
    because: "The proof and the simulation check each other, so neither may use the other.",
  },
  electrical: { uses: belowEngines, because: "Levels and loading follow from the circuit and the figures alone." },
  simulation: {
    uses: [...circuitAndBelow, "raster"],
    because:
      "The simulation checks the proof, so it may not use it; it decodes the picture with the raster's arithmetic.",
  },
  evidence: {
    uses: [...belowEngines, ...engines],
    because: "A failure that the proof finds is shown by the simulation: whoever joins the two stands above both.",
  },
  exact: {
    uses: [...belowEngines, ...engines, "evidence"],
    because: "What the proof's bounds leave open is decided with the levels of a simulated board, above both.",
  },
  judging: {
    uses: [...belowEngines, ...engines, "evidence", "exact"],
    because: "Every face asks all engines the same questions, so what is asked in which order stands below the faces.",
  },
  planning: {
    uses: [...belowEngines, ...engines, "evidence", "judging"],
    because: "Planning makes circuits and asks the engines about them.",
  },
  bench: {
    uses: [...belowEngines, ...engines, "evidence", "judging", "planning"],
    because: "Bring-up and diagnosis compare a board with what the engines say of the circuit.",
  },
  loading: {
    uses: [...circuitAndBelow, "raster", "simulation"],
    because: "Which bit is which dot, and which write lands where, is found out by asking the simulated circuit.",
  },
  paper: { uses: belowPaper, because: "What is handed out draws the answers of every folder below, and no face." },
  cli: { uses: [...belowPaper, "paper"], because: "The command line is a face; the other face is not its business." },
  desk: { uses: [...belowPaper, "paper"], because: "The desk is a face; the other face is not its business." },
};

const layerRules = Object.entries(layers).map(([folder, { uses, because }]) => ({
  name: `${folder}-uses-only-${uses.length > 0 ? uses.join("-") : "itself"}`,
  comment: because,
  severity: "error",
  from: { path: `^src/${folder}/` },
  to: { path: "^src/", pathNot: `^src/(${[folder, ...uses].join("|")})/` },
}));

module.exports = {
  forbidden: [
    ...layerRules,
    {
      name: "known-folders-only",
      comment:
        "A folder without a place in the layer rule could be used from anywhere. Give it a place in the list above.",
      severity: "error",
      from: {},
      to: { path: "^src/[^/]+/", pathNot: `^src/(${Object.keys(layers).join("|")})/` },
    },
    {
      name: "no-cycles",
      comment: "Two files that need each other to run are one idea in two files, or a third idea not yet named.",
      severity: "error",
      from: {},
      to: { circular: true, viaOnly: { dependencyTypesNot: ["type-only"] } },
    },
    {
      name: "node-only-in-cli",
      comment: "Everything but the command line also runs in a browser, so only src/cli may touch files and processes.",
      severity: "error",
      from: { path: "^src/", pathNot: "^src/cli/" },
      to: { dependencyTypes: ["core"] },
    },
    {
      name: "src-stands-alone",
      comment: "What is published is src/ and data/: tests, scripts and benches use them, never the other way round.",
      severity: "error",
      from: { path: "^src/" },
      to: { path: "^(test|scripts|bench)/" },
    },
    {
      name: "no-development-dependencies",
      comment:
        "A development dependency is not there where the package is installed; the desk is bundled with all it needs.",
      severity: "error",
      from: { path: "^src/", pathNot: "^src/desk/" },
      to: { dependencyTypes: ["npm-dev"], pathNot: "/@types/" },
    },
    {
      name: "everything-resolves",
      comment:
        "An import that does not resolve would be left out of every rule above; only the desk's bundler makes `worker:` modules.",
      severity: "error",
      from: {},
      to: { couldNotResolve: true, pathNot: "^worker:" },
    },
  ],
  options: {
    doNotFollow: { path: "node_modules" },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: "tsconfig.json" },
    enhancedResolveOptions: { exportsFields: ["exports"], conditionNames: ["import", "node", "default", "types"] },
  },
};
