/* Which system of units is shown, and sentences that have a size in both. */
const TWICE = /(\d[\d./ to-]*(?:mm|kg|kg\/m|N\/mm|N s\/m|N|bar|m|m\/s|km|km\/h|°C)) \((\d[\d./ to-]*(?:in|lb|lb\/ft|lb\/in|lb s\/in|lbf|psi|ft|in\/s|mi|mph|°F))\)/g;

/** A sentence with its sizes in the system that is shown alone (as `in_shown_units`, sim/describe/shown.py). */
export function inSystem(text, system) {
  return system === "both" ? text : text.replace(TWICE, system === "inch" ? "$2" : "$1");
}

/** The texts of some elements, as they were written; shown again in one system or in both. */
export class Sentences {
  constructor(selector) {
    this.texts = [];
    for (const place of document.querySelectorAll(selector)) {
      const walker = document.createTreeWalker(place, NodeFilter.SHOW_TEXT);
      while (walker.nextNode()) if (/\(\d/.test(walker.currentNode.data)) this.texts.push([walker.currentNode, walker.currentNode.data]);
    }
  }

  show(system) {
    if (system === this.system) return;
    this.system = system;
    for (const [node, text] of this.texts) node.data = inSystem(text, system);
  }
}
