/* What is slow and runs beside the page: commands on a scenario's file, and how sure the differences are. */
import { make } from "./make.js";

const $ = (id) => document.getElementById(id);

/** Commands that are of one set-up, as the server has it. */
const OF_ONE = new Set(["sheet", "tramp"]);

export class Beside {
  /** @param tries  the side on which set-ups are tried */
  constructor(tries) {
    this.tries = tries;
    this.page = tries.page;
    $("sure").onclick = () => this.sure(true);
    $("sure-stop").onclick = () => this.sure(false);
    $("work-stop").onclick = () => this.work(false);
    const before = this.page.before.tries?.works;
    if (before) this.works(before.file, before.works);
    else this.works(this.page.given.scenario, this.page.given.works);
  }

  /** Offer the commands that a scenario can be given to. */
  works(file, works) {
    this.last = { file, works };
    $("work").hidden = !works.length;
    // The set-ups as they are in that file: those of the page may be others by the time that somebody orders.
    const setup = make("select", { "aria-label": "Set-up that is ordered" }, ...this.tries.setups.map(({ name }) => make("option", { value: name }, name)));
    // The truck as it is has its dampers: what is ordered is what somebody works on, or has chosen before.
    const names = this.tries.setups.map(({ name }) => name);
    setup.value = names.includes(this.ordered) ? this.ordered : this.tries.working().name;
    setup.onchange = () => { this.ordered = setup.value; };
    const pullsAway = works.some(({ command }) => command === "tramp");
    const buttons = works.map(({ command, words }) => make("button", { type: "button", onclick: () => this.work(true, file, command, setup.value) }, words));
    $("works").replaceChildren(...buttons, make("label", {}, pullsAway ? "Order sheet and tramp of the set-up " : "Order sheet of the set-up ", setup), make("p", { class: "small" }, `Of ${file}. ${pullsAway ? "An order sheet and tramp are" : "An order sheet is"} of one set-up${works.length > 1 ? ", the others are of all" : ""}.`));
  }

  /** Start a command on a scenario's file, or stop it. Files are what it reads: what is on the page and in none of them is asked about first. */
  work(start, file = "", command = "", setup = "", asWritten = false) {
    const loose = start && !asWritten ? this.notWritten() : [];
    if (loose.length) {
      this.askFirst(loose, file, command, setup);
      return;
    }
    this.page.asks("work", { start, file, command, setup });
    this.workingOn(start);
    this.workOf = start ? { file, words: this.last.works.find((own) => own.command === command)?.words ?? command, setup: OF_ONE.has(command) ? setup : "", seen: asWritten && this.notWritten().length ? "" : this.seen() } : null;
    this.outdated();
    $("work-said").textContent = start ? "Getting ready …" : "Stopped.";
    if (start) this.comesIntoView($("work-said"));
  }

  /** What a command would not know of, in sentences. */
  notWritten() {
    const { page, tries } = this;
    const truck = page.unsaved();
    return [
      ...(truck ? [`Typed into the form and not saved: ${truck}.`] : []),
      ...(tries.changedSince() ? [`Set-ups, course, speed or load are not as ${this.last.file} has them.`] : []),
    ];
  }

  /** Ask whether to save first, or to go on with the files as they are. */
  askFirst(loose, file, command, setup) {
    this.workOf = null;
    this.outdated();
    const save = make("button", { type: "button", onclick: () => this.saveFirst(file, command, setup) }, "Save, then go on");
    const without = make("button", { type: "button", onclick: () => this.work(true, file, command, setup, true) }, "Go on with the files as they are");
    $("work-said").replaceChildren(make("p", { class: "error" }, `${loose.join(" ")} It takes the files, and those are without that.`), save, " ", without);
    this.comesIntoView($("work-said"));
    save.focus({ preventScroll: true });
  }

