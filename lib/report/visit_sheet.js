// The part of the visit form that needs no document: weights, what is remarked on a line, the text of the job sheet. A
// mass is a whole number of counts of 1.25 ng (units/mass.hpp), as BigInt: no weight ever becomes a binary fraction.
// Nothing here decides what may be recorded: `tarebook job record` reads the sheet with all its own checks.
const visitSheet = (() => {
  "use strict";
  const perPound = BigInt("362873896000"), perGram = BigInt("800000000");
  const sixteen = BigInt(16), zero = BigInt(0);
  const unitCounts = { lb: perPound, oz: perPound / sixteen, kg: perGram * BigInt(1000), g: perGram };
  const hoursGood = 12;
  const owns = (object, key) => Object.prototype.hasOwnProperty.call(object, key);
  const power = (n) => BigInt("1" + "0".repeat(n));

  // What a person typed into a field for a weight: {text: for the sheet, counts}, or {text, problem}; null where empty.
  // `unit`: of a bare number, lb, kg, oz, g or "lb oz".
  function weight(typed, unit) {
    const text = typed.trim().replace(/\s+/g, " ");
    if (!text) return null;
    const part = (digits, of) => {
      const dot = digits.indexOf(".");
      const decimals = dot < 0 ? 0 : digits.length - dot - 1;
      const product = BigInt(digits.replace(".", "")) * unitCounts[of];
      return product % power(decimals) === zero ? product / power(decimals) : null;
    };
    const wrong = (problem) => ({ text, problem });
    if (text.includes(",")) return wrong("a comma is not a decimal point here: write 27.5");
    if (text.length > 40) return wrong("that is more than any scale shows");
    const two = /^(\d{1,9})(?: ?(lbs?) ?| )(\d{1,9}|\d{0,9}\.\d{1,9}) ?(oz)?$/i.exec(text);
    if (two && ((two[2] && two[4]) || unit === "lb oz")) {
      const ounces = part(two[3], "oz");
      if (ounces === null) return wrong("the finest step is 0.01 oz");
      if (ounces >= perPound) return wrong("ounces after pounds go from 0 to below 16");
      if (BigInt(two[1]) > BigInt(9999999)) return wrong("that is more than any scale shows");
      return { text: two[1] + " lb " + two[3] + " oz", counts: BigInt(two[1]) * perPound + ounces };
    }
    const one = /^(\d{1,9}|\d{0,9}\.\d{1,9}) ?(lbs?|oz|kg|g)?$/i.exec(text);
    if (!one) return wrong("a weight is a number and its unit: 31.20 lb, 12 lb 8 oz, 14.15 kg");
    if (!one[2] && unit === "lb oz") return wrong("pounds and ounces: write 12 lb 8 oz");
    const of = (one[2] || unit).toLowerCase().replace("lbs", "lb");
    const counts = part(one[1], of);
    if (counts === null) return wrong("finer than the book can hold exactly");
    if (counts > perPound * BigInt(10000000)) return wrong("that is more than any scale shows");
    return { text: one[1] + of, counts };
  }

  // As decimals of the unit, at least two; "about" where six decimals do not hold it.
  function massText(counts, unit) {
    if (counts < zero) return "-" + massText(-counts, unit);
    if (unit === "lb oz") {
      const pounds = counts / perPound;
      return pounds + " lb " + massText(counts - pounds * perPound, "oz");
    }
    const per = unitCounts[unit], most = 6;
    const scaled = counts * power(most);
    const digits = ((scaled + per / BigInt(2)) / per).toString().padStart(most + 1, "0");
    const fraction = digits.slice(-most).replace(/0+$/, "").padEnd(2, "0");
    return (scaled % per === zero ? "" : "about ") + digits.slice(0, -most) + "." + fraction + " " + unit;
  }

  // Control letters, and those that turn the direction of what follows, are shown as escapes.
  const hex4 = (letter) => "\\u" + letter.charCodeAt(0).toString(16).padStart(4, "0");
  const shown = (text) => text.replace(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/g, hex4);
  const wholeLetters = (text) => text.replace(/[\ud800-\udbff](?![\udc00-\udfff])|(^|[^\ud800-\udbff])[\udc00-\udfff]/g,
    (broken, before) => (before || "") + "\ufffd");
  const quote = (text) => JSON.stringify(wholeLetters(text))
    .replace(/[\u007f-\u009f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff]/g, hex4);

  const keyOf = (book, act, key) => book.lines.keys[act + "." + key] || book.lines.keys[key];
  const keysOf = (book, act) => book.lines.acts[act].keys.concat(book.lines.acts[act].more, book.lines.every);
  const textOf = (line, key) => (typeof line.values[key] === "string" ? line.values[key].trim() : "");

  function gasOf(book, code) {
    if (!code) return "";
    const at = book.appliances.find((a) => code === a.appliance || code.startsWith(a.appliance + "/"));
    return at ? at.gas : "";
  }
  const cylinderOf = (book, code) => book.cylinders.find((c) => c.cylinder === code);
  // The weight to stop at for this gas; where that is not known, the lowest.
  function stopOf(cylinder, gas) {
    const fitting = cylinder.stops.filter((s) => !gas || !s.gas || s.gas === gas);
    const all = (fitting.length ? fitting : cylinder.stops).map((s) => ({
      ...s, counts: BigInt(s.stop_count), slowCounts: BigInt(s.slow_count) }));
    return all.reduce((low, s) => (!low || s.counts < low.counts ? s : low), null);
  }

  // Which cylinder each weight is of, as [key of the cylinder, keys of its weights, whether gas goes in].
  const weighed = {
    recover: [["into", ["before", "after"], true]],
    reuse: [["from", ["before", "after"], false]],
    charge: [["from", ["before", "after"], false]],
    transfer: [["from", ["from-before", "from-after"], false], ["into", ["into-before", "into-after"], true]],
    return: [["cylinder", ["gross"], false], ["cylinder", ["before", "after"], false]],
    receive: [["cylinder", ["gross"], true], ["cylinder", ["before", "after"], true]],
    weigh: [["cylinder", ["gross"], false]],
    release: [["cylinder", ["before", "after"], false]],
  };
  const weightAt = (line, key) => weight(textOf(line, key), line.unit);

  // What went in or out by the two weights of a pair: [{words, counts}].
  function differences(line) {
    const out = [];
    for (const [cylinder, keys, inward] of weighed[line.act] || []) {
      if (keys.length < 2) continue;
      const before = weightAt(line, keys[0]), after = weightAt(line, keys[1]);
      if (!before || !after || before.problem || after.problem) continue;
      const counts = inward ? after.counts - before.counts : before.counts - after.counts;
      const unit = unitOf(after.text);
      out.push({ counts, words: massText(counts, unit) + (inward ? " into " : " out of ") + (textOf(line, cylinder) || "the cylinder") });
    }
    return out;
  }
  const unitOf = (text) => (/lb .*oz$/.test(text) ? "lb oz" : /kg$/.test(text) ? "kg" : /oz$/.test(text) ? "oz" : /lb$/.test(text) ? "lb" : "g");

  const spaced = (text) => text.replace(/(\d)([a-z])/i, "$1 $2");

  // The latest weight of each cylinder that was typed: {code: {counts, text, line}}.
  function latestWeights(lines) {
    const out = new Map();
    lines.forEach((line, n) => {
      for (const [cylinder, keys] of weighed[line.act] || [])
        for (const key of keys) {
          const w = weightAt(line, key);
          if (w && !w.problem && textOf(line, cylinder)) out.set(textOf(line, cylinder), { ...w, line: n + 1 });
        }
    });
    return out;
  }

  const has = (line, key) => {
    const value = line.values[key];
    return Array.isArray(value) ? value.some(([name, read]) => name.trim() && read.trim()) : typeof value === "string" && value.trim() !== "";
  };
  function lacks(book, line) {
    const act = book.lines.acts[line.act];
    const name = (key) => keyOf(book, line.act, key).label.toLowerCase();
    const out = act.need.filter((key) => !has(line, key)).map(name);
    if (act.any && !act.any.some((keys) => keys.every((key) => has(line, key))))
      out.push(act.any.map((keys) => keys.map(name).join(" and ")).join(", or "));
    return out;
  }

  // What a person should look at: [{level: "stop" | "look" | "lack", words}]. `old`: the page's figures are too old.
  function remarks(book, head, line, old) {
    const out = [];
    const tell = (level, words) => out.push({ level, words });
    const asOf = "as of " + book.as_of_time + (old ? ", older than " + hoursGood + " h" : "");
    const scaleName = textOf(line, "scale") || head.scale;
    const scale = book.scales.find((s) => s.scale === scaleName);
    for (const key of keysOf(book, line.act)) {
      const known = keyOf(book, line.act, key);
      if (known.kind === "whole" && has(line, key) && !/^\d{1,6}$/.test(textOf(line, key))) tell("look", known.label + ": a whole number");
      if (known.kind !== "weight") continue;
      const w = weightAt(line, key);
      if (!w) continue;
      if (w.problem) tell("look", known.label + ": " + w.problem);
      else if (scale && scale.division_count && key !== "mass" && w.counts % BigInt(scale.division_count) !== zero)
        tell("look", known.label + " " + spaced(w.text) + ": scale " + scale.scale + " shows steps of " + scale.division + ", and not this weight");
    }
    for (const [cylinderKey, keys, inward] of weighed[line.act] || []) {
      const cylinder = cylinderOf(book, textOf(line, cylinderKey));
      if (!cylinder) continue;
      const filled = inward && line.act !== "receive";
      if (filled) for (const bar of cylinder.do_not_fill) tell("stop", "DO NOT FILL " + cylinder.cylinder + ": " + bar);
      const gas = gasOf(book, textOf(line, "circuit"));
      if (gas && cylinder.gas && gas !== cylinder.gas && (filled || line.act === "reuse" || line.act === "charge"))
        tell("stop", cylinder.cylinder + ": " + cylinder.gas + ", and the circuit has " + gas);
      const stop = filled || !cylinder.supply ? stopOf(cylinder, filled ? gas : "") : null;
      if (filled && cylinder.supply) tell("stop", cylinder.cylinder + " is for supply: nothing is recovered into it");
      let lastRead = null;
      for (const key of keys) {
        const w = weightAt(line, key);
        if (!w || w.problem) continue;
        lastRead = w;
        if (cylinder.tare_count && w.counts < BigInt(cylinder.tare_count))
          tell("look", cylinder.cylinder + " at " + spaced(w.text) + " is under its tare of " + cylinder.tare);
        if (!stop) continue;
        if (w.counts > stop.counts)
          tell("stop", "OVER STOP AT: " + cylinder.cylinder + " at " + spaced(w.text) + " is " + massText(w.counts - stop.counts, unitOf(w.text)) +
            " over STOP AT " + stop.stop + " (" + asOf + ")");
        else if (filled && w.counts > stop.slowCounts)
          tell("look", "slow down: " + cylinder.cylinder + " at " + spaced(w.text) + ", STOP AT " + stop.stop + " (" + asOf + ")");
      }
      if (filled && stop && lastRead && lastRead.counts <= stop.counts)
        tell("look", "room in " + cylinder.cylinder + ": " + massText(stop.counts - lastRead.counts, unitOf(lastRead.text)) + " up to STOP AT " +
          stop.stop + " (" + asOf + ")");
      if (filled && !stop) tell("stop", "STOP AT of " + cylinder.cylinder + " is not known: " + (cylinder.not_known || "read the collar"));
    }
    for (const d of differences(line))
      if (d.counts < zero) tell("look", "the two weights say " + massText(-d.counts, unitOf(line.unit)) + " the other way: read them again");
    if (has(line, "net") && ["before", "after", "from-before", "from-after", "into-before", "into-after"].some((key) => has(line, key)) &&
        line.act !== "receive")
      tell("look", "net stands in place of two weights, not beside them");
    const names = readingsOf(line.values.readings).map(([name]) => name);
    if (new Set(names).size !== names.length) tell("look", "two readings have one name");
    const missing = lacks(book, line);
    if (missing.length) tell("lack", "missing: " + missing.join("; "));
    return out;
  }

  const readingsOf = (list) => (list || []).map(([name, read]) => [name.trim(), read.trim()]).filter(([name, read]) => name && read);
  const readingsText = (list) => "{" + readingsOf(list).map(([name, read]) => quote(name) + ": " + quote(read)).join(", ") + "}";

  function lineText(book, head, line) {
    const out = ["  - act: " + line.act];
    const put = (key, value) => out.push("    " + key + ": " + value);
    for (const key of ["at"].concat(keysOf(book, line.act).filter((k) => k !== "at"))) {
      const known = keyOf(book, line.act, key), typed = textOf(line, key);
      if (known.kind === "readings") {
        if (readingsOf(line.values.readings).length) put(key, readingsText(line.values.readings));
      } else if (!typed) continue;
      else if (key === "at") put(key, quote(line.day && line.day !== head.day ? line.day + " " + typed : typed));
      else if (known.kind === "weight") put(key, quote(weightAt(line, key).text));
      else if (known.kind === "whole" && /^\d{1,6}$/.test(typed)) put(key, String(Number(typed)));
      else if (known.kind === "flag") put(key, "true");
      else if (known.kind === "points") {
        put(key, "");
        out[out.length - 1] = "    " + key + ":";
        for (const point of typed.split("\n").map((p) => p.trim()).filter((p) => p)) out.push("      - " + quote(point));
      } else put(key, quote(typed));
    }
    return out.join("\n");
  }

  // The job sheet, as schema/job-sheet.schema.yaml has it.
  function sheetText(book, entries) {
    const head = entries.head;
    const out = [(book.practice ? "# PRACTICE: nothing in this book is real.\n" : "") + "# Job sheet of one visit, by the visit form as of " +
      book.as_of + ". Record it: tarebook job record FILE", "sheet: " + entries.sheet, "site: " + quote(book.site)];
    for (const key of ["job", "day", "by", "scale", "note"]) if (head[key].trim()) out.push(key + ": " + quote(head[key].trim()));
    if (readingsOf(head.readings).length) out.push("readings: " + readingsText(head.readings));
    out.push(entries.lines.length ? "weighings:" : "weighings: []");
    for (const line of entries.lines) out.push(lineText(book, head, line));
    return out.join("\n") + "\n";
  }

  // Day and time on the site's clock; on the phone's own where it does not know the zone.
  function clock(date, zone) {
    const read = (timeZone) => Object.fromEntries(new Intl.DateTimeFormat("en-GB", { timeZone, hourCycle: "h23", year: "numeric",
      month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit" }).formatToParts(date).map((p) => [p.type, p.value]));
    let p;
    try {
      p = read(zone);
    } catch (unknownZone) {
      p = read(undefined);
    }
    return { day: p.year + "-" + p.month + "-" + p.day, time: p.hour + ":" + p.minute };
  }

  // STOP AT and room hold for some hours. A phone whose clock is before the page's does not know.
  function age(nowMs, madeMs) {
    const minutes = Math.floor((nowMs - madeMs) / 60000);
    return { old: minutes > hoursGood * 60 || minutes < -10, hours: Math.floor(minutes / 60), backwards: minutes < -10 };
  }

  // Entries as the form keeps them, from what a file or the browser's storage gave: known fields of the known form alone.
  function entriesFrom(book, found) {
    const text = (value) => (typeof value === "string" ? value : "");
    const pairs = (value) => (Array.isArray(value) ? value : []).filter((p) => Array.isArray(p)).map((p) => [text(p[0]), text(p[1])]);
    if (!found || typeof found !== "object" || !/^[A-Za-z0-9_][A-Za-z0-9_.-]{0,63}$/.test(text(found.sheet))) return null;
    if (found.sheet !== book.id && !found.sheet.startsWith(book.id + ".")) return null;
    const head = found.head && typeof found.head === "object" ? found.head : {};
    const out = { sheet: found.sheet, changes: Number.isSafeInteger(found.changes) ? found.changes : 0, head: {}, ticks: {}, lines: [], given: null };
    for (const key of ["job", "day", "by", "scale", "note"]) out.head[key] = text(head[key]);
    out.head.readings = pairs(head.readings);
    for (const c of book.circuits) {
      const t = found.ticks && typeof found.ticks === "object" && owns(found.ticks, c.circuit) ? found.ticks[c.circuit] : null;
      if (t && Array.isArray(t.points))
        out.ticks[c.circuit] = { points: t.points.filter((p) => c.close.includes(p)), at: text(t.at), day: text(t.day), line: t.line === true };
    }
    for (const line of Array.isArray(found.lines) ? found.lines : []) {
      if (!line || typeof line !== "object" || !owns(book.lines.acts, text(line.act))) continue;
      const values = {};
      for (const key of keysOf(book, line.act)) {
        const value = line.values && owns(line.values, key) ? line.values[key] : "";
        values[key] = keyOf(book, line.act, key).kind === "readings" ? pairs(value) : text(value);
      }
      out.lines.push({ act: line.act, day: text(line.day), unit: ["lb", "kg", "oz", "g", "lb oz"].includes(line.unit) ? line.unit : "lb", values });
    }
    if (found.given && Array.isArray(found.given.lines))
      out.given = { at: text(found.given.at), lines: found.given.lines.map(text) };
    return out;
  }

  // Lines that were given out and read otherwise now, by number.
  function changedSinceGiven(book, entries) {
    if (!entries.given) return [];
    return entries.given.lines.map((was, n) => [was, n]).filter(([was, n]) => !entries.lines[n] || lineText(book, entries.head, entries.lines[n]) !== was)
      .map(([, n]) => n + 1);
  }

  return { weight, massText, shown, quote, keyOf, keysOf, gasOf, cylinderOf, stopOf, differences, latestWeights, lacks, remarks, lineText, sheetText,
    clock, age, entriesFrom, changedSinceGiven, unitOf, spaced };
})();
