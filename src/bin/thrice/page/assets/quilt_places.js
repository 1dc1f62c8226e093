// One look for the whole quilt, or place by place.

import { card, little } from "./cards.js";
import { readText } from "./files.js";
import { pair } from "./gallery.js";
import { h } from "./h.js";
import { built } from "./lengths.js";
import { wrong } from "./parts.js";
import { inOrder } from "./questions.js";
import { borderQuestions, forgotten } from "./quilt_border.js";
import { borderOf, grouped, sewnOf } from "./quilt_groups.js";
import { shapeOfOdd } from "./quilt_odd.js";
import { careful, sure } from "./quilt_sure.js";
import { EMPTY_DESIGN, files, seen, setLook, step } from "./state.js";

function families(start, quilt, ticks, change) {
  const now = quilt.file?.look?.family ?? null;
  const pick = (name) => {
    const set = [{ at: ["look", "family"], value: name }, { at: ["piece"], value: null }];
    for (let i = 0; i < (quilt.file?.border?.length ?? 0); i += 1) set.push(...["motif", "settings", "drawing", "repeat", "mirrored", "corner", "corner-motif", "corner-settings"].map((key) => ({ at: ["border", i, key], value: null })));
    careful(ticks.count(), () => change("the look of the whole quilt", set));
  };
  const shape = blockShape(quilt.file);
  return h(
    "div",
    { class: "families", role: "group", "aria-label": "One look for the whole quilt" },
    start.families.map((family) => {
      const of = familyDesign(family, shape);
      return h("button", { key: family.name, class: "family", "aria-pressed": String(now === family.name), title: family.words, onclick: () => now !== family.name && pick(family.name) }, little(of, "picture").picture, h("span", null, family.title ?? family.name));
    }),
  );
}

/** What a family puts into a block: its picture. */
export const familyDesign = (family, shape) => ({ ...EMPTY_DESIGN, shape, motif: FIRST[family.name] ?? "cross-hatch" });

const FIRST = { cables: "hanging-diamonds", feathers: "feather-wreath", hearts: "heart-ring", leaves: "leaf-rosette", "orange peel": "orange-peel", shells: "clamshell", "straight lines": "cross-hatch" };

/** The block of this quilt as a shape. */
function blockShape(file) {
  const block = String(file?.top?.block ?? "8in");
  return block.includes(",") ? { option: "rectangle", value: block } : { option: "square", value: block };
}

/** A place as a design of its own without a motif, for pictures of motifs in it. */
function designOfPlace(quilt, place) {
  const { file } = quilt;
  const odd = file.odd?.find((one) => one.name === place.place);
  return { ...EMPTY_DESIGN, ...((odd && shapeOfOdd(odd)) ?? { shape: shapeOfPlace(file, place) }) };
}

function shapeOfPlace(file, place) {
  const block = blockShape(file);
  const side = block.value.split(",")[0];
  if (place.corners_of_patch) return { option: "corners", value: place.corners_of_patch };
  if (place.name === "side triangles") return { option: "side-triangle", value: side };
  if (place.name === "corner triangles") return { option: "corner-triangle", value: side };
  if (borderOf(place) != null) return { option: "strip", value: `${widest(file.border?.[borderOf(place)]?.width ?? "4in")}, 12in` };
  if (place.name === "sashes") return { option: "strip", value: `${String(file.top.sashing).split(",")[0]}, ${side}` };
  if (place.name === "posts") return { option: "square", value: String(file.top.sashing).split(",")[0] };
  return block;
}

/** The first side of a border that there is. */
const widest = (width) => String(width).split(",").map((text) => text.trim()).find((text) => Number.parseFloat(text) > 0);

/** Opens a place; in one column its motifs stand above the row that was clicked. */
function openPlace(name) {
  setLook({ open: `place:${name}` });
  requestAnimationFrame(() => requestAnimationFrame(() => {
    const motifs = document.querySelector(".mapside");
    if (motifs?.getBoundingClientRect().bottom < 120) motifs.scrollIntoView();
  }));
}

function placeRow(quilt, place, ticks) {
  const { map } = quilt.answer;
  const d = map.drawings[place.drawing];
  const sewn = sewnOf(quilt, place, ticks);
  return h(
    "button",
    { class: "place", key: place.name, "aria-expanded": String(seen().open === `place:${place.name}`), onclick: () => openPlace(place.name) },
    h("span", { class: "little", "aria-hidden": "true" }, d && placePicture(place, d)),
    h("span", null, h("b", null, place.words), h("i", null, built(place.width || (place.count > 1 ? String(place.count) : ""))), h("span", { class: "answer" }, place.corners && place.corners.motif_words !== place.motif_words ? `${place.motif_words}, ${place.corners.motif_words} in its corners` : place.motif_words), sewn > 0 && h("span", { class: "note" }, ` ${sewn} sewn`)),
  );
}

function placePicture(place, d) {
  const [left, top, across, down] = place.box;
  const reach = Math.max(-left, -top, left + across, top + down) || 100;
  return h("svg", { viewBox: `${-reach} ${-reach} ${2 * reach} ${2 * reach}` }, place.d && h("path", { class: "cut", d: place.d }), h("path", { class: "line", d }));
}

