// The visit form as a person uses it, at 390 px and without a network: filled in, closed and opened in between, with
// storage denied, with the script off, with downloads refused, with names in the book that would like to be markup, with
// figures of yesterday. Each sheet that it gives is recorded by the program, twice: the second time nothing is written.
// `visit_form.mjs PACKAGES KEEP`; BROWSER=firefox drives Firefox (FIREFOX=/usr/bin/firefox-esr), by hand.
import { execFileSync, spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { createRequire } from "node:module";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

const [packages, keep] = process.argv.slice(2, 4).map((path) => resolve(path));
const firefox = process.env.BROWSER === "firefox";
const require = createRequire(join(packages, "x.js"));
const puppeteer = require("puppeteer-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
mkdirSync(keep, { recursive: true });

const problems = [];
let looks = 0;
const check = (good, what, seen) => {
  ++looks;
  if (!good) problems.push(`${what}${seen === undefined ? "" : `: ${JSON.stringify(seen).slice(0, 2000)}`}`);
};

// The book.
const folder = mkdtempSync(join(tmpdir(), "visit-form-"));
const env = { PATH: process.env.PATH, HOME: folder, TAREBOOK: join(folder, "shop.tarebook") };
const tarebook = (words, more = {}) => spawnSync(process.env.TAREBOOK_BIN, words, { env: { ...env, ...more }, encoding: "utf8" });
const ok = (words, more) => {
  const done = tarebook(words, more);
  if (done.status !== 0 && done.status !== 4) throw new Error(`${words.join(" ")}: ${done.stderr}`);
  return done.stdout;
};
const hostile = "<script>window.hit=1</script>\"'><img src=x onerror=window.hit=1> \u202e&amp; </textarea></option>";
ok(["start", "--company", "Fernhollow Refrigeration", "--zone", "America/Chicago"]);
for (const [site, name] of [["OAK", "Oak Street store"], ["PINE", hostile]]) {
  ok(["site", "add", site, "--owner", "Quillpost Markets", "--name", name]);
  ok(["appliance", "add", `${site}/RACK-A`, "--category", "commercial-refrigeration", "--refrigerant", "R-448A", "--full-charge", "900lb", "--charge-basis", "calculated"]);
  ok(["circuit", "add", `${site}/RACK-A/4`, "--serves", site === "OAK" ? "produce cases" : hostile, "--close", site === "OAK" ? "liquid: ball valve 5/8" : hostile, "--close", "suction: ball valve 1 3/8"]);
}
ok(["leak", "add", "PINE/RACK-A", "--place", hostile]);
ok(["technician", "add", "ana", "--name", hostile]);
ok(["scale", "add", "S1", "--reads", "lb", "--division", "0.05lb"]);
const tested = `${new Date().getFullYear() - 1}-04`;
for (const code of ["RC-01", "RC-02"])
  ok(["cylinder", "add", code, "--use", "recovery", "--refrigerant", "R-448A", "--wc", "47.6lb", "--tare", "27.5lb", "--spec", "DOT-4BA400", "--tested", tested, "--place", "truck-1"]);
const stop = JSON.parse(ok(["room", "RC-01", "--format", "json"]));
const stopLb = Number((BigInt(stop.stop_gross_count) * 100n) / 362873896000n) / 100;

const form = (name, site, more) => {
  const path = join(folder, `${name}.html`);
  writeFileSync(path, ok(["job", "blank", "--site", site, "--job", "2208", "--place", "truck-1", "--format", "html"], more));
  return path;
};
const digest = () => createHash("sha256").update(readFileSync(env.TAREBOOK)).digest("hex");
let sheets = 0;
function recordTwice(text, lines, what) {
  const path = join(folder, `sheet-${++sheets}.yaml`);
  writeFileSync(path, text);
  const first = tarebook(["job", "record", path, "--format", "json"]);
  check(first.status === 0 || first.status === 4, `${what}: its sheet is recorded`, first.stderr);
  if (first.status !== 0 && first.status !== 4) return;
  check(JSON.parse(first.stdout).events.length === lines, `${what}: ${lines} lines`, first.stdout);
  const before = digest();
  const again = tarebook(["job", "record", path]);
  check(again.status === 0 && again.stdout.includes("already recorded") && digest() === before, `${what}: the second time nothing is written`, again.stdout + again.stderr);
}

async function open(profile, downloads, { storage = true } = {}) {
  mkdirSync(downloads, { recursive: true });
  const common = { userDataDir: profile, headless: true };
  if (firefox) {
    return puppeteer.launch({ ...common, browser: "firefox", executablePath: process.env.FIREFOX ?? "/usr/bin/firefox-esr", extraPrefsFirefox: {
      "dom.storage.enabled": storage, "network.proxy.type": 1, "network.proxy.http": "127.0.0.1", "network.proxy.http_port": 9, "network.proxy.ssl": "127.0.0.1",
      "network.proxy.ssl_port": 9, "browser.download.folderList": 2, "browser.download.dir": downloads, "browser.download.useDownloadDir": true,
      "browser.download.always_ask_before_handling_new_types": false, "browser.helperApps.neverAsk.saveToDisk": "text/html,application/yaml" } });
  }
  if (!storage) {
    mkdirSync(join(profile, "Default"), { recursive: true });
    writeFileSync(join(profile, "Default", "Preferences"), JSON.stringify({ profile: { default_content_setting_values: { cookies: 2 } } }));
  }
  return puppeteer.launch({ ...common, executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--disable-gpu", ...(process.getuid() === 0 ? ["--no-sandbox"] : [])] });
}
async function look(browser, path, where, { script = true, downloads = null } = {}) {
  const page = await browser.newPage();
  await page.setViewport({ width: 390, height: 844 });
  page.on("console", (message) => check(false, `${where}: console: ${message.text()}`));
  page.on("pageerror", (error) => check(false, `${where}: error: ${error.message}`));
  page.on("dialog", (dialog) => (dialog.type() === "beforeunload" || check(false, `${where}: dialog: ${dialog.message()}`), dialog.accept()));
  // a browser draws the icons of its own fields by data:, with fonts and pictures of its own
  page.on("request", (request) => check(request.url().startsWith("file://" + path) || /^(blob:|data:)/.test(request.url()), `${where}: request: ${request.url()}`));
  if (!firefox) {
    await page.setOfflineMode(true);
    const cdp = await page.createCDPSession();
    await cdp.send("Browser.setDownloadBehavior", downloads ? { behavior: "allow", downloadPath: downloads } : { behavior: "deny" });
  }
  if (!script) await page.setJavaScriptEnabled(false);
  await page.goto(`file://${path}`);
  if (script && !(await page.$("#h-by"))) throw new Error(`${where}: the script did not run\n${problems.join("\n")}`);
  return page;
}
const text = (page, selector) => page.$eval(selector, (e) => e.textContent);
const type = async (page, selector, words) => {
  await page.focus(selector);
  await page.keyboard.type(words);
};
const narrow = async (page, where) => {
  const over = await page.evaluate(() => [document.scrollingElement.scrollWidth, document.scrollingElement.clientWidth]);
  check(over[0] <= over[1], `${where}: nothing sticks out`, over);
};
async function axeFinds(page, where) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
  for (const rule of found.violations) for (const node of rule.nodes.slice(0, 3)) check(false, `${where}: axe ${rule.id}: ${node.failureSummary} at ${node.target}`);
  check(found.passes.length > 15, `${where}: rules of axe-core`, found.passes.length);
}
async function file(downloads, ending) {
  for (let tries = 0; tries < 100; ++tries) {
    const found = readdirSync(downloads).filter((name) => name.endsWith(ending));
    if (found.length) return join(downloads, found[0]);
    await new Promise((go) => setTimeout(go, 50));
  }
  return null;
}
const openMore = (page) => page.$$eval("details", (all) => all.forEach((e) => (e.open = true)));
const shot = (page, name) => page.screenshot({ path: join(keep, `${firefox ? "firefox-" : ""}visit-form-${name}.png`), fullPage: true });

// 1. Filled in, closed and opened in between, given as a file.
{
  const profile = join(folder, "profile-1"), downloads = join(folder, "downloads-1"), path = form("visit", "OAK");
  let browser = await open(profile, downloads), page = await look(browser, path, "filled in", { downloads });
  check((await text(page, "#state")).includes("kept in this browser"), "filled in: the first line says that it is kept", await text(page, "#state"));
  check(!(await page.evaluate(() => document.body.classList.contains("old"))), "filled in: figures of now are not old");
  await page.select("#h-by", "ana");
  await page.select("#h-scale", "S1");
  // the points in another order than they stand
  const ticks = await page.$$("fieldset.circuit input");
  await ticks[1].click();
  await ticks[0].click();
  check(/in this order: suction: ball valve 1 3\/8, then liquid/.test(await text(page, "#t0")), "filled in: the order of closing", await text(page, "#t0"));
  check((await text(page, "#lack")).includes("not yet a line: OAK/RACK-A/4"), "filled in: ticks that are not a line are told");
  await page.click("fieldset.circuit button");
  // by keyboard alone: the line, its fields
  await page.focus("#add-recover");
  await page.keyboard.press("Enter");
  check((await page.evaluate(() => document.activeElement.id)) === "l2-summary", "by keyboard: the new line has the focus");
  const walked = [];
  for (let i = 0; i < 8; ++i) {
    await page.keyboard.press("Tab");
    walked.push(await page.evaluate(() => document.activeElement.id));
  }
  for (const id of ["l2-at", "l2-circuit", "l2-into", "l2-unit", "l2-before"]) check(walked.some((w) => w === id), `by keyboard: Tab reaches ${id}`, walked);
  await page.select("#l2-into", "RC-01");
  await type(page, "#l2-before", "27.50");
  check((await text(page, "#l2-remarks")).includes("room in RC-01"), "filled in: the room is told", await text(page, "#l2-remarks"));
  await type(page, "#l2-after", (stopLb + 0.05).toFixed(2));
  check((await text(page, "#l2-moved")) === `${(stopLb + 0.05 - 27.5).toFixed(2)} lb into RC-01`, "filled in: the difference", await text(page, "#l2-moved"));
  check((await text(page, "#l2-remarks")).includes("OVER STOP AT: RC-01"), "filled in: warns over STOP AT", await text(page, "#l2-remarks"));
  check((await text(page, "#latest")).includes("OVER STOP AT"), "filled in: the list of weights says so, too");
  await page.$eval("#l2-after", (e) => e.select());
  await page.keyboard.type("31.23");
  check((await text(page, "#l2-remarks")).includes("shows steps of 0.05 lb"), "filled in: warns of what the scale cannot show", await text(page, "#l2-remarks"));
  await page.$eval("#l2-after", (e) => e.select());
  await page.keyboard.type("31.20");
  await type(page, "#l2-vacuum", "10inHg");
  check((await text(page, "#l2-moved")) === "3.70 lb into RC-01", "filled in: subtracts exactly", await text(page, "#l2-moved"));
  await openMore(page);
  await type(page, "#l2-note", "frost on \"4\": see\nphoto");
  await type(page, "#l2-readings-0-0", "suction");
  await type(page, "#l2-readings-0-1", "42psig");
  await narrow(page, "filled in");
  if (!firefox) await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: "light" }]);
  await axeFinds(page, "filled in, light");
  await shot(page, "light");
  if (!firefox) {
    await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: "dark" }]);
    await axeFinds(page, "filled in, dark");
    await shot(page, "dark");
  }
  const small = await page.$$eval("button, input, select, textarea, summary", (all) => all.filter((e) => e.offsetParent && !(e.type === "checkbox") && e.getBoundingClientRect().height < 44).map((e) => e.id));
  check(small.length === 0, "filled in: targets for gloves", small);
  const nameless = await page.$$eval("#head input, #head select, #lines input, #lines select, #lines textarea", (all) => all.filter((e) => !e.labels?.length && !e.getAttribute("aria-label")).map((e) => e.id));
  check(nameless.length === 0, "filled in: every field has a label", nameless);
  const sheet = await page.$eval("#sheet", (e) => e.value);
  await browser.close();

  browser = await open(profile, downloads);
  page = await look(browser, path, "opened again", { downloads });
  check((await text(page, "#state")).includes("Entries of earlier are here"), "opened again: says that entries are there", await text(page, "#state"));
  check((await page.$eval("#sheet", (e) => e.value)) === sheet, "opened again: the same sheet", sheet);
  check(await page.$eval("fieldset.circuit input", (e) => e.checked), "opened again: points are ticked");
  await page.click("#add-weigh");
  await page.select("#l3-cylinder", "RC-01");
  await type(page, "#l3-gross", "31.20");
  await page.click("#give-file");
  const given = await file(downloads, ".yaml");
  check(given, "opened again: the sheet is a file", readdirSync(downloads));
  check((await text(page, "#said")).includes("If no file appears"), "opened again: says what if no file appears");
  check((await text(page, "#l2-summary")).includes("given out") && (await page.$eval("#l2-remove", (e) => e.hidden)), "opened again: a line that was given out stays");
  if (given) {
    check(readFileSync(given, "utf8") === (await page.$eval("#sheet", (e) => e.value)), "opened again: the file is the text");
    recordTwice(readFileSync(given, "utf8"), 3, "filled in");
  }
  await openMore(page);
  await type(page, "#l2-note", " more");
  check((await text(page, "#lack")).includes("CHANGED SINCE IT WAS GIVEN OUT: line 2"), "opened again: a change after giving out is told", await text(page, "#lack"));
  // a second window of the same form
  const second = await look(browser, path, "second window", { downloads });
  await second.click("#add-note");
  await new Promise((go) => setTimeout(go, 300));
  check((await text(page, "#state")).includes("second window"), "second window: the first one stops, and says so", await text(page, "#state"));
  await browser.close();
}

