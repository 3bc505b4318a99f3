// Runs the part of the visit form that needs no document: `node visit_form_sheet.js visit_sheet.js < asked.json`, where
// each of `asked` is [function, arguments ...]. A BigInt is written as its digits.
"use strict";
const fs = require("fs");
const sheet = new Function(fs.readFileSync(process.argv[2], "utf8") + "\nreturn visitSheet;")();
const asked = JSON.parse(fs.readFileSync(0, "utf8"));
const told = asked.map(([name, ...given]) => sheet[name](...given));
process.stdout.write(JSON.stringify(told, (key, value) => (typeof value === "bigint" ? value.toString() : value)));
