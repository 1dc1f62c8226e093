// The tape that lies along the block: a strip of paper with the marks of a real one, at the scale of the picture.

import { h } from "./h.js";

const STEPS = {
  in: { one: 25.4, marks: [16, 8, 4, 2, 1], labels: [1, 2, 6, 12, 24] },
  mm: { one: 10, marks: [10, 2, 1], labels: [1, 2, 5, 10, 20, 50] },
};

/**
 * A tape of `length` mm at `scale` pixels a mm, beginning at 0, along x; its marks rise from y = 0 to -`width`.
 * Returns its marks as a path and its labels as [x, text].
 */
function marks(length, scale, unit, width) {
  const { one, marks: parts, labels } = STEPS[unit];
  const finest = parts.find((n) => (one / n) * scale >= 4.5) ?? 1;
  const label = labels.find((n) => n * one * scale >= 34) ?? labels.at(-1);
  const count = Math.floor((length / one) * finest + 0.05);
  let path = "";
  const figures = [];
  for (let i = 1; i <= count; i += 1) {
    const x = ((i * one) / finest) * scale;
    const whole = i % finest === 0;
    const half = finest > 1 && (i * 2) % finest === 0;
    const quarter = finest > 2 && (i * 4) % finest === 0;
    const tall = unit === "mm" ? 0.62 : 1;
    const up = tall * (whole ? 0.48 : half ? 0.36 : quarter ? 0.28 : 0.18);
    if (whole && finest === 1 && (i / finest) % label !== 0 && one * scale < 5) continue;
    path += `M${x.toFixed(1)} 0v${(up * width).toFixed(1)}`;
    if (whole && (i / finest) % label === 0) figures.push([x, String(unit === "mm" ? (i / finest) * 10 : i / finest)]);
  }
  return { path, figures };
}

/** The tape under the block: from (x, y), along `length` mm. */
export function levelTape(x, y, length, scale, unit) {
  const width = 28;
  const { path, figures } = marks(length, scale, unit, width);
  return h(
    "g",
    { class: `tape ${unit}`, transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})`, "aria-hidden": "true" },
    h("rect", { x: -4, y: 0, width: (length * scale + 8).toFixed(1), height: width, rx: 2 }),
    h("path", { d: path }),
    figures.map(([at, text]) => h("text", { x: (at - 5).toFixed(1), y: width - 6, "text-anchor": "end" }, text)),
  );
}

/** The tape beside the block: from (x, y) upwards, along `length` mm. */
export function uprightTape(x, y, length, scale, unit) {
  const width = 28;
  const { path, figures } = marks(length, scale, unit, width);
  return h(
    "g",
    { class: `tape ${unit}`, transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})`, "aria-hidden": "true" },
    h("rect", { x: -width, y: (-length * scale - 4).toFixed(1), width, height: (length * scale + 8).toFixed(1), rx: 2 }),
    h("path", { d: path, transform: `rotate(-90) scale(1 -1)` }),
    figures.map(([at, text]) => h("text", { x: -width + (text.length > 2 ? 3 : 7), y: (16 - at).toFixed(1) }, text)),
  );
}
