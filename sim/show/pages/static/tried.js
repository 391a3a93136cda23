/* Set-ups that a page runs again: what sliders and choices ask for, as the kernel takes it. */
import { Kernel } from "./kernel.js";

/** Knows what was packed, what is chosen, and nothing of the page. */
export class Tried {
  static OUTPUT_S = 0.004; // time between two outputs: a wheel that hops at 12 Hz has twenty of them in each hop

  static async of(data) {
    const code = await Kernel.inflated(Kernel.bytesOf(data.kernel));
    return new Tried(await Kernel.unpacked(data.packed), await Kernel.load(code));
  }

  constructor(table, kernel) {
    this.table = table;
    this.kernel = kernel;
    this.way = 0;
    this.load = 0;
    this.runs = new Map(table.runs.map((run) => [Tried.key(run.chosen), run]));
    this.setups = table.setups.map((name, number) => {
      const run = table.runs.find(({ chosen }) => chosen.setup === number && chosen.way === 0 && chosen.load === 0 && chosen.own);
      return { name, run, ...(run ? this.plain(run) : { counts: [], dampers: [] }) };
    });
  }

  static key({ setup, way, load, counts }) {
    return `${setup} ${way} ${load} ${counts.join(",")}`;
  }

  /** A set-up as its file has it: counts, and of each damper the factors of its sliders and the shift from compression to rebound. */
  plain(run) {
    return {
      counts: run.chosen.counts.slice(),
      dampers: run.dampers.map((damper) => ({ factors: damper.sliders.map(() => 1), shift: 0 })),
    };
  }

  reset(number) {
    Object.assign(this.setups[number], this.plain(this.setups[number].run));
  }

  isPlain(number) {
    const { run, counts, dampers } = this.setups[number];
    return counts.every((count, own) => count === run.chosen.counts[own])
      && dampers.every(({ factors, shift }) => shift === 0 && factors.every((factor) => factor === 1));
  }

  /** What is packed of a set-up as it is now, null if it cannot stand so. */
  packed(number, counts = this.setups[number].counts) {
    return this.runs.get(Tried.key({ setup: number, way: this.way, load: this.load, counts })) ?? null;
  }

  /** Factors of a damper's sliders with the shift in them: force taken from one side and put on the other, the sum at the knee kept. */
  factors(number, own) {
    const damper = this.setups[number].run.dampers[own];
    const { factors, shift } = this.setups[number].dampers[own];
    const at = (way) => this.force(damper, damper.sliders.map((slider) => (slider.way === way ? 1 : 0)), this.knee(damper));
    const [compression, rebound] = [at("compression"), at("rebound")];
    const moved = shift * Math.min(compression, rebound);
    const share = { compression: compression ? 1 - moved / compression : 1, rebound: rebound ? 1 + moved / rebound : 1 };
    return factors.map((factor, slider) => Math.min(factor * share[damper.sliders[slider].way], this.table.most_factor));
  }

  /** Speed at which a damper's sides are set against each other [m/s]: its first knee, or 0.3 m/s without one. */
  knee(damper) {
    return Math.min(...damper.sliders.map((slider) => slider.end ?? Infinity), 0.3);
  }

  /** Force [N] that sliders with these factors give together at a damper speed [m/s], seal and gas left out. */
  force(damper, factors, speed) {
    return damper.sliders.reduce((sum, slider, own) => {
      const force = slider.ramps.reduce((total, [start, slope]) => total + slope * Math.max(speed - start, 0), 0);
      return sum + factors[own] * force;
    }, 0);
  }

  /** Run a set-up as it is now, or as its file has it; returns what the kernel wrote, or null if it cannot stand so. */
  traced(number, plain = false, outputS = Tried.OUTPUT_S) {
    const setup = this.setups[number];
    const packed = setup.run && this.packed(number, plain ? setup.run.chosen.counts : setup.counts);
    if (!packed) return null;
    const every = Math.max(Math.round(outputS / packed.given.step.number), 1);
    const factors = plain ? null : setup.dampers.map((_, own) => this.factors(number, own));
    return { packed, every, ...Kernel.run(this.kernel, packed.run, Kernel.given(this.table, packed, factors, every)) };
  }

  /** Run a set-up; returns its signals by name, or null. */
  run(number, plain = false) {
    const traced = this.traced(number, plain);
    if (!traced) return null;
    const { packed, every, numbers, outputs } = traced;
    const step = every * packed.given.step.number;
    const columns = packed.given.out.out;
    const channels = {};
    for (const [name, [column, scale, zero, perSecond]] of Object.entries(packed.signals)) {
      const values = new Float64Array(outputs);
      for (let i = 0; i < outputs; i += 1) values[i] = scale * numbers[i * columns + column] + zero + perSecond * i * step;
      channels[name] = values;
    }
    const whole = Math.floor(packed.given.steps.whole / every) + 1;
    return { step_s: step, channels, blewUp: outputs < whole, scene: packed.chosen.scene };
  }
}
