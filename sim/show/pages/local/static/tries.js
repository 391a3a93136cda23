/* Set-ups that are tried: cards with changes, one course for all, and what comes back drawn as it comes. */
import { Beside } from "./beside.js";
import { Cards, MOST } from "./cards.js";
import { Changeable } from "./changeable.js";
import { Figures } from "./figures.js";
import { Hours } from "./hours.js";
import { Launch } from "./launch.js";
import { make } from "./make.js";
import { Moving } from "./moving.js";
import { OwnCourse } from "./own_course.js";
import { Plots } from "./plots.js";
import { Vary } from "./vary.js";

const $ = (id) => document.getElementById(id);
const JUDGE_AFTER_MS = 300;

/** Runs, trucks and roads that are kept for what is asked next, and how many of them the server is said to leave out: fewer, as answers may still be on their way. */
const [KEPT, HAD] = [128, 64];

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
    this.changeable = new Changeable(page);
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
    if (trial.name && !trial.hours) $("scenario-name").value = Object.keys(page.given.known).length ? trial.name : `${trial.name} 2`;
    if (before?.called) $("scenario-name").value = before.called;
    $("open-scenario").onchange = () => this.open();
    this.launch.fill(before?.launch ?? undefined);
    this.launch.shown();
    this.cards = new Cards(this);
    this.moving = new Moving((time) => this.plots.at(time));
    this.plots = new Plots($("plots"), (time) => this.moving.goTo(time));
    this.figures = new Figures($("measures"));
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
    this.cards.build();
    this.keptAs = before?.keptAs ?? this.toKeep();
    this.keptRun = before?.keptRun ?? this.run();
    this.hours = new Hours(this);
    this.hours.shownIn(this.system);
  }

  /** What is remembered over a reload; what was saved before is still that. */
  toRemember() {
    return { ...this.asked(), typed: this.launch.asTyped, keptAs: this.keptAs, keptRun: this.keptRun, works: this.beside.last, known: this.known, called: $("scenario-name").value, hours: this.hours.toRemember() };
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
    this.hours?.shownIn(system);
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
    this.hours?.ask();
  }

  shown(shown) {
    if (!shown) this.moving.playing(false);
    else {
      this.lists();
      this.plots.sized();
    }
  }

  /** Say in every list what the truck has now; one that somebody has open says it since it was opened. */
  lists() {
    if ($("try").hidden) return;
    for (const choose of document.querySelectorAll("#cards .choose")) if (choose !== document.activeElement) this.changeable.choices(choose);
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
    this.cards.build();
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

  heard(said) {
    this.ranges = said.ranges;
    const loose = this.launch.on ? this.launch.wrong(said.problems) : said.problems;
    this.launch.needs(said.needs ?? []);
    const wrong = loose.map((row) => [row.where.replace(/^run\.?/, ""), row.message].filter(Boolean).join(": ")).join(" · ");
    $("asked-error").textContent = wrong;
    const cannot = said.problems.length > 0 || Boolean(said.needs);
    this.stale(cannot);
    $("run-said").hidden ||= cannot;
    const more = cannot ? [] : said.more_load ?? [];
    $("more-load").hidden = !more.length;
    $("more-load").replaceChildren(...more.map((text) => make("p", {}, text)));
    if (cannot) return;
    if (said.pulled) this.cards.pulled(said.pulled);
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
    this.cards.heard(said, this.runs, said.seq === this.lastAsked);
    this.moving.draw(said.setups, this.runs, ground);
    this.figures.show(said.setups, this.runs);
    this.plots.draw(this.runs, said.system);
    this.moving.goTo(Math.min(this.moving.time, this.moving.lasts()));
    $("clock").dataset.lasts = this.moving.lasts();
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
    this.launch.says(said.sentence, said.rests);
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
    this.offersToOpen(said.file);
    this.beside.works(said.file, said.works);
    this.page.remember();
    return said.file;
  }

  /** Have a file that was saved among the scenarios to open. */
  offersToOpen(file) {
    if (![...$("open-scenario").options].some((option) => option.value === file)) $("open-scenario").append(make("option", {}, file));
    $("open-scenario").closest("label").hidden = false;
  }

  /** Say why it is not saved; where a scenario of that name is there, ask whether to write over it. */
  refusedToKeep({ why, conflict, file, mark }) {
    const over = make("button", { type: "button", onclick: () => { this.known[file] = mark; this.keep(); } }, `Write over ${file}`);
    const not = make("button", { type: "button", onclick: () => { $("scenario-said").textContent = ""; $("scenario-name").focus(); } }, "Choose another name");
    $("scenario-said").replaceChildren(make("span", {}, why), ...(conflict === "ThereError" ? [make("br"), over, " ", not] : []));
    if (conflict === "ThereError") over.focus();
  }
}
