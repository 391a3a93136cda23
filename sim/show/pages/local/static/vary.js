/* Numbers of a scenario that a sweep takes through their range, or a tuning searches the best of. */
import { make } from "./make.js";

const $ = (id) => document.getElementById(id);
const MOST = { sweep: 2, tune: 6 };

export class Vary {
  /** @param tries  the side on which set-ups are tried, which knows what the truck has */
  constructor(tries) {
    this.tries = tries;
    this.rows = [];
    $("vary-what").onchange = () => this.chosen();
    $("vary-add").onclick = () => this.add();
    $("vary-start").onchange = () => {
      this.start = tries.setups[$("vary-start").selectedIndex];
      tries.touched(this.start);
    };
    this.chosen();
    const { vary } = tries.page.given.trial;
    if (vary) this.fill(vary);
    /** What the form says as it was opened: untouched, the file's own words are kept. */
    this.opened = JSON.stringify(this.said());
  }

  /** Fill the form with what a scenario's file says. */
  fill({ what, rows, goals, limits, start }) {
    // A file that names none is tuned from its first set-up.
    if (what === "tune") this.start = this.tries.setups.find((own) => own.name === start) ?? this.tries.setups[0];
    $("vary-what").closest("details").open = true;
    $("vary-what").value = what;
    this.most = Math.max(MOST[what], rows.length);
    while (this.rows.length) this.rows.pop().line.remove();
    for (const own of rows) {
      this.add();
      const row = this.rows.at(-1);
      const value = own.kind === "value" ? own.path : `${own.path}|${own.kind}`;
      row.own = make("option", { value, "data-called": own.called }, own.called || own.path);
      this.offer(row);
      row.path.value = value;
      [row.first.value, row.last.value] = [own.first, own.last];
      if (own.points) row.points.value = own.points;
    }
    const known = new Map([...document.querySelectorAll("#vary-goals input")].map((box) => [box.value, box]));
    const run = this.tries.launch.on ? "launch" : "course";
    const shown = (name) => known.has(name) && (known.get(name).closest("label").dataset.run ?? run) === run;
    for (const box of known.values()) box.checked = what === "tune" ? goals.includes(box.value) : !("asked" in box.dataset);
    for (const box of this.limits()) box.value = limits[box.dataset.measure] ?? "";
    for (const goal of goals.filter((name) => !shown(name))) {
      $("vary-goals").append(make("label", {}, make("input", { type: "checkbox", value: goal, checked: true }), goal.replaceAll("_", " ")));
    }
    this.chosen();
  }

  get what() {
    return $("vary-what").value;
  }

  /** Boxes of what must be left to the bump stops. */
  limits() {
    return [...document.querySelectorAll("#vary-limits input")];
  }

  /** Show what goes with a sweep, with a tuning, or nothing. */
  chosen() {
    $("vary-add").hidden = $("vary-rows").hidden = !this.what;
    $("vary-goals").hidden = $("vary-limits").hidden = $("vary-from").hidden = this.what !== "tune";
    this.starts();
    // What is asked of a truck that pulls away is not what is asked over a course.
    const run = this.tries.launch.on ? "launch" : "course";
    for (const goal of $("vary-goals").querySelectorAll("[data-run]")) goal.hidden = goal.dataset.run !== run;
    if (!this.what) return;
    const most = Math.max(MOST[this.what], this.most ?? 0);
    while (this.rows.length > most) this.rows.pop().line.remove();
    if (!this.rows.length) this.add();
    for (const row of this.rows) {
      row.points.closest("label").hidden = this.what !== "sweep";
      this.offer(row);
    }
    $("vary-add").disabled = this.rows.length >= MOST[this.what];
  }

  /** Fill the list of set-ups to tune: the one that was chosen, or else the one that somebody works on. */
  starts() {
    const { setups } = this.tries;
    const chosen = setups.includes(this.start) ? this.start : this.tries.working();
    $("vary-start").replaceChildren(...setups.map(({ name }, number) => make("option", { value: number }, name)));
    $("vary-start").selectedIndex = setups.indexOf(chosen);
  }

  add() {
    const number = this.rows.length + 1;
    const path = make("select", { "aria-label": `Number ${number} that varies` });
    const [first, last, points] = ["from", "to", "values"].map((word) => make("input", { "aria-label": `Number ${number}: ${word}` }));
    points.value = "9";
    const out = make("button", { type: "button", "aria-label": `Take number ${number} out` }, "×");
    const line = make("div", { class: "varied" }, path, make("label", {}, "from ", first), make("label", {}, "to ", last), make("label", {}, "values ", points), out);
    const row = { line, path, first, last, points };
    path.onchange = () => this.range(row);
    // What the truck has now is said beside each, as it is when somebody looks.
    path.onpointerdown = path.onfocus = () => this.offer(row);
    out.onclick = () => {
      this.rows.splice(this.rows.indexOf(row), 1);
      line.remove();
      this.chosen();
    };
    this.rows.push(row);
    $("vary-rows").append(line);
    this.chosen();
  }

  /** Say beside each number what the truck has now, but for a list that somebody has open. */
  lists() {
    this.starts();
    for (const row of this.rows) if (row.path !== document.activeElement) this.offer(row);
  }

  /** Fill a row's list: what a set-up may change, and what only a sweep or only a tuning can. */
  offer(row) {
    const kept = row.path.value;
    row.path.replaceChildren(make("option", { value: "" }, "Choose a number …"));
    const own = make("optgroup", { label: this.what === "sweep" ? "The run" : "Force of dampers" });
    for (const [value, words, of] of this.tries.page.given.varied) if (of === this.what && !(value === "run.speed" && this.tries.launch.on)) own.append(make("option", { value }, words));
    // What the file moves may be what the page does not offer, such as two tyres together; it comes first, under the file's own words.
    if (row.own) row.path.append(make("optgroup", { label: "As in the file" }, row.own));
    row.path.append(own);
    this.tries.changeable.choices(row.path, true);
    row.path.value = [...row.path.options].some((option) => option.value === kept) ? kept : "";
  }

  /** A range to begin with: around what the truck has now, as the server reads it. */
  range(row) {
    const [path, kind] = row.path.value.split("|");
    [row.first.value, row.last.value] = this.tries.ranges[kind ?? path] ?? ["", ""];
  }

  /** What is to vary, as the server takes it; null where nothing is. */
  asked() {
    const said = this.said();
    return this.tries.page.given.trial.vary && JSON.stringify(said) === this.opened ? { as_opened: true } : said;
  }

  said() {
    if (!this.what) return null;
    const rows = this.rows.map(({ path, first, last, points }) => {
      const [place, kind = "value"] = path.value.split("|");
      return { path: place, kind, called: place ? path.selectedOptions[0].dataset.called ?? path.selectedOptions[0].textContent : "", first: first.value, last: last.value, points: points.value };
    });
    const start = this.what === "tune" ? this.tries.setups[$("vary-start").selectedIndex]?.name ?? "" : "";
    const limits = Object.fromEntries(this.limits().map((box) => [box.dataset.measure, box.value]));
    return { what: this.what, rows, start, limits, goals: [...document.querySelectorAll("#vary-goals label:not([hidden]) input:checked")].map((box) => box.value) };
  }
}
