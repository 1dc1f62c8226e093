// A machine file she already has: what it is, made anew for her block, or turned to where it was hooped.

import { ask, newestOnly } from "./api.js";
import { alignPicture, alignWords } from "./align.js";
import { readBytes } from "./files.js";
import { h } from "./h.js";
import { built, length, millimetres } from "./lengths.js";
import { smallShape } from "./diagram.js";
import { forFiles } from "./live.js";
import { caution, row, wrong } from "./parts.js";
import { inPageWords } from "./questions.js";
import { phrase } from "./sentence.js";
import { complete, fromFields, shapeOf, SHAPES, typedFields } from "./shapes.js";
import { doing, EMPTY_DESIGN, seen, setLook, step } from "./state.js";
import { take, takeFile, paperNow } from "./tomachine.js";

/** The file at hand and what was found in it. The bytes stay in this tab; the program reads them and keeps nothing. */
export const held = { name: null, bytes: null, check: null, refused: null, refit: null, refitRefused: null, shape: { option: "square", value: "8in" }, more: {}, hoop: "", which: false, busy: false };

/** Reads a machine file and asks what it is. */
export async function openDesign(file) {
  held.name = file.name;
  held.check = held.refused = held.refit = held.refitRefused = null;
  held.bytes = await readBytes(file);
  if (doing() !== "file") step("what you are quilting", { doing: "file" });
  try {
    sessionStorage.setItem("thrice.file", JSON.stringify({ name: held.name, bytes: held.bytes }));
  } catch {
    // Too large to keep: she drops it again after a reload.
  }
  setLook({ open: "file" });
  await check();
}

/** The block and hoop it is checked against and made for. */
function wanted() {
  const { shape, more } = forFiles({ ...EMPTY_DESIGN, shape: held.shape, more: held.more });
  return { shape, more, options: { ...(held.hoop ? { hoop: held.hoop } : {}), "show-in": seen().unit } };
}

const check = newestOnly(async () => {
  held.busy = true;
  setLook({});
  try {
    held.check = await ask("/api/check", { name: held.name, bytes: held.bytes, design: null });
    held.refused = null;
  } catch (error) {
    held.refused = error;
  }
  held.busy = false;
  setLook({});
});

const refit = newestOnly(async () => {
  try {
    held.refit = await ask("/api/refit", { name: held.name, bytes: held.bytes, design: wanted() });
    held.refitRefused = null;
  } catch (error) {
    held.refitRefused = error;
  }
  setLook({});
});

/** Takes up the file of this tab after a reload. */
function takeUpFile() {
  if (held.bytes) return;
  try {
    Object.assign(held, JSON.parse(sessionStorage.getItem("thrice.file")) ?? {});
  } catch {
    held.bytes = null;
  }
  if (held.bytes) check();
}

function choose(words) {
  return h("label", { class: "field" }, h("span", { class: "name" }, words), h("input", { type: "file", accept: ".dst,.exp", onchange: (event) => event.target.files[0] && openDesign(event.target.files[0]) }));
}

function verdict() {
  if (held.refused) return h("div", { class: "opened" }, wrong(held.refused.message, held.refused.hint));
  const found = held.check;
  if (!found) return h("div", { class: "opened" }, h("p", { class: "note" }, "It is being read …"));
  const speaks = (found.reasons ?? []).filter((reason) => reason.weight === "suits");
  const against = (found.reasons ?? []).filter((reason) => reason.weight !== "suits");
  return h(
    "div",
    { class: "opened" },
    h("h2", { class: "question" }, built(found.verdict)),
    against.length > 0 && h("ul", { class: "cautions" }, against.map((reason) => caution(reason.text))),
    speaks.length > 0 && h("ul", { class: "facts for" }, speaks.map((reason) => h("li", null, built(reason.text)))),
    (found.words ?? []).length > 0 && h("ul", { class: "facts" }, found.words.map((line) => h("li", null, built(inPageWords(line))))),
  );
}

