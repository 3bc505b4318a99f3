// The visit form in a browser: shows what the book said, takes what is typed, keeps it, and gives the job sheet. Words of
// the book and of people go into the page as text alone, never as markup.
(() => {
  "use strict";
  const original = "<!DOCTYPE html>\n" + document.documentElement.outerHTML + "\n";
  const byId = (id) => document.getElementById(id);
  const S = visitSheet;
  const book = JSON.parse(byId("book").textContent);

  const add = (parent, tag, words, more) => {
    const e = document.createElement(tag);
    if (words) e.textContent = S.shown(words);
    for (const [name, value] of Object.entries(more || {})) e.setAttribute(name, value);
    parent.append(e);
    return e;
  };
  const say = (element, words) => {
    if (element.textContent !== words) element.textContent = words;
  };
  const button = (parent, words, press, more) => {
    const b = add(parent, "button", words, { type: "button", ...more });
    b.addEventListener("click", press);
    return b;
  };
  const now = () => S.clock(new Date(), book.zone);

  // Whether this browser keeps anything for a file is known once it was tried.
  let storage = null;
  try {
    const found = window.localStorage, name = "tarebook visit try";
    found.setItem(name, book.id);
    if (found.getItem(name) === book.id) storage = found;
    found.removeItem(name);
  } catch (refused) {
    storage = null;
  }
  const placeOf = (id) => "tarebook visit " + id;
  const stored = (id) => {
    try {
      return S.entriesFrom(book, JSON.parse(storage.getItem(placeOf(id))));
    } catch (unreadable) {
      return null;
    }
  };
  const saved = S.entriesFrom(book, JSON.parse(byId("entries").textContent));
  let entries = saved, from = saved ? "copy" : "new", elsewhere = false, unsaved = false;
  if (storage) {
    let id = saved && saved.sheet;
    try {
      id = id || storage.getItem(placeOf(book.id) + " sheet");
    } catch (refused) {
      id = null;
    }
    const kept = id ? stored(id) : null;
    if (kept && (!saved || (kept.sheet === saved.sheet && kept.changes > saved.changes))) {
      entries = kept;
      from = "storage";
    }
  }
  if (!entries) {
    // The page may be copied to several phones: each has an id of its own.
    const random = crypto.getRandomValues(new Uint8Array(4));
    const id = book.id + "." + [...random].map((b) => b.toString(16).padStart(2, "0")).join("");
    entries = S.entriesFrom(book, { sheet: id, head: { job: book.job, day: now().day } });
  }

  function keep() {
    ++entries.changes;
    unsaved = true;
    if (!storage || elsewhere) return;
    try {
      const text = JSON.stringify(entries);
      storage.setItem(placeOf(entries.sheet), text);
      storage.setItem(placeOf(book.id) + " sheet", entries.sheet);
      if (storage.getItem(placeOf(entries.sheet)) !== text) throw new Error("not kept");
      unsaved = false;
    } catch (refused) {
      storage = null;
    }
  }
  window.addEventListener("storage", (event) => {
    if (event.key !== placeOf(entries.sheet)) return;
    elsewhere = true;
    refresh();
  });
  window.addEventListener("beforeunload", (event) => {
    if (unsaved && entries.lines.length) event.preventDefault();
  });

  const state = byId("state");
  function tellState() {
    const kept = elsewhere ? "STOP: this form is open in a second window and was changed there. Nothing more is kept here: close this window."
      : storage ? "What is typed is kept in this browser (tried on opening)."
      : "THIS BROWSER KEEPS NOTHING of what is typed here: press `Save a copy` before it is closed.";
    const begun = from === "copy" ? " Opened from a saved copy, with its entries." : from === "storage" ? " Entries of earlier are here." : "";
    say(state, kept + begun + " Nothing is in the book until the office records the sheet.");
    state.classList.toggle("warning", elsewhere || !storage);
  }
  let old = false;
  function tellAge() {
    const age = S.age(Date.now(), Date.parse(book.made));
    old = age.old;
    document.body.classList.toggle("old", old);
    if (!old) return say(byId("age"), "STOP AT and room are as of " + book.as_of + ": good for 12 hours. They know nothing of what was done since.");
    say(byId("age"), (age.backwards ? "This phone's clock is before the time of these figures (" + book.as_of + "): their age is not known."
      : "STOP AT and room are " + age.hours + " hours old (as of " + book.as_of + ").") + " Do not fill by them: ask the book again.");
    byId("age").className = "warning";
  }

  // Fields. An entry is changed at each key; only what is told of it is made anew, so that the focus stays.
  const options = {
    circuit: () => book.circuits.map((c) => [c.circuit, c.serves]),
    appliance: () => book.appliances.map((a) => [a.appliance, a.gas]),
    cylinder: () => book.cylinders.map((c) => [c.cylinder, c.holds]),
    leak: () => book.leaks.map((l) => [l.leak, l.appliance + ", " + l.place]),
    person: () => book.people.map((p) => [p.person, p.name]),
    scale: () => book.scales.map((s) => [s.scale, s.division ? "steps of " + s.division : ""]),
    machine: () => book.machines.map((m) => [m.machine, m.name]),
  };
  function picker(parent, id, list, value, change) {
    const select = add(parent, "select", "", { id });
    const take = (v, words) => {
      const o = add(select, "option", words);
      o.value = v;
    };
    take("", "-");
    for (const [code, words] of list) take(code, code + (words ? ": " + words : ""));
    take("\u0000", "another ...");
    const label = select.parentElement.querySelector("label");
    const other = add(parent, "input", "", { type: "text", id: id + "-other", autocomplete: "off", "aria-label": (label ? label.textContent : "") + ", another" });
    const isListed = !value || list.some(([code]) => code === value);
    select.value = isListed ? value : "\u0000";
    other.value = isListed ? "" : value;
    other.hidden = isListed;
    select.addEventListener("change", () => {
      other.hidden = select.value !== "\u0000";
      change(other.hidden ? select.value : other.value);
      if (!other.hidden) other.focus();
    });
    other.addEventListener("input", () => change(other.value));
  }
  function readings(parent, id, title, list, change) {
    const box = add(parent, "fieldset", "", { class: "readings" });
    add(box, "legend", title);
    const row = (n) => {
      const div = add(box, "div", "", { class: "pair" });
      [["what was read", "Reading " + (n + 1) + ", what"], ["as read, with unit", "Reading " + (n + 1) + ", with its unit"]].forEach(([hint, label], part) => {
        const input = add(div, "input", "", { type: "text", id: id + "-" + n + "-" + part, "aria-label": title + ": " + label, placeholder: hint, autocomplete: "off" });
        input.value = (list[n] || ["", ""])[part];
        input.addEventListener("input", () => {
          while (list.length <= n) list.push(["", ""]);
          list[n][part] = input.value;
          if (n === box.querySelectorAll(".pair").length - 1) row(n + 1);
          change();
        });
      });
    };
    for (let n = 0; n <= list.length; ++n) row(n);
  }
  function field(parent, id, known, values, key, change, unit) {
    if (known.kind === "readings") return readings(parent, id, known.label, (values[key] = values[key] || []), change);
    const box = add(parent, "div", "", { class: "field " + known.kind });
    const label = add(box, "label", known.label, { for: id });
    const value = typeof values[key] === "string" ? values[key] : "";
    const set = (v) => {
      values[key] = v;
      change();
    };
    let hint = known.hint || "";
    if (options[known.kind]) picker(box, id, options[known.kind](), value, set);
    else if (known.kind === "choice") {
      const select = add(box, "select", "", { id });
      for (const word of [""].concat(known.words.split("|"))) add(select, "option", word || "-").value = word;
      select.value = value;
      select.addEventListener("change", () => set(select.value));
    } else if (known.kind === "flag") {
      const tick = add(box, "input", "", { type: "checkbox", id });
      label.prepend(tick);
      tick.checked = value === "true";
      tick.addEventListener("change", () => set(tick.checked ? "true" : ""));
    } else if (known.kind === "area" || known.kind === "points") {
      const area = add(box, "textarea", "", { id, rows: "3" });
      area.value = value;
      area.addEventListener("input", () => set(area.value));
    } else {
      const input = add(box, "input", "", { id, autocomplete: "off", type: known.kind === "time" ? "time" : known.kind === "day" ? "date" : "text" });
      if (known.kind === "weight" && unit !== "lb oz") input.inputMode = "decimal";
      if (known.kind === "whole") input.inputMode = "numeric";
      input.value = value;
      input.addEventListener("input", () => set(input.value));
    }
    if (hint) {
      add(box, "span", hint, { class: "hint", id: id + "-hint" });
      byId(id).setAttribute("aria-describedby", id + "-hint");
    }
    return box;
  }

  const scaleUnit = (name) => {
    const scale = book.scales.find((s) => s.scale === name);
    return !scale || !scale.reads ? book.units : scale.reads === "lb-oz" ? "lb oz" : scale.reads;
  };
  const isGiven = (n) => entries.given && n < entries.given.lines.length;

  function summary(line, n) {
    const where = ["circuit", "appliance", "from", "into", "cylinder", "leak", "part", "text"].map((key) => (line.values[key] || "").trim()).filter((v) => v);
    const moved = S.differences(line).map((d) => d.words);
    return "Line " + (n + 1) + ": " + [book.lines.acts[line.act].label, line.values.at, ...where, ...moved].filter((v) => v).join(", ").slice(0, 120) +
      (isGiven(n) ? " (given out)" : "");
  }
  const list = byId("lines");
  let open = -1;
  function drawLines() {
    list.textContent = "";
    entries.lines.forEach((line, n) => {
      const id = "l" + (n + 1), act = book.lines.acts[line.act];
      const box = add(list, "details", "", { class: "line", id });
      box.open = n === open;
      add(box, "summary", "", { id: id + "-summary" });
      const inner = add(box, "fieldset");
      add(inner, "legend", "Line " + (n + 1) + ": " + act.label + ", " + act.told);
      const change = () => {
        keep();
        refresh();
      };
      const put = (parent, key) => field(parent, id + "-" + key, S.keyOf(book, line.act, key), line.values, key, change, line.unit);
      put(inner, "at");
      const weights = act.keys.concat(act.more).some((key) => S.keyOf(book, line.act, key).kind === "weight");
      let unitAsked = !weights;
      for (const key of act.keys) {
        if (!unitAsked && S.keyOf(book, line.act, key).kind === "weight") {
          unitAsked = true;
          const div = add(inner, "div", "", { class: "field" });
          add(div, "label", "Unit of the weights", { for: id + "-unit" });
          const select = add(div, "select", "", { id: id + "-unit" });
          for (const unit of ["lb", "lb oz", "kg", "oz", "g"]) add(select, "option", unit).value = unit;
          select.value = line.unit;
          select.addEventListener("change", () => {
            line.unit = select.value;
            open = n;
            change();
            drawLines();
            byId(id + "-unit").focus();
          });
        }
        put(inner, key);
      }
      add(inner, "output", "", { id: id + "-moved", class: "moved" });
      add(inner, "ul", "", { id: id + "-remarks", class: "remarks", "aria-live": "polite", "aria-label": "Remarks on line " + (n + 1) });
      const more = add(inner, "details", "", { class: "more" });
      add(more, "summary", "More of line " + (n + 1));
      for (const key of act.more.concat(book.lines.every.filter((k) => k !== "at"))) put(more, key);
      field(more, id + "-day", { label: "Day, where it is not that of the visit", kind: "day" }, line, "day", change);
      const removal = add(inner, "p");
      let asked = false;
      const remove = button(removal, "Remove line " + (n + 1), () => {
        if (!asked) {
          asked = true;
          return say(remove, "Press again to remove line " + (n + 1));
        }
        entries.lines.splice(n, 1);
        open = -1;
        change();
        drawLines();
        byId("add").querySelector("button").focus();
      }, { id: id + "-remove" });
    });
    refresh();
  }

  const latest = byId("latest");
  function refresh() {
    tellState();
    entries.lines.forEach((line, n) => {
      const id = "l" + (n + 1);
      if (!byId(id)) return;
      say(byId(id + "-summary"), S.shown(summary(line, n)));
      say(byId(id + "-moved"), S.shown(S.differences(line).map((d) => d.words).join("; ")));
      const told = S.remarks(book, entries.head, line, old);
      const remarks = byId(id + "-remarks");
      const key = JSON.stringify(told);
      if (remarks.dataset.told !== key) {
        remarks.dataset.told = key;
        remarks.textContent = "";
        for (const r of told) add(remarks, "li", r.words, { class: r.level });
      }
      const remove = byId(id + "-remove");
      remove.hidden = Boolean(isGiven(n));
      let stays = byId(id + "-stays");
      if (isGiven(n) && !stays)
        stays = add(remove.parentElement, "span", "Given out at " + entries.given.at + ": the line stays, so that later lines keep their numbers. " +
          "If it is wrong, tell the office.", { id: id + "-stays" });
    });
    const weights = S.latestWeights(entries.lines);
    latest.textContent = "";
    for (const [code, w] of weights) {
      const cylinder = S.cylinderOf(book, code);
      const stop = cylinder && !cylinder.supply ? S.stopOf(cylinder, "") : null;
      add(latest, "li", code + ": " + S.spaced(w.text) + " by line " + w.line +
        (!stop ? "" : w.counts > stop.counts ? ", OVER STOP AT " + stop.stop : ", STOP AT " + stop.stop), stop && w.counts > stop.counts ? { class: "stop" } : {});
    }
    byId("latest-box").hidden = !weights.size;
    const lacking = entries.lines.map((line, n) => [n + 1, S.lacks(book, line)]).filter(([, missing]) => missing.length);
    const changed = S.changedSinceGiven(book, entries);
    const loose = Object.entries(entries.ticks).filter(([, t]) => t.points.length && !t.line).map(([circuit]) => circuit);
    const words = [entries.lines.length + (entries.lines.length === 1 ? " line." : " lines.")];
    for (const [n, missing] of lacking) words.push("Line " + n + ": missing " + missing.join("; ") + ".");
    if (!entries.head.by.trim()) words.push("The technician is not named.");
    if (loose.length) words.push("Ticked and not yet a line: " + loose.join(", ") + ".");
    if (changed.length) words.push("CHANGED SINCE IT WAS GIVEN OUT: line " + changed.join(", ") + ". If the office has recorded it, the change is refused.");
    say(byId("lack"), S.shown(words.join(" ")));
    byId("lack").classList.toggle("warning", changed.length > 0);
    byId("sheet").value = S.sheetText(book, entries);
    for (const c of book.circuits) tellTicks(c);
  }
  function addLine(act, values, day) {
    const clock = now();
    const line = S.entriesFrom(book, { sheet: entries.sheet, lines: [{ act, day: day || clock.day, unit: scaleUnit(entries.head.scale), values: { at: clock.time, ...values } }] }).lines[0];
    if (book.circuits.length === 1 && "circuit" in line.values && act !== "note" && !line.values.circuit) line.values.circuit = book.circuits[0].circuit;
    entries.lines.push(line);
    open = entries.lines.length - 1;
    keep();
    drawLines();
    byId("l" + entries.lines.length + "-summary").focus();
  }

  // Circuits: the points are in the page already; ticks are kept in the order in which they were made.
  const ticksOf = (circuit) => (entries.ticks[circuit] = entries.ticks[circuit] || { points: [], at: "", day: "", line: false });
  const boxes = [...document.querySelectorAll("fieldset.circuit")];
  function tellTicks(c) {
    const n = book.circuits.indexOf(c), t = ticksOf(c.circuit);
    say(byId("t" + n), !t.points.length ? "" : S.shown(t.points.length + " of " + c.close.length + " closed, the last at " + t.at + ", in this order: " + t.points.join(", then ") +
      (t.line ? ". It is a line below." : ". Not yet a line.")));
  }
  book.circuits.forEach((c, n) => {
    const box = boxes[n], t = ticksOf(c.circuit);
    [...box.querySelectorAll("input")].forEach((tick, p) => {
      const point = c.close[p];
      tick.checked = t.points.includes(point);
      tick.addEventListener("change", () => {
        t.points = t.points.filter((other) => other !== point);
        if (tick.checked) t.points.push(point);
        ({ time: t.at, day: t.day } = now());
        t.line = false;
        keep();
        refresh();
      });
    });
    add(box, "p", "", { id: "t" + n, role: "status" });
    const row = add(box, "div", "", { class: "buttons" });
    button(row, "Write as a line: closed", () => {
      const when = t.at ? { at: t.at } : {};
      t.line = true;
      addLine("isolate", { circuit: c.circuit, close: t.points.join("\n"), ...when }, t.day);
    }, { "aria-label": "Write as a line: closed, " + c.circuit });
    button(row, "Write as a line: back in service", () => {
      t.points = [];
      t.line = false;
      for (const tick of box.querySelectorAll("input")) tick.checked = false;
      addLine("isolate", { circuit: c.circuit, reopened: "true" });
    }, { "aria-label": "Write as a line: back in service, " + c.circuit });
  });

  // The visit.
  const head = byId("head");
  const headChanged = () => {
    keep();
    refresh();
  };
  for (const [key, label, kind] of [["job", "Job or visit number", "text"], ["day", "Day of the visit", "day"], ["by", "Technician", "person"],
    ["scale", "Scale", "scale"], ["note", "Note on the visit", "area"], ["readings", "Readings of the visit", "readings"]])
    field(head, "h-" + key, { label, kind }, entries.head, key, headChanged);

  for (const [act, known] of Object.entries(book.lines.acts))
    button(byId("add"), known.label, () => addLine(act, {}), { title: known.told, id: "add-" + act });

  // Giving it out.
  const said = byId("said");
  const given = (how) => {
    const clock = now();
    entries.given = { at: clock.day + " " + clock.time, lines: entries.lines.map((line) => S.lineText(book, entries.head, line)) };
    keep();
    refresh();
    say(said, how);
  };
  const fileName = () => entries.sheet;
  function download(name, text, type) {
    const url = URL.createObjectURL(new Blob([text], { type }));
    const a = add(document.body, "a", "", { href: url, download: name, hidden: "" });
    a.click();
    a.remove();
    setTimeout(() => URL.revokeObjectURL(url), 60000);
  }
  const noFile = " If no file appears, this browser refuses downloads: press `Copy the text`, or mark the text below.";
  const give = byId("give");
  button(give, "Save the sheet as a file", () => {
    try {
      download(fileName() + ".yaml", S.sheetText(book, entries), "application/yaml");
      given("The sheet was given to the browser as " + fileName() + ".yaml." + noFile);
    } catch (refused) {
      say(said, "This browser refuses to make a file." + noFile);
    }
  }, { id: "give-file" });
  if (navigator.share)
    button(give, "Send the sheet", () => {
      navigator.share({ title: "Job sheet " + entries.sheet, text: S.sheetText(book, entries) })
        .then(() => given("The sheet was handed to the app that sends it."), () => say(said, "It was not sent. Copy the text, or save it as a file."));
    }, { id: "give-send" });
  button(give, "Copy the text", async () => {
    const area = byId("sheet");
    let copied = false;
    try {
      await navigator.clipboard.writeText(area.value);
      copied = true;
    } catch (refused) {
      area.focus();
      area.select();
      copied = document.execCommand("copy");
    }
    if (copied) given("The text is copied: put it into a message or a file, whole.");
    else say(said, "This browser copies nothing: mark the text below by hand.");
  }, { id: "give-copy" });
  button(give, "Save a copy of this page with its entries", () => {
    try {
      const mark = "<" + 'script type="application/json" id="entries">';
      const begin = original.indexOf(mark) + mark.length, end = original.indexOf("</" + "script>", begin);
      const text = JSON.stringify(entries).replace(/[<>&\u2028\u2029]/g, (c) => "\\u" + c.charCodeAt(0).toString(16).padStart(4, "0"));
      download("visit-" + fileName() + ".html", original.slice(0, begin) + text + original.slice(end), "text/html");
      unsaved = false;
      say(said, "A copy with all entries was given to the browser as visit-" + fileName() + ".html: open that file to go on." + noFile);
    } catch (refused) {
      say(said, "This browser refuses to make a file." + noFile);
    }
  }, { id: "give-page" });

  document.body.classList.add("runs");
  for (const e of document.querySelectorAll(".by-script")) e.hidden = false;
  for (const e of document.querySelectorAll(".by-hand")) e.hidden = true;
  tellAge();
  drawLines();
  setInterval(() => {
    const was = old;
    tellAge();
    if (old !== was) refresh();
  }, 30000);
})();
