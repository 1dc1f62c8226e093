// How the top is laid out, what it is sewn with, and how a quilt begins.

import { ask } from "./api.js";
import { little } from "./cards.js";
import { familyDesign } from "./quilt_places.js";
import { readText } from "./files.js";
import { h } from "./h.js";
import { built, length, shown, withUnit } from "./lengths.js";
import { choices, wrong } from "./parts.js";
import { phrase } from "./sentence.js";
import { seen, setLook } from "./state.js";

const part = (file, at) => at.reduce((of, key) => of?.[key], file);

/** A field for one key of the quilt file; the program reads it when she leaves it. */
function field(quilt, change, { at, words, example, kind = "length", wide }) {
  const now = part(quilt.file, at);
  const name = at.join(".");
  const refused = quilt.refused?.field === name ? quilt.refused : null;
  const set = (text) => {
    const trimmed = text.trim();
    if (trimmed === String(now ?? "")) return;
    const value = trimmed === "" ? null : kind === "count" && /^\d+$/.test(trimmed) ? Number(trimmed) : kind === "length" ? withUnit(trimmed, seen().unit) : trimmed;
    change(words.toLowerCase(), [{ at, value }]);
  };
  return h(
    "label",
    { class: `field${wide ? " wide" : ""}`, key: name },
    h("span", { class: "name" }, words),
    h("input", { type: "text", inputmode: kind === "count" ? "numeric" : "text", autocomplete: "off", spellcheck: "false", value: now == null ? "" : Array.isArray(now) ? now.join(", ") : String(now), placeholder: example ? `such as ${example}` : null, "aria-invalid": refused ? "true" : null, onchange: (event) => set(event.target.value) }),
    refused && wrong(refused.message, refused.hint),
  );
}

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
  const add = () => change("a border more", [{ at: ["border", borders.length, "width"], value: seen().unit === "in" ? "4in" : "100mm" }, { at: ["border", borders.length, "corner"], value: "square" }, ...(file.look?.family ? [] : [{ at: ["border", borders.length, "motif"], value: "cross-hatch" }])]);
  const less = () => change("a border less", [{ at: ["border", borders.length - 1], value: null }]);
  return h(
    "div",
    { class: "asked" },
    h("div", { class: "opened" }, h("h2", { class: "question" }, "How is the top put together?"), choices("Setting", SETTINGS, file.top?.setting, (value) => change("the setting", [{ at: ["top", "setting"], value }])),
      h("div", { class: "fields" },
        field(quilt, change, { at: ["top", "rows"], words: "Blocks down", example: "4", kind: "count" }),
        field(quilt, change, { at: ["top", "columns"], words: "Blocks across", example: "3", kind: "count" }),
        field(quilt, change, { at: ["top", "block"], words: "Block, finished", example: "8in" }),
        field(quilt, change, { at: ["top", "sashing"], words: "Sashing", example: "1 1/2in" }),
      )),
    h("div", { class: "opened" }, h("h2", { class: "question" }, "Borders, the innermost first"),
      borders.map((border, i) => borderWidths(quilt, change, border, i)),
      h("div", { class: "foot still" }, h("button", { class: "second small", onclick: add }, "A border more"), borders.length > 0 && h("button", { class: "plain", onclick: less }, "One less"))),
    file.top?.setting !== "whole cloth" && oddBlocks(quilt, change),
    h("div", { class: "opened" }, field(quilt, change, { at: ["title"], words: "What is it called?", kind: "text" })),
    h("div", { class: "foot" }, h("button", { class: "main", onclick: () => setLook({ open: "quilt" }) }, "Good")),
  );
}

const SIDES = ["Top", "Right", "Bottom", "Left"];

/** How wide a border is: all round, or each side by itself. */
function borderWidths(quilt, change, border, i) {
  const all = quilt.file.border.length;
  const words = all === 1 ? "Border" : i === 0 ? "Inner border" : i === all - 1 ? "Outer border" : `Border ${i + 1}`;
  const at = ["border", i, "width"];
  const widths = String(border.width ?? "").split(",").map((text) => text.trim());
  if (widths.length < 4) {
    const apart = [{ at, value: Array(4).fill(widths[0]).join(", ") }, ...(border.corner === "turn" ? [{ at: ["border", i, "corner"], value: null }] : [])];
    return h("div", { class: "oneborder", key: `border-${i}` }, field(quilt, change, { at, words, example: "4in" }), h("button", { class: "plain", onclick: () => change("the sides of a border", apart) }, "Each side by itself"));
  }
  const set = (side) => (event) => {
    const text = withUnit(event.target.value, seen().unit) || "0in";
    if (text !== widths[side]) change("a side of a border", [{ at, value: widths.map((old, j) => (j === side ? text : old)).join(", ") }]);
  };
  return h(
    "fieldset",
    { class: "oneborder", key: `border-${i}` },
    h("legend", null, `${words}; 0 for a side without`),
    h("div", { class: "fields" }, SIDES.map((name, side) => h("label", { class: "field", key: name }, h("span", { class: "name" }, name), h("input", { type: "text", autocomplete: "off", value: widths[side], onchange: set(side) })))),
    h("button", { class: "plain", onclick: () => change("the sides of a border", [{ at, value: widths.find((text) => Number.parseFloat(text) > 0) ?? widths[0] }]) }, "All sides alike"),
  );
}

