// Lengths as she types and reads them: inches to a sixteenth, millimetres to a tenth.

import { h } from "./h.js";

const INCH = 25.4;

/** Millimetres of `8 1/8in`, `8-1/2 in`, `3/8"`, `216mm`, `21.6cm`; a bare number is in `unit`; null if unreadable. */
export function millimetres(text, unit = "in") {
  const found = /^\s*(?:(\d+(?:\.\d+)?)(?:[\s-]+(\d+)\/(\d+))?|(\d+)\/(\d+))\s*(in|inch|inches|"|″|mm|cm)?\s*$/.exec(text ?? "");
  if (!found) return null;
  const [, whole, above, below, alone, under, typed] = found;
  const number = alone ? alone / under : Number(whole) + (above ? above / below : 0);
  if (!Number.isFinite(number)) return null;
  const given = typed ?? unit;
  return given === "mm" ? number : given === "cm" ? number * 10 : number * INCH;
}

/** Her text with the unit the page shows, if she left it out. */
export function withUnit(text, unit) {
  return /^\s*[\d\s./-]*\d\s*$/.test(text) ? `${text.trim()}${unit}` : text.trim();
}

function sixteenths(mm) {
  const count = Math.round((mm / INCH) * 16);
  const whole = Math.floor(count / 16);
  let above = count % 16;
  let below = 16;
  while (above > 0 && above % 2 === 0) [above, below] = [above / 2, below / 2];
  return { whole, above, below, off: Math.abs((count / 16) * INCH - mm) };
}

/** The number alone, as on a tape: `8 1/8`, or millimetres to a tenth. */
export function number(mm, unit) {
  if (unit === "mm") return String(Math.round(mm * 10) / 10);
  const { whole, above, below } = sixteenths(mm);
  if (above === 0) return String(whole);
  return whole === 0 ? `${above}/${below}` : `${whole} ${above}/${below}`;
}

/** A length in words: `8 1/8 in`, `about 3/16 in`, `206.4 mm`. */
export function length(mm, unit) {
  const about = unit === "in" && sixteenths(mm).off > 0.3 ? "about " : "";
  return `${about}${number(mm, unit)} ${unit}`;
}

/** A length to type: `8 1/8in`, `206.4mm`. */
export function typed(mm, unit) {
  return `${number(mm, unit)}${unit}`;
}

/** A length as typed or told (`5/8in`, `1 in (25.4 mm)`), in the unit the page shows. */
export function shown(text, unit) {
  const first = /^(about )?([^(]*)/.exec(text)[2];
  const mm = millimetres(first, null);
  if (mm == null || !/[a-z"″]/.test(first)) return text;
  return length(mm, unit);
}

/** Text with its fractions built: a raised number, a stroke, a lowered number, alike in every face. */
export function built(text) {
  const parts = [];
  let from = 0;
  for (const found of String(text).matchAll(/(?:(\d+)[ -])?\b(\d+)\/(\d+)\b/g)) {
    parts.push(text.slice(from, found.index));
    const [, whole, above, below] = found;
    parts.push(h("span", { class: "number" }, whole, h("span", { class: "fraction" }, h("sup", null, above), h("i", null, "/"), h("sub", null, below))));
    from = found.index + found[0].length;
  }
  parts.push(String(text).slice(from));
  return parts;
}

/** Up to the next eighth of an inch, or the next millimetre: what a gap may be called. */
export function roundedUp(mm, unit) {
  return unit === "mm" ? `${Math.ceil(mm - 1e-6)} mm` : length((Math.ceil((mm / INCH) * 8 - 1e-6) / 8) * INCH, "in");
}