function refitWords() {
  const unit = seen().unit;
  const ready = () => (complete({ ...EMPTY_DESIGN, shape: held.shape, more: held.more }) ? refit() : setLook({}));
  const hoop = (event) => {
    held.hoop = event.target.value.replaceAll(/\s/g, "").replace("×", "x");
    ready();
  };
  const shape = shapeOf(held.shape.option);
  const texts = typedFields({ ...EMPTY_DESIGN, shape: held.shape, more: held.more });
  const measured = (name) => (event) => {
    const now = typedFields({ ...EMPTY_DESIGN, shape: held.shape, more: held.more });
    Object.assign(held, fromFields(held.shape.option, { ...now, [name]: event.target.value }));
    ready();
  };
  const pick = (option) => {
    const first = shapeOf(option).fields[0];
    Object.assign(held, fromFields(option, { [first.name]: Object.values(texts)[0] ?? "" }), { which: false, refit: null, refitRefused: null });
    ready();
  };
  const unread = (f) => texts[f.name] && !f.plain && millimetres(texts[f.name], unit) == null;
  const f = held.refit?.figures;
  const warned = held.refit?.warnings ?? [];
  return h(
    "div",
    { class: "opened" },
    h("h2", { class: "question" }, "Remake it for another block"),
    h("p", { class: "note" }, "Its lines are unpicked and sewn again, triple, with stitches of the right length."),
    held.which
      ? h("div", { class: "shapes", role: "group", "aria-label": "Shape" }, SHAPES.filter((one) => one.fields.length > 0).map((one) => h("button", { key: one.option, class: "shape", "aria-pressed": String(one === shape), onclick: () => pick(one.option) }, smallShape(one.option), one.title)))
      : h("button", { class: "row", "aria-expanded": "false", onclick: () => { held.which = true; setLook({}); } }, h("span", null, "What shape is it?"), h("span", { class: "answer" }, shape.title.toLowerCase())),
    h("div", { class: "fields" },
      shape.fields.map((one) => h("label", { class: `field${one.wide ? " wide" : ""}`, key: one.name }, h("span", { class: "name" }, one.words), h("input", { type: "text", autocomplete: "off", value: texts[one.name] ?? "", placeholder: `such as ${one.example}`, "aria-invalid": unread(one) ? "true" : null, onchange: measured(one.name) }), unread(one) && wrong(`“${texts[one.name]}” is not a length.`, `Type it like ${one.example}.`))),
      h("label", { class: "field", key: "hoop" }, h("span", { class: "name" }, "Hoop"), h("input", { type: "text", value: held.hoop, placeholder: "such as 200x200mm", onchange: hoop }))),
    held.refitRefused && wrong(held.refitRefused.message, held.refitRefused.hint),
    !held.refit && !held.refitRefused && h("button", { class: "second small", onclick: refit }, "Show it in that block"),
    f && h("p", { class: "note" }, built(`${Math.round(f.minutes)} minutes, ${Math.round(f.thread_m)} m of thread${f.gap_mm == null ? "" : `, widest gap ${length(f.gap_mm, unit)}`}.`)),
    held.refit?.refused && wrong(held.refit.refused.error, held.refit.refused.hint),
    warned.length > 0 && h("ul", { class: "cautions" }, warned.map((w) => caution(w.text))),
    held.refit && !held.refit.refused && h("ul", { class: "takes" }, take("refit", "Everything, one zip", "machine file, template, preview, report", () =>
      takeFile("refit", "/api/refit/files", { name: held.name, bytes: held.bytes, design: wanted(), formats: ["dst"], paper: paperNow() }, "refit.zip"))),
  );
}

function filePicture() {
  const picture = seen().open === "file:refit" ? held.refit?.svg : held.check?.svg;
  if (!picture) return h("div", { class: "blank", key: "nopicture" }, h("p", { class: "note" }, held.bytes ? "" : "Your design shows here."));
  return h("div", { class: `filepicture${seen().open === "file:refit" ? " drawing" : ""}`, key: seen().open, role: "img", "aria-label": `${held.name} as it will be sewn`, html: picture });
}

/** What she has open, for the title of the window. */
export const fileTitle = () => held.name ?? "A design I have";

/** A long name with its middle left out. */
const shortened = (name) => (name.length > 32 ? `${name.slice(0, 18)}…${name.slice(-11)}` : name);

/** The page for a design she already has. */
export function fileView() {
  takeUpFile();
  const open = seen().open;
  const at = (key, asks, answer, view) => (open === key ? view() : row(asks, answer, key));
  const name = held.name ? shortened(held.name) : "a design I have";
  return h(
    "main",
    { class: "page", key: "file" },
    h("div", { class: "words" },
      h("h1", { class: "sentence" }, "I am quilting ", phrase(name, "what"), "."),
      held.bytes
        ? h("div", { class: "asked" },
            at("file", "What is it?", held.check?.verdict ?? "", verdict),
            at("file:refit", "Does it fit another block?", "remake it", refitWords),
            at("file:align", "Is it hooped a little askew?", "turn it to the marks", () => alignWords(held)),
            choose("Another file"))
        : h("div", { class: "asked" }, choose("A machine file (.dst or .exp): choose it here or drop it anywhere on the page."))),
    h("div", { class: "cloth still", key: "filecloth" }, open === "file:align" ? alignPicture(held) : filePicture()),
  );
}
