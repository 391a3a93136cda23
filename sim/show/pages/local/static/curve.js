/* A damper's force-speed curve that is pulled at its points, by pointer or by arrow keys. Compression is right and up. */
const SVG = "http://www.w3.org/2000/svg";
const [WIDE, HIGH] = [300, 220];
const LBF = 4.4482216152605;

function add(parent, tag, attributes) {
  const element = document.createElementNS(SVG, tag);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  parent.append(element);
  return element;
}

/** A point of a curve in figures, in the system that is shown. */
export function pointWords([speed, force], system) {
  const metric = `${Math.abs(force).toFixed(0)} N at ${Math.abs(speed).toFixed(3)} m/s`;
  const inch = `${(Math.abs(force) / LBF).toFixed(0)} lbf at ${(Math.abs(speed) / 0.0254).toFixed(1)} in/s`;
  return { both: `${metric} (${inch})`, metric, inch }[system];
}

export class Curve {
  /** @param hooks  pull(point): a handle was moved to {number, speed_m_per_s, force_n}; times(text): the force is to be so many times the truck's; holds(held): one is held, or let go */
  constructor(place, title, hooks) {
    this.hooks = hooks;
    this.title = title;
    const figure = document.createElement("figure");
    this.caption = document.createElement("figcaption");
    this.svg = document.createElementNS(SVG, "svg");
    this.svg.setAttribute("class", "curve");
    this.svg.setAttribute("viewBox", `0 0 ${WIDE} ${HIGH}`);
    this.svg.setAttribute("role", "group");
    this.svg.setAttribute("aria-label", `Force-speed curve, ${title}`);
    /** Every point in figures, as a damper is ordered; the one that is held stands out. */
    this.points = document.createElement("ul");
    this.points.className = "points";
    this.factor = document.createElement("input");
    this.slide = document.createElement("input");
    Object.assign(this.slide, { type: "range", min: 0.25, max: 3, step: 0.05 });
    const label = document.createElement("label");
    label.className = "times";
    label.append("Force × ", this.factor);
    this.factor.setAttribute("aria-label", `Force of ${title}, times what the truck has`);
    this.slide.setAttribute("aria-label", `Force of ${title}, by slider`);
    this.factor.oninput = () => { if (this.factor.value.trim()) hooks.times(this.factor.value); };
    this.slide.oninput = () => {
      this.factor.value = Number(this.slide.value).toString();
      hooks.times(this.factor.value);
    };
    this.factor.onblur = this.slide.onblur = this.slide.onchange = () => hooks.holds(false);
    this.times = [label, this.slide];
    /** Why what was typed is not taken, under its box: a card is higher than a screen. */
    this.why = document.createElement("p");
    this.why.className = "not-taken";
    figure.append(this.caption, this.svg, this.points, label, this.why, this.slide);
    place.append(figure);
    this.grid = add(this.svg, "path", { class: "grid", d: "" });
    add(this.svg, "path", { class: "axis", d: `M0 ${HIGH / 2}H${WIDE}M${WIDE / 2} 0V${HIGH}` });
    this.law = add(this.svg, "polyline", { class: "law" });
    this.words = ["compression", "rebound"].map((word, number) => {
      const text = add(this.svg, "text", { x: number ? 6 : WIDE - 6, y: number ? HIGH - 8 : 16, "text-anchor": number ? "start" : "end" });
      text.textContent = word;
      return text;
    });
    /** Beside the point that is held: nobody looks elsewhere while he pulls. */
    this.atHeld = [0, 1].map((row) => add(this.svg, "text", { class: "at", x: 6, y: 16 + 15 * row }));
    this.handles = [];
    this.most = 0;
  }

  /** The largest force [N] that a curve draws, at least 1. */
  static most(curve, forces) {
    return Math.max(1, ...Array.from(forces, Math.abs), ...curve.handles.map(([, force]) => Math.abs(force)));
  }

