/* What moves in a report: trucks, their figures, cursors in the plots, and the choice of units. */
import { sideways } from "./sideways.js";
import { decoded, frameAt, frameCount } from "./placed.js";
import { shown } from "./shown.js";
import { TruckView } from "./truck.js";

const byId = (id) => document.getElementById(id);

function unitSystem() {
  return document.querySelector("input[name=units]:checked")?.value ?? "both";
}

/** Cursors over the panels of the plots that run along time or distance. */
class Cursors {
  constructor(chosen) {
    this.lines = [...document.querySelectorAll("rect.along")].map((panel) => {
      const line = document.createElementNS("http://www.w3.org/2000/svg", "line");
      line.setAttribute("class", "cursor");
      line.setAttribute("y1", panel.getAttribute("y"));
      line.setAttribute("y2", Number(panel.getAttribute("y")) + Number(panel.getAttribute("height")));
      panel.after(line);
      panel.addEventListener("click", (event) => chosen(panel.dataset.quantity, this.value(panel, event)));
      return { panel, line };
    });
  }

  value(panel, event) {
    const box = panel.getBoundingClientRect();
    const share = Math.min(Math.max((event.clientX - box.left) / box.width, 0), 1);
    return Number(panel.dataset.low) + share * (Number(panel.dataset.high) - Number(panel.dataset.low));
  }

  put(time, distance) {
    for (const { panel, line } of this.lines) {
      const [low, high] = [Number(panel.dataset.low), Number(panel.dataset.high)];
      const share = ((panel.dataset.quantity === "time" ? time : distance) - low) / (high - low);
      const x = Number(panel.getAttribute("x")) + Math.min(Math.max(share, 0), 1) * Number(panel.getAttribute("width"));
      line.setAttribute("x1", x.toFixed(2));
      line.setAttribute("x2", x.toFixed(2));
    }
  }
}

/** One truck with its figures. */
class Moving {
  constructor(figure, setup, road) {
    this.figure = figure;
    this.frames = setup.frames;
    this.cells = [...figure.querySelectorAll("td[data-kind]")];
    this.view = new TruckView(figure.querySelector("svg.truck"), { units: unitSystem(), labels: false });
    this.view.scene(setup.scene);
    this.view.road(road);
    this.units = setup.scene.units.length;
    this.angle = setup.scene.units.angle;
    this.enlarged = figure.querySelector(".enlarged");
  }

  /** Draw wind-up so many times as large, and say so beside the name: on paper too, where nothing can be chosen. */
  windUp(times) {
    this.view.windUp(times);
    this.enlarged.textContent = times === 1 ? "" : `wind-up drawn ${times} times as large`;
  }

  get seconds() {
    return (frameCount(this.frames) - 1) * this.frames.step_s;
  }

  draw(time) {
    const frame = frameAt(this.frames, time);
    if (!this.figure.hidden) {
      const world = this.view.draw(frame);
      for (const cell of this.cells) this.write(cell, world.axles[cell.dataset.axle]);
    }
    return frame;
  }

  write(cell, axle) {
    const length = (value) => shown(value, this.units, unitSystem());
    const line = axle.lines.find((own) => own.line.name === cell.dataset.line && own.line.role !== "coil");
    let text = "–";
    let alarm = false;
    if (cell.dataset.kind === "tyre") {
      alarm = axle.off_ground;
      text = alarm ? "OFF the ground" : "on the ground";
    } else if (cell.dataset.kind === "stop") {
      if (axle.stop) {
        alarm = axle.stop.gap_left_m < 0;
        text = alarm ? `MET, in by ${length(-axle.stop.gap_left_m)}` : length(axle.stop.gap_left_m);
      } else text = "none";
    } else if (cell.dataset.kind === "wind_up") {
      text = shown(axle.wind_up_rad, this.angle, unitSystem());
    } else if (line) {
      const left = cell.dataset.kind === "left_in_m" ? line.left_in_m : line.left_out_m;
      alarm = left !== null && left < 0;
      if (left !== null) text = alarm ? (cell.dataset.kind === "strap" ? "TAUT" : "END MET") : length(left);
    }
    cell.textContent = text;
    cell.classList.toggle("alarmed", alarm);
  }
}