// 2. Storage denied: the first line says so; a saved copy carries the entries.
{
  const profile = join(folder, "profile-2"), downloads = join(folder, "downloads-2"), path = form("denied", "OAK");
  let browser = await open(profile, downloads, { storage: false }), page = await look(browser, path, "storage denied", { downloads });
  check((await text(page, "#state")).startsWith("THIS BROWSER KEEPS NOTHING"), "storage denied: the first line says so", await text(page, "#state"));
  await page.select("#h-by", "ana");
  await page.click("#add-weigh");
  await page.select("#l1-cylinder", "RC-02");
  await page.select("#l1-unit", "lb oz");
  await type(page, "#l1-gross", "27 8");
  await openMore(page);
  await type(page, "#l1-note", hostile);
  await axeFinds(page, "storage denied");
  const sheet = await page.$eval("#sheet", (e) => e.value);
  await page.click("#give-page");
  const copy = await file(downloads, ".html");
  check(copy, "storage denied: the copy is a file", readdirSync(downloads));
  await browser.close();
  if (copy) {
    browser = await open(join(folder, "profile-2b"), downloads);
    page = await look(browser, copy, "saved copy", { downloads });
    check((await text(page, "#state")).includes("Opened from a saved copy"), "saved copy: says what it is", await text(page, "#state"));
    check((await page.$eval("#sheet", (e) => e.value)) === sheet, "saved copy: the same sheet, under the same id", sheet);
    check(!(await page.evaluate(() => window.hit)) && (await page.$("img")) === null, "saved copy: a hostile note does nothing");
    await openMore(page);
    await type(page, "#l1-note", " and more");
    const grown = await page.$eval("#sheet", (e) => e.value);
    await new Promise((go) => setTimeout(go, 500)); // what a page keeps reaches the next one after a moment
    await page.close();
    page = await look(browser, copy, "saved copy again", { downloads });
    check((await page.$eval("#sheet", (e) => e.value)) === grown, "saved copy: what was typed into it since is kept, too");
    check(readFileSync(copy, "utf8").split("<script").length === readFileSync(path, "utf8").split("<script").length, "saved copy: no script more");
    recordTwice(grown, 1, "saved copy");
    await browser.close();
  }
}

