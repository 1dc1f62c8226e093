// One look for the whole quilt, or place by place.

import { card, little } from "./cards.js";
import { readText } from "./files.js";
import { pair } from "./gallery.js";
import { h } from "./h.js";
import { built, millimetres, shown } from "./lengths.js";
import { wrong } from "./parts.js";
import { count, inOrder } from "./questions.js";
import { EMPTY_DESIGN, files, seen, setLook, step } from "./state.js";

let asking = null;

/** The places as she speaks of them: everything of one border or one kind of patch is one place. */
export function grouped(quilt) {
  const groups = new Map();
  for (const one of quilt.answer?.places ?? []) {
    const border = one.toml?.[0] === "border" ? one.toml[1] : null;
    const key = border == null ? one.place : `border ${border + 1}`;
    const width = border == null ? "" : widthWords(quilt.file?.border?.[border]?.width);
    const drawings = one.parts > 1 ? Array.from({ length: one.parts }, (_, i) => `${one.drawing.split("/")[0]}/${i + 1}`) : [one.drawing];
    const group = groups.get(key);
    if (group) {
      group.count += one.count;
      group.drawings.push(...drawings);
    } else {
      groups.set(key, { ...one, name: key, words: border == null ? PLACES[one.place] ?? one.words : borderWords(border, quilt), width, drawings });
    }
  }
  return [...groups.values()];
}

/** How wide a border is: its width, or between which widths its sides are, and on how many. */
function widthWords(width) {
  const sides = String(width ?? "").split(",").map((text) => text.trim()).filter((text) => Number.parseFloat(text) > 0);
  const told = [...new Set(sides)].sort((a, b) => millimetres(a) - millimetres(b)).map((text) => shown(text, seen().unit));
  const wide = told.length > 1 ? `${told[0]} to ${told.at(-1)}` : told[0] ?? "";
  return /,/.test(width) && sides.length < 4 ? `${wide}, ${count(sides.length)} ${sides.length === 1 ? "side" : "sides"}` : wide;
}

/** A warning with the pieces it is said of as she speaks of them. */
export function saidOf(quilt, text) {
  const [, drawing, told] = /^(\S+\.svg): (.*)$/s.exec(text) ?? [];
  if (drawing) return { who: drawing, text: told };
  const [, names, rest] = /^([^.:;]+?): (.*)$/s.exec(text) ?? [];
  const places = quilt.answer.places;
  const find = (name) => places.find((one) => one.name === name || one.place === name);
  const each = names && (find(names) ? [names] : names.split(", "));
  if (!each?.every(find)) return { text };
  const groups = grouped(quilt);
  const words = each.map((name) => {
    const one = find(name);
    const border = one?.toml?.[0] === "border" ? `border ${one.toml[1] + 1}` : one?.place;
    return groups.find((group) => group.name === border)?.words ?? name;
  });
  return { who: [...new Set(words)].map((word, i) => (i ? word.toLowerCase() : word)).join(", "), text: rest };
}

const PLACES = { "alternate blocks": "Blocks between", "side triangles": "Triangles at the sides", "corner triangles": "Triangles at the corners", "whole cloth": "The whole cloth" };

function borderWords(i, quilt) {
  const all = quilt.file?.border?.length ?? 1;
  if (all === 1) return "Border";
  return i === 0 ? "Inner border" : i === all - 1 ? "Outer border" : `Border ${i + 1}`;
}

/** How many hoopings of a place are sewn already. */
function sewnOf(quilt, place, ticks) {
  return quilt.answer.map.hoopings.filter((one) => ticks.has(one.n) && one.pieces.some((piece) => place.drawings.includes(piece.drawing))).length;
}

/** Does it at once, or asks first when something is sewn like this already. */
function careful(sewn, act) {
  if (sewn === 0) return act();
  asking = { sewn, act };
  return setLook({});
}