/** The column of words: families, then the places. */
export function placesWords(start, quilt, ticks, change) {
  return h(
    "div",
    { class: "asked bare" },
    sure(),
    h("h2", { class: "label" }, "One look for the whole quilt"),
    families(start, quilt, ticks, change),
    h("h2", { class: "label" }, "Or place by place"),
    h("div", { class: "places" }, grouped(quilt).map((place) => placeRow(quilt, place, ticks))),
  );
}

const TURNS = [[null, "not"], [90, "a quarter"], [180, "a half"], [270, "three quarters"], ["outwards", "outwards"]];
const MIRRORS = [[null, "not"], [true, "all"], ["alternate", "every other"]];

/** How the motif lies in the blocks of a place: turned, mirrored, each its own drawing. */
function lies(start, quilt, place, table, change) {
  const now = table ? table.reduce((of, key) => of?.[key], quilt.file) : {};
  const at = table ?? ["piece", quilt.file?.piece?.length ?? 0];
  const begun = table ? [] : [{ at: [...at, "where"], value: place.place }, { at: [...at, "motif"], value: place.motif }];
  const set = (key, value, words) => !quilt.busy && change(words, [...begun, { at: [...at, key], value }]);
  const group = (key, asks, all, words) =>
    h("div", { class: "laid", key, role: "group", "aria-label": asks }, h("span", null, asks), h("span", { class: "kinds" }, all.map(([value, says]) => h("button", { key: says, "aria-pressed": String((now[key] ?? null) === value || (value === null && [0, false].includes(now[key]))), onclick: () => set(key, value, words) }, says))));
  const seeded = start.motifs.find((m) => m.name === place.motif)?.settings.some((s) => s.kind === "seed");
  return h(
    "div",
    { key: "lies" },
    group("turn", "Turned", TURNS, "how they are turned"),
    group("mirror", "Mirrored", MIRRORS, "how they are mirrored"),
    seeded && group("seed", "Drawn", [[null, "all alike"], ["each", "each one different"]], "the drawings"),
  );
}

/** A drawing of her own for a place; along a border it is repeated. */
function ownDrawing(start, quilt, place, table, change) {
  const take = async (event) => {
    const file = event.target.files[0];
    if (!file || quilt.busy) return;
    const at = table ?? ["piece", quilt.file?.piece?.length ?? 0];
    const keys = borderOf(place) == null ? ["settings", "background", "background-settings", "seed"] : forgotten(start, quilt.file.border[borderOf(place)], null);
    const gone = table ? ["motif", ...keys].map((key) => ({ at: [...at, key], value: null })) : [{ at: [...at, "where"], value: place.place }];
    step("a drawing", { files: { ...files(), [file.name]: await readText(file) } });
    change(`the motif of ${place.words.toLowerCase()}`, [...gone, { at: [...at, "drawing"], value: file.name }]);
  };
  return h("div", { class: "own", key: "own" }, h("h3", { class: "question" }, "Or a drawing of your own"), h("p", { class: "note" }, borderOf(place) == null ? "Lines drawn in any drawing program, saved as SVG." : "Lines drawn in any drawing program, saved as SVG: one repeat, as the border runs from left to right."), h("label", { class: "field" }, h("span", { class: "unseen" }, "Your drawing, an SVG file"), h("input", { type: "file", accept: ".svg,image/svg+xml", onchange: take })));
}

/** The motifs for one place, each drawn in it. */
export function placeCards(start, quilt, name, ticks, change) {
  const place = grouped(quilt).find((one) => one.name === name);
  if (!place) return h("div", { class: "blank", key: "noplace" });
  const design = designOfPlace(quilt, place);
  const suits = inOrder(start.motifs).filter((m) => m.suits.includes(borderOf(place) == null ? place.suit : "strip"));
  const own = borderOf(place) == null ? ["settings", "background", "background-settings", "drawing", "repeat", "mirrored", "seed"] : null;
  const table = place.toml?.reduce((of, key) => of?.[key], quilt.file) ? place.toml : null;
  const pick = (motif) => !quilt.busy && careful(sewnOf(quilt, place, ticks), () => {
    const at = table ?? ["piece", quilt.file?.piece?.length ?? 0];
    const set = table
      ? [{ at: [...at, "motif"], value: motif }, ...(own ?? forgotten(start, quilt.file.border[borderOf(place)], motif)).map((key) => ({ at: [...at, key], value: null }))]
      : [{ at: [...at, "where"], value: place.place }, { at: [...at, "motif"], value: motif }];
    change(`the motif of ${place.words.toLowerCase()}`, set);
  });
  return h(
    "div",
    { class: `gallery${borderOf(place) == null ? "" : " strips"}`, key: `cards-${name}` },
    h("div", { class: "galleryhead" }, h("h2", { class: "title" }, place.words), h("span", { class: "note", role: "status" }, quilt.busy ? "Your quilt is being planned …" : place.motif_words), pair()),
    quilt.refused && wrong(quilt.refused.message, quilt.refused.hint),
    sure(),
    borderOf(place) == null ? lies(start, quilt, place, table, change) : borderQuestions(start, quilt, place, ticks, change),
    h("div", { class: "cards" }, suits.map((m) => card({ name: m.title, of: { ...design, motif: m.name }, cloth: seen().see === "cloth", chosen: place.motif === m.name, pick: () => pick(m.name) }))),
    ownDrawing(start, quilt, place, table, change),
    h("div", { class: "foot" }, h("button", { class: "main", onclick: () => setLook({ open: "quilt" }) }, "Back to the quilt")),
  );
}
