// The shapes a block can have: what to measure on each, and its outline from what she typed (mm, y up).

import { millimetres, withUnit } from "./lengths.js";

const field = (name, words, example, extra = {}) => ({ name, words, example, ...extra });

/** Every shape: its option, its name, its fields in the order of the option's value. */
export const SHAPES = [
  { option: "square", title: "Square", fields: [field("side", "One side", "8in")] },
  { option: "rectangle", title: "Rectangle", fields: [field("across", "Across", "6in"), field("up", "Up", "9in")] },
  {
    option: "sides",
    title: "Not quite square",
    fields: [
      field("bottom", "Bottom", "8 1/8in"),
      field("right", "Right", "8in"),
      field("top", "Top", "7 7/8in"),
      field("left", "Left", "8 1/16in"),
      field("diagonal", "Diagonal, bottom left to top right", "11 3/8in", { more: true, wide: true }),
      field("other-diagonal", "The other diagonal, if you like", "11 1/4in", { more: true, wide: true, free: true }),
    ],
  },
  { option: "half-square", title: "Half-square triangle", fields: [field("leg", "One of the two equal sides", "8in")] },
  { option: "quarter-square", title: "Quarter-square triangle", fields: [field("long", "The long side", "8in")] },
  { option: "side-triangle", title: "Side triangle", fields: [field("block", "A side of the blocks on point", "8in")] },
  { option: "corner-triangle", title: "Corner triangle", fields: [field("block", "A side of the blocks on point", "8in")] },
  { option: "three-sides", sent: "sides", title: "Uneven triangle", fields: [field("bottom", "Bottom", "8in"), field("right", "Right", "7 1/4in"), field("left", "Left", "6 1/2in")] },
  { option: "equilateral", title: "Equilateral triangle", fields: [field("side", "One side", "8in")] },
  { option: "hexagon", title: "Hexagon", fields: [field("side", "One side", "4in")] },
  { option: "octagon", title: "Octagon", fields: [field("across", "Across the flats", "8in")] },
  { option: "diamond", title: "Diamond", fields: [field("side", "One side", "6in"), field("degrees", "Angle bottom left, in degrees", "60", { plain: true })] },
  { option: "circle", title: "Circle", fields: [field("across", "Straight across", "7in")] },
  { option: "strip", title: "Border or sash", fields: [field("width", "Width", "5in"), field("length", "Length", "40in")] },
  { option: "corner", title: "Border corner", fields: [field("width", "Width of the border", "5in")] },
  { option: "corners", title: "Any straight sides", fields: [] },
  { option: "outline", title: "A drawn outline", fields: [] },
];

export const shapeOf = (option) => SHAPES.find((shape) => shape.option === option);

/** What she typed into each field of this design's shape. */
export function typedFields(design) {
  const shape = shapeOf(design.shape?.option);
  if (!shape) return {};
  const joined = (design.shape.value ?? "").split(",").map((text) => text.trim());
  const texts = {};
  let next = 0;
  for (const { name, more } of shape.fields) texts[name] = more ? design.more[name] ?? "" : joined[next++] ?? "";
  return texts;
}

/** The shape and the further lengths of a design from the texts of its fields. */
export function fromFields(option, texts) {
  const fields = shapeOf(option).fields;
  const value = fields.filter((f) => !f.more).map((f) => texts[f.name] ?? "").join(", ");
  const more = Object.fromEntries(fields.filter((f) => f.more && texts[f.name]).map((f) => [f.name, texts[f.name]]));
  return { shape: { option, value }, more };
}

/** A shape as the program is asked for it: its own option, with `unit` behind every bare length. */
export const asSent = (shape, unit) => ({ option: shapeOf(shape.option)?.sent ?? shape.option, value: valueWithUnits(shape, unit) });

/** The value of a shape's option with `unit` behind every bare length. */
function valueWithUnits({ option, value }, unit) {
  if (option === "corners") return typedCorners(value).map((pair) => pair.map((text) => withUnit(text, unit)).join(",")).join("; ");
  const fields = shapeOf(option)?.fields.filter((f) => !f.more) ?? [];
  const parts = (value ?? "").split(",");
  return parts.map((text, i) => (fields[i]?.plain ? text.trim() : withUnit(text, unit))).join(", ");
}

/** The corner points typed as `0in,0in; 8in,0in; …`, as pairs of texts. */
export function typedCorners(value) {
  return (value ?? "").split(";").filter((pair) => pair.trim()).map((pair) => {
    const [across = "", up = ""] = pair.split(",").map((text) => text.trim());
    return [across, up];
  });
}

const turn = (degrees, r) => [r * Math.cos((degrees * Math.PI) / 180), r * Math.sin((degrees * Math.PI) / 180)];
const ring = (count, r, first) => Array.from({ length: count }, (_, i) => turn(first + (360 * i) / count, r));

/** Where the third corner of a triangle lies, left of the way from `a` to `b`. */
function third(a, b, fromA, fromB) {
  const [x, y] = [b[0] - a[0], b[1] - a[1]];
  const d = Math.hypot(x, y);
  const along = (fromA ** 2 - fromB ** 2 + d ** 2) / (2 * d);
  const off = Math.sqrt(fromA ** 2 - along ** 2);
  return [a[0] + (x * along - y * off) / d, a[1] + (y * along + x * off) / d];
}

/** A block as measured: corners bottom left, bottom right, top right, top left; not a number where the tape errs. */
function measured({ bottom, right, top, left, diagonal }) {
  const [a, b] = [[0, 0], [bottom, 0]];
  const c = third(a, b, diagonal, right);
  return [a, b, c, third(a, c, left, top)];
}