function question() {
  if (!asking) return null;
  const { sewn, act } = asking;
  const many = sewn === 1 ? "One is sewn like this." : `${count(sewn).replace(/^./, (c) => c.toUpperCase())} are sewn like this.`;
  return h(
    "div",
    { class: "sure", key: "sure", role: "alertdialog", "aria-label": many },
    h("p", null, h("strong", null, many), " The others will be sewn otherwise."),
    h("button", { class: "second small", onclick: () => { asking = null; act(); } }, "Change them all the same"),
    h("button", { class: "plain", onclick: () => { asking = null; setLook({}); } }, "Leave it"),
  );
}

function families(start, quilt, ticks, change) {
  const now = quilt.file?.look?.family ?? null;
  const pick = (name) => {
    const set = [{ at: ["look", "family"], value: name }, { at: ["piece"], value: null }];
    for (let i = 0; i < (quilt.file?.border?.length ?? 0); i += 1) set.push({ at: ["border", i, "motif"], value: null }, { at: ["border", i, "corner"], value: null }, { at: ["border", i, "settings"], value: null });
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

/** A place as a shape of its own, for pictures of motifs in it. */
function shapeOfPlace(quilt, place) {
  if (place.shape) return place.shape;
  const { file } = quilt;
  const block = blockShape(file);
  const side = block.value.split(",")[0];
  if (place.name === "side triangles") return { option: "side-triangle", value: side };
  if (place.name === "corner triangles") return { option: "corner-triangle", value: side };
  const border = /^border (\d+)/.exec(place.name);
  if (border) return { option: "strip", value: `${String(file.border?.[border[1] - 1]?.width ?? "4in").split(",")[0]}, 12in` };
  if (place.name === "sashes") return { option: "strip", value: `${String(file.top.sashing).split(",")[0]}, ${side}` };
  if (place.name === "posts") return { option: "square", value: String(file.top.sashing).split(",")[0] };
  return block;
}

function placeRow(quilt, place, ticks) {
  const { map } = quilt.answer;
  const d = map.drawings[place.drawing];
  const sewn = sewnOf(quilt, place, ticks);
  return h(
    "button",
    { class: "place", key: place.name, "aria-expanded": String(seen().open === `place:${place.name}`), onclick: () => setLook({ open: `place:${place.name}` }) },
    h("span", { class: "little", "aria-hidden": "true" }, d && placePicture(place, d)),
    h("span", null, h("b", null, place.words), h("i", null, built(place.width || (place.count > 1 ? String(place.count) : ""))), h("span", { class: "answer" }, place.motif_words), sewn > 0 && h("span", { class: "note" }, ` ${sewn} sewn`)),
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
    question(),
    h("h2", { class: "label" }, "One look for the whole quilt"),
    families(start, quilt, ticks, change),
    h("h2", { class: "label" }, "Or place by place"),
    h("div", { class: "places" }, grouped(quilt).map((place) => placeRow(quilt, place, ticks))),
  );
}

/** What of the quilt file is to be changed so that its places are quilted alike and within what the batting allows. */
export function evenings(quilt, start) {
  const set = [];
  for (const { text } of quilt.answer?.warnings ?? []) {
    const [, names, key, value] = /^(.+?): With (settings|background) = \[?"([^"]+)"\]? its widest gap/.exec(text) ?? [];
    const [, own] = /^(.+?): quilted .* its scale was asked for by itself/.exec(text) ?? [];
    for (const place of quilt.answer.places) {
      const table = place.toml && place.toml.reduce((of, at) => of?.[at], quilt.file);
      if (!table || set.some(({ at }) => at.join() === [...place.toml, key ?? "settings"].join())) continue;
      if (names?.split(", ").includes(place.name)) set.push({ at: [...place.toml, key], value: key === "settings" ? [...others(table.settings, value), value] : value });
      else if (own === place.place) {
        const scale = start.motifs.find((m) => m.name === table.motif)?.settings.find((s) => s.kind === "length")?.name;
        const left = others(table.settings, `${scale}=`);
        if (left.length < (table.settings ?? []).length) set.push({ at: [...place.toml, "settings"], value: left.length ? left : null });
      }
    }
  }
  return set;
}

/** The settings of a table but the one that `pair` is of. */
const others = (settings, pair) => (settings ?? []).filter((one) => one.split("=")[0].trim() !== pair.split("=")[0].trim());

const TURNS = [[null, "as they lie"], [90, "a quarter"], [180, "a half"], [270, "three quarters"], ["outwards", "outwards"]];
const MIRRORS = [[null, "not"], [true, "all"], ["alternate", "every other"]];

/** How the motif lies in the blocks of a place: turned, mirrored, each its own drawing. */
function lies(start, quilt, place, table, change) {
  if (place.toml?.[0] === "border" || /border/.test(place.name)) return null;
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
    seeded && group("seed", "Drawn", [[null, "all alike"], ["each", "each otherwise"]], "the drawings"),
  );
}

