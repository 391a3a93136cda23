/* The page around both of its sides: socket to the server, tabs, saving, and what is said when something is in the way. */
import { Aboard } from "./aboard.js";
import { Kept } from "./kept.js";
import { Measure } from "./measure.js";
import { forget, remember, rememberForm, remembered, rememberedForm } from "./remembered.js";
import { sideways } from "../truck/sideways.js";
import { Tries } from "./tries.js";

const given = JSON.parse(document.getElementById("given").textContent);
const $ = (id) => document.getElementById(id);

for (const box of document.querySelectorAll(".scroll")) sideways(box);

/** The socket: of each kind of message the last one counts, here and on the server. */
class Line {
  constructor(heard, state) {
    this.heard = heard;
    this.state = state;
    this.seq = 0;
    this.latest = {};
    this.open();
  }

  open() {
    const address = new URL("live", location.href);
    address.protocol = "ws:";
    this.socket = new WebSocket(address);
    this.socket.binaryType = "arraybuffer";
    this.socket.onopen = () => {
      this.state(true);
      // What was started or stopped once is not started again by itself.
      for (const [kind, message] of Object.entries(this.latest)) if (!["sure", "work", "hours"].includes(kind)) this.socket.send(JSON.stringify(message));
    };
    this.socket.onmessage = ({ data }) => {
      const said = typeof data === "string" ? JSON.parse(data) : unpacked(data);
      // An answer to what is no longer asked is still newer than what is shown, as answers come in order.
      this.heard(said);
    };
    this.socket.onclose = () => {
      this.state(false);
      setTimeout(() => this.open(), 1500);
    };
  }

  ask(kind, message) {
    page.remember();
    this.seq += 1;
    this.latest[kind] = { ...message, kind, seq: this.seq };
    // For whoever waits until the last one is drawn: tests, and the benchmark.
    (window.lastAsked ??= {})[kind] = this.seq;
    if (this.socket.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify(this.latest[kind]));
    // What is typed after the server has stopped is not saved either.
    else if ($("notice").dataset.of === "stopped") stopped();
    return this.seq;
  }
}

/** A binary frame of the socket (trials.py, `packed`): its text with the arrays by name. */
function unpacked(data) {
  const length = new DataView(data).getUint32(0, true);
  const said = JSON.parse(new TextDecoder().decode(new Uint8Array(data, 4, length)));
  let place = 4 + length;
  said.data = {};
  for (const [name, count] of said.arrays) {
    said.data[name] = new Float32Array(data, place, count);
    place += 4 * count;
  }
  return said;
}

const page = {
  given,
  mark: given.mark,
  file: given.file,
  /** Edits by dotted path; an empty text takes a key out. */
  edits: {},
  /** Those that are of the truck as it is chosen now: what was typed of the other kind of springs waits until that is chosen again. */
  sent() {
    return Object.fromEntries(Object.entries(page.edits).filter(([path]) => !measure.isAside(path)));
  },
  /** What is typed into the form and not saved, in words; empty without any. */
  unsaved() {
    return Object.keys(page.sent()).length ? kept.said() : "";
  },
  asks(kind, more = {}) {
    const seq = line.ask(kind, { mark: page.mark, edits: page.sent(), units: $("units").value, ...more });
    tries.beside.outdated();
    return seq;
  },
  changed() {
    const unsaved = Object.keys(page.sent()).length > 0;
    $("save").disabled = page.file !== "" && !unsaved;
    // That it was saved is said until something is typed that is not.
    if (unsaved && $("state").textContent.startsWith("Saved ")) page.say("");
    document.title = `${unsaved ? "• " : ""}${$("title").textContent} · jounce`;
  },
  say(text, bad = false) {
    $("state").textContent = text;
    $("state").classList.toggle("bad", bad);
  },
  /** Ask the server to write; returns what it says, with `ok`. */
  async post(where, what) {
    try {
      const answer = await fetch(where, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(what) });
      return { ok: answer.ok, ...(await answer.json()) };
    } catch {
      return { ok: false, why: "The server does not answer: jounce open was stopped." };
    }
  },
};

/** What this tab had before it was loaded again. */
page.before = remembered(given);
page.remember = () => {
  rememberForm(page.given, kept.toRemember());
  page.rememberTries();
};
page.rememberTries = () => remember(page.given, { units: $("units").value, tab: tabs.find((tab) => tab.getAttribute("aria-selected") === "true")?.id, tries: tries.toRemember(), aboard: aboard.toRemember() });
page.forget = () => {
  page.rememberTries = () => {};
  forget(page.given);
};
if (page.before.units) $("units").value = page.before.units;

