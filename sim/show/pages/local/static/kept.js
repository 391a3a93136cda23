/* What was typed into the form and not saved, after the page was loaded again or its server was started again: said, kept, or put away. */

const $ = (id) => document.getElementById(id);
const MOST_NAMED = 6;

export class Kept {
  /** @param before  what was remembered of the form: edits, followed, same, mark; empty without any */
  constructor(page, measure, before) {
    this.page = page;
    this.measure = measure;
    /** Mark of a file that was changed since all that was typed over it; empty where what is typed is over the file as it is. */
    this.over = "";
    if (!before.edits) return;
    measure.restore(before);
    if (!Object.keys(page.edits).length) return;
    if (before.mark !== page.given.mark) this.over = before.mark || "none";
    this.say();
  }

  toRemember() {
    return { ...this.measure.toRemember(), mark: this.over || this.page.mark };
  }

  /** What stands in the form, in words; what of it the file has otherwise now, where somebody else changed that. */
  said() {
    const named = Object.entries(this.page.edits).map(([path, text]) => {
      const was = this.measure.boxes.get(path)?.dataset.was;
      const file = this.over && was !== undefined ? ` (in the file: ${was || "nothing"})` : "";
      return `${this.measure.called(path)}: ${text.trim() || "emptied"}${file}`;
    });
    const more = named.length - MOST_NAMED;
    return [...named.slice(0, MOST_NAMED), ...(more > 0 ? [`and ${more} more`] : [])].join("; ");
  }

  say() {
    const put = ["Put it away", () => this.putAway()];
    if (this.over) {
      this.show(
        `${this.page.file} was changed by another program or tab since you typed into this page. The form has the file as it is now, and over it what you typed and did not save: ${this.said()}. ` +
          "Nothing is saved until you choose.",
        [["Keep what I typed", () => { this.over = ""; this.page.remember(); this.show(""); }], put],
      );
    } else this.show(`Not saved yet, and still in the form: ${this.said()}.`, [["Keep it", () => this.show("")], put]);
  }

  putAway() {
    const before = this.measure.toRemember();
    const over = this.over;
    this.over = "";
    this.measure.putAway();
    this.show(`Put away: the form is as ${this.page.file || "at the beginning"}${this.page.file ? " has it" : ""}.`, [
      ["Bring it back", () => {
        this.over = over;
        this.measure.restore(before);
        this.page.changed();
        this.measure.ask();
        this.say();
      }],
      ["Close", () => this.show("")],
    ]);
  }

  /** Whether a save has to wait until it is chosen what becomes of what was typed over another state of the file. */
  waits() {
    if (!this.over) return false;
    this.say();
    $("kept").querySelector("button").focus();
    return true;
  }

  saved() {
    this.over = "";
    this.show("");
  }

  /** Show a line with buttons; an empty text takes it away. */
  show(text, buttons = []) {
    const box = $("kept");
    box.hidden = text === "";
    box.classList.toggle("alarm", Boolean(this.over));
    const words = document.createElement("span");
    words.textContent = text;
    box.replaceChildren(words, ...buttons.map(([label, action]) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = label;
      button.onclick = action;
      return button;
    }));
  }
}
