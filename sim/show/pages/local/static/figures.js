/* The table of what set-ups do: a column each, a row a measure, and what is flagged. */
import { make, written } from "./make.js";
import { keyLine } from "./plots.js";

/** A number with its unit on one line; one in both systems may go on to a second line between them. */
const unbroken = (text) => text.replace(/ (?!\()/g, "\u00a0");

export class Figures {
  constructor(table) {
    this.table = table;
  }

  /** @param setups  of an answer, with their names; @param ran  of each its run, or null where it cannot be run */
  show(setups, ran) {
    const runs = ran.map((run) => run ?? { measures: [], flags: "" });
    const labels = [...new Set(runs.flatMap((run) => run.measures.map((row) => row.label)))];
    const rows = labels.map((label) => [label, ...runs.map((run) => unbroken(run.measures.find((row) => row.label === label)?.text ?? "–"))]);
    const names = setups.map((own) => own.name);
    // Sentences, across all columns: in one of them they would be as high as the page.
    const flagged = runs.flatMap((run, number) => (run.flags ? [[`${names[number]}: flagged`, run.flags]] : []));
    const key = JSON.stringify([labels, names, flagged.map(([label]) => label)]);
    if (this.laidOut !== key) {
      this.laidOut = key;
      this.layOut(names, rows, flagged);
    }
    // Texts alone while somebody moves a slider: a table laid out anew takes as long as a truck drawn.
    const body = this.table.tBodies[0];
    [...rows, ...flagged].forEach(([, ...cells], row) => cells.forEach((text, number) => written(body.rows[row].cells[number + 1], text)));
  }

  layOut(names, rows, flagged) {
    const head = make("tr", {}, make("td", {}), ...names.map((name, number) => make("th", { scope: "col" }, keyLine(number), make("br", {}), name)));
    const row = (label, ...cells) => make("tr", {}, make("th", { scope: "row" }, label), ...cells);
    const body = [
      ...rows.map(([label, ...cells]) => row(label, ...cells.map(() => make("td")))),
      ...flagged.map(([label]) => row(label, make("td", { class: "flagged", colspan: names.length }))),
    ];
    this.table.style.setProperty("--setups", names.length);
    this.table.replaceChildren(make("thead", {}, head), make("tbody", {}, ...body));
  }
}
