// Looks at each page of a folder in headless Chromium, phone and desktop wide, light and dark: no console message, no
// request, nothing that axe-core finds, nothing lost to the side at any width or at 200 %, every wide table reached by
// keyboard and scrolled by it, and whole on paper, where no word lies over another and every sheet names its page; and it
// looks as its golden picture does.
import { createRequire } from "node:module";
import { existsSync, mkdirSync, readFileSync, readdirSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { edgesMissing, overprinted, sheetsOf } from "./paper.mjs";

const [packages, folder, golden] = process.argv.slice(2, 5).map((path) => resolve(path));
const update = process.argv[5] === "--update";
const require = createRequire(join(packages, "x.js"));
const puppeteer = require("puppeteer-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

const problems = [];
const tell = (where, what) => problems.push(`${where}: ${what}`);

// What is wider than the page, where it does not scroll by itself.
const sticksOut = () => {
  const root = document.scrollingElement;
  if (root.scrollWidth <= root.clientWidth) return null;
  const guilty = [...document.querySelectorAll("body *")]
    .filter((e) => e.getBoundingClientRect().right > root.clientWidth + 1 && !e.closest(".wide, figure"))
    .map((e) => `${e.tagName} "${e.textContent.slice(0, 30)}"`);
  return `${root.scrollWidth} of ${root.clientWidth}: ${guilty.slice(0, 3).join(", ")}`;
};

// Every table and picture that scrolls is reached by Tab, shows that it is, and scrolls by an arrow.
async function walkByKeyboard(page, where) {
  const wanted = await page.$$eval(".wide, figure", (all) => {
    all.forEach((e, i) => e.setAttribute("data-stop", i));
    return all.filter((e) => e.scrollWidth > e.clientWidth).map((e) => e.getAttribute("data-stop"));
  });
  const reached = new Set();
  for (let i = 0; i < 200; ++i) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const e = document.activeElement;
      if (!e || e === document.body) return null;
      const s = getComputedStyle(e);
      return { stop: e.getAttribute("data-stop"), seen: s.outlineStyle !== "none" && parseFloat(s.outlineWidth) > 0 };
    });
    if (!at || reached.has(at.stop)) break;
    reached.add(at.stop);
    if (!at.seen) tell(where, `stop ${at.stop} does not show that it has the focus`);
    if (!wanted.includes(at.stop)) continue;
    const left = () => page.evaluate(() => document.activeElement.scrollLeft);
    await page.keyboard.press("ArrowRight");
    let moved = 0;
    for (let tries = 0; tries < 20 && !(moved = await left()); ++tries) await new Promise((go) => setTimeout(go, 25));
    if (!moved) tell(where, `stop ${at.stop} does not scroll by keyboard`);
  }
  for (const stop of wanted) if (!reached.has(stop)) tell(where, `stop ${stop} scrolls and is not reached by Tab`);
}

async function axeFinds(page, where) {
  await page.evaluate(axe); // not as a script element: the page's policy takes none
  const found = await page.evaluate(() => axe.run(document, { resultTypes: ["violations", "incomplete"] }));
  for (const rule of found.violations)
    for (const node of rule.nodes.slice(0, 3)) tell(where, `axe ${rule.id}: ${node.failureSummary} at ${node.target}`);
  return found.passes.length;
}

// How a page looks, an eighth of its size: its layout, not its letters, which a font or an event's digest may change.
const scale = 0.125;
const most = { height: 0.06, mean: 8, spots: 0.05 }; // share; of 255; share of points that are off by a quarter and more

async function compareLook(page, name, problemsOf) {
  const shot = Buffer.from(await page.screenshot({ fullPage: true }));
  writeFileSync(join(folder, `${name}-look.png`), shot);
  const path = join(golden, `${name}.png`);
  if (update) return writeFileSync(path, shot);
  if (!existsSync(path)) return tell(problemsOf, `no golden picture ${path}: run with --update, and look at it`);
  const found = await judge.evaluate(async (one, other) => {
    const read = async (data) => {
      const image = new Image();
      image.src = `data:image/png;base64,${data}`;
      await image.decode();
      const canvas = new OffscreenCanvas(image.width, image.height).getContext("2d");
      canvas.drawImage(image, 0, 0);
      return { w: image.width, h: image.height, at: canvas.getImageData(0, 0, image.width, image.height).data };
    };
    const a = await read(one), b = await read(other);
    if (a.w !== b.w) return { width: `${b.w} was ${a.w}` };
    const grey = (p, i) => 0.3 * p.at[i] + 0.59 * p.at[i + 1] + 0.11 * p.at[i + 2];
    const rows = Math.min(a.h, b.h);
    let sum = 0, spots = 0;
    for (let i = 0; i < rows * a.w * 4; i += 4) {
      const off = Math.abs(grey(a, i) - grey(b, i));
      sum += off;
      if (off > 64) ++spots;
    }
    return { height: Math.abs(a.h - b.h) / a.h, mean: sum / (rows * a.w), spots: spots / (rows * a.w) };
  }, readFileSync(path).toString("base64"), shot.toString("base64"));
  if (found.width) return tell(problemsOf, `looks other than ${path}: width ${found.width}`);
  for (const key of Object.keys(most))
    if (found[key] > most[key]) tell(problemsOf, `looks other than ${path}: ${key} ${found[key].toFixed(3)}, at most ${most[key]}`);
}

