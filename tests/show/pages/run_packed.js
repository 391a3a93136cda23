// Runs what was packed for a page, in node: node run_packed.js FOLDER, which has bundle.txt and asked.json, a list of
// {run: its number, factors: of its dampers' sliders or null, every: steps an output or null}; writes out0.bin and so on there.
"use strict";
const fs = require("fs");
const path = require("path");

const STATIC = path.join(__dirname, "../../../sim/show/pages/static");

async function main(folder) {
  // As a page has it, a module: by its text, as node would take a file of this name for none.
  const text = fs.readFileSync(path.join(STATIC, "kernel.js"));
  const { Kernel } = await import(`data:text/javascript;base64,${text.toString("base64")}`);
  const table = await Kernel.unpacked(fs.readFileSync(path.join(folder, "bundle.txt"), "latin1"));
  const kernel = await Kernel.load(fs.readFileSync(path.join(STATIC, "kernel.wasm")));
  const asked = JSON.parse(fs.readFileSync(path.join(folder, "asked.json"), "utf-8"));
  asked.forEach(({ run, factors, every }, number) => {
    const packed = table.runs[run];
    const given = Kernel.given(table, packed, factors, every);
    const { numbers, outputs } = Kernel.run(kernel, packed.run, given);
    const channels = packed.given.out.out;
    const wrote = new Float64Array(numbers.subarray(0, outputs * channels)); // out of the kernel's memory, which the next run writes
    fs.writeFileSync(path.join(folder, `out${number}.bin`), new Uint8Array(wrote.buffer));
  });
}

main(process.argv[2]).catch((error) => {
  console.error(error);
  process.exit(1);
});