const measure = new Measure(page);
/** What was typed before this tab was loaded again stands in its boxes before anything is asked. */
const kept = new Kept(page, measure, rememberedForm(given));
const tries = new Tries(page);
const aboard = new Aboard(page, tries, () => show($("tab-try")));

let wasOpen = false;
const line = new Line(
  (said) => {
    if (said.kind === "stand") {
      tries.shownIn(said.system);
      measure.heard(said);
      tries.lists();
    } else if (said.kind === "aboard") aboard.heard(said);
    else if (said.kind === "run") tries.heard(said);
    else if (said.kind === "judge") tries.judged(said);
    else if (said.kind === "sure") tries.beside.sureHeard(said);
    else if (said.kind === "work") tries.beside.workHeard(said);
    else if (said.kind === "track") tries.hours.told(said);
    else if (said.kind === "hours") tries.hours.heard(said);
    else if (said.kind === "file") fileSeen(said);
    else if (said.kind === "refused") {
      // What cannot be judged cannot be run either, which was said then.
      if (said.of === "judge") return;
      if (said.of === "track") {
        tries.hours.refused(said.why);
        return;
      }
      page.say(said.why, true);
      if (said.of === "run") tries.stale(true);
      else if (said.of === "aboard") aboard.stale(true);
      else measure.stale(true, "These are the numbers before the last change: it is not understood as it is typed now.");
    }
  },
  (open) => {
    if (open && !wasOpen) page.say("");
    if (!open) stopped();
    else if ($("notice").dataset.of === "stopped") notice("");
    wasOpen = open;
  },
);

/** Show a notice with buttons; an empty text takes it away. One that says what stands there already is left alone: somebody may be copying from it. */
function notice(of, text = "", buttons = [], more = null) {
  const box = $("notice");
  const says = `${text} ${more?.value ?? ""}`;
  if (of !== "" && of === box.dataset.of && (of !== "stopped" || says === box.dataset.says)) return;
  box.dataset.of = of;
  box.dataset.says = says;
  box.hidden = of === "";
  box.replaceChildren(document.createTextNode(text), document.createElement("br"));
  for (const [label, action] of buttons) {
    const button = document.createElement("button");
    button.textContent = label;
    button.onclick = action;
    box.append(button);
  }
  if (more) box.append(more);
}

function stopped() {
  page.say("Not connected. What to do stands at the top of this page.", true);
  measure.stale(true, "These are the last numbers before the server stopped.");
  tries.stale(true);
  aboard.stale(true);
  const typed = document.createElement("textarea");
  typed.readOnly = true;
  typed.rows = 6;
  typed.setAttribute("aria-label", "What you typed and did not save");
  typed.value = [...Object.entries(page.edits).map(([path, text]) => `${path}: ${text}`), ...tries.unsaved()].join("\n");
  // What a tab keeps belongs to its port: a truck that was new when it was opened has another one by itself.
  const again = `Start it again${page.file ? ` (jounce open ${inAShell(page.file)} --port ${location.port})` : ""}`;
  notice(
    "stopped",
    "The server has stopped: jounce open was closed, or its terminal. " +
      (typed.value
        ? `${again} as before and open the address that it prints in this tab: what you typed is in it again. To copy, if it is not: what you typed and did not save:`
        : `${again} and open the address that it prints. Everything is saved.`),
    [],
    typed.value ? typed : null,
  );
}

/** A file's name as it is typed into a terminal. */
function inAShell(name) {
  return /^[\w.-]+$/.test(name) ? name : `"${name}"`;
}

function fileSeen({ changed, gone }) {
  if (!changed) {
    if ($("notice").dataset.of === "file") notice("");
    return;
  }
  if (page.file === "") return;
  notice(
    "file",
    gone
      ? `${page.file} is not there any more. Save what is on this page under another name.`
      : `${page.file} was changed by another program or tab since this page read it. Saving here would lose that, so it is not done.`,
    [
      ...(gone ? [] : [["Load the file again", () => { page.goes = true; location.reload(); }]]),
      ["Save mine under another name", () => save({ as_new: true, name: prompt("Name of the new file", `${page.name()} 2`) })],
    ],
  );
}

