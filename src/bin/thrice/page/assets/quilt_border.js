// A border: how wide it is, how it goes round its corners, what lies in them, and a drawing of her own along it.

import { card } from "./cards.js";
import { pair } from "./gallery.js";
import { h } from "./h.js";
import { withUnit } from "./lengths.js";
import { row, wrong } from "./parts.js";
import { inOrder } from "./questions.js";
import { field, toldAt } from "./quilt_field.js";
import { borderOf, borderWords, grouped, sewnOf } from "./quilt_groups.js";
import { careful, sure } from "./quilt_sure.js";
import { EMPTY_DESIGN, seen, setLook } from "./state.js";

const SIDES = ["Top", "Right", "Bottom", "Left"];

const widthsOf = (border) => String(border?.width ?? "").split(",").map((text) => text.trim());

/** How wide a border is: all round, or each side by itself. */
export function borderWidths(quilt, change, border, i) {
  const words = borderWords(i, quilt);
  const at = ["border", i, "width"];
  const widths = widthsOf(border);
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
    toldAt(quilt, at.join(".")),
    h("button", { class: "plain", onclick: () => change("the sides of a border", [{ at, value: widths.find((text) => Number.parseFloat(text) > 0) ?? widths[0] }]) }, "All sides alike"),
  );
}

const WAYS = [["turn", "the lines run round"], ["mitre", "the sides meet on a slant"], ["butt", "top and bottom run through"], ["square", "a square of its own"]];
/** What a border's own corners are asked for with. */
const OF_CORNERS = ["corner-motif", "corner-settings"];

/** The keys of a border that belong to what lay along it before, all but how it goes round a corner that it still can. */
export function forgotten(start, border, motif) {
  const ways = motif ? start.motifs.find((m) => m.name === motif)?.corners ?? [] : ["mitre", "butt"];
  const stays = !border.corner || border.corner === "square" || ways.includes(border.corner);
  return ["settings", "drawing", "repeat", "mirrored", ...(stays ? [] : ["corner"])];
}

const pressed = (asks, all, now, pick) =>
  h("div", { class: "laid", key: asks, role: "group", "aria-label": asks }, h("span", null, asks), h("span", { class: "kinds" }, all.map(([value, says]) => h("button", { key: says, "aria-pressed": String(now === value), onclick: () => now !== value && pick(value) }, says))));

/** The questions of a border beside its motif. */
export function borderQuestions(start, quilt, place, ticks, change) {
  const i = borderOf(place);
  const border = quilt.file.border[i];
  const at = ["border", i];
  const set = (words, keys) => !quilt.busy && careful(sewnOf(quilt, place, ticks), () => change(words, keys.map(([key, value]) => ({ at: [...at, key], value }))));
  const alike = new Set(widthsOf(border)).size === 1;
  const can = border.drawing ? ["mitre", "butt"] : start.motifs.find((m) => m.name === (border.motif ?? place.motif))?.corners ?? [];
  const ways = WAYS.filter(([way]) => way === "square" || (can.includes(way) && (way !== "turn" || alike)));
  const round = (way) => set("the corners of a border", [["corner", way], ...(way === "square" ? [] : OF_CORNERS.map((key) => [key, null]))]);
  return h(
    "div",
    { key: "corners" },
    pressed("Corners", [[null, "as suits it best"], ...ways], border.corner ?? null, round),
    border.corner === "square" && row("What lies in its corners?", border["corner-motif"] ? title(start, border["corner-motif"]) : place.corners ? place.corners.motif_words : "nothing", `corners:${place.name}`),
    border.drawing && h("div", { class: "fields", key: "repeat" }, field(quilt, change, { at: [...at, "repeat"], words: "How long is one repeat?", example: "6in; as drawn if left empty" })),
    border.drawing && pressed("Every other one", [[false, "the same way round"], [true, "mirrored"]], Boolean(border.mirrored), (value) => set("how a border is mirrored", [["mirrored", value || null]])),
  );
}

const title = (start, name) => (start.motifs.find((m) => m.name === name)?.title ?? name).toLowerCase();

/** The motifs for the corner squares of a border, each drawn in one. */
export function cornerCards(start, quilt, name, ticks, change) {
  const place = grouped(quilt).find((one) => one.name === name);
  const border = place && quilt.file.border?.[borderOf(place)];
  if (!border) return h("div", { class: "blank", key: "noplace" });
  const [top, right = top] = widthsOf(border);
  const shape = top === right ? { option: "square", value: top } : { option: "rectangle", value: `${right}, ${top}` };
  const now = border["corner-motif"] ?? null;
  const put = (motif) => !quilt.busy && careful(sewnOf(quilt, place, ticks), () => change("what lies in the corners", [["corner-motif", motif], ["corner-settings", null]].map(([key, value]) => ({ at: ["border", borderOf(place), key], value }))));
  const suits = inOrder(start.motifs).filter((m) => m.suits.includes(shape.option));
  return h(
    "div",
    { class: "gallery", key: `corners-${name}` },
    h("div", { class: "galleryhead" }, h("h2", { class: "title" }, `${place.words}: what lies in its corners?`), h("span", { class: "note", role: "status" }, quilt.busy ? "Your quilt is being planned …" : place.corners?.motif_words ?? ""), pair()),
    quilt.refused && wrong(quilt.refused.message, quilt.refused.hint),
    sure(),
    h("div", { class: "kinds", role: "group", "aria-label": "Without a motif of their own" }, h("button", { "aria-pressed": String(now === null), onclick: () => now !== null && put(null) }, "No motif of their own")),
    h("div", { class: "cards" }, suits.map((m) => card({ name: m.title, of: { ...EMPTY_DESIGN, shape, motif: m.name }, cloth: seen().see === "cloth", chosen: now === m.name, pick: () => put(m.name) }))),
    h("div", { class: "foot" }, h("button", { class: "main", onclick: () => setLook({ open: `place:${name}` }) }, "Back to the border")),
  );
}
