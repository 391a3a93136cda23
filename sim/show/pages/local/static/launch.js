/* Pulling away: the boxes of a launch, what is wrong with them, and what the truck needs to have filled in before it can. */
import { make, written } from "./make.js";

/** What is typed into the boxes, by its name among the launches: to look at a course meanwhile loses none of it. */
const TYPED = "Pull away: as typed";
/** Boxes of the ground: with another number in one of them it is not the ground that was chosen. */
const OF_GROUND = ["friction", "sliding", "peak_at"];

const $ = (id) => document.getElementById(id);

export class Launch {
  /** @param tries  the side on which set-ups are tried */
  constructor(tries) {
    this.tries = tries;
    this.boxes = new Map([...document.querySelectorAll("#launch [data-launch]")].map((box) => [box.dataset.launch, box]));
    const { trial, scenario } = tries.page.given;
    this.known = { ...tries.page.given.launches };
    if (trial.launch) {
      // First among its like: it is what the page was opened on.
      this.own = `Pull away: as in ${scenario}`;
      this.known[this.own] = trial.launch;
      $("launches").prepend(make("option", {}, this.own));
    }
    this.keeps(tries.page.before.tries?.typed);
    for (const [key, box] of this.boxes) box.oninput = () => this.typed(key);
  }

  /** What was typed, to be remembered over a reload. */
  get asTyped() {
    return this.known[TYPED];
  }

  /** Have what was typed among the launches. */
  keeps(values) {
    if (!values) return;
    if (!this.known[TYPED]) $("launches").prepend(make("option", {}, TYPED));
    this.known[TYPED] = values;
  }

  /** Something was typed into a box: it is none of the launches by name any more. */
  typed(key) {
    if (OF_GROUND.includes(key)) this.ground = "";
    this.keeps(this.asked());
    $("course").value = TYPED;
    this.tries.ask();
  }

  /** Whether a launch is chosen, and not a course. */
  get on() {
    return $("course").value in this.known;
  }

  /** Show what goes with a launch, or with a course at a speed. */
  shown() {
    $("launch").hidden = !this.on;
    for (const id of ["speed", "speed-slide"]) $(id).closest("label").hidden = this.on;
    if (!this.on) {
      this.needs([]);
      this.says("");
    }
  }

  /** Fill the boxes with the launch that was chosen, or with one that was typed before. */
  fill(values = this.known[$("course").value]) {
    if (!values) return;
    this.ground = values.ground ?? "";
    for (const [key, box] of this.boxes) {
      const value = values[key] ?? "";
      // A course that stands in the scenario itself has no name to be chosen by; one whose file is gone is said to be.
      if (key === "over" && value && ![...box.options].some((option) => option.value === value)) {
        this.inFile = typeof value === "object" ? value : null;
        box.append(make("option", { value: this.inFile ? "as in the file" : value }, this.inFile ? "as in the file" : value));
        box.value = this.inFile ? "as in the file" : value;
      } else box.value = value;
    }
  }

  /** The launch as the server takes it; null where a course is chosen. */
  asked() {
    if (!this.on) return null;
    const said = { ground: this.ground };
    for (const [key, box] of this.boxes) said[key] = box.value;
    if (said.over === "as in the file" && this.inFile) said.over = this.inFile;
    return said;
  }

  /** Say what is wrong at its box; returns what is of no box. */
  wrong(problems) {
    const at = new Map(problems.filter((row) => this.boxes.has(row.box)).map((row) => [row.box, row.message]));
    for (const [key, box] of this.boxes) {
      box.classList.toggle("wrong", at.has(key));
      box.setAttribute("aria-invalid", at.has(key));
      written($(`launch-${key}-error`), at.get(key) ?? "");
    }
    return problems.filter((row) => !this.boxes.has(row.box));
  }

  /** Say what is to be filled in before it can pull away, with the way there. */
  needs(rows) {
    const place = $("needs");
    place.hidden = !rows.length;
    if (!rows.length) {
      place.replaceChildren();
      return;
    }
    place.replaceChildren(
      make("p", {}, `To pull away the truck needs, in the form: ${rows.map(({ label }) => label).join("; ")}.`),
      make("button", { type: "button", onclick: () => this.tries.page.toBox(rows[0].path) }, "Fill them in"),
    );
  }

  /** What the set-ups come to, and what that rests on. */
  says(sentence, rests = "") {
    $("verdict-rests").hidden = !sentence || !rests;
    written($("verdict-rests"), rests);
    $("verdict").hidden = !sentence;
    written($("verdict"), sentence && `${sentence}.`);
  }
}
