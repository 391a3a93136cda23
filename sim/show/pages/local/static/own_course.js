/* A course of one's own: points typed, pasted, chosen as a file or clicked into a strip; the server makes a course file of them. */
const $ = (id) => document.getElementById(id);
const [WIDE, HIGH] = [600, 120];
/** Length and height of the strip, in the units of columns without a header. */
const STRIP = { m: [30, 150], ft: [100, 6] };

/** Points of a text: distance and height of each line that has two numbers. */
function points(text) {
  return text.split("\n").map((line) => line.trim().split(/[\s,;]+/).map(Number)).filter((row) => row.length >= 2 && row.slice(0, 2).every(Number.isFinite));
}

export class OwnCourse {
  /** @param used  called with the name of a course that was written */
  constructor(page, used) {
    const box = $("course-points");
    box.oninput = () => this.draw();
    $("course-units").onchange = () => this.draw();
    $("course-file").onchange = async () => {
      const [file] = $("course-file").files;
      if (!file) return;
      box.value = await file.text();
      if (!$("course-name").value) $("course-name").value = file.name.replace(/\.\w+$/, "");
      this.draw();
    };
    $("course-drawing").onclick = (event) => {
      const at = $("course-drawing").getBoundingClientRect();
      const [long, high] = STRIP[$("course-units").value];
      const x = ((event.clientX - at.left) / at.width) * long;
      const z = (0.5 - (event.clientY - at.top) / at.height) * 2 * high;
      const rows = points(box.value).map(([a, b]) => [a, b]);
      rows.push([Number(x.toFixed(2)), Number(z.toFixed(1))]);
      rows.sort(([a], [b]) => a - b);
      box.value = rows.map((row) => row.join(" ")).join("\n");
      this.draw();
    };
    $("own-course").onsubmit = async (event) => {
      event.preventDefault();
      const said = await page.post("course", { name: $("course-name").value, points: box.value, units: $("course-units").value });
      $("course-said").textContent = said.ok ? `Saved ${said.file}.` : said.why;
      $("course-said").classList.toggle("error", !said.ok);
      if (said.ok) used(said.course);
    };
    this.draw();
  }

  draw() {
    const [long, high] = STRIP[$("course-units").value];
    const places = points($("course-points").value).map(([x, z]) => [(x / long) * WIDE, HIGH / 2 - (z / high) * (HIGH / 2)]);
    const line = places.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" ");
    const dots = places.map(([x, y]) => `M${(x - 3).toFixed(1)} ${y.toFixed(1)}h6M${x.toFixed(1)} ${(y - 3).toFixed(1)}v6`).join("");
    const shape = (tag, attributes) => {
      const own = document.createElementNS("http://www.w3.org/2000/svg", tag);
      for (const [key, value] of Object.entries(attributes)) own.setAttribute(key, value);
      return own;
    };
    $("course-drawing").replaceChildren(
      shape("path", { class: "level", d: `M0 ${HIGH / 2}H${WIDE}` }), shape("polyline", { class: "way", points: line }), shape("path", { class: "dots", d: dots || "M0 0" }),
    );
  }
}
