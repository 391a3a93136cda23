/* Set-ups that are tried: cards with changes, one course for all, and what comes back drawn as it comes. */
import { TruckView, frameAt, frameCount } from "../truck/truck.js";
import { Beside } from "./beside.js";
import { Curve, pointWords } from "./curve.js";
import { Figures } from "./figures.js";
import { Launch } from "./launch.js";
import { make, written } from "./make.js";
import { OwnCourse } from "./own_course.js";
import { LOOKS, Plots, keyLine } from "./plots.js";
import { Vary } from "./vary.js";

const $ = (id) => document.getElementById(id);
const MOST = 8;
const JUDGE_AFTER_MS = 300;

/** What keys are called that a lift writes and the form has no box for. */
const NO_BOX = { free_camber: "arch without load, more than at ride as measured" };

/** Runs, trucks and roads that are kept for what is asked next, and how many of them the server is said to leave out: fewer, as answers may still be on their way. */
const [KEPT, HAD] = [128, 64];

/** Lines that a name has in its card, for browsers that do not size a box by what is in it (the style has `field-sizing`). */
function linesOf(name) {
  return Math.max(1, Math.ceil(name.length / 26));
}

/** What a damper's curve is called: the first set of an axle is mostly its only one. */
function titleOf({ axle, name }) {
  return `${axle}: ${name === "added" ? "second set" : name}`;
}

/** The arrays of an answer whose names begin so, by the rest of their names. */
function named(data, prefix) {
  const own = {};
  for (const [name, values] of Object.entries(data)) if (name.startsWith(prefix)) own[name.slice(prefix.length)] = values;
  return own;
}

export class Tries {
  constructor(page) {
    this.page = page;
    const { trial } = page.given;
    this.setups = trial.setups?.length ? trial.setups : [{ name: "As it is", changes: {} }, { name: "To try", changes: {} }];
    this.labels = new Map([...$("all-fields").options].map((option) => [option.value, `${option.parentElement.label}: ${option.textContent.trim()}`]));
    this.launch = new Launch(this);
    if (trial.launch) $("course").value = this.launch.own;
    if (trial.course && page.given.courses.includes(trial.course)) $("course").value = trial.course;
    $("speed").value = trial.speed || this.ownSpeed();
    const before = page.before.tries;
    if (before) {
      this.setups = before.setups;
      if ([...$("course").options].some((option) => option.value === before.course)) $("course").value = before.course;
      [$("speed").value, $("load").value] = [before.speed, before.load];
    }
    /** Marks of scenarios that this page has opened or saved, by file: it may write over those as they were then, with a copy beside them. */
    this.known = before?.known ?? { ...page.given.known };
    // One that was saved here is saved again; one of another name or folder stays as it is.
    if (trial.name) $("scenario-name").value = Object.keys(page.given.known).length ? trial.name : `${trial.name} 2`;
    if (before?.called) $("scenario-name").value = before.called;
    $("open-scenario").onchange = () => this.open();
    this.launch.fill(before?.launch ?? undefined);
    this.launch.shown();
    this.views = [];
    this.curves = [];
    this.plots = new Plots($("plots"), (time) => this.goTo(time));
    this.figures = new Figures($("measures"));
    this.time = 0;
    /** Of numbers that may vary, a first and a last value to begin with: of the truck and the speed of the latest answer. */
    this.ranges = {};
    /** Runs, trucks and roads that came, by their ids, those of the latest answer last: of these the server says the id alone. */
    this.had = new Map();
    this.slideToSpeed();
    $("course").onchange = () => {
      if (page.given.speeds[$("course").value]) $("speed").value = this.ownSpeed();
      this.slideToSpeed();
      this.launch.fill();
      this.launch.shown();
      this.vary.chosen();
      this.ask();
    };
    $("speed").oninput = () => { this.slideToSpeed(); this.ask(); };
    $("speed-slide").oninput = () => {
      $("speed").value = `${$("speed-slide").value} ${this.speedUnit()}`;
      this.ask();
    };
    $("load").oninput = () => this.ask();
    $("add").onclick = () => this.add({ name: `Set-up ${this.setups.length + 1}`, changes: {} });
    $("time").oninput = () => { this.playing(false); this.goTo(Number($("time").value) * this.lasts()); };
    $("play").onclick = () => this.playing($("play").getAttribute("aria-pressed") !== "true");
    $("keep-scenario").onsubmit = (event) => { event.preventDefault(); this.keep(); };
    this.beside = new Beside(this);
    this.vary = new Vary(this);
    this.ownCourse = new OwnCourse(page, (name) => {
      if (![...$("course").options].some((option) => option.value === name)) $("courses").append(make("option", {}, name));
      if (![...$("launch-over").options].some((option) => option.value === name)) $("launch-over").append(make("option", {}, name));
      $("course").value = name;
      this.launch.shown();
      this.ask();
    });
    this.build();
    this.keptAs = before?.keptAs ?? this.toKeep();
    this.keptRun = before?.keptRun ?? this.run();
  }

