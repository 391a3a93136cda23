/* The cards of set-ups: what each changes, as boxes, sliders and curves that are pulled. */
import { Curve, pointWords } from "./curve.js";
import { make, written } from "./make.js";
import { keyLine } from "./plots.js";

const $ = (id) => document.getElementById(id);

/** Set-ups at most, as the server takes them. */
export const MOST = 8;

/** Lines that a name has in its card, for browsers that do not size a box by what is in it (the style has `field-sizing`). */
function linesOf(name) {
  return Math.max(1, Math.ceil(name.length / 26));
}

/** What a damper's curve is called: the first set of an axle is mostly its only one. */
function titleOf({ axle, name }) {
  return `${axle}: ${name === "added" ? "second set" : name}`;
}

export class Cards {
  /** @param tries  the side that has the set-ups, and asks for their runs */
  constructor(tries) {
    this.tries = tries;
    this.changeable = tries.changeable;
    this.curves = [];
  }

  /** Lay the cards out anew: after a set-up or a change came or went. */
  build() {
    this.tries.vary?.starts();
    this.curves = this.tries.setups.map(() => []);
    $("cards").replaceChildren(...this.tries.setups.map((setup, number) => this.card(setup, number)));
    $("add").disabled = this.tries.setups.length >= MOST;
  }

  card(setup, number) {
    // In as many lines as it takes: a name that is cut is another's. It is one line of text all the same.
    const name = make("textarea", { class: "name", "aria-label": `Name of set-up ${number + 1}`, value: setup.name, maxlength: 80, rows: linesOf(setup.name) });
    name.onkeydown = (event) => { if (event.key === "Enter") { event.preventDefault(); name.blur(); } };
    name.oninput = () => {
      if (/[\r\n]/.test(name.value)) name.value = name.value.replace(/[\r\n]+/g, " ");
      name.rows = linesOf(name.value);
      setup.name = name.value;
      this.tries.touched(setup);
      this.tries.ask();
    };
    const copy = make("button", { type: "button", onclick: () => this.tries.add(setup) }, "Copy");
    const out = make("button", { type: "button", "aria-label": `Take ${setup.name} out`, onclick: () => {
      this.tries.setups.splice(number, 1);
      this.build();
      this.tries.ask();
    } }, "×");
    out.disabled = this.tries.setups.length < 2;
    const rows = this.rows(setup);
    const choose = make("select", { class: "choose", "aria-label": `Change something in ${setup.name}` }, make("option", { value: "" }, "Change something …"));
    // What the truck has now is said beside each, as it is when somebody looks.
    choose.onpointerdown = choose.onfocus = () => this.changeable.choices(choose);
    this.changeable.choices(choose);
    choose.onchange = () => {
      if (!choose.value || choose.value in setup.changes) return;
      // Of words to choose from, the first where nobody knows which the truck has.
      if (choose.value.endsWith(".dampers.added")) {
        this.second(setup, choose.value);
        return;
      }
      const box = document.querySelector(`select[data-path="${CSS.escape(choose.value)}"]`);
      const known = [...(box?.options ?? [])].some((option) => option.value === this.changeable.written(choose.value));
      setup.changes[choose.value] = box && !known ? box.options[1].value : this.changeable.written(choose.value);
      this.tries.touched(setup);
      this.build();
      this.tries.ask();
    };
    const curves = make("div", { class: "curves" });
    const body = make("div", { class: "body" }, rows, choose, make("p", { class: "error" }), curves);
    return make("section", { class: "card", "aria-label": `Set-up ${number + 1}` }, make("header", {}, keyLine(number), name, copy, out), body);
  }

  /** Add a second set of dampers to an axle, two of the lengths of the first and beside them: moved from there, one set stands ahead of the axle and one
   * behind. What else it has is estimated, and its curve can be pulled. */
  second(setup, path) {
    if (`${path}.count` in setup.changes) return;
    const main = path.replace(/added$/, "main");
    Object.assign(setup.changes, { [`${path}.count`]: "2" });
    for (const key of ["length_collapsed", "length_extended", "body.behind_front_axle", "axle.ahead"]) setup.changes[`${path}.${key}`] = this.changeable.written(`${main}.${key}`);
    this.tries.touched(setup);
    this.build();
    this.tries.ask();
  }

  rows(setup) {
    return make("div", { class: "rows" }, ...Object.keys(setup.changes).map((path) => this.change(setup, path)));
  }

