/* What a set-up may change: what each is called, and what the truck has there now. */
import { make } from "./make.js";

const $ = (id) => document.getElementById(id);

/** What keys are called that a lift writes and the form has no box for. */
const NO_BOX = { free_camber: "arch without load, more than at ride as measured" };

export class Changeable {
  constructor(page) {
    this.page = page;
    this.labels = new Map([...$("all-fields").options].map((option) => [option.value, `${option.parentElement.label}: ${option.textContent.trim()}`]));
  }

  /** Fill a list with what may be changed, by part, with what the truck has there; what goes with other springs is left out.
   * @param kept  the list stays on what was chosen, and is of what may vary: numbers alone */
  choices(choose, kept = false) {
    const before = kept ? [...choose.children] : [choose.options[0]];
    const groups = [...$("all-fields").children].map((group) => {
      const own = make("optgroup", { label: group.label });
      for (const option of group.children) {
        const box = document.querySelector(`[data-path="${CSS.escape(option.value)}"]`);
        if (box?.closest(".cell").hidden || (kept && "noNumber" in option.dataset)) continue;
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
}