  /** What is remembered over a reload; what was saved before is still that. */
  toRemember() {
    return { ...this.asked(), typed: this.launch.asTyped, keptAs: this.keptAs, keptRun: this.keptRun, works: this.beside.last, known: this.known, called: $("scenario-name").value };
  }

  /** Open a scenario of this truck, or the truck alone: the page is loaded anew with it. */
  async open() {
    const said = await this.page.post("open", { file: $("open-scenario").value });
    $("open-said").textContent = said.ok ? "" : said.why;
    if (!said.ok) return;
    this.page.forget();
    location.reload();
  }

  /** What a scenario's file would keep and is not typed again in a moment, as a course and a speed are. */
  toKeep() {
    return JSON.stringify([this.asked().setups, this.vary.said()]);
  }

  /** What is driven over, and how: a speed that the page offered is the same one in other units. */
  run() {
    const { course, speed, load, launch } = this.asked();
    return JSON.stringify(launch ? [load, launch] : [course, speed === this.offered ? "" : speed, load]);
  }

  /** Whether what is on the page is not what a scenario's file has. */
  changedSince() {
    return this.toKeep() !== this.keptAs || this.run() !== this.keptRun;
  }

  /** Set-ups that were not saved, a line for each change; none where they are as they came, or as they were saved. */
  unsaved() {
    if (this.toKeep() === this.keptAs) return [];
    return this.setups.flatMap(({ name, changes }) => [`set-up ${name}:`, ...Object.entries(changes).map(([path, value]) => `  ${path}: ${typeof value === "object" ? JSON.stringify(value) : value}`)]);
  }

  /** The speed that a course begins with, in the units that are shown. */
  ownSpeed() {
    const text = this.page.given.speeds[$("course").value] || this.page.given.speed;
    this.offered = this.system === "inch" ? `${Math.round(Number.parseFloat(text) / 1.609344)} mph` : text;
    return this.offered;
  }

  /** Show in another system: what was offered and nobody touched is offered in that. */
  shownIn(system) {
    if (system === this.system) return;
    this.system = system;
    $("load").placeholder = system === "inch" ? "none, or 600 lb" : "none, or 300 kg";
    if ($("speed").value !== this.offered) return;
    $("speed").value = this.ownSpeed();
    this.slideToSpeed();
  }

  asked() {
    return {
      course: $("course").value, speed: $("speed").value, load: $("load").value, launch: this.launch.asked(),
      setups: this.setups.map(({ name, changes }) => ({ name, changes })),
    };
  }

  speedUnit() {
    const unit = $("speed").value.replace(/^[\s\d.,]+/, "").trim();
    return unit || "km/h";
  }

  slideToSpeed() {
    const number = Number.parseFloat($("speed").value);
    if (Number.isFinite(number)) $("speed-slide").value = number;
  }

  ask(more = {}) {
    if ($("try").hidden) return;
    this.lastAsked = this.page.asks("run", { ...this.asked(), have: [...this.had.keys()].slice(-HAD), ...more });
  }

