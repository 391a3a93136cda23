// The kernel in a page: what was packed for it is unpacked, laid into its memory as its compiler (Numba) wants it, and run.
// Nothing of the physics is here: that is kernel.wasm, which is compiled from the kernel's own text.

export const Kernel = (() => {
  const PAGE = 65536; // bytes by which memory grows
  const LINE = 64; // bytes that a processor fetches at a time

  /** Return bytes written in base64. */
  function bytesOf(base64) {
    const text = atob(base64);
    const bytes = new Uint8Array(text.length);
    for (let i = 0; i < bytes.length; i += 1) bytes[i] = text.charCodeAt(i);
    return bytes;
  }

  /** Return deflated bytes as they were before. */
  async function inflated(bytes) {
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
    return new Response(stream).arrayBuffer();
  }

  /** Return the samples of a road: heights and rises from what is left of them on the grid, and the cubics between. */
  function roadOf(bytes, { shape, bits }, differences) {
    const [axles, samples, rows] = shape;
    const count = 2 * axles * samples; // heights of all axles, then rises
    const columns = new Float64Array(count);
    for (let i = 0; i < count; i += 1) {
      let folded = 0;
      for (let plane = 7; plane >= 0; plane -= 1) folded = folded * 256 + bytes[plane * count + i];
      columns[i] = folded % 2 ? -(folded + 1) / 2 : folded / 2;
    }
    for (let again = 0; again < differences; again += 1) {
      for (let i = 0; i < count; i += 1) if (i % samples) columns[i] += columns[i - 1];
    }
    const road = new Float64Array(axles * samples * rows);
    const grid = 2 ** -bits;
    for (let axle = 0; axle < axles; axle += 1) {
      const height = (i) => columns[axle * samples + i] * grid;
      const rise = (i) => columns[(axles + axle) * samples + i] * grid;
      for (let i = 0; i < samples; i += 1) {
        const place = (axle * samples + i) * rows;
        road[place] = height(i);
        road[place + 1] = rise(i);
        if (i > 0 && i < samples - 2) { // as sim/lower/road/samples.py: level before the first and past the last one
          const change = height(i + 1) - height(i);
          road[place + 2] = 3 * change - 2 * rise(i) - rise(i + 1);
          road[place + 3] = rise(i) + rise(i + 1) - 2 * change;
        }
      }
    }
    return road;
  }

  /** Return what Python packed: its table of contents, with `arrays` as typed arrays that know their shape. */
  async function unpacked(base64) {
    const whole = await inflated(bytesOf(base64));
    const length = Number(new DataView(whole).getBigUint64(0, true));
    const table = JSON.parse(new TextDecoder().decode(new Uint8Array(whole, 8, length)));
    const first = 8 + length;
    table.arrays = table.arrays.map((one) => {
      const { kind, shape, begin } = one;
      const size = shape.reduce((product, n) => product * n, 1);
      let numbers;
      if (kind === "road") numbers = roadOf(new Uint8Array(whole, first + begin), one, table.differences);
      else numbers = new (kind === "whole" ? BigInt64Array : Float64Array)(whole, first + begin, size);
      return { numbers, shape };
    });
    return table;
  }

  /** Return the kernel, ready to run, from its code. */
  async function load(code) {
    const memory = new WebAssembly.Memory({ initial: 4 });
    const { exp, atan, sin } = Math;
    const { instance } = await WebAssembly.instantiate(code, { env: { memory, exp, atan, sin } });
    return { memory, runs: instance.exports, begin: instance.exports.__heap_base.value };
  }

  /**
   * Run the kernel once.
   * @param kernel what `load` returned
   * @param name which of its runs
   * @param given its arguments, in order: {numbers, shape} an array, {whole} an integer, {number} a number, {out} the shape of
   *   the array of numbers that it writes
   * @returns {numbers, outputs}: what it wrote, in the kernel's memory until it is run again, and how many outputs of it
   */
  function run(kernel, name, given) {
    const { memory } = kernel;
    let end = kernel.begin;
    const placed = (bytes) => {
      const place = Math.ceil(end / LINE) * LINE;
      end = place + bytes;
      return place;
    };
    const returned = placed(8);
    const raised = placed(8); // what went wrong, which the kernel has no use for
    const places = given.map((one) => {
      if (one.out) return placed(8 * one.out.reduce((product, n) => product * n, 1));
      return one.numbers ? placed(one.numbers.byteLength) : 0;
    });
    if (end > memory.buffer.byteLength) memory.grow(Math.ceil((end - memory.buffer.byteLength) / PAGE));
    const handed = [];
    let out = null;
    given.forEach((one, index) => {
      if (one.whole !== undefined) handed.push(BigInt(one.whole));
      else if (one.number !== undefined) handed.push(one.number);
      else {
        const shape = one.out || one.shape;
        const size = shape.reduce((product, n) => product * n, 1);
        if (one.out) out = new Float64Array(memory.buffer, places[index], size);
        else new one.numbers.constructor(memory.buffer, places[index], size).set(one.numbers);
        // Who owns it, and for whom: nobody. Then size, bytes of a number, place, shape, bytes from one to the next each way.
        handed.push(0, 0, BigInt(size), 8n, places[index], ...shape.map(BigInt));
        shape.forEach((_, axis) => handed.push(BigInt(8 * shape.slice(axis + 1).reduce((product, n) => product * n, 1))));
      }
    });
    const status = kernel.runs[name](returned, raised, ...handed);
    if (status !== 0) throw new Error(`The kernel's ${name} ended with status ${status}.`);
    return { numbers: out, outputs: Number(new BigInt64Array(memory.buffer, returned, 1)[0]) };
  }

  /**
   * Return the arguments of a packed run, in order, with its dampers' curves as sliders have them.
   * @param table what `unpacked` returned
   * @param packed one of its runs
   * @param factors for each of its dampers the factors of its sliders; left out: as the set-up has them
   * @param every steps of the integrator for each output; left out: as it was packed
   */
  function given(table, packed, factors, every) {
    const knots = table.arrays[packed.given.knots.array];
    const laid = { numbers: knots.numbers.slice(), shape: knots.shape };
    if (factors) packed.dampers.forEach((damper, number) => lay(table, damper, factors[number], laid.numbers));
    const steps = packed.given.steps.whole;
    const taken = every || packed.given.every.whole;
    return table.arguments[packed.run].map((name) => {
      const one = packed.given[name];
      if (name === "knots") return laid;
      if (name === "every") return { whole: taken };
      if (name === "out") return { out: [Math.floor(steps / taken) + 1, one.out] };
      return one.array === undefined ? one : table.arrays[one.array];
    });
  }

  /** Lay one damper's table of ramps into that of all: what is fixed, and each slider's part times its factor. */
  function lay(table, damper, factors, numbers) {
    const fixed = table.arrays[damper.fixed].numbers;
    const parts = damper.sliders.map((slider) => table.arrays[slider.part].numbers);
    for (let i = 0; i < fixed.length; i += 1) {
      let sum = fixed[i];
      parts.forEach((part, number) => { sum += factors[number] * part[i]; });
      numbers[damper.begin + i] = sum;
    }
  }

  return { bytesOf, inflated, unpacked, load, given, run };
})();
