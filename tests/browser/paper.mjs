// What stands on the sheets of a PDF, by the boxes of its words: nothing is printed over something else, and each sheet
// says whose it is, what it is, and which of how many.
import { execFileSync } from "node:child_process";

const unescaped = (text) => text.replace(/&lt;/g, "<").replace(/&gt;/g, ">").replace(/&quot;/g, '"').replace(/&#39;/g, "'").replace(/&amp;/g, "&");

// [{ width, height, words: [{ left, top, right, bottom, text }] }], in points.
export function sheetsOf(pdf) {
  const text = execFileSync("pdftotext", ["-bbox", pdf, "-"], { encoding: "utf8", maxBuffer: 1 << 28 });
  return text.split(/<page /).slice(1).map((page) => {
    const [, width, height] = page.match(/width="([\d.]+)" height="([\d.]+)"/);
    const words = [...page.matchAll(/<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">([^<]*)</g)]
      .map(([, left, top, right, bottom, word]) => ({ left: +left, top: +top, right: +right, bottom: +bottom, text: unescaped(word) }));
    return { width: +width, height: +height, words };
  });
}

// Words that share more than a point of a line with another word: one lies over the other.
export function overprinted(sheets) {
  const found = [];
  sheets.forEach((sheet, n) => {
    const words = [...sheet.words].sort((a, b) => a.top - b.top);
    for (let i = 0; i < words.length; ++i)
      for (let j = i + 1; j < words.length && words[j].top < words[i].bottom; ++j) {
        const a = words[i], b = words[j];
        const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        const least = Math.min(a.bottom - a.top, b.bottom - b.top);
        // of the height of a line a third is above and below its letters
        if (across > 1 && down > 0.4 * least) found.push(`sheet ${n + 1}: "${a.text}" and "${b.text}" (${across.toFixed(1)} x ${down.toFixed(1)} pt)`);
      }
    for (const word of sheet.words)
      if (word.left < -0.5 || word.right > sheet.width + 0.5 || word.top < -0.5 || word.bottom > sheet.height + 0.5)
        found.push(`sheet ${n + 1}: "${word.text}" sticks out of the paper`);
  });
  return found;
}

// What a sheet lacks of its edges: the company above, and "page N of M" below.
export function edgesMissing(sheets, company) {
  const found = [];
  sheets.forEach((sheet, n) => {
    const line = (words) => words.sort((a, b) => a.left - b.left).map((word) => word.text).join(" ");
    const above = line(sheet.words.filter((word) => word.bottom < 52)), below = line(sheet.words.filter((word) => word.top > sheet.height - 46));
    if (!above.includes(company)) found.push(`sheet ${n + 1}: above stands "${above}", not ${company}`);
    if (!below.includes(`page ${n + 1} of ${sheets.length}`)) found.push(`sheet ${n + 1}: below stands "${below}"`);
  });
  return found;
}
