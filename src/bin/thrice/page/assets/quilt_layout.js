// How the top is laid out, what it is sewn with, and how a quilt begins.

import { ask } from "./api.js";
import { little } from "./cards.js";
import { familyDesign } from "./quilt_places.js";
import { readText } from "./files.js";
import { h } from "./h.js";
import { length } from "./lengths.js";
import { choices, wrong } from "./parts.js";
import { borderWidths } from "./quilt_border.js";
import { field, toldAt } from "./quilt_field.js";
import { oddBlocks } from "./quilt_odd.js";
import { phrase } from "./sentence.js";
import { seen, setLook } from "./state.js";

const SETTINGS = [
  { value: "straight", words: "Straight", more: "blocks in rows, as they lie" },
  { value: "on point", words: "On point", more: "blocks on their corners, triangles round them" },
  { value: "whole cloth", words: "Whole cloth", more: "one piece of cloth, no seams" },
];

/** The question of the layout. */
export function layoutWords(quilt, change) {
  const { file } = quilt;
  if (!file) return h("div", { class: "asked" });
  const borders = file.border ?? [];
  const drawn = file.top?.setting === "drawn";
  const add = () => change("one more border", [{ at: ["border", borders.length, "width"], value: seen().unit === "in" ? "4in" : "100mm" }, { at: ["border", borders.length, "corner"], value: "square" }, ...(file.look?.family ? [] : [{ at: ["border", borders.length, "motif"], value: "cross-hatch" }])]);
  const less = () => change("one border less", [{ at: ["border", borders.length - 1], value: null }]);
  return h(
    "div",
    { class: "asked" },
    h("div", { class: "opened" }, h("h2", { class: "question" }, "How is the top put together?"), choices("Setting", drawn ? [...SETTINGS, { value: "drawn", words: "Drawn", more: `every patch as in ${file.top.drawing}` }] : SETTINGS, file.top?.setting, (value) => change("the setting", [{ at: ["top", "setting"], value }])),
      !drawn && h("div", { class: "fields" },
        field(quilt, change, { at: ["top", "rows"], words: "Blocks down", example: "4", kind: "count" }),
        field(quilt, change, { at: ["top", "columns"], words: "Blocks across", example: "3", kind: "count" }),
        field(quilt, change, { at: ["top", "block"], words: "Block, finished", example: "8in" }),
        field(quilt, change, { at: ["top", "sashing"], words: "Sashing", example: "1 1/2in" }),
      )),
    h("div", { class: "opened" }, h("h2", { class: "question" }, "Borders, the innermost first"),
      borders.map((border, i) => borderWidths(quilt, change, border, i)),
      h("div", { class: "foot still" }, h("button", { class: "second small", onclick: add }, "Add a border"), borders.length > 0 && h("button", { class: "plain", onclick: less }, "Remove the outermost"))),
    file.top?.setting !== "whole cloth" && !drawn && oddBlocks(quilt, change),
    h("div", { class: "opened" }, field(quilt, change, { at: ["title"], words: "What is it called?", kind: "text" })),
    h("div", { class: "foot" }, h("button", { class: "main", onclick: () => setLook({ open: "quilt" }) }, "Done")),
  );
}

/** The questions of hoops and sandwich. */
export function machineOfQuilt(start, quilt, change) {
  const { file } = quilt;
  if (!file) return h("div", { class: "asked" });
  const hoops = file.machine?.hoops ?? [];
  const setHoops = (next) => change("the hoops", [{ at: ["machine", "hoops"], value: next }]);
  const hoop = (text, i) =>
    h("label", { class: "field", key: `hoop-${i}` }, h("span", { class: "name" }, i < hoops.length ? `Hoop ${i + 1}, field across × up` : "Another hoop"), h("input", { type: "text", value: text, placeholder: "such as 200 x 200 mm", onchange: (event) => {
      const next = [...hoops];
      if (event.target.value.trim()) next[i] = event.target.value.trim();
      else next.splice(i, 1);
      setHoops(next);
    } }));
  return h(
    "div",
    { class: "asked" },
    h("div", { class: "opened" }, h("h2", { class: "question" }, "Which hoops do you have?"), [...hoops, ""].map(hoop), toldAt(quilt, "machine.hoops")),
    h("div", { class: "opened" }, h("h2", { class: "question" }, "Which batting lies inside?"), choices("Batting", start.battings.map((b) => ({ value: b.name, words: b.name === "unknown" ? "I don’t know" : b.name, more: `up to ${length(b.gap_mm, seen().unit)} apart` })), file.sandwich?.batting, (value) => change("the batting", [{ at: ["sandwich", "batting"], value }]))),
    h("div", { class: "foot" }, h("button", { class: "main", onclick: () => setLook({ open: "quilt" }) }, "Done")),
  );
}

let failed = null;

function familyCard(family, pick) {
  const { picture } = little(familyDesign(family, { option: "square", value: "8in" }), "picture");
  return h("button", { class: "card", key: family.name, onclick: pick }, picture, h("b", null, family.title ?? family.name), h("span", { class: "note" }, family.words));
}

/** The page while no quilt is begun: families first, an invented one, or a file of hers. */
export function begunQuilt(start, begin) {
  const starter = async (words, body) => {
    try {
      const { toml } = await ask("/api/quilt/starter", body);
      begin(words, toml);
    } catch (error) {
      failed = error;
      setLook({});
    }
  };
  const open = async (event) => {
    const file = event.target.files[0];
    if (file) begin("the quilt file", await readText(file));
  };
  return h(
    "main",
    { class: "page first", key: "begin-quilt" },
    h("div", { class: "words" },
      h("h1", { class: "sentence" }, "I am quilting ", phrase("a whole quilt", "what"), ", all in …"),
      failed && wrong(failed.message, failed.hint),
      h("div", { class: "asked bare begun" },
        h("div", { class: "cards" }, start.families.map((family) => familyCard(family, () => starter("a quilt", { family: family.name, demo: false })))),
        h("div", { class: "foot still" }, h("button", { class: "main", onclick: () => starter("the example", { family: null, demo: true }) }, "Show me an example"), h("button", { class: "second", onclick: () => starter("a quilt", { family: null, demo: false }) }, "Begin place by place")),
      ),
      h("label", { class: "field dropfield" }, h("span", { class: "name" }, "Or open a quilt file (.toml)."), h("input", { type: "file", accept: ".toml", onchange: open })),
    ),
  );
}