  async saveFirst(file, command, setup) {
    const { page, tries } = this;
    if (page.unsaved() && !(await page.save())) return;
    if (!tries.changedSince()) this.work(true, file, command, setup, true);
    else {
      const saved = await tries.keep();
      if (saved) this.work(true, saved, command, setup, true);
    }
  }

  workingOn(on) {
    for (const button of $("works").querySelectorAll("button")) button.disabled = on;
    $("work-stop").hidden = $("work-done").hidden = !on;
    if (on) $("work-done").removeAttribute("value");
  }

  workHeard({ done, of, words, why, box, report, picture, tables, said, flags }) {
    if (of) {
      $("work-done").value = done / of;
      $("work-said").textContent = words;
      return;
    }
    this.workingOn(false);
    if (why !== undefined) {
      const there = box ? [make("button", { type: "button", onclick: () => this.page.toBox(box) }, "Go to its box")] : [];
      $("work-said").replaceChildren(make("p", { class: "error" }, why), ...there);
      return;
    }
    const ran = this.workOf ?? { file: this.last.file, words: "Done", setup: "" };
    $("work-said").replaceChildren(...findings(ran, { report, picture, tables, said, flags }));
    this.outdated();
    // Whoever went on to something else meanwhile stays there.
    if (Math.abs(scrollY - this.leftAt) < 8) this.comesIntoView($("work-said"));
  }

  /** Move the page so far up that what a button leads to can be read, beneath the trucks that stay. */
  comesIntoView(said) {
    const { top, bottom } = said.getBoundingClientRect();
    const free = document.querySelector(".moving").getBoundingClientRect().bottom;
    if (said.offsetParent !== null && bottom > innerHeight) scrollBy(0, Math.max(0, Math.min(bottom - innerHeight, top - free) + 16));
    this.leftAt = scrollY;
  }

  /** What an answer is of: the truck as it is typed, the set-ups, and what they are driven over. */
  seen() {
    return JSON.stringify([this.page.mark, this.page.sent(), this.tries.asked().setups, this.tries.run()]);
  }

  /** Say beside each answer that is of another truck, other set-ups or another run than the page has now that it is. */
  outdated() {
    const now = this.seen();
    this.tries.hours?.outdated();
    for (const [of, note, answer] of [[this.workOf, "work-old", "work-said"], [this.estimateOf, "sure-old", "sure-list"]]) {
      const old = Boolean(of) && of.seen !== now;
      $(note).hidden = !old;
      $(answer).classList.toggle("old", old);
    }
  }

  /** Take a state of the truck's file that has what was typed: what was an answer to that still is. */
  saved(takeOver) {
    const now = this.seen();
    const same = [this.workOf, this.estimateOf].filter((of) => of?.seen === now);
    const { hours } = this.tries;
    const hoursToo = hours.of?.seen === hours.seen();
    takeOver();
    for (const of of same) of.seen = this.seen();
    if (hoursToo) hours.of.seen = hours.seen();
    this.outdated();
  }

  /** Start the slow estimate, of the set-ups as they are now, or stop it. */
  sure(start) {
    this.page.asks("sure", { start, ...this.tries.asked() });
    this.estimating(start);
    // Somebody may look at another course by the time that it ends.
    if (start) this.sureOf = $("course").selectedOptions[0].textContent;
    this.estimateOf = start ? { seen: this.seen() } : null;
    this.outdated();
    $("sure-list").replaceChildren();
    $("sure-said").textContent = start ? "Getting ready …" : "Stopped.";
  }

  estimating(on) {
    $("sure").disabled = on;
    $("sure-stop").hidden = $("sure-done").hidden = !on;
    if (on) $("sure-done").removeAttribute("value");
  }