  change(setup, path) {
    const value = setup.changes[path];
    const label = this.changeable.label(path);
    const out = make("button", { type: "button", "aria-label": `Take out: ${label}`, onclick: () => {
      delete setup.changes[path];
      this.build();
      this.tries.ask();
    } }, "×");
    if (value !== null && typeof value === "object") {
      return make("div", { class: "change", "data-of": path }, this.labelled(label), make("span", { class: "fixed", title: JSON.stringify(value) }, value.mass ?? (path.endsWith(".valving") ? "" : "as in the file")), out);
    }
    const words = [...(document.querySelector(`select[data-path="${CSS.escape(path)}"]`)?.options ?? [])].filter((option) => option.value);
    const box = words.length
      ? make("select", { "aria-label": label, "data-change": path }, ...words.map((option) => make("option", { value: option.value }, option.textContent)))
      : make("input", { "aria-label": label, "data-change": path });
    box.value = value ?? "none";
    box.oninput = () => { setup.changes[path] = box.value; this.tries.touched(setup); this.tries.ask(); };
    return make("div", { class: "change", "data-of": path }, this.labelled(label), box, out);
  }

  /** What a change is called, and under it what it comes to. */
  labelled(label) {
    return make("span", {}, make("span", {}, label), make("small", { class: "force" }));
  }

  /** A slider for each change that the server reads as a number, from nothing to three times as much, anew where another number was typed. */
  slides(card, setup, numbers) {
    for (const box of card.querySelectorAll("input[data-change]")) {
      const path = box.dataset.change;
      const row = box.closest(".change");
      const before = row.querySelector("[type=range]");
      const [number, unit] = numbers[path] ?? [0, ""];
      if (before && row.dataset.slid === box.value) continue;
      row.dataset.slid = box.value;
      before?.remove();
      if (!number) continue;
      const whole = unit === "" && Number.isInteger(number);
      const far = whole ? Math.max(8, Math.abs(number)) : 3 * Math.abs(number);
      const least = whole ? 1 : far / 60;
      const ends = number < 0 ? [-far, -least] : [least, far];
      const slide = make("input", { type: "range", min: ends[0], max: ends[1], step: whole ? 1 : far / 240, "aria-label": `${this.changeable.label(path)}, by slider` });
      slide.value = number;
      slide.oninput = () => {
        box.value = `${whole ? slide.value : Number(Number(slide.value).toPrecision(3))} ${unit}`.trim();
        row.dataset.slid = setup.changes[path] = box.value;
        this.tries.touched(setup);
        this.tries.ask();
      };
      row.append(slide);
    }
  }

  /** Show what came of the set-ups.
   * @param runs  their runs, in their order
   * @param isLatest  whether that is of what was asked last: else the numbers may be those of another set-up */
  heard(said, runs, isLatest) {
    const drawn = runs.filter(Boolean).flatMap(({ truck }) => truck.curves.map((curve) => Curve.most(curve, truck.forces[`${curve.axle}.${curve.name}.curve_n`])));
    this.largest = Math.max(1, ...drawn);
    said.setups.forEach((own, number) => {
      const card = $("cards").children[number];
      if (!card) return;
      written(card.querySelector(".error"), own.problems.map((row) => [row.where, row.message, row.suggestion].filter(Boolean).join(": ")).join(" · "));
      if (isLatest) this.slides(card, this.tries.setups[number], own.numbers);
      // While the reference is pulled, its curve shows the set-up that comes of it.
      const shown = this.instead?.of === this.tries.setups[number] ? runs[this.tries.setups.indexOf(this.instead.now)] ?? runs[number] : runs[number];
      if (shown) this.drawCurves(card, number, shown);
      if (this.tries.setups[number] && isLatest) this.forces(card, number, own, runs[number]);
      const { setup, curve, why } = this.refused ?? {};
      for (const drawn of this.curves[number]) drawn.refused(setup === number && drawn.title === curve ? why : "");
    });
  }

  /** A curve was pulled: what that writes stands in its set-up from now on. */
  pulled({ setup, changes, gone, why }) {
    const own = this.tries.setups[setup];
    if (!own) return;
    this.refused = why ? { setup, curve: this.pulledAt, why } : null;
    if (why) return;
    const fresh = gone.length > 0 || Object.keys(changes).some((path) => !(path in own.changes));
    for (const path of gone) delete own.changes[path];
    Object.assign(own.changes, changes);
    this.tries.touched(own);
    const card = $("cards").children[setup];
    // The rows alone: under the hand that pulls, slides or types the rest stays as it is.
    if (fresh && card) card.querySelector(".rows").replaceWith(this.rows(own));
    for (const [path, value] of Object.entries(changes)) {
      const box = $("cards").children[setup]?.querySelector(`[data-change="${CSS.escape(path)}"]`);
      if (box && typeof value === "string") box.value = value;
    }
  }