const MEASURES = [["row", "Row, from the top", "2"], ["column", "Column, from the left", "1"], ["bottom", "Bottom", "8 1/8in"], ["right", "Right", "8in"], ["top", "Top", "8in"], ["left", "Left", "8 1/16in"], ["diagonal", "Diagonal, bottom left to top right", "11 3/8in"]];
let odd = null;

/** Blocks that did not come out as the others: where each lies, and what her tape says. */
function oddBlocks(quilt, change) {
  const odds = quilt.file.odd ?? [];
  const told = (one) => {
    const [key, text] = Object.entries(one).find(([name]) => !["name", "at", "diagonal", "other-diagonal"].includes(name)) ?? ["", ""];
    const lengths = String(text).split(",").map((part) => shown(part.trim(), seen().unit)).join(", ");
    return `${key === "sides" ? "" : `${key.replaceAll("-", " ")}, `}${lengths}${one.diagonal ? `; diagonal ${shown(one.diagonal, seen().unit)}` : ""}`;
  };
  const begin = (i) => {
    const one = odds[i] ?? {};
    const sides = String(one.sides ?? "").split(",").map((part) => part.trim());
    odd = { i, row: one.at?.[0] ?? "", column: one.at?.[1] ?? "", bottom: sides[0] ?? "", right: sides[1] ?? "", top: sides[2] ?? "", left: sides[3] ?? "", diagonal: one.diagonal ?? "", name: one.name };
    setLook({});
  };
  return h(
    "div",
    { class: "opened", key: "odd" },
    h("h2", { class: "question" }, "Blocks that came out otherwise"),
    odds.map((one, i) => h("div", { class: "oddone", key: one.name }, h("p", null, h("b", null, one.name), h("span", { class: "note" }, " ", built(told(one)))), one.sides && h("button", { class: "plain", onclick: () => begin(i) }, "Change"), h("button", { class: "plain", onclick: () => { odd = null; change("an odd block less", [{ at: ["odd", i], value: null }]); } }, "As the others"))),
    odd ? oddFields(change) : h("div", { class: "foot still" }, h("button", { class: "second small", onclick: () => begin(odds.length) }, odds.length ? "Measure another" : "Measure one")),
  );
}

function oddFields(change) {
  const set = (name) => (event) => {
    odd[name] = event.target.value;
    setLook({});
  };
  const filled = MEASURES.every(([name]) => String(odd[name]).trim());
  const put = () => {
    if (!filled) return;
    const unit = seen().unit;
    const [row, column] = [odd.row, odd.column].map((text) => Number.parseFloat(String(text).replace(",", ".")));
    const at = ["odd", odd.i];
    const sides = ["bottom", "right", "top", "left"].map((name) => withUnit(odd[name], unit)).join(", ");
    const set = { name: odd.name ?? `row ${row}, column ${column}`, at: [row, column], sides, diagonal: withUnit(odd.diagonal, unit) };
    odd = null;
    change("an odd block", Object.entries(set).map(([key, value]) => ({ at: [...at, key], value })));
  };
  return h(
    "div",
    { key: "oddfields" },
    h("div", { class: "fields" }, MEASURES.map(([name, words, example]) => h("label", { class: `field${name === "diagonal" ? " wide" : ""}`, key: name }, h("span", { class: "name" }, words), h("input", { type: "text", autocomplete: "off", value: String(odd[name]), placeholder: `such as ${example}`, oninput: set(name) })))),
    h("div", { class: "foot still" }, h("button", { class: "second small", "aria-disabled": filled ? null : "true", onclick: put }, filled ? "Put it in" : "All its measures first"), h("button", { class: "plain", onclick: () => { odd = null; setLook({}); } }, "Leave it")),
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
    h("div", { class: "opened" }, h("h2", { class: "question" }, "Which hoops do you have?"), [...hoops, ""].map(hoop)),
    h("div", { class: "opened" }, h("h2", { class: "question" }, "Which batting lies inside?"), choices("Batting", start.battings.map((b) => ({ value: b.name, words: b.name === "unknown" ? "I don’t know" : b.name, more: `up to ${length(b.gap_mm, seen().unit)} apart` })), file.sandwich?.batting, (value) => change("the batting", [{ at: ["sandwich", "batting"], value }]))),
    h("div", { class: "foot" }, h("button", { class: "main", onclick: () => setLook({ open: "quilt" }) }, "Good")),
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
        h("div", { class: "foot still" }, h("button", { class: "main", onclick: () => starter("an invented quilt", { family: null, demo: true }) }, "Show me an invented quilt"), h("button", { class: "second", onclick: () => starter("a quilt", { family: null, demo: false }) }, "Begin place by place")),
      ),
      h("label", { class: "field dropfield" }, h("span", { class: "name" }, "Or open a quilt file (.toml)."), h("input", { type: "file", accept: ".toml", onchange: open })),
    ),
  );
}
