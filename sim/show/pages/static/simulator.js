/* The simulator of a page: its controls, and what they change drawn anew. */
import { decoded, frameAt } from "./placed.js";
import { shown, ticked, timed } from "./shown.js";
import { TruckView } from "./truck.js";
import { Tried } from "./tried.js";

(() => {
  const byId = (id) => document.getElementById(id);
  const packed = byId("simulator");
  if (!packed) return;
  const system = () => document.querySelector("input[name=units]:checked")?.value ?? "both";
  const made = (parent, name, text = "", attributes = {}) => {
    const element = document.createElement(name);
    element.textContent = text;
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    parent.append(element);
    return element;
  };
  // What a browser throws where memory does not grow, or an array finds no place in it (WebAssembly JavaScript Interface, ECMAScript).
  const NO_ROOM = "its memory has no room for these runs: close other pages and open this one again, or ask for the report of a shorter course";
  const why = (error) => (error instanceof RangeError ? NO_ROOM : error.message);
  const PAIRS = {
    travel: ["axle, bump up from the height as measured", "length", "travel_m"],
    load: ["axle, load of its tyres", "force", "tyre_load_n"],
    speed: ["damper, speed, compression up", "speed", "speed_m_per_s"],
    force: ["damper, force of one, compression up", "force", "force_n"],
  };
  const BODY = [["Body, up from where it stands", "length", "bounce_m"], ["Body, nose up", "angle", "pitch_nose_up_rad"],
    ["Centre of gravity, acceleration upwards", "acceleration", "acceleration_m_per_s2"]];

  /** One plot over time of all set-ups, and of the changed one as it was. */
  class Panel {
    constructor(place, looks) {
      this.looks = looks;
      this.box = made(place, "div");
      this.title = made(this.box, "h3");
      this.plot = null;
      this.draws = null;
    }

    /** Draw rows of values in SI over time [s], the one of the changed set-up (a number) stronger. */
    draw(title, quantity, units, time, rows, before, changed) {
      const row = units[quantity].length > 1 && system() === "inch" ? units[quantity][1] : units[quantity][0];
      const key = `${title} ${row[1]} ${changed}`;
      if (this.draws !== key) this.build(key, `${title} [${row[1]}] by time [s]`, changed);
      // Where there is nothing, such as past the end of one that blew up, there is no line.
      const scaled = (values) => {
        if (!values) return new Array(time.length).fill(null);
        const own = Array.from(values, (value) => value / row[0]);
        while (own.length < time.length) own.push(null);
        return own;
      };
      this.plot.setData([time, ...[...rows, before].map(scaled)]);
    }

    build(key, title, changed) {
      this.draws = key;
      this.plot?.destroy();
      this.title.textContent = title;
      const axis = { stroke: "#222", grid: { stroke: "#e4e4e4", width: 1 }, ticks: { show: false }, font: "13px system-ui", values: ticked };
      const series = this.looks.map(({ colour, dash }, number) => ({ stroke: colour, width: number === changed ? 2.4 : 1.2, dash, points: { show: false } }));
      series.push({ stroke: "#767676", width: 1.4, dash: [2, 3], points: { show: false } });
      this.plot = new uPlot({
        width: Math.max(this.box.clientWidth - 12, 200), height: 190, legend: { show: false }, pxAlign: 0, scales: { x: { time: false } },
        series: [{}, ...series], axes: [{ ...axis, size: 28, values: timed }, { ...axis, size: 56 }],
        cursor: { drag: { x: false, y: false }, y: false, points: { show: false } },
      }, [[0, 1], ...series.map(() => [null, null])], this.box);
    }

    sized() {
      const width = this.box.clientWidth - 12;
      if (this.plot && width > 0 && width !== this.plot.width) this.plot.setSize({ width, height: 190 });
    }

    at(time) {
      if (this.plot?.data[0]?.length > 2) this.plot.setCursor({ left: this.plot.valToPos(time, "x"), top: 1 }, false);
    }
  }

  class Page {
    constructor(data, tried) {
      Object.assign(this, { data, tried, changed: 0, results: [], before: null, time: 0, running: null, took: [] });
      this.changed = Math.max(tried.setups.findIndex((setup) => setup.dampers.length), 0);
      this.scenes = tried.table.scenes.map(decoded);
      this.grounds = tried.table.ways.map((way) => decoded(way.ground));
      this.panels = [0, 1].map(() => new Panel(byId("try-plots"), data.looks));
      this.truck = new TruckView(byId("try-truck"), { units: system(), labels: false });
      this.list("try-way", tried.table.ways.map((way) => way.words));
      this.list("try-load", tried.table.loads);
      this.drawn();
      byId("try-setup").value = String(this.changed);
      this.listens();
    }

    list(id, words) {
      byId(id).replaceChildren();
      words.forEach((text, number) => made(byId(id), "option", text, { value: number }));
      byId(id).disabled = words.length < 2;
    }

    /** What can be drawn: travel, loads, the dampers of both axles, the body. */
    drawn() {
      const names = new Set(this.tried.setups.flatMap((setup) => (setup.run ? setup.run.dampers.map((damper) => damper.name) : [])));
      this.views = [];
      const view = (words, panels) => this.views.push({ words, panels });
      const both = (words, [title, quantity, name], which = "") => view(words, ["front", "rear"].map((axle) => [
        `${axle[0].toUpperCase()}${axle.slice(1)} ${title}`, quantity, `${axle}.${which}${name}`]));
      both("axle travel", PAIRS.travel);
      both("tyre loads", PAIRS.load);
      view("body up and down, and pitch", [BODY[0], BODY[1]]);
      view("body up and down, and its acceleration", [BODY[0], BODY[2]]);
      for (const name of names) {
        const which = names.size > 1 ? ` “${name}”` : "";
        both(`damper speeds${which}`, PAIRS.speed, `${name}.`);
        both(`damper forces${which}`, PAIRS.force, `${name}.`);
      }
      this.list("try-drawn", this.views.map(({ words }) => words));
    }

    listens() {
      const on = (id, kind, act) => byId(id).addEventListener(kind, act);
      on("try-way", "change", () => { this.tried.way = Number(byId("try-way").value); this.all(); });
      on("try-load", "change", () => { this.tried.load = Number(byId("try-load").value); this.all(); });
      on("try-setup", "change", () => { this.changed = Number(byId("try-setup").value); this.sliders(); this.again(); });
      on("try-reset", "click", () => { this.tried.reset(this.changed); this.sliders(); this.again(); });
      on("try-drawn", "change", () => this.draw());
      on("try-time", "input", () => { this.stop(); this.set(Number(byId("try-time").value)); });
      on("try-play", "click", () => (this.running === null ? this.play() : this.stop()));
      for (const choice of document.querySelectorAll("input[name=units]")) {
        choice.addEventListener("change", () => { this.truck.units(system()); this.sliders(); this.draw(); });
      }
      new ResizeObserver(() => this.panels.forEach((panel) => panel.sized())).observe(byId("try-plots"));
    }

    /** A slider for each part of each damper's curve, what sets its sides against each other, and how many there are. */
    sliders() {
      const place = byId("try-dampers");
      place.replaceChildren();
      const { run, dampers, counts } = this.tried.setups[this.changed];
      if (!run || !run.dampers.length) made(place, "p", "This set-up has no dampers to change.", { class: "note" });
      this.readings = [];
      (run ? run.dampers : []).forEach((damper, own) => {
        const set = made(place, "fieldset");
        made(set, "legend", `${damper.axle[0].toUpperCase()}${damper.axle.slice(1)} dampers “${damper.name}”`);
        this.count(set, own, counts);
        damper.sliders.forEach((slider, number) => {
          const speed = slider.end ?? Math.max(0.5, 2 * slider.begin);
          const part = slider.begin > 0 ? ", above the knee" : slider.end === null ? "" : ", up to the knee";
          const words = slider.way === "compression" ? "Compression" : "Rebound";
          const told = () => {
            const own_ = this.tried.factors(this.changed, own).map((factor, i) => (damper.sliders[i].way === slider.way ? factor : 0));
            return `${shown(this.tried.force(damper, own_, speed), this.data.units.force, system())} at ${shown(speed, this.data.units.speed, system())}`;
          };
          this.slide(set, words + part, { min: 0, max: this.tried.table.most_factor, value: dampers[own].factors[number] }, told, (value) => {
            dampers[own].factors[number] = value;
          });
        });
        const told = () => `${Math.round(100 * dampers[own].shift)} %`;
        this.slide(set, "From compression to rebound", { min: -1, max: 1, value: dampers[own].shift }, told, (value) => { dampers[own].shift = value; });
      });
      for (const reading of this.readings) reading();
    }

    count(set, own, counts) {
      const known = new Set(this.tried.table.runs.filter(({ chosen }) => chosen.setup === this.changed).map(({ chosen }) => chosen.counts[own]));
      const label = made(set, "label", "How many ", { class: "slide" });
      const select = made(label, "select");
      for (const count of [...known].sort((a, b) => a - b)) made(select, "option", String(count), { value: count });
      select.value = String(counts[own]);
      select.addEventListener("change", () => { counts[own] = Number(select.value); this.again(); });
    }

    slide(set, words, { min, max, value }, told, moved) {
      const label = made(set, "label", words, { class: "slide" });
      const input = made(label, "input", "", { type: "range", min, max, step: 0.01 });
      const output = made(label, "output");
      input.value = String(value);
      this.readings.push(() => { output.textContent = told(); input.setAttribute("aria-valuetext", output.textContent); });
      input.addEventListener("input", () => { moved(Number(input.value)); this.again(); });
    }

    /** Run and draw what was changed, once a frame however fast a slider moves. */
    again() {
      this.wanted ??= requestAnimationFrame(() => { this.wanted = null; this.update([this.changed]); });
    }

    all() {
      this.update(this.tried.setups.map((_, number) => number));
    }

    /** Run these set-ups, and draw all. */
    update(numbers) {
      const begun = performance.now();
      const results = this.results.slice();
      try {
        for (const number of numbers) results[number] = this.tried.run(number);
        this.before = this.tried.isPlain(this.changed) ? null : this.asItWas();
      } catch (error) {
        if (!this.results.length) throw error;
        // A slower run is a longer one: what fits is still there, and can be chosen again.
        byId("try-state").textContent = `This browser cannot run what was chosen (${why(error)}). What is drawn is the run before it.`;
        return;
      }
      this.results = results;
      this.draw();
      this.took.push(performance.now() - begun);
      const failed = this.results.map((run, number) => [run, this.data.names[number]]).filter(([run]) => !run || run.blewUp);
      const words = failed.map(([run, name]) => (run ? `“${name}” blew up: its curves end where it did.` : `“${name}” cannot stand so, and is not drawn.`));
      byId("try-state").textContent = words.join(" ") || `${numbers.length === 1 ? "One set-up" : `${numbers.length} set-ups`} run and drawn in ${Math.round(this.took.at(-1))} ms.`;
    }

    /** The changed set-up as its file has it, run once for each run and load. */
    asItWas() {
      const key = [this.changed, this.tried.way, this.tried.load].join(" ");
      if (this.kept?.key !== key) this.kept = { key, run: this.tried.run(this.changed, true) };
      return this.kept.run;
    }

    draw() {
      // An axle without such a damper in any set-up has nothing to draw.
      const known = ([, , name]) => this.results.some((run) => run?.channels[name]);
      const panels = this.views[Number(byId("try-drawn").value)].panels.filter(known);
      const longest = this.results.reduce((most, run) => (run && run.channels.distance_m.length > (most?.channels.distance_m.length ?? 0) ? run : most), null);
      for (const reading of this.readings) reading();
      document.querySelector(".try .before").hidden = !this.before;
      if (!longest) return;
      const time = Float64Array.from(longest.channels.distance_m, (_, i) => i * longest.step_s);
      this.panels.forEach((panel, number) => { panel.box.hidden = number >= panels.length; });
      panels.forEach(([title, quantity, name], number) => {
        this.panels[number].draw(title, quantity, this.data.units, time, this.results.map((run) => run?.channels[name]), this.before?.channels[name], this.changed);
      });
      this.peaks(panels);
      byId("try-time").max = String(time.at(-1));
      const own = this.results[this.changed];
      byId("try-name").textContent = this.data.names[this.changed];
      if (own && this.scene !== own.scene) this.truck.scene(this.scenes[own.scene]);
      this.scene = own ? own.scene : null;
      this.truck.road(this.grounds[this.tried.way]);
      this.set(Math.min(this.time, time.at(-1)));
    }

    /** The greatest and the least of what is drawn, a set-up a row. */
    peaks(panels) {
      const table = byId("try-peaks");
      table.replaceChildren();
      const head = made(made(table, "thead"), "tr");
      const ends = [["most", Math.max], ["least", Math.min]];
      made(head, "th", "", { scope: "col" });
      for (const [title] of panels) for (const [word] of ends) made(head, "th", `${title.split(",")[0]}, ${word}`, { scope: "col" });
      const body = made(table, "tbody");
      this.results.forEach((run, number) => {
        const row = made(body, "tr");
        made(row, "th", this.data.names[number], { scope: "row" });
        for (const [, quantity, name] of panels) {
          const values = run?.channels[name];
          for (const [, most] of ends) made(row, "td", values ? shown(values.reduce((a, b) => most(a, b)), this.data.units[quantity], system()) : "–");
        }
      });
    }

    set(time) {
      this.time = time;
      byId("try-time").value = String(time);
      const own = this.results[this.changed];
      const frame = own && frameAt(own, time);
      const words = `${time.toFixed(2)} s${frame ? `, ${shown(frame.distance_m, this.data.units.distance, system())}` : ""}`;
      byId("try-now").textContent = words;
      byId("try-time").setAttribute("aria-valuetext", words);
      for (const panel of this.panels) panel.at(time);
      if (frame) this.truck.draw(frame);
    }

    stop() {
      if (this.running !== null) cancelAnimationFrame(this.running);
      this.running = null;
      byId("try-play").textContent = "Play";
      byId("try-play").setAttribute("aria-pressed", "false");
    }

    play() {
      const end = Number(byId("try-time").max);
      if (this.time >= end) this.set(0);
      byId("try-play").textContent = "Pause";
      byId("try-play").setAttribute("aria-pressed", "true");
      let last = performance.now();
      const next = (now) => {
        this.set(Math.min(this.time + (now - last) / 4000, end)); // a quarter of the speed: a bump is over in a tenth of a second
        last = now;
        if (this.time >= end) this.stop();
        else this.running = requestAnimationFrame(next);
      };
      this.running = requestAnimationFrame(next);
    }
  }

  async function begin() {
    const data = JSON.parse(packed.textContent);
    const page = new Page(data, await Tried.of(data));
    byId("try").hidden = false;
    page.sliders();
    page.all();
    // For tests and for whoever opens the console: the page's own state.
    window.jounceTried = page;
  }

  begin().catch((error) => {
    byId("try").hidden = true;
    byId("try-state").textContent = `This browser cannot run the truck (${why(error)}). The rest of this page is whole.`;
  });
})();