  /** Pull a curve of a set-up, or take its force times a factor. The truck as it is, to which all is compared, stays as it is: a set-up of its own gets that. */
  pull(setup, curve, point) {
    const aside = this.instead?.of === this.tries.setups[setup] ? this.tries.setups.indexOf(this.instead.now) : -1;
    let into = aside >= 0 ? aside : setup;
    const bare = into === 0 && !Object.keys(this.tries.setups[0].changes).length;
    if (bare && this.tries.setups.length >= MOST) {
      const why = `“${this.tries.setups[0].name}” stays as it is, as all others are compared with it, and there are ${MOST} set-ups, as many as can be: take one out, or change another.`;
      this.refused = { setup, curve: titleOf(curve), why };
      this.curves[setup].of = null;
      this.tries.ask();
      return;
    }
    // What is no factor is refused beside its box, and makes no set-up.
    if (bare && (point.factor === undefined || Number(point.factor) > 0)) {
      const called = `${this.tries.setups[0].name}, ${curve.axle} dampers otherwise`.slice(0, 76);
      const names = new Set(this.tries.setups.map((one) => one.name));
      let name = called;
      for (let number = 2; names.has(name); number += 1) name = `${called} ${number}`;
      const now = { name, changes: {} };
      this.tries.setups.push(now);
      this.instead = { of: this.tries.setups[0], now };
      // Beside the others, which stay under the hand that pulls.
      this.curves.push([]);
      $("cards").append(this.card(now, this.tries.setups.length - 1));
      $("cards").firstElementChild.querySelector("header button:last-child").disabled = false;
      this.tries.page.say(`“${this.tries.setups[0].name}” stays as it is, as all others are compared with it: what you change is the new set-up “${name}”.`);
      into = this.tries.setups.length - 1;
    }
    this.pulledAt = titleOf(curve);
    this.tries.ask({ pull: { setup: into, axle: curve.axle, damper: curve.name, ...point } });
  }

  /** A curve was let go: one that showed another set-up shows its own again. */
  letGo() {
    if (!this.instead) return;
    const number = this.tries.setups.indexOf(this.instead.of);
    this.instead = null;
    if (this.curves[number]) this.curves[number].of = null;
    this.tries.ask();
  }

  /** Say the forces that a change of a damper's valving comes to, at the speeds of its points. */
  forces(card, setup, own, run) {
    for (const row of card.querySelectorAll(".change[data-of]")) {
      const path = row.dataset.of;
      if (own.called[path]) written(row.firstElementChild.firstChild, own.called[path]);
      const [, axle, name, side, part] = /^(front|rear)\.dampers\.([^.]+)\.valving(?:\.(compression|rebound)\.(low|knee|high))?$/.exec(path) ?? [];
      const curve = run?.truck.curves.find((one) => one.axle === axle && one.name === name);
      if (!curve) continue;
      const points = curve.handles.map((point) => pointWords(point, this.tries.said.system));
      const at = side && part !== "knee" && points.length === 4 ? points[(side === "rebound" ? 2 : 0) + (part === "high" ? 1 : 0)] : "";
      const whole = curve.times ? `force × ${curve.times}` : points.join(", ");
      written(row.querySelector(".force"), side ? at : whole);
    }
  }

  drawCurves(card, setup, run) {
    const place = card.querySelector(".curves");
    const own = this.curves[setup];
    const { truck } = run;
    if (own.length !== truck.curves.length) {
      own.length = 0;
      place.replaceChildren();
      truck.curves.forEach((curve, number) => {
        own.push(new Curve(place, titleOf(curve), {
          pull: (point) => this.pull(setup, curve, point),
          times: (factor) => this.pull(setup, curve, { factor }),
          holds: (held) => { if (!held) this.letGo(); },
        }));
      });
    }
    // The list itself is laid out anew with its card.
    if (own.of === truck && own.system === this.tries.said.system && own.largest === this.largest) return;
    [own.of, own.system, own.largest] = [truck, this.tries.said.system, this.largest];
    truck.curves.forEach((curve, number) => own[number].draw(curve, truck.forces[`${curve.axle}.${curve.name}.curve_n`], this.tries.said.system, this.largest));
  }
}
