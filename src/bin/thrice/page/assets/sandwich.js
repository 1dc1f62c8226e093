// Batting, hoop, thread, cloth and stitch: what lies under the design and what it is sewn in.

import { h } from "./h.js";
import { length, millimetres, typed, withUnit } from "./lengths.js";
import { live } from "./live.js";
import { choices, wrong } from "./parts.js";
import { design, designStep, seen, setLook } from "./state.js";

/** One option of the design; null takes it away. */
function setOption(words, change, join = false) {
  const options = { ...design().options, ...change };
  for (const [name, value] of Object.entries(options)) if (value == null || value === "") delete options[name];
  designStep(words, { options }, join);
}

const upper = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** The question of the batting: its name or the figure on its label. */
export function battingWords(start) {
  const { batting, gap } = design().options;
  const unit = seen().unit;
  const known = start.battings.filter((b) => b.name !== "unknown");
  const options = [
    ...known.map((b) => ({ value: b.name, words: upper(b.name), more: `may be quilted up to ${length(b.gap_mm, unit)} apart` })),
    { value: "unknown", words: "I don’t know", more: `held to ${length(start.battings.find((b) => b.name === "unknown")?.gap_mm ?? 50.8, unit)}, to be on the safe side` },
  ];
  return h(
    "div",
    { class: "asked" },
    h("div", { class: "opened" }, h("h2", { class: "question" }, "Which batting lies inside?"), choices("Batting", options, gap ? null : batting ?? null, (name) => setOption("the batting", { batting: name === "unknown" ? null : name, gap: null }))),
    h(
      "div",
      { class: "opened" },
      typedOption("gap", "Better: what does its label allow?", gap ?? "", unit === "mm" ? "200mm" : "8in", "the gap on the label", { batting: null }),
    ),
  );
}

/** A field for a length among the options, with what is wrong with it underneath. */
function typedOption(name, words, text, example, step, also = {}) {
  const unit = seen().unit;
  const refused = live.refused?.field === `options.${name}` ? live.refused : null;
  const unread = text && millimetres(text, unit) == null;
  return h(
    "label",
    { class: "field", key: name },
    h("span", { class: "name" }, words),
    h("input", {
      type: "text", autocomplete: "off", spellcheck: "false", value: text, placeholder: `such as ${example}`,
      "aria-invalid": unread || refused ? "true" : null,
      "aria-describedby": unread || refused ? `wrong-${name}` : null,
      oninput: (event) => setOption(step, { ...also, [name]: event.target.value }, true),
      onblur: (event) => event.target.value && setOption(step, { [name]: withUnit(event.target.value, unit) }, true),
    }),
    unread ? wrong(`“${text}” is not a length.`, `Type it like ${example}.`, `wrong-${name}`) : refused && wrong(refused.message ?? refused.error, refused.hint, `wrong-${name}`),
  );
}

/** The question of the hoop: one of the usual fields, or hers. */
export function hoopWords(start) {
  const { hoop } = design().options;
  const usual = start.hoops.map((one) => ({ value: one.field, words: one.words.split(" (")[0], more: /\(([^)]*)\)/.exec(one.words)?.[1] }));
  const own = hoop && !usual.some((one) => one.value === hoop);
  const refused = live.refused?.field === "options.hoop" ? live.refused : live.drawn?.refused;
  return h(
    "div",
    { class: "asked" },
    h(
      "div",
      { class: "opened" },
      h("h2", { class: "question" }, "What can your hoop sew?"),
      h("p", { class: "note" }, "Its sewing field, across × up as it is mounted, as your machine’s manual gives it."),
      choices("Hoop", [...usual, { value: null, words: "No hoop yet", more: "nothing is checked against a hoop" }], hoop ?? null, (field) => setOption("the hoop", { hoop: field }), "two"),
      h("label", { class: "field" }, h("span", { class: "name" }, "Another size"), h("input", {
        type: "text", autocomplete: "off", value: own ? hoop : "", placeholder: "such as 180x300mm",
        "aria-invalid": own && refused ? "true" : null,
        onchange: (event) => setOption("the hoop", { hoop: event.target.value.replaceAll(/\s|×/g, (c) => (c === "×" ? "x" : "")) || null }),
      }), own && refused && !live.drawn?.refused && wrong(refused.message, refused.hint)),
      live.drawn?.refused && wrong(live.drawn.refused.error, live.drawn.refused.hint),
    ),
  );
}

