/**
 * Data tables are imported as `import rows from "#data/NAME.json" with { type: "json" }`, in Node and in the browser alike.
 * They arrive as `unknown` on purpose: each table is checked against its schema by the module that reads it.
 */
declare module "*.json" {
  const value: unknown;
  export default value;
}
