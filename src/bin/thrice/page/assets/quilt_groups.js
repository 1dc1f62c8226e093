// The places of a quilt as she speaks of them, and what would even them out.

import { millimetres, shown } from "./lengths.js";
import { count } from "./questions.js";
import { seen } from "./state.js";

/** Which border a place belongs to, counted from 0; null for the rest of the top. */
export const borderOf = (place) => (place.toml?.[0] === "border" ? place.toml[1] : null);

/** What a place is called among those that she speaks of. */
const groupOf = (place) => (borderOf(place) == null ? place.place : `border ${borderOf(place) + 1}`);

/** The places as she speaks of them: everything of one border or one kind of patch is one place; a border's own corners go with it. */
export function grouped(quilt) {
  const groups = new Map();
  for (const one of quilt.answer?.places ?? []) {
    const key = groupOf(one);
    const drawings = one.parts > 1 ? Array.from({ length: one.parts }, (_, i) => `${one.drawing.split("/")[0]}/${i + 1}`) : [one.drawing];
    const before = groups.get(key);
    const first = !before || (before.corner && !one.corner) ? one : before;
    groups.set(key, {
      ...first,
      name: key,
      words: groupWords(one, quilt),
      width: widthWords(quilt.file?.border?.[borderOf(one)]?.width),
      count: one.count + (before?.count ?? 0),
      drawings: [...(before?.drawings ?? []), ...drawings],
      corners: (one.corner ? one : before?.corners) ?? null,
    });
  }
  return [...groups.values()];
}

const groupWords = (place, quilt) => (borderOf(place) == null ? place.words : borderWords(borderOf(place), quilt));

/** What a border is called, counted from 0, the innermost first. */
export function borderWords(i, quilt) {
  const all = quilt.file?.border?.length ?? 1;
  if (all === 1) return "Border";
  return i === 0 ? "Inner border" : i === all - 1 ? "Outer border" : `Border ${i + 1}`;
}

/** How wide a border is: its width, or between which widths its sides are, and on how many. */
function widthWords(width) {
  const sides = String(width ?? "").split(",").map((text) => text.trim()).filter((text) => Number.parseFloat(text) > 0);
  const told = [...new Set(sides)].sort((a, b) => millimetres(a) - millimetres(b)).map((text) => shown(text, seen().unit));
  const wide = told.length > 1 ? `${told[0]} to ${told.at(-1)}` : told[0] ?? "";
  return /,/.test(width) && sides.length < 4 ? `${wide}, ${count(sides.length)} ${sides.length === 1 ? "side" : "sides"}` : wide;
}

/** The pieces that a warning is said of, as she speaks of them; null if it is of the whole quilt. */
export function whoOf(quilt, { pieces = [] }) {
  const groups = grouped(quilt);
  const words = pieces.map((name) => {
    const one = quilt.answer.places.find((place) => place.name === name || place.place === name);
    const words = one && groups.find((group) => group.name === groupOf(one))?.words;
    return words ? `${words}${one.corner ? " corners" : ""}` : name;
  });
  return [...new Set(words)].map((word, i) => (i ? word.toLowerCase() : word)).join(", ") || null;
}

/** How many hoopings of a place are sewn already. */
export function sewnOf(quilt, place, ticks) {
  return quilt.answer.map.hoopings.filter((one) => ticks.has(one.n) && one.pieces.some((piece) => place.drawings.includes(piece.drawing))).length;
}

/** What of the quilt file is to be changed so that its places are quilted alike and within what the batting allows. */
export function evenings(quilt) {
  const set = [];
  for (const change of (quilt.answer?.warnings ?? []).flatMap((warning) => mendings(quilt, warning))) {
    if (!set.some(({ at }) => at.join() === change.at.join())) set.push(change);
  }
  return set;
}

/** What of the quilt file follows the remedy of one warning. */
export function mendings(quilt, { pieces = [], remedy }) {
  if (!remedy) return [];
  const of = quilt.answer.places.filter((place) => place.toml && (pieces.includes(place.name) || pieces.includes(place.place)));
  return of.map((place) => mended(place, place.toml.reduce((table, at) => table?.[at], quilt.file), remedy)).filter(Boolean);
}

/** The key of a place's table that follows a remedy; null where it changes nothing, or the table has no such key. */
function mended(place, table, { setting, value, background, without }) {
  if (!table) return null;
  if (background) return borderOf(place) == null ? { at: [...place.toml, "background"], value: background } : null;
  const at = [...place.toml, place.corner && table["corner-motif"] ? "corner-settings" : "settings"];
  const now = table[at.at(-1)] ?? [];
  const others = now.filter((one) => one.split("=")[0].trim() !== (setting ?? without));
  if (setting) return { at, value: [...others, `${setting}=${value}`] };
  return others.length < now.length ? { at, value: others.length ? others : null } : null;
}
