// The folder of linked pages in headless Chromium: every link leads somewhere, nothing that axe-core finds, no page
// scrolls sideways at 390 px, and on A4 and Letter no word lies over another. Then a book of 5 000 events: its index is
// small, and its longest lists hold on paper. `folder.mjs PACKAGES SHOWN`
import { createRequire } from "node:module";
import { existsSync, readFileSync, readdirSync, statSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { edgesMissing, overprinted, sheetsOf } from "./paper.mjs";

const [packages, shown] = process.argv.slice(2, 4).map((path) => resolve(path));
const require = createRequire(join(packages, "x.js"));
const puppeteer = require("puppeteer-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const company = "Fernhollow Refrigeration";

const problems = [];
const tell = (where, what) => problems.push(`${where}: ${what}`);
const browser = await puppeteer.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--disable-gpu", "--force-color-profile=srgb", ...(process.getuid() === 0 ? ["--no-sandbox"] : [])],
});
let looks = 0, links = 0;

async function look(folder, file) {
  const where = `${folder}/${file}`;
  const page = await browser.newPage();
  const url = `file://${join(shown, folder, file)}`;
  page.on("console", (message) => tell(where, `console: ${message.text()}`));
  page.on("request", (request) => request.url() !== url && tell(where, `request: ${request.url()}`));
  await page.setViewport({ width: 390, height: 844 });
  await page.goto(url);
  ++looks;
  const width = await page.evaluate(() => document.scrollingElement.scrollWidth);
  if (width > 390) tell(where, `scrolls sideways: ${width} of 390`);
  for (const href of await page.$$eval("a", (all) => all.map((a) => a.getAttribute("href")))) {
    ++links;
    if (!/^[^/:]+\.html$/.test(href) || !existsSync(join(shown, folder, href))) tell(where, `link to ${href}`);
  }
  // An outline that a screen reader walks: one h1, and no level left out.
  const levels = await page.$$eval("h1,h2,h3,h4,h5,h6", (all) => all.map((h) => Number(h.tagName[1])));
  if (levels[0] !== 1 || levels.filter((level) => level === 1).length !== 1 || levels.some((level, i) => i > 0 && level > levels[i - 1] + 1))
    tell(where, `headings ${levels}`);
  const without = await page.$$eval(".wide", (all) => all.filter((e) => !/^H[23]$/.test(e.previousElementSibling?.tagName ?? "")).map((e) => e.getAttribute("aria-label")));
  if (without.length) tell(where, `tables without a heading: ${without}`);
  await page.evaluate(axe); // not as a script element: the page's policy takes none
  const found = await page.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
  for (const rule of found.violations) tell(where, `axe ${rule.id} at ${rule.nodes[0].target}`);
  for (const format of ["A4", "Letter"]) {
    const pdf = join(shown, `${folder}-${file.replace(".html", "")}-${format}.pdf`);
    writeFileSync(pdf, await page.pdf({ format, preferCSSPageSize: true }));
    const sheets = sheetsOf(pdf);
    for (const what of [...overprinted(sheets), ...edgesMissing(sheets, company)].slice(0, 5)) tell(`${where} on ${format}`, what);
    // a list that goes on says on the next sheet, too, what its columns are
    if (file === "cylinders.html" && !sheets.every((sheet) => !sheet.words.some((word) => /^\d+\.\d\d$/.test(word.text)) || sheet.words.some((word) => /^(net|total|room)/.test(word.text))))
      tell(`${where} on ${format}`, "a sheet of figures without headings");
  }
  await page.close();
}

const html = (folder) => readdirSync(join(shown, folder)).filter((name) => name.endsWith(".html")).sort();
for (const file of html("folder")) await look("folder", file);
const index = statSync(join(shown, "large", "index.html")).size;
if (index >= 100_000) tell("large/index.html", `${index} bytes with 5 000 events`);
for (const file of html("large").filter((name) => !/^(cylinder|appliance|job|site)-/.test(name))) await look("large", file);
await browser.close();
for (const problem of problems) console.log(problem);
console.log(`folder: ${looks} pages, ${links} links, ${problems.length} problems; the index of 5 000 events has ${index} bytes`);
process.exit(problems.length || looks < 30 ? 1 : 0);