  shown(shown) {
    if (!shown) this.playing(false);
    else {
      this.lists();
      this.plots.sized();
    }
  }

  /** Say in every list what the truck has now; one that somebody has open says it since it was opened. */
  lists() {
    if ($("try").hidden) return;
    for (const choose of document.querySelectorAll("#cards .choose")) if (choose !== document.activeElement) this.choices(choose);
    this.vary.lists();
  }

  add(setup) {
    if (this.setups.length >= MOST) return;
    // Two of one name could not be told apart, and a file cannot hold both.
    const names = new Set(this.setups.map((own) => own.name));
    let { name } = setup;
    for (let number = 2; names.has(name); number += 1) name = `${setup.name} ${number}`;
    this.setups.push({ name, changes: { ...setup.changes } });
    this.touched(this.setups.at(-1));
    this.build();
    this.ask();
    [...document.querySelectorAll("#cards .name")].at(-1).focus();
  }

  /** Somebody works on a set-up: it is the one to tune and to order, until another one is touched. */
  touched(setup) {
    this.latest = setup;
    this.vary?.starts();
  }

  /** The set-up that somebody works on: touched last, or else the last one. */
  working() {
    return this.setups.includes(this.latest) ? this.latest : this.setups.at(-1);
  }

  /** Lay the cards out anew: after a set-up or a change came or went. */
  build() {
    this.vary?.starts();
    this.curves = this.setups.map(() => []);
    $("cards").replaceChildren(...this.setups.map((setup, number) => this.card(setup, number)));
    $("add").disabled = this.setups.length >= MOST;
  }

