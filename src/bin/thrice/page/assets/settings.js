// Her settings: one question open, the others closed with their answers in view.

import { h } from "./h.js";
import { little } from "./cards.js";
import { built, millimetres, typed } from "./lengths.js";
import { live, settle } from "./live.js";
import { choices, row, sameLength, told } from "./parts.js";
import { choiceWords, lower, question } from "./questions.js";
import { slider } from "./slider.js";
import { design, designStep, seen, setLook } from "./state.js";

/** The value of a setting now: as typed, else as the motif has it. */
function valueOf(setting, of) {
  return of[setting.name] ?? setting.default;
}

/** A value of a setting in words. */
export function valueWords(setting, text) {
  if (setting.kind === "length") return told(text);
  if (setting.kind === "angle") return `${String(text).replace(/°$/, "")}°`;
  if (setting.kind === "choice") return choiceWords(text);
  if (setting.kind === "seed") return `version ${text}`;
  return String(text);
}

/** The settings of the motif (or its background) that change something in this block. */
function rangesOf(start, behind) {
  const name = behind ? design().background : design().motif;
  const motif = start.motifs.find((m) => m.name === name);
  if (!motif) return [];
  const known = behind ? live.ranges?.background : live.ranges?.motif === name ? live.ranges.settings : null;
  return motif.settings
    .map((setting) => ({ motif, setting, range: known?.[setting.name] ?? null, behind }))
    .filter(({ range }) => !range || (range.changes && (range.texts?.length ?? 0) > 1));
}

/** The stops of a slider: from the ranges, else even steps between least and most. */
function stops({ setting, range }, now) {
  const texts = range?.texts?.length ? range.texts.map(String) : evenly(setting);
  if (texts.some((text) => same(setting, text, now))) return texts;
  const all = [...texts, String(now)];
  const size = (text) => (setting.kind === "length" ? millimetres(text) ?? 0 : Number.parseFloat(text));
  return all.sort((a, b) => size(a) - size(b));
}

function evenly(setting) {
  const { least, most, kind } = setting;
  if (least == null || most == null) return [String(setting.default)];
  if (kind === "length") {
    const step = most - least > 60 ? 25.4 / 4 : 25.4 / 16;
    return Array.from({ length: Math.floor((most - least) / step) + 1 }, (_, i) => typed(least + i * step, seen().unit));
  }
  const count = kind === "count" ? most - least : Math.min(20, kind === "angle" ? most - least : 20);
  return Array.from({ length: count + 1 }, (_, i) => String(Math.round((least + ((most - least) * i) / count) * 1000) / 1000));
}

function same(setting, a, b) {
  if (setting.kind === "length") return sameLength(String(a), String(b));
  const [x, y] = [Number.parseFloat(a), Number.parseFloat(b)];
  return Number.isFinite(x) && Number.isFinite(y) ? Math.abs(x - y) < 1e-6 : String(a) === String(b);
}

const part = (behind) => (behind ? "background_settings" : "settings");
const opens = (item) => `set:${item.behind ? "behind:" : ""}${item.setting.name}`;

function change(item, text, released) {
  live.dragging = !released;
  const asks = lower(question(item.motif.name, item.setting.name)).replace("?", "");
  designStep(asks, { [part(item.behind)]: { ...design()[part(item.behind)], [item.setting.name]: String(text) } }, !item.released);
  item.released = released;
  if (released) settle();
}

function openQuestion(item) {
  const { motif, setting, behind } = item;
  const asks = question(motif.name, setting.name);
  const now = valueOf(setting, design()[part(behind)]);
  const words = (text) => valueWords(setting, text);
  if (setting.kind === "choice") {
    const all = (item.range?.texts?.length ? item.range.texts : setting.choices).map((value) => ({ value, words: choiceWords(value) }));
    return h("div", { class: "opened", key: opens(item) }, h("h2", { class: "question" }, asks), h("p", { class: "note" }, setting.words), choices(asks, all, now, (value) => change(item, value, true)));
  }
  if (setting.kind === "seed") return seed(item, asks, Number(now));
  const texts = stops(item, now);
  const at = Math.max(0, texts.findIndex((text) => same(setting, text, now)));
  const ends = item.range ? [texts[0], texts.at(-1)].map((text, i) => little(endDesign(item, text), `end-${i}`).picture) : null;
  return h(
    "div",
    { class: "opened", key: opens(item) },
    slider({ name: `${behind ? "behind-" : ""}${setting.name}`, asks, stops: texts, at, words, ends, move: (text, released) => change(item, text, released) }),
    h("p", { class: "note" }, built(`${setting.words[0].toUpperCase()}${setting.words.slice(1)}.`)),
  );
}

