/* The form: what is typed goes to the server at every letter; what it answers is shown beside the box that it is about. */
import { standingFrame } from "../truck/placed.js";
import { TruckView } from "../truck/truck.js";
import { Sentences, inSystem } from "./units.js";

const $ = (id) => document.getElementById(id);

/** What stands in a choice that nobody has made. */
const leftEmpty = (text) => `left empty${text ? `: ${text.replaceAll("_", " ")}` : ""}`;

export class Measure {
  constructor(page) {
    this.page = page;
    this.boxes = new Map([...document.querySelectorAll("[data-path]")].map((box) => [box.dataset.path, box]));
    this.view = new TruckView($("truck"), { labels: false });
    this.sentences = new Sentences(".told p:not(.estimate), .hint");
    $("stands").open = matchMedia("(min-width: 62.01rem)").matches;
    for (const box of this.boxes.values()) box.addEventListener("input", () => this.typed(box));
    for (const same of document.querySelectorAll("[data-same]")) same.onchange = () => this.same(same);
    $("form").addEventListener("submit", (event) => event.preventDefault());
    for (const button of document.querySelectorAll(".about")) {
      button.onclick = () => {
        const told = $(button.getAttribute("aria-controls"));
        told.hidden = !told.hidden;
        button.setAttribute("aria-expanded", !told.hidden);
      };
    }
    for (const button of document.querySelectorAll(".next")) {
      button.onclick = () => {
        const step = $(button.dataset.next);
        // Where a browser does not close the others by itself.
        for (const other of document.querySelectorAll(".step")) other.open = other === step;
        step.querySelector("summary").focus();
        step.scrollIntoView({ block: "start" });
      };
    }
    this.choices();
  }

  typed(box) {
    // Whoever types in a rear box means that one.
    delete box.dataset.followed;
    this.edit(box);
    for (const rear of this.following(box)) this.follow(rear, box);
    this.page.changed();
    this.ask();
  }

  /** Boxes behind that repeat this one: their step says that the rear has the same, and nobody typed otherwise. */
  following(front) {
    return [...this.boxes.values()].filter((rear) => rear.dataset.follows === front.dataset.path && this.follows(rear));
  }

  follows(rear) {
    const same = rear.closest(".step").querySelector("[data-same]");
    return same.checked && (rear.value === "" || "followed" in rear.dataset);
  }

  follow(rear, front) {
    rear.dataset.followed = "";
    rear.value = front.value;
    this.edit(rear);
  }

  /** The rear has the same as the front from now on, or what it took from there is taken out again. */
  same(box) {
    for (const rear of $(box.dataset.same).querySelectorAll("[data-follows]:not([data-follows=''])")) {
      if (box.checked && this.follows(rear)) this.follow(rear, this.boxes.get(rear.dataset.follows));
      else if (!box.checked && "followed" in rear.dataset) {
        delete rear.dataset.followed;
        rear.value = rear.dataset.was;
        this.edit(rear);
      }
    }
    this.page.changed();
    this.ask();
  }

  /** Keep what a box has now, as a change to the file or as none. */
  edit(box) {
    const { edits } = this.page;
    const path = box.dataset.path;
    if (box.value.trim() === box.dataset.was) delete edits[path];
    else edits[path] = box.value;
    box.closest(".cell").classList.toggle("changed", path in edits);
    if (box.tagName === "SELECT") this.choices();
    if (path === "name") $("title").textContent = box.value || "A truck";
  }

  /** What boxes held before the page was loaded again, which boxes behind repeat those in front, and which steps say so. */
  restore({ edits, followed, same }) {
    for (const own of document.querySelectorAll("[data-same]")) own.checked = same.includes(own.dataset.same);
    for (const [path, text] of Object.entries(edits)) {
      const box = this.boxes.get(path);
      if (!box) {
        this.page.edits[path] = text;
        continue;
      }
      box.value = text;
      if (followed.includes(path)) box.dataset.followed = "";
      this.edit(box);
    }
  }

  /** Every box as the file has it. */
  putAway() {
    for (const own of document.querySelectorAll("[data-same]")) own.checked = false;
    for (const [path] of Object.entries(this.page.edits)) {
      const box = this.boxes.get(path);
      delete this.page.edits[path];
      if (!box) continue;
      delete box.dataset.followed;
      box.value = box.dataset.was;
      this.edit(box);
    }
    this.page.changed();
    this.ask();
  }

  /** What restore() takes, as it is now. */
  toRemember() {
    const followed = [...this.boxes.values()].filter((box) => "followed" in box.dataset).map((box) => box.dataset.path);
    const same = [...document.querySelectorAll("[data-same]")].filter((own) => own.checked).map((own) => own.dataset.same);
    return { edits: { ...this.page.edits }, followed, same };
  }