// 3. Script off: a form to print.
{
  const path = form("paper", "OAK"), browser = await open(join(folder, "profile-3"), join(folder, "downloads-3"));
  const page = await look(browser, path, "script off", { script: false }).catch((error) => (firefox ? null : Promise.reject(error)));
  if (page) {
    const seen = await page.$$eval("#state, .by-hand table, .by-script, fieldset.circuit input", (all) => all.map((e) => [e.id || e.tagName, e.offsetHeight > 0])).catch(() => null);
    if (seen) check(JSON.stringify(seen) === JSON.stringify([["state", true], ["INPUT", true], ["INPUT", true], ["TABLE", true], ["DIV", false]]), "script off: the paper form", seen);
    check((await text(page, "#state")).startsWith("NO SCRIPT RUNS HERE"), "script off: says so");
    await narrow(page, "script off");
    await shot(page, "paper");
    const pdf = await page.pdf({ format: "A4", printBackground: false });
    check(pdf.length > 5000, "script off: prints");
    writeFileSync(join(keep, `${firefox ? "firefox-" : ""}visit-form-paper.pdf`), pdf);
  } else console.log("script off: this driver cannot turn it off");
  await browser.close();
}

// 4. Downloads refused: the text is there to be copied.
if (!firefox) {
  const downloads = join(folder, "downloads-4"), path = form("refused", "OAK"), browser = await open(join(folder, "profile-4"), downloads);
  const page = await look(browser, path, "downloads refused");
  await page.select("#h-by", "ana");
  await page.click("#add-note");
  await type(page, "#l1-text", "nothing was opened");
  await page.click("#give-file");
  await new Promise((go) => setTimeout(go, 500));
  check(readdirSync(downloads).length === 0, "downloads refused: no file", readdirSync(downloads));
  check((await text(page, "#said")).includes("Copy the text"), "downloads refused: says what else", await text(page, "#said"));
  await page.click("#give-copy");
  await new Promise((go) => setTimeout(go, 200));
  check(/text is copied|mark the text/.test(await text(page, "#said")), "downloads refused: the text is copied", await text(page, "#said"));
  recordTwice(await page.$eval("#sheet", (e) => e.value), 1, "downloads refused");
  await browser.close();
}