  card(setup, number) {
    // In as many lines as it takes: a name that is cut is another's. It is one line of text all the same.
    const name = make("textarea", { class: "name", "aria-label": `Name of set-up ${number + 1}`, value: setup.name, maxlength: 80, rows: linesOf(setup.name) });
    name.onkeydown = (event) => { if (event.key === "Enter") { event.preventDefault(); name.blur(); } };
    name.oninput = () => {
      if (/[\r\n]/.test(name.value)) name.value = name.value.replace(/[\r\n]+/g, " ");
      name.rows = linesOf(name.value);
      setup.name = name.value;
      this.touched(setup);
      this.ask();
    };
    const copy = make("button", { type: "button", onclick: () => this.add(setup) }, "Copy");
    const out = make("button", { type: "button", "aria-label": `Take ${setup.name} out`, onclick: () => {
      this.setups.splice(number, 1);
      this.build();
      this.ask();
    } }, "×");
    out.disabled = this.setups.length < 2;
    const rows = this.rows(setup);
    const choose = make("select", { class: "choose", "aria-label": `Change something in ${setup.name}` }, make("option", { value: "" }, "Change something …"));
    // What the truck has now is said beside each, as it is when somebody looks.
    choose.onpointerdown = choose.onfocus = () => this.choices(choose);
    this.choices(choose);
    choose.onchange = () => {
      if (!choose.value || choose.value in setup.changes) return;
      // Of words to choose from, the first where nobody knows which the truck has.
      if (choose.value.endsWith(".dampers.added")) {
        this.second(setup, choose.value);
        return;
      }
      const box = document.querySelector(`select[data-path="${CSS.escape(choose.value)}"]`);
      const known = [...(box?.options ?? [])].some((option) => option.value === this.written(choose.value));
      setup.changes[choose.value] = box && !known ? box.options[1].value : this.written(choose.value);
      this.touched(setup);
      this.build();
      this.ask();
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
    for (const key of ["length_collapsed", "length_extended", "body.behind_front_axle", "axle.ahead"]) setup.changes[`${path}.${key}`] = this.written(`${main}.${key}`);
    this.touched(setup);
    this.build();
    this.ask();
  }

  rows(setup) {
    return make("div", { class: "rows" }, ...Object.keys(setup.changes).map((path) => this.change(setup, path)));
  }

  /** Fill a list with what may be changed, by part, with what the truck has there; what goes with other springs is left out. */
  choices(choose, kept = false) {
    const before = kept ? [...choose.children] : [choose.options[0]];
    const groups = [...$("all-fields").children].map((group) => {
      const own = make("optgroup", { label: group.label });
      for (const option of group.children) {
        const box = document.querySelector(`[data-path="${CSS.escape(option.value)}"]`);
        if (box?.closest(".cell").hidden) continue;
        const now = this.written(option.value);
        // In a list that stays on what was chosen, the group's name is out of sight.
        const words = kept ? `${group.label}: ${option.textContent.trim()}` : option.textContent;
        own.append(make("option", { value: option.value, "data-called": `${group.label}: ${option.textContent.trim()}` }, now ? `${words}: now ${now.replaceAll("_", " ")}` : words));
      }
      return own;
    });
    choose.replaceChildren(...before, ...groups.filter((group) => group.children.length));
    choose.value = "";
  }

  /** What the truck has at a path now. */
  written(path) {
    const box = document.querySelector(`[data-path="${CSS.escape(path)}"]`);
    if (box?.tagName === "SELECT") return box.value || (box.options[0].textContent in { "": 0, "not known": 0 } ? "" : box.options[0].textContent);
    // A box that was emptied is taken as estimated, not as the file has it.
    return (this.page.edits[path] ?? box?.dataset.was) || (box?.dataset.instead ?? box?.dataset.taken)?.replace(/^about\s+|\s*\+-.*$/g, "") || "";
  }

  /** What a path is called: as in the form, or its own keys in plain letters. */
  label(path) {
    const [first, ...rest] = path.split(".");
    const axle = first[0].toUpperCase() + first.slice(1);
    const plain = [axle, ...rest].join(": ").replaceAll("_", " ");
    const noBox = NO_BOX[rest.at(-1)];
    const ofMain = this.labels.get(path.replace(".dampers.added.", ".dampers.main."));
    if (ofMain && path.includes(".dampers.added.")) return ofMain.replace(" dampers: ", " dampers, second set: ");
    return this.labels.get(path) ?? (noBox ? `${axle} ${rest[0]}: ${noBox}` : plain);
  }

  change(setup, path) {
    const value = setup.changes[path];
    const label = this.label(path);
    const out = make("button", { type: "button", "aria-label": `Take out: ${label}`, onclick: () => {
      delete setup.changes[path];
      this.build();
      this.ask();
    } }, "×");
    if (value !== null && typeof value === "object") {
      return make("div", { class: "change", "data-of": path }, this.labelled(label), make("span", { class: "fixed", title: JSON.stringify(value) }, value.mass ?? (path.endsWith(".valving") ? "" : "as in the file")), out);
    }
    const words = [...(document.querySelector(`select[data-path="${CSS.escape(path)}"]`)?.options ?? [])].filter((option) => option.value);
    const box = words.length
      ? make("select", { "aria-label": label, "data-change": path }, ...words.map((option) => make("option", { value: option.value }, option.textContent)))
      : make("input", { "aria-label": label, "data-change": path });
    box.value = value ?? "none";
    box.oninput = () => { setup.changes[path] = box.value; this.touched(setup); this.ask(); };
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
      const slide = make("input", { type: "range", min: ends[0], max: ends[1], step: whole ? 1 : far / 240, "aria-label": `${this.label(path)}, by slider` });
      slide.value = number;
      slide.oninput = () => {
        box.value = `${whole ? slide.value : Number(Number(slide.value).toPrecision(3))} ${unit}`.trim();
        row.dataset.slid = setup.changes[path] = box.value;
        this.touched(setup);
        this.ask();
      };
      row.append(slide);
    }
  }

