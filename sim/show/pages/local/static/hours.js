/* Hours of track: their boxes, the scenario that is saved of them, and the command that drives it beside the page. */
import { findings } from "./beside.js";
import { make, written } from "./make.js";

const $ = (id) => document.getElementById(id);
const WORDS = "Hours of track";

export class Hours {
  /** @param tries  the side on which set-ups are tried */
  constructor(tries) {
    this.tries = tries;
    this.page = tries.page;
    this.boxes = new Map([...document.querySelectorAll("[data-hours]")].map((box) => [box.dataset.hours, box]));
    const { trial, scenario, known } = this.page.given;
    const before = this.page.before.tries?.hours;
    for (const [key, box] of this.boxes) {
      box.value = before?.values[key] ?? trial.hours?.[key] ?? "";
      box.oninput = () => this.ask();
    }
    // One that was saved here is saved again; one of another name or folder stays as it is.
    if (trial.hours) $("hours-name").value = Object.keys(known).length ? trial.name : `${trial.name} 2`;
    if (before) $("hours-name").value = before.name;
    $("hours").open = before?.open ?? Boolean(trial.hours);
    $("hours").ontoggle = () => this.ask();
    $("hours-go").onclick = () => this.go();
    $("hours-stop").onclick = () => this.stop();
    /** The file that has what the boxes and the set-ups were, and what they were then; none yet: empty. */
    this.file = before?.file ?? (trial.hours ? scenario : "");
    this.keptAs = before?.keptAs ?? (trial.hours ? this.toKeep() : "");
  }

  /** What is remembered over a reload. */
  toRemember() {
    const values = Object.fromEntries([...this.boxes].map(([key, box]) => [key, box.value]));
    return { values, name: $("hours-name").value, open: $("hours").open, file: this.file, keptAs: this.keptAs };
  }

  /** Show in another system: what stands in grey is usual there. */
  shownIn(system) {
    for (const box of this.boxes.values()) box.placeholder = box.dataset[system === "inch" ? "inch" : "metric"];
  }

  /** What is typed; the distance is needed, so that what stands there in grey is sent where it is left empty. */
  values() {
    return Object.fromEntries([...this.boxes].map(([key, box]) => [key, box.value.trim() || (key === "far" ? box.placeholder : "")]));
  }

  /** What a file of it holds. */
  toKeep() {
    return JSON.stringify([this.values(), this.tries.asked().setups, this.tries.run()]);
  }

  /** What an answer is of. */
  seen() {
    return JSON.stringify([this.page.mark, this.page.sent(), this.toKeep()]);
  }

  /** Ask what is wrong with it, and what is driven: of what is typed now. */
  ask() {
    this.outdated();
    if (!$("hours").open || $("try").hidden) return;
    this.lastAsked = this.page.asks("track", { ...this.tries.asked(), hours: this.values() });
  }

  /** Say at its box what is wrong, else what is driven, and which dampers' heat is not known. */
  told({ seq, problems, words, heat }) {
    if (seq !== this.lastAsked) return;
    this.problems = problems;
    const at = new Map(problems.filter((row) => row.box).map((row) => [row.box, row.message]));
    for (const [key, box] of this.boxes) {
      box.classList.toggle("wrong", at.has(key));
      box.setAttribute("aria-invalid", at.has(key));
      written($(`hours-${key}-error`), at.get(key) ?? "");
    }
    written($("hours-error"), problems.filter((row) => !row.box).map((row) => row.message).join(" "));
    $("hours-told").replaceChildren(...words.map((text) => make("p", {}, text)));
    $("hours-heat").hidden = !heat.length;
    $("hours-heat").replaceChildren(...heat.map((text) => make("p", {}, text)));
  }

  /** It cannot be read at all: the truck's form, or the load, is at fault, which is said there. */
  refused(why) {
    this.problems = [{ box: "", message: why }];
    written($("hours-error"), why);
    $("hours-told").replaceChildren();
  }

  /** Save it first where it is not as a file has it, then drive it. */
  go(asWritten = false) {
    if (!asWritten && this.problems?.length) {
      const first = this.problems.find((row) => row.box);
      (first ? this.boxes.get(first.box) : $("hours-error")).scrollIntoView({ block: "center" });
      if (first) this.boxes.get(first.box).focus();
      return;
    }
    const loose = asWritten ? [] : this.notWritten();
    if (loose.length) this.askFirst(loose);
    else this.drive(asWritten);
  }