  /** What a box is called, with its axle; a key without a box by itself. */
  called(path) {
    const box = this.boxes.get(path);
    if (!box) return path;
    const line = box.closest(".line");
    const axle = box.closest(".cell").matches(".front") ? "front " : box.closest(".cell").matches(".rear") ? "rear " : "";
    const label = line.querySelector(".label").textContent.trim();
    return axle ? `${axle}${label[0].toLowerCase()}${label.slice(1)}` : label;
  }

  /** Whether a box is of the kind of springs that the axle has not: what was typed there is kept, and is no part of the truck. */
  isAside(path) {
    return this.boxes.get(path)?.closest("[data-when]")?.hidden ?? false;
  }

  ask() {
    this.page.asks("stand");
  }

  /** What was sent is what the file holds now; what was typed meanwhile is still to be saved. */
  saved(sent) {
    for (const [path, text] of Object.entries(sent)) {
      const box = this.boxes.get(path);
      if (box) box.dataset.was = text.trim();
      if (this.page.edits[path] === text) {
        delete this.page.edits[path];
        box?.closest(".cell").classList.remove("changed");
      }
    }
  }

  heard(said) {
    this.system = said.system;
    this.sentences.show(said.system);
    // Examples in the other system are left out by the style.
    $("form").dataset.system = said.system;
    this.problems(said.problems);
    this.notices(said.notices ?? []);
    this.estimates(said.estimates ?? {});
    const count = document.querySelectorAll("#form .wrong, #form .astray").length || said.problems.length;
    const bad = said.refused || (said.problems.length ? `${count} ${count > 1 ? "boxes want" : "box wants"} another look before it can ${said.launch_waits ? "pull away; it stands, and drives over courses" : "stand"}.` : "");
    $("refused").hidden = !bad;
    $("refused").textContent = said.refused ? `It cannot stand: ${said.refused}` : bad;
    this.stale(!said.scene, "These are the numbers before the last change: as it is typed now it cannot stand.");
    if (!said.scene) return;
    this.view.scene(said.scene);
    this.view.draw(standingFrame(said.scene));
    this.numbers(said);
  }

  /** Numbers and picture of another truck than the one that is typed: pale, and said so; nothing is read as a verdict of it. */
  stale(on, why) {
    document.querySelector(".picture").classList.toggle("stale", on);
    $("stands").classList.toggle("stale", on);
    $("stale-said").hidden = !on;
    $("stale-said").textContent = why;
    if (!on) return;
    for (const cell of document.querySelectorAll("#numbers td.good, #numbers td.bad, #numbers td.ask")) {
      cell.textContent = "–";
      cell.className = "";
    }
    $("flags").replaceChildren();
    $("beside").replaceChildren();
  }

  problems(rows) {
    for (const wrong of document.querySelectorAll("#form .wrong")) wrong.classList.remove("wrong");
    for (const error of document.querySelectorAll("#form .error")) error.textContent = "";
    for (const place of document.querySelectorAll("#form .astray")) place.remove();
    const counts = new Map();
    const loose = [];
    for (const row of rows) {
      const box = this.boxFor(row.where);
      const text = [row.message, row.allowed && `allowed: ${row.allowed}`, row.suggestion].filter(Boolean).join("; ");
      const cell = box?.closest(".cell:not([hidden])");
      const step = (box ?? this.nearTo(row.where))?.closest(".step");
      if (!step) {
        loose.push(row.where ? `${row.where}: ${text}` : text);
        continue;
      }
      if (cell) {
        cell.classList.add("wrong");
        cell.querySelector(".error").textContent = text;
      } else this.astray(step, row.where, text);
      counts.set(step, (counts.get(step) ?? 0) + 1);
    }
    for (const [path, box] of this.boxes) box.setAttribute("aria-invalid", box.closest(".cell").classList.contains("wrong"));
    for (const step of document.querySelectorAll(".step")) {
      const count = counts.get(step) ?? 0;
      const place = step.querySelector(".count");
      place.textContent = count ? `${count} to mend` : "";
      place.classList.toggle("bad", count > 0);
    }
    // What was said of a save stays until there is something else to say.
    if (loose.length || this.loose) this.page.say(loose.join(" · "), loose.length > 0);
    this.loose = loose.length > 0;
  }

  /** A box of the same part as a key that has none, or of the same axle. */
  nearTo(where) {
    const boxes = [...this.boxes.values()];
    for (let steps = where.split(".").slice(0, -1); steps.length; steps = steps.slice(0, -1)) {
      const near = boxes.find((box) => box.dataset.now.startsWith(`${steps.join(".")}.`));
      if (near) return near;
    }
    return undefined;
  }