/** A drawing of her own for a place. */
function ownDrawing(quilt, place, table, change) {
  const take = async (event) => {
    const file = event.target.files[0];
    if (!file || quilt.busy) return;
    const at = table ?? ["piece", quilt.file?.piece?.length ?? 0];
    const gone = table ? ["motif", "settings", "background", "background-settings", "seed"].map((key) => ({ at: [...at, key], value: null })) : [{ at: [...at, "where"], value: place.place }];
    step("a drawing", { files: { ...files(), [file.name]: await readText(file) } });
    change(`the motif of ${place.words.toLowerCase()}`, [...gone, { at: [...at, "drawing"], value: file.name }]);
  };
  return h("div", { class: "own", key: "own" }, h("h3", { class: "question" }, "Or a drawing of your own"), h("label", { class: "field" }, h("span", { class: "unseen" }, "Your drawing, an SVG file"), h("input", { type: "file", accept: ".svg,image/svg+xml", onchange: take })));
}

/** The motifs for one place, each drawn in it. */
export function placeCards(start, quilt, name, ticks, change) {
  const place = grouped(quilt).find((one) => one.name === name);
  if (!place) return h("div", { class: "blank", key: "noplace" });
  const shape = shapeOfPlace(quilt, place);
  const kind = { square: "square", rectangle: "rectangle", strip: "strip", "side-triangle": "triangle", "corner-triangle": "triangle" }[shape.option];
  const suits = inOrder(start.motifs).filter((m) => !m.suits || m.suits.includes(kind) || m.suits.includes("any shape"));
  const table = place.toml?.reduce((of, key) => of?.[key], quilt.file) ? place.toml : null;
  const pick = (motif) => !quilt.busy && careful(sewnOf(quilt, place, ticks), () => {
    const at = table ?? ["piece", quilt.file?.piece?.length ?? 0];
    const set = table
      ? [{ at: [...at, "motif"], value: motif }, ...["settings", "background", "background-settings", "drawing", "seed"].map((key) => ({ at: [...at, key], value: null }))]
      : [{ at: [...at, "where"], value: place.place }, { at: [...at, "motif"], value: motif }];
    change(`the motif of ${place.words.toLowerCase()}`, set);
  });
  return h(
    "div",
    { class: "gallery", key: `cards-${name}` },
    h("div", { class: "galleryhead" }, h("h2", { class: "title" }, place.words), h("span", { class: "note", role: "status" }, quilt.busy ? "Your quilt is being planned …" : place.motif_words), pair()),
    quilt.refused && wrong(quilt.refused.message, quilt.refused.hint),
    question(),
    lies(start, quilt, place, table, change),
    h("div", { class: "cards" }, suits.map((m) => card({ name: m.title, of: { ...EMPTY_DESIGN, shape, motif: m.name, settings: {} }, cloth: seen().see === "cloth", chosen: place.motif === m.name, pick: () => pick(m.name) }))),
    place.toml?.[0] !== "border" && ownDrawing(quilt, place, table, change),
    h("div", { class: "foot" }, h("button", { class: "main", onclick: () => setLook({ open: "quilt" }) }, "Back to the quilt")),
  );
}