/** What stands at an end of a slider: her block with that value, without what lies behind. */
function endDesign({ setting, behind }, text) {
  const of = { ...design(), [part(behind)]: { ...design()[part(behind)], [setting.name]: text } };
  return behind ? of : { ...of, background: null, background_settings: {} };
}

function seed(item, asks, now) {
  return h(
    "div",
    { class: "opened", key: opens(item) },
    h("div", { class: "top" }, h("h2", { class: "question" }, asks), h("div", { class: "stepper" }, h("button", { "aria-label": "The version before", "aria-disabled": now <= 1 ? "true" : null, onclick: () => now > 1 && change(item, now - 1, true) }, "−"), h("output", null, String(now)), h("button", { "aria-label": "The next version", onclick: () => change(item, now + 1, true) }, "+"))),
    h("p", { class: "note" }, "Each number draws it differently, just as evenly."),
  );
}

function settingRows(start, behind) {
  return rangesOf(start, behind).map((item) => {
    if (seen().open === opens(item)) return openQuestion(item);
    return row(question(item.motif.name, item.setting.name), valueWords(item.setting, valueOf(item.setting, design()[part(behind)])), opens(item));
  });
}

/** The first setting of what lies behind; the others when she asks for more of them. */
function behindRows(start) {
  const rows = settingRows(start, true);
  if (rows.length < 3 || seen().open?.startsWith("set:behind")) return rows;
  return [rows[0], row("More about what lies behind", `${rows.length - 1} questions`, "set:behind")];
}

const MARGINS = ["0in", "1/8in", "1/4in", "3/8in", "1/2in", "5/8in", "3/4in", "1in"];

function margin() {
  const now = design().options.margin ?? "1/4in";
  const set = (text, released) => {
    live.dragging = !released;
    designStep("how far from the seam", { options: { ...design().options, margin: text === "1/4in" ? undefined : text } }, !released);
    if (released) settle();
  };
  if (seen().open !== "set:margin") return row("How far from the seam?", told(now), "set:margin");
  const size = Math.min(...(live.drawn?.size_mm ?? [203, 203]));
  const texts = MARGINS.filter((text) => millimetres(text) < size / 5);
  const at = texts.findIndex((text) => sameLength(text, now));
  const ends = [texts[0], texts.at(-1)].map((text, i) => little({ ...design(), options: { ...design().options, margin: text } }, `end-${i}`).picture);
  return h("div", { class: "opened", key: "set:margin" }, slider({ name: "margin", asks: "How far from the seam?", stops: texts, at: Math.max(0, at), words: told, ends, move: set }), h("p", { class: "note" }, "Kept clear inside the seam, all round."));
}

/** The rows of questions under the sentence. */
export function settingsWords(start) {
  const behind = start.motifs.find((m) => m.name === design().background);
  const { thread, cloth, stitch } = design().options;
  const background = design().background ? lower(behind?.title ?? design().background) : "nothing";
  return h(
    "div",
    { class: "asked" },
    settingRows(start, false),
    row("What lies behind it?", background, "background"),
    design().background && behindRows(start),
    margin(),
    row("Thread, cloth and stitch", `${thread ? colourWords(thread) : "white"} on ${cloth ? colourWords(cloth) : "natural"}${stitch ? `, ${stitch.replace("mm", " mm")}` : ""}`, "look"),
  );
}

const colourWords = (colour) => (colour.startsWith("#") ? "your colour" : colour);

/** Opens the first question of a motif that was just chosen. */
export function firstQuestion(start) {
  const first = rangesOf(start, false).find((item) => item.setting.kind !== "choice" && item.setting.kind !== "seed") ?? rangesOf(start, false)[0];
  if (first && seen().open === "settings") setLook({ open: opens(first) });
}

