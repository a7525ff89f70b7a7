// Looks at the pages with axe-core in Chromium without a window, driven by playwright-core: rules of
// WCAG 2.0 to 2.2, levels A and AA, and best practices; on a screen, on paper, and without colour.
//
//     TUBESIDE_NODE=.reference/node node tests/reference/pages.mjs TABLES
//
// The browser is `chromium` or the one named by CHROMIUM. Without one nothing can be examined: on a
// build machine (CI is set) that is a failure.
import { existsSync, readFileSync, readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { delimiter, join } from "node:path";
import { pathToFileURL } from "node:url";

const tables = process.argv[2];
const require = createRequire(join(process.env.TUBESIDE_NODE, "package.json"));
const folders = (process.env.PATH ?? "").split(delimiter);
const names = ["chromium", "chromium-browser", "google-chrome"];
const places = folders.flatMap((folder) => names.map((name) => join(folder, name)));
const browserPath = process.env.CHROMIUM ?? places.find((place) => existsSync(place));
if (!browserPath) {
  console.log("no Chromium on this machine: the pages are not examined");
  process.exit(process.env.CI ? 1 : 0);
}

const { chromium } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core"), "utf8");
const browser = await chromium.launch({ executablePath: browserPath, args: ["--no-sandbox"] });
const context = await browser.newContext({ bypassCSP: true, viewport: { width: 1000, height: 1200 } });
let problems = 0;

async function violations(page) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => globalThis.axe.run(document));
  return found.violations.map((one) => `${one.id} (${one.impact}): ${one.nodes.slice(0, 2).map((node) => node.html.slice(0, 120)).join(" ; ")}`);
}

// A check that cannot fail is none: a page without language and title must be refused.
const bad = await context.newPage();
await bad.setContent("<html><body><img src='x'><p>text</p></body></html>");
if ((await violations(bad)).length < 2) {
  console.log("axe-core refuses nothing");
  process.exit(1);
}
await bad.close();

const folder = join(tables, "pages");
const pages = readdirSync(folder).filter((name) => name.endsWith(".html"));
for (const name of pages) {
  const page = await context.newPage();
  const said = [];
  page.on("dialog", (dialog) => { said.push("a dialog"); dialog.dismiss(); });
  page.on("request", (request) => { if (!request.url().startsWith("file:")) said.push(`asks for ${request.url()}`); });
  await page.goto(pathToFileURL(join(folder, name)).href);
  for (const media of ["screen", "print"]) {
    await page.emulateMedia({ media });
    said.push(...(await violations(page)).map((one) => `${media}: ${one}`));
  }
  const style = await page.evaluate(() => {
    const cell = document.querySelector("td, p");
    const elements = [...document.querySelectorAll("body *")];
    const all = elements.map((one) => getComputedStyle(one));
    // A picture is drawn small and made as wide as the page: what counts is what is seen.
    const size = (one) => {
      const own = parseFloat(getComputedStyle(one).fontSize);
      const picture = one.ownerSVGElement ?? (one.tagName === "svg" ? one : null);
      return picture ? Infinity : own;
    };
    const drawn = [...document.querySelectorAll("svg text")].map((one) => {
      const picture = one.ownerSVGElement;
      return parseFloat(getComputedStyle(one).fontSize) * 680 / picture.viewBox.baseVal.width;
    });
    const grey = (colour) => /^rgba?\((\d+), \1, \1(, [\d.]+)?\)$/.test(colour);
    return {
      size: Math.min(...elements.map(size)),
      drawn: Math.min(...drawn),
      inked: all.flatMap((one) => [one.fill, one.stroke]).filter((colour) => colour.startsWith("rgb") && !grey(colour)).length,
      tables: [...document.querySelectorAll("table, figure")].every((one) => getComputedStyle(one).breakInside === "avoid"),
      coloured: all.filter((one) => !grey(one.color) || !grey(one.backgroundColor)).length,
      rows: [...document.querySelectorAll("tr")].every((row) => getComputedStyle(row).breakInside === "avoid"),
      wide: document.documentElement.scrollWidth > document.documentElement.clientWidth,
      cell: Boolean(cell),
    };
  });
  if (style.size < 16) said.push(`letters of ${style.size} px, 16 px are 12 points`);
  if (style.drawn < 11.5) said.push(`letters of ${style.drawn} px in a picture, 12 px are 9 points`);
  if (style.inked) said.push(`${style.inked} parts of a picture in colour`);
  if (!style.tables) said.push("tables or pictures may break across sheets");
  if (style.coloured) said.push(`${style.coloured} elements in colour`);
  if (!style.rows) said.push("rows may break across sheets");
  if (style.wide) said.push("the page is wider than the window");
  if (!style.cell) said.push("the page is empty");
  const pdf = await page.pdf({ format: "A4", path: join(folder, name.replace(".html", ".pdf")) });
  if (pdf.length < 1000) said.push("it does not print");
  for (const one of said) console.log(`${name}: ${one}`);
  problems += said.length;
  await page.close();
}
await browser.close();
console.log(`${pages.length} pages, ${problems} problems`);
process.exit(problems === 0 && pages.length > 3 ? 0 : 1);