  /** What the command would not know of, in sentences. */
  notWritten() {
    const truck = this.page.unsaved();
    return [
      ...(truck ? [`Typed into the form and not saved: ${truck}.`] : []),
      ...(this.file && this.toKeep() !== this.keptAs ? [`Set-ups, course, speed, load or the boxes above are not as ${this.file} has them.`] : []),
      ...(this.file ? [] : ["These hours of track are in no file yet."]),
    ];
  }

  get name() {
    return $("hours-name").value.trim() || $("hours-name").placeholder;
  }

  askFirst(loose) {
    this.of = null;
    this.outdated();
    const save = make("button", { type: "button", onclick: () => this.saveFirst() }, "Save, then go on");
    const without = this.file ? [" ", make("button", { type: "button", onclick: () => this.go(true) }, "Go on with the files as they are")] : [];
    $("hours-said").replaceChildren(make("p", { class: "error" }, `${loose.join(" ")} ${this.file ? "It takes the files, and those are without that." : `They are saved as a scenario first, “${this.name}”, beside the truck’s file.`}`), save, ...without);
    this.tries.beside.comesIntoView($("hours-said"));
    save.focus({ preventScroll: true });
  }

  async saveFirst() {
    if (this.page.unsaved() && !(await this.page.save())) return;
    if (this.file && this.toKeep() === this.keptAs) this.drive();
    else if (await this.keep()) this.drive();
  }

  /** Save it as a scenario; returns its file, or nothing if it was not written. */
  async keep() {
    const [kept, { known }] = [this.toKeep(), this.tries];
    const said = await this.page.post("scenario", { name: this.name, ...this.tries.asked(), hours: this.values(), known });
    if (!said.ok) {
      this.refusedToKeep(said);
      return "";
    }
    [this.file, this.keptAs, known[said.file]] = [said.file, kept, said.mark];
    this.tries.offersToOpen(said.file);
    this.page.remember();
    return said.file;
  }

  /** Say why it is not saved; where a scenario of that name is there, ask whether to write over it. */
  refusedToKeep({ why, conflict, file, mark }) {
    const over = make("button", { type: "button", onclick: () => { this.tries.known[file] = mark; this.saveFirst(); } }, `Write over ${file}`);
    const not = make("button", { type: "button", onclick: () => { $("hours-said").textContent = ""; $("hours-name").focus(); } }, "Choose another name");
    $("hours-said").replaceChildren(make("p", { class: "error" }, why), ...(conflict === "ThereError" ? [over, " ", not] : []));
    if (conflict === "ThereError") over.focus();
  }

  drive(asWritten = false) {
    const fresh = !asWritten || !this.notWritten().length;
    this.page.asks("hours", { start: true, file: this.file, command: "endure" });
    this.working(true);
    this.of = { file: this.file, words: WORDS, setup: "", seen: fresh ? this.seen() : "" };
    this.outdated();
    $("hours-said").textContent = `Getting ready: ${this.file} …`;
    this.tries.beside.comesIntoView($("hours-said"));
  }

  stop() {
    this.page.asks("hours", { start: false });
    this.working(false);
    this.of = null;
    this.outdated();
    $("hours-said").textContent = "Stopped. Set-ups that came to the end are kept: started again, it goes on with the others.";
  }

  working(on) {
    $("hours-go").disabled = on;
    $("hours-stop").hidden = $("hours-done").hidden = !on;
    if (on) $("hours-done").removeAttribute("value");
  }

  heard({ done, of, words, why, box, ...came }) {
    if (of) {
      $("hours-done").value = done / of;
      $("hours-said").textContent = words;
      return;
    }
    this.working(false);
    if (why !== undefined) {
      const there = box ? [make("button", { type: "button", onclick: () => this.page.toBox(box) }, "Go to its box")] : [];
      $("hours-said").replaceChildren(make("p", { class: "error" }, why), ...there);
      return;
    }
    $("hours-said").replaceChildren(...findings(this.of ?? { file: this.file, words: WORDS, setup: "" }, came));
    this.outdated();
    // Whoever went on to something else meanwhile stays there.
    if (Math.abs(scrollY - this.tries.beside.leftAt) < 8) this.tries.beside.comesIntoView($("hours-said"));
  }

  /** Say beside the answer that it is of another truck, other set-ups or another run than the page has now. */
  outdated() {
    const old = Boolean(this.of) && this.of.seen !== this.seen();
    $("hours-old").hidden = !old;
    $("hours-said").classList.toggle("old", old);
  }
}
