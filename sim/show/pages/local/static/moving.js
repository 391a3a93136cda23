/* Trucks that move over their course together, and the clock that moves them. */
import { frameAt, frameCount } from "../truck/placed.js";
import { TruckView } from "../truck/truck.js";
import { make, written } from "./make.js";
import { keyLine } from "./plots.js";

const $ = (id) => document.getElementById(id);

export class Moving {
  /** @param at  told the time that is shown */
  constructor(at) {
    this.at = at;
    this.views = [];
    /** Runs that are shown, a set-up each; null of one that cannot be run. */
    this.runs = [];
    this.time = 0;
    $("time").oninput = () => { this.playing(false); this.goTo(Number($("time").value) * this.lasts()); };
    $("play").onclick = () => this.playing($("play").getAttribute("aria-pressed") !== "true");
  }

  /** Draw the trucks of some set-ups: each under its name, on the road if one came. */
  draw(setups, runs, ground) {
    this.runs = runs;
    const place = $("trucks");
    if (place.children.length !== this.runs.length) {
      this.views = this.runs.map((_, number) => {
        const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
        svg.setAttribute("role", "img");
        const caption = make("figcaption", {}, keyLine(number), make("span", {}));
        return { svg, caption, figure: make("figure", {}, caption, svg), view: new TruckView(svg, { labels: false }) };
      });
      place.replaceChildren(...this.views.map(({ figure }) => figure));
    }
    this.runs.forEach((run, number) => {
      const own = this.views[number];
      const { name } = setups[number];
      if (own.name !== name) own.svg.setAttribute("aria-label", `${name}, moving over the course`);
      written(own.caption.lastChild, name);
      own.name = name;
      own.figure.classList.toggle("stale", !run);
      if (!run) return;
      // The road first, then the scene; both draw what stood there before, so only where they are new.
      if (own.scene !== run.truck.scene_id) {
        own.scene = run.truck.scene_id;
        own.view.last = null;
        own.view.scene(run.truck.scene);
        own.room = own.view.room;
        this.scaled = null;
      }
      own.view.ground = ground ?? own.view.ground;
    });
    this.oneScale();
  }

  /** All trucks at one scale on one ground, with a line at the height of the first one's roof: a lift is seen. */
  oneScale() {
    const shown = this.views.filter((_, number) => this.runs[number]);
    const key = shown.map(({ scene }) => scene).join();
    if (!shown.length || this.scaled === key) return;
    this.scaled = key;
    const rooms = shown.map(({ view, room }) => room ?? view.room);
    const from = Math.min(...rooms.map((room) => room.from));
    const width = Math.max(...rooms.map((room) => room.from + room.width)) - from;
    const high = Math.max(...rooms.map((room) => room.high));
    shown.forEach(({ view }, number) => view.share({ from, width, high }, number ? shown[0].view.roof_m : null));
  }

  lasts() {
    return Math.max(0, ...this.runs.filter(Boolean).map((run) => run.step_s * (frameCount(run.frames) - 1)));
  }

  goTo(time) {
    this.time = time;
    this.runs.forEach((run, number) => {
      const own = this.views[number];
      if (!run || !own) return;
      const shown = [run, own.view.ground, time];
      if (own.shown?.every((one, i) => one === shown[i])) return;
      own.shown = shown;
      own.view.draw(frameAt(run.frames, time));
    });
    $("time").value = this.lasts() ? time / this.lasts() : 0;
    written($("clock"), `${time.toFixed(2)} s`);
    this.at(time);
  }

  playing(on) {
    $("play").setAttribute("aria-pressed", on);
    $("play").textContent = on ? "Stop" : "Play";
    cancelAnimationFrame(this.next);
    if (!on) return;
    if (this.time >= this.lasts() - 0.02) this.time = 0;
    let last = performance.now();
    const step = (now) => {
      this.goTo(Math.min(this.time + ((now - last) / 1000) * ($("slow").checked ? 0.25 : 1), this.lasts()));
      last = now;
      if (this.time >= this.lasts()) this.playing(false);
      else this.next = requestAnimationFrame(step);
    };
    this.next = requestAnimationFrame(step);
  }
}