  heard(said) {
    this.ranges = said.ranges;
    const loose = this.launch.on ? this.launch.wrong(said.problems) : said.problems;
    this.launch.needs(said.needs ?? []);
    const wrong = loose.map((row) => [row.where.replace(/^run\.?/, ""), row.message].filter(Boolean).join(": ")).join(" · ");
    $("asked-error").textContent = wrong;
    const cannot = said.problems.length > 0 || Boolean(said.needs);
    this.stale(cannot);
    $("run-said").hidden ||= cannot;
    if (cannot) return;
    if (said.pulled) this.pulled(said.pulled);
    const runs = said.setups.map((own, number) => (own.problems.length ? null : this.runOf(own, `${number}.`, said)));
    const ground = said.road ? this.kept(said.road.id, said.data.road && { ...said.road, height_m: said.data.road }) : null;
    if (runs.includes(undefined) || ground === undefined) {
      // Never of this page's own doing; whatever it is, all of it is asked for.
      this.had.clear();
      this.ask();
      return;
    }
    this.said = said;
    this.runs = runs;
    $("run-said").hidden = true;
    said.setups.forEach((own, number) => {
      const card = $("cards").children[number];
      if (!card) return;
      written(card.querySelector(".error"), own.problems.map((row) => [row.where, row.message, row.suggestion].filter(Boolean).join(": ")).join(" · "));
      // Of an answer to what is asked no more, the numbers may be those of another set-up.
      if (said.seq === this.lastAsked) this.slides(card, this.setups[number], own.numbers);
      // While the reference is pulled, its curve shows the set-up that comes of it.
      const shown = this.instead?.of === this.setups[number] ? this.runs[this.setups.indexOf(this.instead.now)] ?? this.runs[number] : this.runs[number];
      if (shown) this.drawCurves(card, number, shown);
      if (this.setups[number] && said.seq === this.lastAsked) this.forces(card, number, own, this.runs[number]);
      const { setup, curve, why } = this.refused ?? {};
      for (const own of this.curves[number]) own.refused(setup === number && own.title === curve ? why : "");
    });
    this.drawTrucks(ground);
    this.figures.show(said.setups, this.runs);
    this.plots.draw(this.runs, said.system);
    this.goTo(Math.min(this.time, this.lasts()));
    $("clock").dataset.lasts = this.lasts();
    document.body.dataset.drawn = said.seq;
    this.judge(said.seq);
  }

  /** Ask what the set-ups of a launch come to, once nobody moves a number for a moment: it takes longer than a picture. */
  judge(seq) {
    clearTimeout(this.judging);
    if (!this.launch.on) {
      this.launch.says("");
      return;
    }
    // What stands there is of what was drawn before.
    $("verdict").classList.add("stale");
    this.judging = setTimeout(() => {
      if (seq !== this.lastAsked || !this.launch.on) return;
      [this.lastJudged, this.judgedOf] = [this.page.asks("judge", this.asked()), seq];
    }, JUDGE_AFTER_MS);
  }

  judged(said) {
    if (said.seq !== this.lastJudged || !this.launch.on || this.isStale || this.judgedOf !== this.lastAsked) return;
    this.launch.says(said.sentence);
    $("verdict").classList.remove("stale");
    // For whoever waits until it is said: tests.
    document.body.dataset.judged = this.judgedOf;
  }

  /** The run of a set-up of an answer, as it came now or before; undefined: it never came. */
  runOf(own, prefix, said) {
    if (own.step_s === undefined) return this.kept(own.id);
    // What is drawn of a truck is the same at every speed and over every course, and comes once.
    const came = said.trucks[own.truck];
    const truck = this.kept(own.truck, came && { ...came, forces: named(said.data, `${own.truck}.`) });
    const channels = named(said.data, prefix);
    return truck && this.kept(own.id, { ...own, truck, frames: { step_s: own.step_s, channels }, channels });
  }

  /** What has an id, kept from now on if it is new; the very object, so that what is drawn of it need not be drawn again. */
  kept(id, fresh) {
    const own = this.had.get(id) ?? fresh;
    if (own === undefined) return undefined;
    this.had.delete(id);
    this.had.set(id, own);
    if (this.had.size > KEPT) this.had.delete(this.had.keys().next().value);
    return own;
  }