/** The outline as corner points, and the lines to measure: from, to, field. `mm` has every field in millimetres. */
export function outline(option, mm) {
  const side = (i, name, points) => ({ name, from: points[i], to: points[(i + 1) % points.length] });
  const half = Math.SQRT1_2;
  switch (option) {
    case "square": {
      const s = mm.side;
      const p = [[0, 0], [s, 0], [s, s], [0, s]];
      return { points: p, measures: [side(0, "side", p)] };
    }
    case "rectangle": {
      const p = [[0, 0], [mm.across, 0], [mm.across, mm.up], [0, mm.up]];
      return { points: p, measures: [side(0, "across", p), side(1, "up", p)] };
    }
    case "strip": {
      const p = [[0, 0], [mm.length, 0], [mm.length, mm.width], [0, mm.width]];
      return { points: p, measures: [side(1, "width", p), side(0, "length", p)] };
    }
    case "corner": {
      const p = [[0, 0], [mm.width, 0], [mm.width, mm.width], [0, mm.width]];
      return { points: p, measures: [side(0, "width", p)] };
    }
    case "half-square": {
      const p = [[0, 0], [mm.leg, 0], [0, mm.leg]];
      return { points: p, measures: [side(0, "leg", p)] };
    }
    case "quarter-square": {
      const p = [[0, 0], [mm.long, 0], [mm.long / 2, mm.long / 2]];
      return { points: p, measures: [side(0, "long", p)] };
    }
    case "side-triangle": {
      const long = mm.block * Math.SQRT2;
      const p = [[0, 0], [long, 0], [long / 2, long / 2]];
      return { points: p, measures: [side(1, "block", p)] };
    }
    case "corner-triangle": {
      const p = [[0, 0], [mm.block * half, 0], [0, mm.block * half]];
      return { points: p, measures: [side(1, "block", p)] };
    }
    case "equilateral": {
      const p = [[0, 0], [mm.side, 0], [mm.side / 2, (mm.side * Math.sqrt(3)) / 2]];
      return { points: p, measures: [side(0, "side", p)] };
    }
    case "hexagon": {
      const p = ring(6, mm.side, 240);
      return { points: p, measures: [side(0, "side", p)] };
    }
    case "octagon": {
      const p = ring(8, mm.across / 2 / Math.cos(Math.PI / 8), 247.5);
      const r = mm.across / 2;
      return { points: p, measures: [{ name: "across", from: [-r, 0], to: [r, 0], inside: true }] };
    }
    case "diamond": {
      const up = turn(mm.degrees, mm.side);
      const p = [[0, 0], [mm.side, 0], [mm.side + up[0], up[1]], up];
      return { points: p, measures: [side(0, "side", p)], angle: { at: p[0], name: "degrees", to: mm.degrees } };
    }
    case "circle": {
      const r = mm.across / 2;
      return { points: ring(72, r, 0), measures: [{ name: "across", from: [-r, 0], to: [r, 0], inside: true }] };
    }
    case "sides": {
      const p = measured(mm);
      const diagonal = { name: "diagonal", from: p[0], to: p[2], inside: true };
      const other = { name: "other-diagonal", from: p[1], to: p[3], inside: true, free: true };
      return { points: p, measures: [side(0, "bottom", p), side(1, "right", p), side(2, "top", p), side(3, "left", p), diagonal, other] };
    }
    case "three-sides": {
      const p = [[0, 0], [mm.bottom, 0], third([0, 0], [mm.bottom, 0], mm.left, mm.right)];
      return { points: p, measures: [side(0, "bottom", p), side(1, "right", p), side(2, "left", p)] };
    }
    default:
      return null;
  }
}

/** A design's outline and measures, with what is not typed yet drawn as in the example; null for a drawn outline. */
export function drawnShape(design, unit) {
  const option = design.shape?.option;
  if (option === "corners") {
    const points = typedCorners(design.shape.value).map((pair) => pair.map((text) => millimetres(text, unit)));
    return points.length > 2 && points.flat().every((x) => x != null) ? { points, measures: [] } : null;
  }
  const shape = shapeOf(option);
  if (!shape || shape.fields.length === 0) return null;
  const texts = typedFields(design);
  const mm = {};
  for (const f of shape.fields) {
    const read = (text) => (f.plain ? Number.parseFloat(text) || null : millimetres(text, unit));
    mm[f.name] = read(texts[f.name]) || read(f.example);
  }
  const drawn = outline(option, mm);
  const meets = drawn.points.flat().every(Number.isFinite);
  if (meets) return { ...drawn, mm, texts };
  const asIf = Object.fromEntries(shape.fields.map((f) => [f.name, millimetres(f.example, unit)]));
  return { ...outline(option, asIf), mm, texts, apart: true };
}

/** By how much a block as measured leans or is out of true: the largest way of a side off square, in mm. */
export function lean(points) {
  const [a, b, c, d] = points;
  return Math.max(Math.abs(d[0] - a[0]), Math.abs(c[0] - b[0]), Math.abs(c[1] - d[1]), Math.abs(b[1] - a[1]));
}

/** True when every field that has to be typed is, and can be read. */
export function complete(design) {
  const option = design.shape?.option;
  const read = (text) => millimetres(text) != null;
  if (option === "outline") return Boolean(design.outline_svg);
  if (option === "corners") return typedCorners(design.shape.value).length > 2 && typedCorners(design.shape.value).flat().every(read);
  const texts = typedFields(design);
  const good = (f) => (f.free && !texts[f.name]) || (f.plain ? /^\d+(\.\d+)?$/.test(texts[f.name]) : read(texts[f.name]));
  return Boolean(option) && shapeOf(option).fields.every(good);
}