// 5. A hostile name in the book, and everything that can be typed.
{
  const path = form("hostile", "PINE"), browser = await open(join(folder, "profile-5"), join(folder, "downloads-5"));
  const page = await look(browser, path, "hostile names");
  const acts = await page.$$eval("#add button", (all) => all.map((e) => e.id));
  const known = await page.$eval("#book", (e) => Object.keys(JSON.parse(e.textContent).lines.acts).length);
  check(acts.length === known && known >= 17, "hostile names: kinds of lines", acts);
  for (const act of acts) await page.click(`#${act}`);
  await openMore(page);
  await page.evaluate((words) => {
    for (const e of document.querySelectorAll("#lines input[type=text], #lines textarea, #head input[type=text], #head textarea")) {
      e.value = words;
      e.dispatchEvent(new Event("input"));
    }
  }, hostile);
  await page.click("#add-note");
  await openMore(page);
  check(!(await page.evaluate(() => window.hit)) && (await page.$("img")) === null && (await page.$$("script")).length === 3, "hostile names: nothing happens");
  check((await page.$eval("#lines", (e) => e.textContent)).includes("<img src=x"), "hostile names: they are shown as text");
  check(!(await page.evaluate(() => /[\u202a-\u202e\u2066-\u2069]/.test(document.querySelector("main").textContent))), "hostile names: no letter turns the text around");
  await narrow(page, "hostile names");
  await axeFinds(page, "hostile names, all lines");
  await shot(page, "hostile");
  await browser.close();
}

// 6. Figures of yesterday.
{
  const path = form("old", "OAK", { TAREBOOK_NOW: new Date(Date.now() - 13 * 3600e3).toISOString().slice(0, 19) + "Z" });
  const browser = await open(join(folder, "profile-6"), join(folder, "downloads-6")), page = await look(browser, path, "old figures");
  const seen = await page.$eval(".stop-at", (e) => getComputedStyle(e).textDecorationLine);
  check(seen === "line-through" && (await text(page, "#age")).includes("13 hours old"), "old figures: STOP AT is struck out, and its age is told", await text(page, "#age"));
  await axeFinds(page, "old figures");
  await browser.close();
}

rmSync(folder, { recursive: true, force: true });
for (const problem of problems) console.log(problem);
console.log(`visit form in ${firefox ? "Firefox" : "Chromium"}: ${looks} checks, ${sheets} sheets recorded twice, ${problems.length} problems`);
process.exit(problems.length || sheets < 2 ? 1 : 0);