  /** What is wrong at a key that has no box to be seen: said at the top of its step, where it can be taken out of the file. */
  astray(step, where, text) {
    const said = document.createElement("div");
    said.className = "astray";
    const words = document.createElement("p");
    words.className = "error";
    words.textContent = `In the file, at ${where}: ${text}`;
    const out = document.createElement("button");
    out.type = "button";
    out.textContent = `Take ${where} out`;
    out.onclick = () => { this.page.edits[where] = ""; this.page.changed(); this.ask(); };
    said.append(words, out);
    step.querySelector(".lines").before(said);
  }

  /** What is possible, but hardly meant: said beside its box, and nothing is held up by it. */
  notices(rows) {
    for (const place of document.querySelectorAll("#form .unusual")) place.remove();
    for (const { where, text } of rows) {
      const box = this.boxFor(where);
      if (!box) continue;
      const said = document.createElement("p");
      said.className = "unusual";
      said.textContent = text;
      box.closest(".cell").append(said);
    }
  }

  /** The box of a path, or the first one of the part that it names. */
  boxFor(where) {
    if (!where) return undefined;
    const boxes = [...this.boxes.values()];
    // A file in older words is spoken of in those of today.
    return boxes.find((box) => box.dataset.path === where || box.dataset.now === where)
      ?? boxes.find((box) => box.dataset.now.startsWith(`${where}.`));
  }

  estimates(own) {
    for (const [path, box] of this.boxes) {
      const estimate = own[path];
      const text = estimate ? estimate.written : box.dataset.taken;
      box.dataset.instead = text;
      // The spread has no room in the box; it is said under ?, and where a pointer rests.
      if (box.tagName === "INPUT") {
        const taken = text.replace(/\s*\+-.*$/, "");
        // Of ours alone, with no rule behind it: to be measured first.
        box.placeholder = (estimate?.source?.startsWith("a guess") ? `guess ${taken.replace(/^about /, "")}` : taken) || box.dataset.nothing;
        box.title = text.replace("+-", "±");
      } else box.querySelector(".left-empty").textContent = leftEmpty(text);
      const place = document.querySelector(`[data-estimate="${CSS.escape(path)}"]`);
      if (!place) continue;
      place.hidden = !estimate;
      if (estimate) place.textContent = `${place.dataset.axle ? `${place.dataset.axle}: left` : "Left"} empty, taken as ${estimate.written.replace("+-", "±")}${estimate.of ? `, from ${inSystem(estimate.of, this.system)}. Valid for ${inSystem(estimate.reach, this.system)}. Source: ${estimate.source}` : ""}.`;
    }
    this.choices();
  }

  /** Show what goes with the springs that were chosen, or are taken where nobody chose. */
  choices() {
    for (const cell of document.querySelectorAll("[data-when]")) {
      const [path, word] = cell.dataset.when.split("=");
      const box = this.boxes.get(path);
      const chosen = box?.value || box?.dataset.taken;
      cell.hidden = chosen !== word;
    }
    for (const line of document.querySelectorAll(".line")) line.hidden = [...line.querySelectorAll(".cell")].every((cell) => cell.hidden);
    for (const head of document.querySelectorAll(".lines h3")) {
      let next = head.nextElementSibling;
      while (next && next.hidden && next.tagName !== "H3") next = next.nextElementSibling;
      head.hidden = !next || next.tagName === "H3";
    }
  }

  numbers({ numbers, whole, flags, beside }) {
    const body = $("numbers").tBodies[0];
    body.replaceChildren(
      ...numbers.map(({ label, cells, state }) => {
        const row = document.createElement("tr");
        const head = document.createElement("th");
        head.scope = "row";
        head.textContent = label;
        row.append(head);
        cells.forEach((text, number) => {
          const cell = row.insertCell();
          cell.textContent = text;
          if (state[number]) cell.className = state[number];
        });
        return row;
      }),
    );
    $("whole").replaceChildren(
      ...whole.flatMap(({ label, text }) => {
        const [name, value] = [document.createElement("dt"), document.createElement("dd")];
        name.textContent = label;
        value.textContent = text;
        return [name, value];
      }),
    );
    $("beside").replaceChildren(
      ...beside.map((text) => {
        const line = document.createElement("p");
        line.textContent = text;
        return line;
      }),
    );
    $("flags").replaceChildren(
      ...flags.map((text) => {
        const item = document.createElement("li");
        item.textContent = text;
        return item;
      }),
    );
  }
}