function start(data) {
  const road = decoded(data.road);
  const trucks = [...document.querySelectorAll("figure.moving")].map(
    (figure) => new Moving(figure, decoded(data.setups[Number(figure.dataset.setup)]), road),
  );
  const [slider, play, now, pace] = ["time", "play", "now", "pace"].map(byId);
  const longest = Math.max(...trucks.map((truck) => truck.seconds));
  const step = trucks[0].frames.step_s;
  slider.max = String(longest);
  slider.step = String(step);
  let time = 0;
  let running = null;

  // A push, a drop and a release stay where they are, but for less than is written.
  const goes = trucks[0].frames.channels.distance_m.some((way) => Math.abs(way) > 0.005);
  const distanceAt = (t) => frameAt(trucks[0].frames, t).distance_m;
  function pushed(t) {
    const force = frameAt(trucks[0].frames, t).push_up_n ?? 0;
    return force === 0 ? "" : `, ${force < 0 ? "pressed down" : "lifted"} with ${shown(Math.abs(force), data.units.force, unitSystem())}`;
  }

  const cursors = new Cursors((quantity, value) => {
    if (quantity === "time") set(value);
    else {
      // Distance never falls in a run that is drawn over it, so its time is found by halving.
      let [low, high] = [0, longest];
      for (let i = 0; i < 30; i += 1) {
        const middle = (low + high) / 2;
        if (distanceAt(middle) < value) low = middle;
        else high = middle;
      }
      set(high);
    }
  });

  function set(t) {
    time = Math.min(Math.max(t, 0), longest);
    slider.value = String(time);
    for (const truck of trucks) truck.draw(time);
    const distance = distanceAt(time);
    const words = `${time.toFixed(2)} s${goes ? `, ${shown(distance, data.units.distance, unitSystem())}` : ""}${pushed(time)}`;
    now.textContent = words;
    slider.setAttribute("aria-valuetext", words);
    cursors.put(time, distance);
  }

  function stop() {
    if (running !== null) cancelAnimationFrame(running);
    running = null;
    play.textContent = "Play";
    play.setAttribute("aria-pressed", "false");
  }

  function run() {
    if (time >= longest) set(0);
    play.textContent = "Pause";
    play.setAttribute("aria-pressed", "true");
    let before = performance.now();
    const next = (at) => {
      set(time + ((at - before) / 1000) * Number(pace.value));
      before = at;
      if (time >= longest) stop();
      else running = requestAnimationFrame(next);
    };
    running = requestAnimationFrame(next);
  }

  play.addEventListener("click", () => (running === null ? run() : stop()));
  slider.addEventListener("input", () => {
    stop();
    set(Number(slider.value));
  });
  for (const [id, sense] of [["back", -1], ["ahead", 1]]) {
    byId(id).addEventListener("click", () => {
      stop();
      set(Math.round(time / step + sense) * step);
    });
  }
  const times = byId("times");
  function enlarge() {
    for (const truck of trucks) truck.windUp(Number(times.value));
  }
  times.addEventListener("change", enlarge);
  for (const box of document.querySelectorAll("input[data-show]")) {
    box.addEventListener("change", () => {
      trucks[Number(box.dataset.show)].figure.hidden = !box.checked;
      set(time);
    });
  }
  for (const choice of document.querySelectorAll("input[name=units]")) {
    choice.addEventListener("change", () => {
      for (const truck of trucks) truck.view.units(unitSystem());
      set(time);
    });
  }
  byId("controls").hidden = trucks.length < 2 && longest === 0;
  document.querySelector(".drive").hidden = longest === 0;
  enlarge();
  set(0);
  // For tests and for whoever opens the console: the page's own state.
  window.jounce = { set, trucks, get time() { return time; } };
}

for (const box of document.querySelectorAll(".wide")) sideways(box);

const packed = byId("motion");
if (packed) start(JSON.parse(packed.textContent));
