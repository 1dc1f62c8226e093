// The drawn diagram of a block: what to measure, with her figures on it as she types them.

import { built, millimetres, number } from "./lengths.js";
import { h } from "./h.js";
import { outline, shapeOf } from "./shapes.js";

const LETTERS = "ABCDEF";

/** A shape small, for the list of shapes. */
export function smallShape(option) {
  const drawn = {
    outline: "M8 30C2 12 20 2 26 10c4-8 22-2 16 14-3 10-12 14-16 20C20 38 11 40 8 30Z",
    corners: "M4 44V16L22 6l22 12-8 26-16-6Z",
    sides: "M6 43 42 46 40 5 9 8Z",
    corner: "M4 44V4h40v40ZM4 32h12V4M32 44V32H44",
    strip: "M2 16h44v16H2Z",
    "side-triangle": "M2 36 24 14 46 36ZM24 14 35 3M24 14 13 3M2 36V25M46 36V25",
    "corner-triangle": "M6 42V10L38 42ZM22 26 38 10M6 10 14 2M38 42 46 34",
  }[option];
  if (drawn) return h("svg", { viewBox: "0 0 48 48", "aria-hidden": "true" }, h("path", { d: drawn }));
  const fields = shapeOf(option).fields;
  const mm = Object.fromEntries(fields.map((f) => [f.name, f.plain ? Number(f.example) : millimetres(f.example)]));
  const { points } = outline(option, mm);
  const fit = fitted(points, 40, 40);
  return h("svg", { viewBox: "0 0 48 48", "aria-hidden": "true" }, h("path", { d: path(points.map((p) => fit(p)).map(([x, y]) => [x + 4, y + 4])) }));
}

/** Maps points (y up) into a box of that size, y down, centred; `fit.scale` is pixels a millimetre. */
function fitted(points, width, height) {
  const xs = points.map((p) => p[0]);
  const ys = points.map((p) => p[1]);
  const [left, right, low, high] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const scale = Math.min(width / (right - left), height / (high - low));
  const [dx, dy] = [(width - (right - left) * scale) / 2, (height - (high - low) * scale) / 2];
  const fit = ([x, y]) => [dx + (x - left) * scale, dy + (high - y) * scale];
  fit.scale = scale;
  return fit;
}

const path = (points) => `M${points.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L")}Z`;

/**
 * The diagram of `drawn` (see `drawnShape`) in a box of `width` by `height` pixels. What is typed stands on its line;
 * what is not is a letter, the same as beside its field.
 */
export function diagram(drawn, option, unit, width, height, large) {
  const room = large ? 76 : 46;
  const fit = fitted(drawn.points, width - 2 * room, height - 2 * room);
  const at = (p) => fit(p).map((v) => v + room);
  const corners = drawn.points.map(at);
  const centre = [0, 1].map((i) => corners.reduce((sum, p) => sum + p[i], 0) / corners.length);
  const fields = shapeOf(option)?.fields ?? [];
  const measures = drawn.measures.filter((m) => !m.free || drawn.texts[m.name]);
  const says = (m) => {
    const text = drawn.texts?.[m.name];
    const letter = LETTERS[fields.findIndex((f) => f.name === m.name)];
    const mm = millimetres(text, unit);
    return mm == null || drawn.apart ? letter : number(mm, unit);
  };
  return h(
    "svg",
    { class: `diagram${large ? " large" : ""}`, viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": said(drawn, fields, measures, unit) },
    h("path", { class: "patch", d: path(corners) }),
    measures.map((m) => measure(m, at(m.from), at(m.to), centre, says(m), large)),
    drawn.angle && h("text", { class: "figure", x: at(drawn.angle.at)[0] + 44, y: at(drawn.angle.at)[1] - 14 }, `${Math.round(drawn.angle.to)}°`),
    corners.length < 13 && corners.map(([x, y]) => h("circle", { cx: x.toFixed(1), cy: y.toFixed(1), r: 3.5 })),
    option === "corners" && corners.map(([x, y], i) => corner(x, y, centre, i + 1)),
  );
}

function corner(x, y, [cx, cy], n) {
  const d = Math.hypot(x - cx, y - cy) || 1;
  return h("text", { class: "figure", x: (x + ((x - cx) / d) * 24).toFixed(1), y: (y + ((y - cy) / d) * 24 + 6).toFixed(1) }, n);
}

function said(drawn, fields, measures, unit) {
  const told = measures.map((m) => {
    const words = fields.find((f) => f.name === m.name)?.words ?? m.name;
    const mm = millimetres(drawn.texts?.[m.name], unit);
    return mm == null ? `${words}: not measured yet` : `${words}: ${number(mm, unit)} ${unit}`;
  });
  return `Your block. ${told.join("; ")}`;
}

/** One line to measure and what it says: outside its side, or in a break of the dashed line across. */
function measure(m, [x1, y1], [x2, y2], [cx, cy], words, large) {
  const [mx, my] = [(x1 + x2) / 2, (y1 + y2) / 2];
  if (m.inside) {
    const [lx, ly] = m.free ? [x1 + (x2 - x1) * 0.3, y1 + (y2 - y1) * 0.3] : [mx, my];
    const d = Math.hypot(x2 - x1, y2 - y1);
    const gap = large ? 34 : 26;
    const [ux, uy] = [((x2 - x1) / d) * gap, ((y2 - y1) / d) * gap];
    const dashes = `M${x1.toFixed(1)} ${y1.toFixed(1)}L${(lx - ux).toFixed(1)} ${(ly - uy).toFixed(1)}M${(lx + ux).toFixed(1)} ${(ly + uy).toFixed(1)}L${x2.toFixed(1)} ${y2.toFixed(1)}`;
    return [h("path", { class: "across", d: dashes }), figure(words, lx, ly, large)];
  }
  let [nx, ny] = [y1 - y2, x2 - x1];
  const n = Math.hypot(nx, ny);
  if (nx * (mx - cx) + ny * (my - cy) < 0) [nx, ny] = [-nx, -ny];
  const off = large ? 34 + 14 * Math.abs(nx / n) : 20 + 12 * Math.abs(nx / n);
  return [h("path", { class: "side", d: `M${x1.toFixed(1)} ${y1.toFixed(1)}L${x2.toFixed(1)} ${y2.toFixed(1)}` }), figure(words, mx + (nx / n) * off, my + (ny / n) * off, large)];
}

function figure(words, x, y, large) {
  const [w, t] = large ? [120, 40] : [84, 32];
  return h("foreignObject", { x: (x - w / 2).toFixed(1), y: (y - t / 2).toFixed(1), width: w, height: t }, h("div", { class: "figure" }, built(words)));
}
