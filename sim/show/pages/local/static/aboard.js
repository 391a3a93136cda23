/* Loads and lift: what is put aboard, what the truck is lifted by and other tyres, answered at every letter; each becomes a set-up to try. */
import { sideways } from "../truck/sideways.js";

const $ = (id) => document.getElementById(id);

function cell(tag, text, attributes = {}) {
  const own = document.createElement(tag);
  own.textContent = text;
  for (const [key, value] of Object.entries(attributes)) own.setAttribute(key, value);
  return own;
}

/** A cell of a number: in both units the second one stands under the first where there is no room beside it. */
function bothUnits(text) {
  const own = cell("td", "");
  text.split(/ (?=\()/).forEach((part, number) => own.append(...(number ? [" "] : []), cell("span", part)));
  return own;
}

/** Boxes of a load, as their columns are called. */
const KEY_WORDS = { mass: "mass", behind: "behind front axle", above: "above ground" };

export class Aboard {
  /** @param tries  the side on which set-ups are tried; @param show  shows that side */
  constructor(page, tries, show) {
    this.page = page;
    this.rows = [];
    const before = page.before.aboard;
    /** Loads of the page that wait until the server says which there are, by name. */
    this.waiting = new Map();
    if (before) {
      for (const row of before.loads) {
        if (row.own) this.fill(this.add(row.name, {}, true), row);
        else this.waiting.set(row.name, row);
      }
      for (const key of ["front", "rear", "track"]) $(`lift-${key}`).value = before.lift[key];
      for (const axle of ["front", "rear"]) {
        $(`lift-by-${axle}`).value = before.lift.by[axle];
        $(`tyres-${axle}`).value = before.tyres?.[axle] ?? "";
      }
    }
    $("own-load").onclick = () => { this.add(`load ${this.rows.length + 1}`, {}, true); this.ask(); };
    for (const axle of ["front", "rear", "track"]) $(`lift-${axle}`).oninput = () => this.ask();
    for (const axle of ["front", "rear"]) {
      $(`lift-by-${axle}`).onchange = () => this.ask();
      $(`tyres-${axle}`).oninput = () => this.ask();
    }
    $("try-loads").onclick = () => {
      // As the table above it: with the lift, where there is one.
      const { changes, lift } = this.said;
      const names = this.on().map((row) => row.name).join(", ");
      tries.add({ name: `${lift.said ? "Lifted, with" : "With"} ${names}`.slice(0, 80), changes: { ...lift.changes, ...changes } });
      show();
    };
    $("try-lift").onclick = () => { tries.add({ name: "Lifted", changes: this.said.lift.changes }); show(); };
    $("try-tyres").onclick = () => { tries.add({ name: this.said.tyres.name, changes: this.said.tyres.changes }); show(); };
  }

  /** A row: a usual load, or one of one's own with a name to type. */
  add(name, usual, own = false) {
    const row = { name, own, boxes: {} };
    const line = $("loads").tBodies[0].insertRow();
    const first = line.insertCell();
    row.on = document.createElement("input");
    row.on.type = "checkbox";
    row.on.checked = own;
    row.on.onchange = () => this.ask();
    const label = document.createElement("label");
    label.append(row.on, own ? "" : ` ${name}`);
    first.append(label);
    if (own) {
      row.on.setAttribute("aria-label", "Own load is aboard");
      const box = document.createElement("input");
      box.value = name;
      box.maxLength = 40;
      box.setAttribute("aria-label", "Name of the load");
      box.oninput = () => {
        row.name = box.value;
        out.setAttribute("aria-label", `Take ${row.name} out`);
        for (const [key, own] of Object.entries(row.boxes)) own.setAttribute("aria-label", `${row.name}: ${KEY_WORDS[key]}`);
        this.ask();
      };
      const out = document.createElement("button");
      out.type = "button";
      out.textContent = "×";
      out.setAttribute("aria-label", `Take ${name} out`);
      out.onclick = () => {
        this.rows.splice(this.rows.indexOf(row), 1);
        line.remove();
        this.ask();
      };
      first.append(box, out);
      first.className = "own";
    }
    for (const [key, words] of Object.entries(KEY_WORDS)) {
      const box = document.createElement("input");
      box.setAttribute("aria-label", `${name}: ${words}`);
      // Whoever types of a load wants it aboard.
      box.oninput = () => { if (box.value.trim()) row.on.checked = true; this.ask(); };
      line.insertCell().append(box);
      row.boxes[key] = box;
    }
    this.rows.push(row);
    this.offer(row, usual);
    return row;
  }

  /** Fill a row with what was in it before the page was loaded again. */
  fill(row, { on, mass, behind, above }) {
    row.on.checked = on;
    Object.assign(row.boxes.mass, { value: mass });
    Object.assign(row.boxes.behind, { value: behind });
    Object.assign(row.boxes.above, { value: above });
  }

  offer(row, usual) {
    for (const [key, box] of Object.entries(row.boxes)) box.placeholder = usual[key] ?? "";
  }

  on() {
    return this.rows.filter((row) => row.on.checked);
  }

  ask() {
    if ($("aboard").hidden) return;
    this.page.asks("aboard", this.asked());
  }

  asked() {
    const loads = this.rows.map((row) => ({ name: row.name, on: row.on.checked, mass: row.boxes.mass.value, behind: row.boxes.behind.value, above: row.boxes.above.value }));
    return { loads, lift: { front: $("lift-front").value, rear: $("lift-rear").value, track: $("lift-track").value, by: { front: $("lift-by-front").value, rear: $("lift-by-rear").value } }, tyres: { front: $("tyres-front").value, rear: $("tyres-rear").value } };
  }

  /** What is remembered over a reload. */
  toRemember() {
    const { loads, lift, tyres } = this.asked();
    return { loads: [...loads.map((load, number) => ({ ...load, own: this.rows[number].own })), ...this.waiting.values()], lift, tyres };
  }

  heard(said) {
    this.said = said;
    this.stale(false);
    let again = false;
    for (const usual of said.usual) {
      const row = this.rows.find((own) => !own.own && own.name === usual.name);
      if (row) this.offer(row, usual);
      else {
        const fresh = this.add(usual.name, usual);
        const before = this.waiting.get(usual.name);
        if (before) this.fill(fresh, before);
        this.waiting.delete(usual.name);
        again ||= Boolean(before?.on);
      }
    }
    // What was aboard before is known only now.
    if (again) this.ask();
    $("usual-ranges").textContent = said.ranges;
    const wrong = said.wrong.filter((one) => one.name !== "lift");
    $("loads-error").textContent = wrong.map((one) => `${[one.name, KEY_WORDS[one.key]].filter(Boolean).join(", ")}: ${one.message}`).join(" · ");
    const lift = said.wrong.filter((one) => one.name === "lift").map((one) => `${one.key}: ${one.message}`);
    $("lift-error").textContent = [...lift, said.lift.why].filter(Boolean).join(" · ");
    $("try-loads").disabled = wrong.length > 0 || !Object.keys(said.changes).length;
    $("try-lift").disabled = !Object.keys(said.lift.changes).length;
    $("try-loads").textContent = said.lift.said ? "Try these, lifted, as a set-up" : "Try these as a set-up";
    $("loaded").replaceChildren(...(said.lift.said ? [cell("p", said.lift.said)] : []), ...Object.entries(said.axles).map(([axle, rows]) => this.loaded(`${axle[0].toUpperCase()}${axle.slice(1)} axle`, said.heads.slice(1), rows, said.below[axle])));
    $("tyres-error").textContent = said.tyres.why;
    $("try-tyres").disabled = !Object.keys(said.tyres.changes).length;
    $("lift-words").hidden = !said.lift.rows.length;
    this.beforeAndAfter("lifted", "Lifted", "lifted", said.lift);
    this.beforeAndAfter("tyred", "Other tyres", "on these", said.tyres);
  }

  /** What a lift or other tyres change, beside the truck as it is; empty where there are none. */
  beforeAndAfter(place, title, after, { rows, notes }) {
    const lines = rows.map((row) => [row.label, row.before, row.after]);
    $(place).replaceChildren(...(lines.length ? [this.table(title, ["", "as it is", after], lines), ...notes.map((text) => cell("p", text))] : []));
  }

  /** An axle's table: of each load what it is and what to make of it, and under that its numbers. */
  loaded(title, heads, rows, below) {
    const table = document.createElement("table");
    const top = table.createTHead().insertRow();
    for (const text of heads) top.append(cell("th", text, { scope: "col" }));
    for (const row of rows) {
      const body = table.createTBody();
      const head = cell("th", "", { scope: "rowgroup", colspan: heads.length });
      // A box of its own, that stays in sight where the numbers under it are scrolled.
      const said = cell("div", `${row.label}: `);
      said.append(cell("span", row.why || row.cells[0]));
      head.append(said);
      body.insertRow().append(head);
      if (row.why) continue;
      const line = body.insertRow();
      for (const text of row.cells.slice(1)) line.append(bothUnits(text));
    }
    const own = this.titled(title, table);
    // What most rows have in common is said once.
    own.append(...below.map((text) => cell("p", text)));
    return own;
  }

  table(title, heads, rows) {
    const table = document.createElement("table");
    const head = table.createTHead().insertRow();
    for (const text of heads) head.append(text ? cell("th", text, { scope: "col" }) : cell("td", ""));
    const body = table.createTBody();
    for (const [label, ...texts] of rows) {
      const line = body.insertRow();
      line.append(cell("th", label, { scope: "row" }));
      for (const text of texts) line.append(cell("td", text, texts.length === 1 ? { colspan: heads.length - 1 } : {}));
    }
    return this.titled(title, table);
  }

  /** A table under its title, that can be scrolled where it is wider than the page. */
  titled(title, table) {
    const box = document.createElement("div");
    const scroll = document.createElement("div");
    scroll.className = "scroll";
    scroll.tabIndex = 0;
    scroll.setAttribute("role", "region");
    scroll.setAttribute("aria-label", title);
    scroll.append(table);
    box.append(cell("h2", title), scroll);
    sideways(scroll);
    return box;
  }

  /** What is shown is of a truck that was typed before. */
  stale(on) {
    $("stale-aboard").hidden = !on;
    for (const place of [$("loaded"), $("lifted"), $("tyred")]) place.classList.toggle("stale", on);
    if (on) $("try-loads").disabled = $("try-lift").disabled = $("try-tyres").disabled = true;
  }
}