/** Show a box of the form, its step open, and go there. */
page.toBox = (path) => {
  show($("tab-measure"));
  const box = measure.boxFor(path);
  const step = box?.closest(".step");
  if (!step) return;
  for (const other of document.querySelectorAll(".step")) other.open = other === step;
  box.focus();
  box.scrollIntoView({ block: "center" });
};

page.name = () => page.edits.name ?? given.name ?? "";

/** Write the truck's file; returns whether it was written. */
async function save(more = {}) {
  if (more.as_new && !more.name) return false;
  if (!more.as_new && kept.waits()) return false;
  const sent = page.sent();
  $("save").disabled = true;
  const said = await page.post("save", { mark: page.mark, edits: sent, name: page.name() || "My truck", ...more });
  if (!said.ok) {
    page.changed();
    if (said.conflict === "TakenError") {
      nameAsked(said.why);
    } else {
      page.say(said.why, true);
    }
    // What can be done about it stands there.
    scrollTo({ top: 0 });
    return false;
  }
  tries.beside.saved(() => {
    page.mark = said.mark;
    page.file = said.file;
    page.given.file = said.file;
    $("file").textContent = said.file;
    measure.saved(sent);
  });
  asksInTerminal(said.terminal);
  kept.saved();
  notice("");
  page.changed();
  page.say(`Saved ${said.file}.${said.copy ? ` What was there is kept as ${said.copy}.` : ""}`);
  measure.ask();
  return true;
}

/** Ask for another name in the page itself: a new file never takes the place of another one. */
function nameAsked(why) {
  const box = document.createElement("input");
  box.setAttribute("aria-label", "Name of the new file");
  box.value = `${page.name()} 2`;
  notice("name", why, [["Save under this name", () => { notice(""); save({ name: box.value }); }], ["Not now", () => notice("")]], box);
  box.focus();
}

page.save = save;
$("save").onclick = () => save();
addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && event.key === "s") {
    event.preventDefault();
    if (!$("save").disabled) save();
  }
});
addEventListener("beforeunload", (event) => {
  // What is loaded again on purpose has all of it again.
  if (page.goes || (!Object.keys(page.sent()).length && !tries.unsaved().length)) return;
  event.preventDefault();
  event.returnValue = true; // what browsers ask for that do not know the other way
});

const tabs = [$("tab-measure"), $("tab-aboard"), $("tab-try")];
const sides = [measure, aboard, tries];
function show(tab) {
  for (const own of tabs) {
    const chosen = own === tab;
    own.setAttribute("aria-selected", chosen);
    own.tabIndex = chosen ? 0 : -1;
    $(own.getAttribute("aria-controls")).hidden = !chosen;
  }
  sides[tabs.indexOf(tab)].ask();
  tries.shown(tab === $("tab-try"));
}
tabs.forEach((tab, number) => {
  tab.onclick = () => show(tab);
  tab.onkeydown = (event) => {
    if (!["ArrowLeft", "ArrowRight"].includes(event.key)) return;
    const other = tabs[(number + (event.key === "ArrowRight" ? 1 : tabs.length - 1)) % tabs.length];
    other.focus();
    show(other);
  };
});

for (const button of document.querySelectorAll("[data-copy]")) {
  button.onclick = async () => {
    try {
      await navigator.clipboard.writeText(button.dataset.copy);
      button.textContent = "Copied";
    } catch {
      // A browser that lets no page copy: what is to be copied is marked instead.
      getSelection().selectAllChildren(button.previousElementSibling);
    }
  };
}

/** Say the commands of the terminal with the truck's file: a new truck has one once it is saved. */
function asksInTerminal(commands) {
  document.querySelectorAll("[data-copy]").forEach((button, number) => {
    const command = commands[number];
    if (command === button.dataset.copy) return;
    [button.dataset.copy, button.previousElementSibling.textContent, button.textContent] = [command, command, "Copy"];
    button.setAttribute("aria-label", `Copy: ${command}`);
  });
}

for (const button of document.querySelectorAll("[data-to-box]")) button.onclick = () => page.toBox(button.dataset.toBox);

$("units").onchange = () => {
  measure.ask();
  aboard.ask();
  tries.ask();
};
page.changed();
const first = page.before.tab ?? (given.trial.setups ? "tab-try" : "tab-measure");
show($(first));
if (first !== "tab-measure") measure.ask();