  /** What is shown is of what was asked for before. */
  stale(on) {
    if (this.isStale === on) return;
    this.isStale = on;
    for (const place of [$("trucks"), $("measures"), $("plots"), $("verdict")]) place.classList.toggle("stale", on);
    $("stale-run").hidden = !on;
  }

  /** A curve was pulled: what that writes stands in its set-up from now on. */
  pulled({ setup, changes, gone, why }) {
    const own = this.setups[setup];
    if (!own) return;
    this.refused = why ? { setup, curve: this.pulledAt, why } : null;
    if (why) return;
    const fresh = gone.length > 0 || Object.keys(changes).some((path) => !(path in own.changes));
    for (const path of gone) delete own.changes[path];
    Object.assign(own.changes, changes);
    this.touched(own);
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
    const aside = this.instead?.of === this.setups[setup] ? this.setups.indexOf(this.instead.now) : -1;
    let into = aside >= 0 ? aside : setup;
    if (into === 0 && !Object.keys(this.setups[0].changes).length && this.setups.length < MOST) {
      const called = `${this.setups[0].name}, ${curve.axle} dampers otherwise`.slice(0, 76);
      const names = new Set(this.setups.map((one) => one.name));
      let name = called;
      for (let number = 2; names.has(name); number += 1) name = `${called} ${number}`;
      const now = { name, changes: {} };
      this.setups.push(now);
      this.instead = { of: this.setups[0], now };
      // Beside the others, which stay under the hand that pulls.
      this.curves.push([]);
      $("cards").append(this.card(now, this.setups.length - 1));
      $("cards").firstElementChild.querySelector("header button:last-child").disabled = false;
      this.page.say(`“${this.setups[0].name}” stays as it is, as all others are compared with it: what you change is the new set-up “${name}”.`);
      into = this.setups.length - 1;
    }
    this.pulledAt = titleOf(curve);
    this.ask({ pull: { setup: into, axle: curve.axle, damper: curve.name, ...point } });
  }

  /** A curve was let go: one that showed another set-up shows its own again. */
  letGo() {
    if (!this.instead) return;
    const number = this.setups.indexOf(this.instead.of);
    this.instead = null;
    if (this.curves[number]) this.curves[number].of = null;
    this.ask();
  }

