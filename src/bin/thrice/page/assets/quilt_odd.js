// Blocks that came out uneven: where each lies, what shape it is, and what her tape says, with a diagram of where to lay it.

import { diagram } from "./diagram.js";
import { h } from "./h.js";
import { built, shown, withUnit } from "./lengths.js";
import { apart, leaning } from "./measure.js";
import { toldAt } from "./quilt_field.js";
import { cornerFields, measureFields, shapeButtons } from "./shape_fields.js";
import { asSent, complete, drawnShape, fromFields, shapeOf, SHAPES, typedFields } from "./shapes.js";
import { EMPTY_DESIGN, seen, setLook } from "./state.js";

const NO_BLOCKS = ["strip", "corner", "outline"];
const BLOCKS = SHAPES.filter(({ option }) => !NO_BLOCKS.includes(option));
const DIAGONALS = ["diagonal", "other-diagonal"];

/** The odd block that she is measuring, and whether its shape is being chosen. */
let odd = null;
let which = false;

/** The shape of an odd block of the quilt file, as the fields of the page have it. */
export function shapeOfOdd(one) {
  const key = SHAPES.find(({ option }) => one[option] != null)?.option;
  if (!key) return null;
  const value = String(one[key]);
  const option = key === "sides" && value.split(",").length === 3 ? "three-sides" : key;
  const more = Object.fromEntries(DIAGONALS.filter((name) => one[name]).map((name) => [name, one[name]]));
  return { shape: { option, value }, more };
}

const asDesign = ({ shape, more }) => ({ ...EMPTY_DESIGN, shape, more });

function begin(odds, i) {
  const one = odds[i];
  odd = { i, name: one?.name, row: String(one?.at?.[0] ?? ""), column: String(one?.at?.[1] ?? ""), ...((one && shapeOfOdd(one)) ?? { shape: { option: "sides", value: "" }, more: {} }) };
  which = false;
  setLook({});
}

function end() {
  odd = null;
  setLook({});
}

/** The question of odd blocks. */
export function oddBlocks(quilt, change) {
  const odds = quilt.file.odd ?? [];
  const away = (i) => () => {
    odd = null;
    change("one odd block less", [{ at: ["odd", i], value: null }]);
  };
  const one = (block, i) =>
    h("div", { class: "oddone", key: block.name },
      h("p", null, h("b", null, block.name), h("span", { class: "note" }, " ", built(told(block)))),
      h("button", { class: "plain", onclick: () => begin(odds, i) }, "Change"),
      h("button", { class: "plain", onclick: away(i) }, "Like the others"),
      ["", ".at", ".name", ...SHAPES.map(({ option }) => `.${option}`), ...DIAGONALS.map((name) => `.${name}`)].map((key) => toldAt(quilt, `odd.${i}${key}`)));
  return h(
    "div",
    { class: "opened", key: "odd" },
    h("h2", { class: "question" }, "Blocks that came out uneven"),
    odds.map(one),
    odd ? oddFields(quilt, change) : h("div", { class: "foot still" }, h("button", { class: "second small", onclick: () => begin(odds, odds.length) }, odds.length ? "Measure another" : "Measure one")),
  );
}

/** What an odd block measures, in a line. */
function told(one) {
  const found = shapeOfOdd(one);
  if (!found) return "";
  const unit = seen().unit;
  const { option, value } = found.shape;
  const words = option === "sides" ? "" : `${shapeOf(option).title.toLowerCase()}, `;
  if (option === "corners") return `${value.split(";").length} corners`;
  const lengths = value.split(",").map((text) => shown(text.trim(), unit)).join(", ");
  return `${words}${lengths}${one.diagonal ? `; diagonal ${shown(one.diagonal, unit)}` : ""}`;
}

function oddFields(quilt, change) {
  const { option } = odd.shape;
  const put = (name) => (event) => {
    odd[name] = event.target.value;
    setLook({});
  };
  const measured = (name, text) => {
    Object.assign(odd, fromFields(option, { ...typedFields(odd), [name]: text }));
    setLook({});
  };
  const pick = (other) => {
    const first = Object.values(typedFields(odd))[0];
    const fields = shapeOf(other).fields;
    Object.assign(odd, other === "corners" ? { shape: { option: other, value: "" }, more: {} } : fromFields(other, first && fields[0] ? { [fields[0].name]: first } : {}));
    which = false;
    setLook({});
  };
  const where = (name, words, example) =>
    h("label", { class: "field", key: name }, h("span", { class: "name" }, words), h("input", { type: "text", name, inputmode: "decimal", autocomplete: "off", value: odd[name], placeholder: `such as ${example}`, oninput: put(name) }));
  const filled = [odd.row, odd.column].every((text) => Number.isFinite(number(text))) && complete(asDesign(odd));
  const half = quilt.file.top?.setting === "on point";
  return h(
    "div",
    { key: "oddfields", class: "oddfields" },
    h("div", { class: "fields" }, where("row", "Row, from top", half ? "2 or 1.5" : "2"), where("column", "Column, from left", half ? "1 or 1.5" : "1")),
    half && h("p", { class: "note" }, "Halves lie between the rows."),
    which
      ? shapeButtons(BLOCKS, option, pick)
      : h("button", { class: "row", key: "which", "aria-expanded": "false", onclick: () => { which = true; setLook({}); } }, h("span", null, "What shape is it?"), h("span", { class: "answer" }, shapeOf(option).title.toLowerCase())),
    !which && (option === "corners" ? cornerFields(odd.shape.value, (value) => { odd.shape = { option, value }; setLook({}); }) : measureFields(option, typedFields(odd), measured)),
    h("div", { class: "foot still" },
      h("button", { class: "second small", "aria-disabled": filled ? null : "true", onclick: () => filled && putIn(quilt, change) }, filled ? "Put it in" : "Fill in all its measurements"),
      h("button", { class: "plain", onclick: end }, "Leave it")),
  );
}

const number = (text) => Number.parseFloat(String(text).replace(",", "."));

/** Writes the odd block into the quilt file; of another shape than before, it leaves the old measures out. */
function putIn(quilt, change) {
  const unit = seen().unit;
  const { option, value } = asSent(odd.shape, unit);
  const at = ["odd", odd.i];
  const [row, column] = [number(odd.row), number(odd.column)];
  const more = Object.fromEntries(DIAGONALS.map((name) => [name, odd.more[name] ? withUnit(odd.more[name], unit) : null]));
  const now = { name: odd.name ?? `row ${row}, column ${column}`, at: [row, column], [option]: value, ...more };
  const before = quilt.file.odd?.[odd.i] ?? {};
  const gone = SHAPES.map((shape) => shape.option).filter((key) => before[key] != null && key !== option);
  odd = null;
  change("an odd block", [...Object.entries(now).filter(([key, text]) => text != null || before[key] != null), ...gone.map((key) => [key, null])].map(([key, text]) => ({ at: [...at, key], value: text })));
}

/** The diagram of the odd block that is being measured; null while none is. */
export function oddPicture() {
  if (!odd || which) return null;
  const unit = seen().unit;
  const drawn = drawnShape(asDesign(odd), unit);
  if (!drawn) return h("div", { class: "blank", key: "odd" }, h("p", { class: "note" }, "Your block shows here from its third corner on."));
  const { option } = odd.shape;
  return h(
    "div",
    { class: "tomeasure", key: "odd" },
    diagram(drawn, option, unit, 640, 600, true),
    drawn.apart ? apart(option) : option === "sides" && complete(asDesign(odd)) && leaning(drawn),
  );
}