  sureHeard({ done, of, why, differences, numbers, ranked, notes }) {
    if (of) {
      $("sure-done").value = done / of;
      $("sure-said").textContent = done < of ? `${done} of ${of} parts are driven.` : "All are driven; working out which number decides most …";
      return;
    }
    this.estimating(false);
    $("sure-said").textContent = why ?? `Of the set-ups as they were when this was started${this.sureOf ? ` (${this.sureOf})` : ""}:`;
    $("sure-list").replaceChildren(...(why ? [] : [...differences.map(differenceTable), ...numberTables(numbers, ranked), make("ul", {}, ...notes.map((text) => make("li", {}, text)))]));
  }
}

/** What a command came to: of which file it is, its first sentences, what is flagged, its picture, its report and its tables. */
export function findings(ran, { report, picture, tables, said, flags }) {
  // Of which file it is stays said: by the time that somebody reads it, another scenario may have been saved or opened above it.
  const first = [make("p", { class: "small" }, `${ran.words}: ${ran.file}${ran.setup ? `, “${ran.setup}”` : ""}`), ...said.map((text) => make("p", {}, text))];
  const flagged = flags.length ? [make("p", { class: "error" }, `Flagged: ${flags[0]}${flags.length > 1 ? ` And ${flags.length - 1} more, in the report.` : ""}`)] : [];
  const link = report ? [make("p", {}, make("a", { href: `results/${report}`, target: "_blank" }, "Open the report"), ` (outputs/${report})`)] : [];
  const drawn = picture ? [make("p", {}, make("a", { href: `results/${picture}`, target: "_blank" }, make("img", { src: `results/${picture}`, alt: said[0] ?? picture })))] : [];
  const files = tables?.length ? [make("p", {}, "All of it as tables: ", ...tables.flatMap((one, number) => [number ? ", " : "", make("a", { href: `results/${one}`, target: "_blank" }, one.split("/").at(-1))]))] : [];
  return [...first, ...flagged, ...drawn, ...link, ...files];
}

/** What is left open of one set-up's differences: a measure a row. */
function differenceTable({ setup, against, rows }) {
  if (!rows.length) return make("p", {}, `“${setup}” does the same as “${against}” in all of it, whatever the numbers in doubt are.`);
  const body = make("tbody", {}, ...rows.map(([label, text]) => make("tr", {}, make("th", { scope: "row" }, label), make("td", {}, text))));
  return make("table", { class: "left-open" }, make("caption", {}, `“${setup}” against “${against}”`), make("thead", {}, make("tr", {}, make("th", { scope: "col" }, "measure"), make("th", { scope: "col" }, "the difference lies between"))), body);
}

const HEADS = ["number", "", "taken as", "lies within", "decides", "moves most"];
/** Rows of numbers that are shown at once; the others decide less. */
const FIRST = 12;

/** The numbers in doubt, what decides most first, where that is known; those after the first dozen when they are asked for. */
function numberTables(rows, ranked) {
  const heads = ranked ? HEADS : HEADS.slice(0, HEADS.indexOf("decides"));
  const table = (own, ...caption) => make("table", { class: "in-doubt" }, ...caption, make("thead", {}, make("tr", {}, ...heads.map((text) => make(text ? "th" : "td", text ? { scope: "col" } : {}, text)))), make("tbody", {}, ...own.map((row) => numberRow(row, heads))));
  const first = table(rows.slice(0, FIRST), make("caption", {}, ranked ? "The numbers in doubt, and how much each decides of these differences" : "The numbers in doubt; which of them decides most cannot be told"));
  const rest = rows.slice(FIRST);
  if (!rest.length) return [first];
  const less = ranked ? [", which decide less", ", which decides less"] : ["", ""];
  return [first, make("details", {}, make("summary", {}, rest.length > 1 ? `The other ${rest.length} numbers${less[0]}` : `One more${less[1]}`), table(rest))];
}

function numberRow({ label, is_, value, within, decides, moves }, heads) {
  const cells = [is_, value, within, decides, moves].slice(0, heads.length - 1).map((text, number) => make("td", { "data-head": HEADS[number + 1] }, text));
  return make("tr", {}, make("th", { scope: "row" }, label), ...cells);
}
