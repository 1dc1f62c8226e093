// The first question: what is she quilting?

import { h } from "./h.js";
import { say } from "./parts.js";
import { doing, setLook, step } from "./state.js";

const BLOCK = "M12 14 92 12 94 92 10 94Z";

function picture(kind) {
  const lines = {
    block: [h("path", { class: "patch", d: BLOCK }), petals(52, 53, 28)],
    quilt: [h("path", { class: "patch", d: "M14 6H90V98H14Z" }), h("path", { class: "drawn", d: "M26 18H78V86H26ZM26 52 52 18 78 52 52 86ZM14 6 26 18M90 6 78 18M14 98 26 86M90 98 78 86" }), petals(52, 52, 12)],
    file: [h("path", { class: "patch", d: "M22 8H68L84 24V96H22Z" }), h("path", { class: "drawn", d: "M68 8V24H84" }), h("path", { class: "stitched", d: "M34 62c8-22 16-22 18-6s10 16 20-8" }), h("path", { class: "drawn", d: "M34 76H72M34 84H58" })],
  }[kind];
  return h("svg", { viewBox: "0 0 104 104", "aria-hidden": "true", class: "startpicture" }, lines);
}

function petals(cx, cy, r) {
  const at = (a, far) => `${(cx + far * Math.cos(a)).toFixed(1)} ${(cy + far * Math.sin(a)).toFixed(1)}`;
  const petal = (i) => {
    const a = (i * Math.PI) / 4;
    return `M${at(a, r * 0.2)}C${at(a - 0.5, r * 0.8)} ${at(a - 0.36, r * 1.05)} ${at(a, r)}C${at(a + 0.36, r * 1.05)} ${at(a + 0.5, r * 0.8)} ${at(a, r * 0.2)}`;
  };
  return h("path", { class: "stitched", d: Array.from({ length: 8 }, (_, i) => petal(i)).join("") });
}

function choice(kind, title, words, go) {
  return h("button", { class: "start", key: kind, onclick: go }, picture(kind), h("span", null, h("b", null, title), h("span", null, words)));
}

/** The page while nothing is begun, or when she asks for something else to quilt. */
export function firstView(takeFile) {
  const begin = (what, open) => {
    if (doing() !== what) step("what you are quilting", { doing: what });
    setLook({ open });
    say("");
  };
  return h(
    "main",
    { class: "page first", key: "first" },
    h("div", { class: "words" },
      h("h1", { class: "sentence" }, "What are you quilting?"),
      h("div", { class: "asked bare starts" },
        choice("block", "One block", "A square, a triangle, a border, or a block that came out a little crooked: measured, filled, and made for your hoop.", () => begin("block", doing() === "block" ? "settings" : "shape")),
        choice("quilt", "A whole quilt", "Every block, triangle and border at once, numbered in the order you sew them.", () => begin("quilt", "quilt")),
        choice("file", "A design I already have", "Check a machine file before it goes on three layers, make it fit another block, or turn it to where you hooped.", () => begin("file", "file")),
      ),
      h("label", { class: "field dropfield" }, h("span", { class: "name" }, "Or drop a file anywhere on the page: a machine file, a quilt file, or a drawing (SVG)."), h("input", { type: "file", accept: ".dst,.exp,.toml,.svg", onchange: (event) => event.target.files[0] && takeFile(event.target.files[0]) })),
    ),
  );
}