  /** Say the forces that a change of a damper's valving comes to, at the speeds of its points. */
  forces(card, setup, own, run) {
    for (const row of card.querySelectorAll(".change[data-of]")) {
      const path = row.dataset.of;
      if (own.called[path]) written(row.firstElementChild.firstChild, own.called[path]);
      const [, axle, name, side, part] = /^(front|rear)\.dampers\.([^.]+)\.valving(?:\.(compression|rebound)\.(low|knee|high))?$/.exec(path) ?? [];
      const curve = run?.truck.curves.find((one) => one.axle === axle && one.name === name);
      if (!curve) continue;
      const points = curve.handles.map((point) => pointWords(point, this.said.system));
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
    if (own.of === truck && own.system === this.said.system) return;
    [own.of, own.system] = [truck, this.said.system];
    truck.curves.forEach((curve, number) => own[number].draw(curve, truck.forces[`${curve.axle}.${curve.name}.curve_n`], this.said.system));
  }

  drawTrucks(ground) {
    const place = $("trucks");
    if (place.children.length !== this.runs.length) {
      this.views = this.runs.map((_, number) => {
        const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
        svg.setAttribute("role", "img");
        const caption = make("figcaption", {}, keyLine(number), make("span", {}));
        return { svg, caption, figure: make("figure", {}, caption, svg), view: new TruckView(svg, { labels: false }) };
      });
      place.replaceChildren(...this.views.map(({ figure }) => figure));
    }
    this.runs.forEach((run, number) => {
      const own = this.views[number];
      const { name } = this.said.setups[number];
      if (own.name !== name) own.svg.setAttribute("aria-label", `${name}, moving over the course`);
      written(own.caption.lastChild, name);
      own.name = name;
      own.figure.classList.toggle("stale", !run);
      if (!run) return;
      // The road first, then the scene; both draw what stood there before, so only where they are new.
      if (own.scene !== run.truck.scene_id) {
        own.scene = run.truck.scene_id;
        own.view.last = null;
        own.view.scene(run.truck.scene);
        own.room = own.view.room;
        this.scaled = null;
      }
      own.view.ground = ground ?? own.view.ground;
    });
    this.oneScale();
  }

  /** All trucks at one scale on one ground, with a line at the height of the first one's roof: a lift is seen. */
  oneScale() {
    const shown = this.views.filter((_, number) => this.runs[number]);
    const key = shown.map(({ scene }) => scene).join();
    if (!shown.length || this.scaled === key) return;
    this.scaled = key;
    const rooms = shown.map(({ view, room }) => room ?? view.room);
    const from = Math.min(...rooms.map((room) => room.from));
    const width = Math.max(...rooms.map((room) => room.from + room.width)) - from;
    const high = Math.max(...rooms.map((room) => room.high));
    shown.forEach(({ view }, number) => view.share({ from, width, high }, number ? shown[0].view.roof_m : null));
  }

  lasts() {
    return Math.max(0, ...(this.runs ?? []).filter(Boolean).map((run) => run.step_s * (frameCount(run.frames) - 1)));
  }

  goTo(time) {
    this.time = time;
    (this.runs ?? []).forEach((run, number) => {
      const own = this.views[number];
      if (!run || !own) return;
      const shown = [run, own.view.ground, time];
      if (own.shown?.every((one, i) => one === shown[i])) return;
      own.shown = shown;
      own.view.draw(frameAt(run.frames, time));
    });
    $("time").value = this.lasts() ? time / this.lasts() : 0;
    written($("clock"), `${time.toFixed(2)} s`);
    this.plots.at(time);
  }

  playing(on) {
    $("play").setAttribute("aria-pressed", on);
    $("play").textContent = on ? "Stop" : "Play";
    cancelAnimationFrame(this.next);
    if (!on) return;
    if (this.time >= this.lasts() - 0.02) this.time = 0;
    let last = performance.now();
    const step = (now) => {
      this.goTo(Math.min(this.time + ((now - last) / 1000) * ($("slow").checked ? 0.25 : 1), this.lasts()));
      last = now;
      if (this.time >= this.lasts()) this.playing(false);
      else this.next = requestAnimationFrame(step);
    };
    this.next = requestAnimationFrame(step);
  }

  /** Save the set-ups as a scenario; returns its file, or nothing if it was not written. */
  async keep() {
    const [sent, run] = [this.toKeep(), this.run()];
    const said = await this.page.post("scenario", { name: $("scenario-name").value, ...this.asked(), vary: this.vary.asked(), known: this.known });
    if (!said.ok) {
      this.refusedToKeep(said);
      return "";
    }
    $("scenario-said").textContent = `Saved ${said.file}.${said.copy ? ` What was there is kept as ${said.copy}.` : ""}`;
    [this.keptAs, this.keptRun] = [sent, run];
    this.known[said.file] = said.mark;
    if (![...$("open-scenario").options].some((option) => option.value === said.file)) $("open-scenario").append(make("option", {}, said.file));
    $("open-scenario").closest("label").hidden = false;
    this.beside.works(said.file, said.works);
    this.page.remember();
    return said.file;
  }

  /** Say why it is not saved; where a scenario of that name is there, ask whether to write over it. */
  refusedToKeep({ why, conflict, file, mark }) {
    const over = make("button", { type: "button", onclick: () => { this.known[file] = mark; this.keep(); } }, `Write over ${file}`);
    const not = make("button", { type: "button", onclick: () => { $("scenario-said").textContent = ""; $("scenario-name").focus(); } }, "Choose another name");
    $("scenario-said").replaceChildren(make("span", {}, why), ...(conflict === "ThereError" ? [make("br"), over, " ", not] : []));
    if (conflict === "ThereError") over.focus();
  }
}