  /** @param largest  force [N] of the hardest damper that is drawn beside it: all have one scale, so that twice as hard looks twice as hard */
  draw(curve, forces, system, largest) {
    const said = `${this.title}, ${curve.count} of these${curve.ratio && ` · damping ratio ${curve.ratio}`}`;
    if (this.caption.textContent !== said) this.caption.textContent = said;
    // A set that the truck has not is not so many times as hard as before.
    for (const part of this.times) part.hidden = !curve.handles.length || !curve.before;
    if (document.activeElement !== this.factor) this.factor.value = curve.times;
    this.factor.placeholder = curve.times ? "" : "other";
    if (document.activeElement !== this.slide && curve.times) this.slide.value = curve.times;
    // A scale that jumps under the hand cannot be pulled on: it grows while a handle is held, and is set anew after.
    if (!this.held || largest > this.most) this.most = 1.15 * largest;
    const last = forces.length - 1;
    this.law.setAttribute("points", Array.from(forces, (force, i) => `${this.x(-1 + (2 * i) / last).toFixed(1)},${this.y(force).toFixed(1)}`).join(" "));
    while (this.handles.length > curve.handles.length) this.handles.pop().remove();
    while (this.handles.length < curve.handles.length) this.handle(this.handles.length);
    this.now = curve.handles;
    curve.handles.forEach(([speed, force], number) => {
      const own = this.handles[number];
      if (this.held !== own) {
        own.setAttribute("cx", this.x(speed));
        own.setAttribute("cy", this.y(force));
      }
      const text = pointWords([speed, force], system);
      own.setAttribute("aria-valuetext", text);
      own.setAttribute("aria-valuenow", force.toFixed(0));
      own.firstChild.textContent = text;
      const line = this.points.children[number] ?? this.points.appendChild(document.createElement("li"));
      const words = `${speed > 0 || (speed === 0 && force > 0) ? "compression" : "rebound"} ${text}`;
      if (line.textContent !== words) line.textContent = words;
      line.classList.toggle("held", own === this.held || own === document.activeElement);
    });
    this.said();
    while (this.points.children.length > curve.handles.length) this.points.lastChild.remove();
  }

  refused(why) {
    if (this.why.textContent !== why) this.why.textContent = why;
    this.factor.classList.toggle("wrong", why !== "");
    this.factor.setAttribute("aria-invalid", why !== "");
  }

  /** Say in the drawing what the point that is held stands at, each system on a line. */
  said() {
    const text = this.points.querySelector(".held")?.textContent.replace(/^\w+ /, "") ?? "";
    text.split(" (").concat("").slice(0, 2).forEach((words, row) => { this.atHeld[row].textContent = words.replace(")", ""); });
  }

  x(speed) {
    return WIDE / 2 + (Math.max(-1, Math.min(1, speed)) * WIDE) / 2;
  }

  y(force) {
    return HIGH / 2 - (force / this.most) * (HIGH / 2);
  }

  handle(number) {
    const own = add(this.svg, "circle", { class: "handle", r: 9, tabindex: 0, role: "slider", "aria-label": `Point ${number + 1}, ${this.title}` });
    add(own, "title", {});
    this.handles.push(own);
    const moved = (speed, force) => this.hooks.pull({ number, speed_m_per_s: speed, force_n: force });
    own.onpointerdown = (event) => {
      own.setPointerCapture(event.pointerId);
      this.held = own;
      this.hooks.holds(true);
      event.preventDefault();
      own.focus();
    };
    own.onpointermove = (event) => {
      if (this.held !== own) return;
      const box = this.svg.getBoundingClientRect();
      const x = ((event.clientX - box.left) / box.width) * WIDE;
      const y = ((event.clientY - box.top) / box.height) * HIGH;
      own.setAttribute("cx", x);
      own.setAttribute("cy", y);
      moved((2 * x) / WIDE - 1, ((HIGH / 2 - y) / (HIGH / 2)) * this.most);
    };
    own.onfocus = own.onblur = () => {
      [...this.points.children].forEach((line, place) => line.classList.toggle("held", place === number && document.activeElement === own));
      this.said();
    };
    own.onpointerup = own.onpointercancel = () => {
      this.held = null;
      this.hooks.holds(false);
    };
    own.onkeyup = () => this.hooks.holds(false);
    own.onkeydown = (event) => {
      const step = { ArrowUp: [0, 1], ArrowDown: [0, -1], ArrowRight: [1, 0], ArrowLeft: [-1, 0] }[event.key];
      if (!step) return;
      event.preventDefault();
      const [speed, force] = this.now[number];
      moved(speed + 0.01 * step[0], force + 0.02 * this.most * step[1]);
    };
    return own;
  }
}