const CLOTHS = [["natural", "Natural", "#f3ede1"], ["white", "White", "#fdfdfb"], ["#e3d3b4", "Straw", "#e3d3b4"], ["#d9b8ac", "Rose", "#d9b8ac"], ["#b9c7b0", "Sage", "#b9c7b0"], ["#aebfd2", "Sky", "#aebfd2"], ["grey", "Grey", "#a9a9a9"], ["charcoal", "Charcoal", "#4a4c50"]];
const THREADS = [["white", "White", "#ffffff"], ["natural", "Natural", "#f3ede1"], ["#c9a66b", "Gold", "#c9a66b"], ["#b0413e", "Red", "#b0413e"], ["#54743f", "Green", "#54743f"], ["#2f4f88", "Blue", "#2f4f88"], ["grey", "Grey", "#8b8b8b"], ["black", "Black", "#1c1c1c"]];

function swatches(name, words, all, now) {
  return h(
    "fieldset",
    { key: name },
    h("legend", { class: "question" }, words),
    h("div", { class: "swatches" }, all.map(([value, title, colour]) =>
      h("label", { class: "swatch", key: value, title }, h("input", { type: "radio", name, "aria-label": title, style: `--colour:${colour}`, checked: (now ?? all[0][0]) === value, onchange: () => {
        setOption(`the ${name}`, { [name]: value === all[0][0] ? null : value });
        if (seen().see !== "cloth") setLook({ see: "cloth" });
      } })),
    )),
  );
}

const STITCHES = ["2mm", "2.5mm", "3mm", "3.5mm", "4mm"];

/** Colours for the pictures, and the stitch. */
export function lookWords() {
  const { thread, cloth, stitch, speed } = design().options;
  const plain = design().options["no-ties"];
  return h(
    "div",
    { class: "asked" },
    h("div", { class: "opened" }, swatches("cloth", "Your cloth, for the pictures", CLOTHS, cloth), swatches("thread", "Your thread, for the pictures", THREADS, thread)),
    h(
      "div",
      { class: "opened" },
      h("h2", { class: "question" }, "How long is a stitch?"),
      choices("Stitch length", STITCHES.map((value) => ({ value, words: value.replace("mm", " mm"), more: value === "2.5mm" ? "the usual" : null })), stitch ?? "2.5mm", (value) => setOption("the stitch", { stitch: value === "2.5mm" ? null : value })),
      h("p", { class: "note" }, "Sewn three times over the same holes, so that a stitch of this length shows as one bold one."),
      toggle("Show the needle holes", seen().holes, () => setLook({ holes: !seen().holes })),
      toggle("Small stitches that secure the thread", !plain, () => setOption("the ties", { "no-ties": plain ? null : true })),
    ),
    h(
      "div",
      { class: "opened" },
      h("h2", { class: "question" }, "How fast do you sew?"),
      choices("Stitches a minute", ["400", "600", "800"].map((value) => ({ value, words: `${value} stitches a minute`, more: value === "600" ? "the usual" : null })), speed ?? "600", (value) => setOption("the speed", { speed: value === "600" ? null : value })),
    ),
    h("div", { class: "opened" }, typedOption("thickness", "How thick are the three layers, sewn down?", design().options.thickness ?? "", typed(1.5, "mm"), "the thickness")),
  );
}

function toggle(words, on, flip) {
  return h("label", { class: "choice" }, h("input", { type: "checkbox", checked: Boolean(on), onchange: flip }), h("span", null, words));
}
