// Looks at the forms on paper in Chromium without a window: each opens, passes axe-core, and prints on
// A4 so that no step is cut by the end of a sheet, and version, approval and caution stand on each.
//
//     TUBESIDE_NODE=.reference/node node tests/reference/forms.mjs TABLES
//
// Reads the sheets with pdftotext (poppler). Without a browser or without it nothing can be examined:
// on a build machine (CI is set) that is a failure.
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { delimiter, join } from "node:path";
import { pathToFileURL } from "node:url";

const tables = process.argv[2];
const require = createRequire(join(process.env.TUBESIDE_NODE, "package.json"));
const folders = (process.env.PATH ?? "").split(delimiter);
const found = (names) => folders.flatMap((folder) => names.map((name) => join(folder, name))).find((place) => existsSync(place));
const browserPath = process.env.CHROMIUM ?? found(["chromium", "chromium-browser", "google-chrome"]);
const reader = found(["pdftotext"]);
if (!browserPath || !reader) {
  console.log("no Chromium or no pdftotext on this machine: the forms are not examined");
  process.exit(process.env.CI ? 1 : 0);
}

const { chromium } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core"), "utf8");
const browser = await chromium.launch({ executablePath: browserPath, args: ["--no-sandbox"] });
const context = await browser.newContext({ bypassCSP: true, viewport: { width: 1000, height: 1200 } });
const out = mkdtempSync(join(tmpdir(), "forms-"));
let problems = 0;
let sheets = 0;

// A heading of a step, and the kinds that leave room for a signature.
const HEADING = /^\s*([A-Z]\d+) (Do|Check|Ask|Measure|Wait|Choose|Other list|End)\b/;
const SIGNED = ["Do", "Check", "Ask", "Measure", "Wait", "End"];

// What is wrong with the sheets of one form.
function wrong(text, identity) {
  const said = [];
  const pages = text.split("\f").filter((page) => page.trim() !== "");
  sheets += pages.length;
  const headings = new Set();
  pages.forEach((page, place) => {
    const flat = page.replace(/\s+/g, " ");
    if (!flat.includes(identity)) said.push(`sheet ${place + 1} lacks "${identity}"`);
    if (!flat.includes("Call for help first")) said.push(`sheet ${place + 1} lacks the caution`);
    let open = null;
    for (const line of page.split("\n")) {
      const heading = line.match(HEADING);
      if (heading) {
        headings.add(heading[1]);
        if (open) said.push(`step ${open} has no room for time and initials before the next`);
        open = SIGNED.includes(heading[2]) ? heading[1] : null;
      } else if (/Time _+:_+ Initials/.test(line)) {
        if (!open) said.push(`sheet ${place + 1} begins within a step`);
        open = null;
      }
    }
    if (open) said.push(`step ${open} is cut by the end of sheet ${place + 1}`);
  });
  return { said, headings };
}

// Checks that cannot fail are none.
const cut = "x 1.0.0 Call for help first\nA1 Do: one\n\fx 1.0.0 Call for help first\nTime ____:____ Initials ____\n";
if (wrong(cut, "x 1.0.0").said.length < 2 || wrong("A1 Do: a\nTime __:__ Initials __\n", "x").said.length !== 2) {
  console.log("the check of cut steps refuses nothing");
  process.exit(1);
}
sheets = 0;

const folder = join(tables, "forms");
const forms = readdirSync(folder).filter((name) => name.endsWith(".html"));
for (const name of forms) {
  const page = await context.newPage();
  const said = [];
  page.on("request", (request) => { if (!request.url().startsWith("file:")) said.push(`asks for ${request.url()}`); });
  await page.goto(pathToFileURL(join(folder, name)).href);
  for (const media of ["screen", "print"]) {
    await page.emulateMedia({ media });
    await page.evaluate(axe);
    const result = await page.evaluate(() => globalThis.axe.run(document));
    said.push(...result.violations.map((one) => `${media}: ${one.id} (${one.impact}) ${one.nodes[0].html.slice(0, 100)}`));
  }
  const asked = await page.evaluate(() => ({
    identity: document.querySelector("thead .every").textContent,
    steps: [...document.querySelectorAll(".step")].map((step) => step.id),
    label: document.querySelector(".label").getBoundingClientRect().height,
    wide: document.documentElement.scrollWidth > document.documentElement.clientWidth,
  }));
  if (asked.label < 100) said.push("the box for the hospital label is missing or too low");
  if (asked.wide) said.push("the page is wider than the window");
  const pdf = join(out, `${name}.pdf`);
  await page.pdf({ path: pdf, format: "A4", preferCSSPageSize: true });
  const text = execFileSync(reader, ["-layout", pdf, "-"], { encoding: "utf8", maxBuffer: 1 << 26 });
  const sheet = wrong(text, asked.identity.replace(/\s+/g, " "));
  said.push(...sheet.said);
  for (const step of asked.steps) if (!sheet.headings.has(step)) said.push(`step ${step} is not on paper`);
  for (const one of said.slice(0, 12)) console.log(`${name}: ${one}`);
  problems += said.length;
  await page.close();
}
await browser.close();
console.log(`${forms.length} forms, ${sheets} sheets, ${problems} problems; PDF in ${out}`);
process.exit(problems === 0 && forms.length > 30 ? 0 : 1);
