// The question of shape and size: which shape, what it measures, and a diagram of where to lay the tape.

import { diagram } from "./diagram.js";
import { built, length } from "./lengths.js";
import { h } from "./h.js";
import { live } from "./live.js";
import { readText } from "./files.js";
import { row, sign, wrong } from "./parts.js";
import { cornerFields, measureFields, shapeButtons } from "./shape_fields.js";
import { complete, drawnShape, fromFields, lean, shapeOf, SHAPES, typedFields } from "./shapes.js";
import { design, designStep, seen, setLook } from "./state.js";

function choose(option) {
  if (design().shape?.option === option) return;
  designStep("the shape", { ...begun(option), settings: {} });
}

function begun(option) {
  if (option === "corners") return { shape: { option, value: "" }, more: {} };
  if (option === "outline") return { shape: { option, value: "" }, more: {} };
  return fromFields(option, carried(option));
}

/** The first length that she typed goes with her from shape to shape. */
function carried(option) {
  const before = Object.values(typedFields(design()))[0];
  const first = shapeOf(option).fields[0];
  return before && first ? { [first.name]: before } : {};
}

function setField(name, text) {
  const { option } = design().shape;
  designStep("a measurement", fromFields(option, { ...typedFields(design()), [name]: text }), true);
}

/** The column of words while the shape is asked for. */
export function measureWords() {
  const option = design().shape?.option;
  const which = !option || seen().open === "shape:which";
  return h("div", { class: "asked" }, which ? shapeList(option) : row("What shape is it?", shapeOf(option).title.toLowerCase(), "shape:which"), option && !which && fields(option));
}

function shapeList(option) {
  const pick = (name) => {
    choose(name);
    setLook({ open: "shape" });
    requestAnimationFrame(() => requestAnimationFrame(() => document.querySelector(".field input")?.focus()));
  };
  return h("div", { class: "opened", key: "which" }, h("h2", { class: "question" }, "What shape is it, inside its seams?"), shapeButtons(SHAPES, option, pick));
}

function fields(option) {
  if (option === "outline") return outlineFile();
  if (option === "corners") return corners();
  const shape = shapeOf(option);
  return h(
    "div",
    { key: option, class: "opened" },
    h("h2", { class: "question" }, shape.fields.length > 1 ? "What does your tape say?" : "How large is it?"),
    measureFields(option, typedFields(design()), setField, () => complete(design()) && !live.motifs?.refused && goOn()),
    trouble(),
    remark(option),
  );
}

/** What the program says against the measurements, under them. */
function trouble() {
  const refused = complete(design()) ? live.motifs?.refused : null;
  return refused && wrong(refused.message, refused.hint);
}

function remark(option) {
  const drawn = drawnShape(design(), seen().unit);
  if (option !== "sides" || !drawn || !complete(design())) return h("p", { class: "note" }, "Finished sizes, from seam to seam, without seam allowance.");
  return leaning(drawn);
}

/** How far a measured block leans, and that it is drawn so. */
export function leaning(drawn) {
  const out = lean(drawn.points);
  if (out < 0.5) return h("p", { class: "note" }, "Inside the seams, by your tape. It is square to within half a millimetre.");
  return h("p", { class: "note" }, "Inside the seams, by your tape. It ", h("strong", null, "leans by ", built(length(out, seen().unit).replace(/^(?!about)/, "about "))), ", and every motif is drawn to fit that.");
}

function corners() {
  const set = (value) => designStep("a corner", { shape: { option: "corners", value } }, true);
  return h("div", { key: "corners", class: "opened" }, h("h2", { class: "question" }, "Where are its corners?"), cornerFields(design().shape.value, set), trouble());
}

function outlineFile() {
  const take = async (event) => {
    const file = event.target.files[0];
    if (file) designStep("the outline", { outline_svg: await readText(file), outline_name: file.name.replace(/\.svg$/i, ""), shape: { option: "outline", value: "" } });
  };
  return h(
    "div",
    { key: "outline", class: "opened" },
    h("h2", { class: "question" }, "Which drawing?"),
    h("p", { class: "note" }, "An SVG file at true size. Its first closed path is the outline; closed paths inside it are kept clear."),
    h("label", { class: "field" }, h("span", { class: "name" }, design().outline_name ? `Now: ${design().outline_name}` : "Choose it here, or drop it anywhere on the page."), h("input", { type: "file", accept: ".svg,image/svg+xml", onchange: take })),
    trouble(),
  );
}

function goOn() {
  setLook({ open: design().motif || design().drawing_svg ? "settings" : "motif" });
}

/** The buttons under the question of shape and size. */
export function measureFoot() {
  const ready = complete(design()) && !live.motifs?.refused;
  const chosen = design().motif || design().drawing_svg;
  return [
    h("button", { class: "main", "aria-disabled": ready ? null : "true", "aria-describedby": ready ? null : "first", onclick: () => ready && goOn() }, chosen ? "See it in this block" : "Choose a motif"),
    !ready && h("p", { id: "first", class: "note", style: "align-self:center" }, live.motifs?.refused && complete(design()) ? "The measurements first: see above." : design().shape ? "The measurements first." : "The shape first."),
  ];
}

/** The picture beside the question: the block with the lines to measure. */
export function measurePicture() {
  const drawn = design().shape ? drawnShape(design(), seen().unit) : null;
  if (!drawn) return h("div", { class: "blank" }, h("p", { class: "note" }, waiting()));
  const option = design().shape.option;
  return h(
    "div",
    { class: "tomeasure" },
    diagram(drawn, option, seen().unit, 640, 600, true),
    drawn.apart && apart(option),
  );
}

/** What is told of measures that cannot all be right. */
export function apart(option) {
  const [what, act] = option === "sides" ? ["These sides and this diagonal do not meet. ", "Measure the diagonal once more."] : ["These three sides do not meet. ", "Measure them once more."];
  return h("p", { class: "caution" }, sign(), h("span", null, h("strong", null, what), act));
}

function waiting() {
  const option = design().shape?.option;
  if (option === "outline") return design().outline_svg ? "The outline is read. Choose a motif to see it." : "Your outline shows here once it is read.";
  if (option === "corners") return "Your block shows here from its third corner on.";
  return "Your block shows here, with the lines to measure.";
}

/** The block small with her figures, for the column of words beside the motifs. */
export function measuredSmall() {
  const drawn = drawnShape(design(), seen().unit);
  const again = h("button", { class: "second small", onclick: () => setLook({ open: "shape" }) }, "Change the measurements");
  if (!drawn) return h("div", { class: "measured" }, again);
  return h("div", { class: "measured" }, diagram(drawn, design().shape.option, seen().unit, 380, 330, false), design().shape.option === "sides" && leaning(drawn), again);
}