const browser = await puppeteer.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--disable-gpu", "--force-color-profile=srgb", ...(process.getuid() === 0 ? ["--no-sandbox"] : [])],
});
const judge = await browser.newPage(); // an empty one, to compare pictures in
mkdirSync(golden, { recursive: true });
const began = Date.now();
let looks = 0, rules = 0;
for (const file of readdirSync(folder).filter((name) => name.endsWith(".html")).sort()) {
  const url = `file://${join(folder, file)}`;
  const name = file.replace(".html", "");
  const page = await browser.newPage();
  let where = name;
  page.on("console", (message) => tell(where, `console: ${message.text()}`));
  page.on("pageerror", (error) => tell(where, `error: ${error.message}`));
  // a browser draws the icons of its own fields for day and time by data:
  page.on("request", (request) => request.url() !== url && !request.url().startsWith("data:image/svg") && tell(where, `request: ${request.url()}`));
  page.on("dialog", (dialog) => (tell(where, `dialog: ${dialog.message()}`), dialog.dismiss()));
  for (const width of [390, 1000])
    for (const scheme of ["light", "dark"]) {
      where = `${name} ${width} ${scheme}`;
      await page.setViewport({ width, height: 844 });
      await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
      await page.goto(url);
      const over = await page.evaluate(sticksOut);
      if (over) tell(where, `sticks out: ${over}`);
      rules = Math.max(rules, await axeFinds(page, where));
      if (scheme === "light") await walkByKeyboard(page, where);
      await page.evaluate(() => {
        document.activeElement.blur();
        for (const e of document.querySelectorAll(".wide, figure")) e.scrollLeft = 0;
        scrollTo(0, 0);
      });
      await page.screenshot({ path: join(folder, `${name}-${width}-${scheme}.png`), fullPage: true });
      ++looks;
      if (scheme !== "light") continue;
      await page.setViewport({ width, height: 844, deviceScaleFactor: scale });
      await compareLook(page, `${name}-${width}`, where);
    }
  // At 200 % a window of 1000 has 500 to lay out, one of 640 has 320: as narrow as WCAG 2.2, 1.4.10 asks for.
  for (const width of [500, 320]) {
    where = `${name} at 200 %, ${width}`;
    await page.setViewport({ width, height: 422, deviceScaleFactor: 2 });
    await page.goto(url);
    const over = await page.evaluate(sticksOut);
    if (over) tell(where, `sticks out: ${over}`);
  }
  // Still in the dark scheme, of which paper takes nothing. Inches between the margins, upright and sideways.
  for (const [format, upright, sideways] of [["A4", 180 / 25.4, 271 / 25.4], ["Letter", 8.5 - 30 / 25.4, 11 - 26 / 25.4]]) {
    where = `${name} on ${format}`;
    const pdf = await page.pdf({ format, preferCSSPageSize: true, printBackground: false });
    const text = Buffer.from(pdf).toString("latin1");
    if (!text.startsWith("%PDF-") || pdf.length < 5000) tell(where, "no PDF");
    if (!/\/Type\s*\/Page\b/.test(text)) tell(where, "no page");
    const path = join(folder, `${name}-${format}.pdf`);
    writeFileSync(path, pdf);
    const sheets = sheetsOf(path);
    for (const what of overprinted(sheets).slice(0, 5)) tell(where, what);
    if (name !== "labels" && name !== "visit-form")
      for (const what of edgesMissing(sheets, "Fernhollow Refrigeration").slice(0, 5)) tell(where, what);
    if (name === "visit-sheet" && (sheets.length !== 1 || sheets[0].words.filter((word) => word.text === "date").length !== 2))
      tell(where, `${sheets.length} sheets, of one with two lines to sign`);
    // what is wider than the paper would be cut off
    await page.emulateMediaType("print");
    await page.setViewport({ width: Math.floor(upright * 96), height: 900 });
    const cut = await page.$$eval("table, svg", (all, sideways) => all
      .map((e) => [e.tagName, Math.round(e.getBoundingClientRect().right), Math.floor(e.closest(".sideways") ? sideways : innerWidth)])
      .filter(([, right, paper]) => right > paper + 1)
      .map(([tag, right, paper]) => `${tag} ${right} of ${paper}`), sideways * 96);
    if (cut.length) tell(where, `wider than the paper: ${cut.join(", ")}`);
    await page.setViewport({ width: Math.floor(upright * 96), height: 900, deviceScaleFactor: scale });
    await compareLook(page, `${name}-${format}`, where);
    await page.emulateMediaType(null);
  }
  await page.close();
}
await browser.close();
for (const problem of problems) console.log(problem);
const seconds = ((Date.now() - began) / 1000).toFixed(0);
console.log(`browser: ${looks} looks at pages in ${seconds} s, ${rules} rules of axe-core passed at most, ${problems.length} problems`);
process.exit(problems.length || !looks ? 1 : 0);
