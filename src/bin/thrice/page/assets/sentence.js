// The sentence that holds the design. Each phrase is a button that opens its question.

import { built, length, millimetres, number } from "./lengths.js";
import { h } from "./h.js";
import { inSentence, lower } from "./questions.js";
import { design, doing, seen, setLook } from "./state.js";
import { complete, drawnShape, shapeOf, typedFields } from "./shapes.js";

/** A phrase that opens the question `opens`; not a `button`, which could not break over two lines. */
export function phrase(words, opens, also = []) {
  const open = seen().open === opens || (seen().open?.startsWith(`${opens}:`) && opens !== "hoops") || also.includes(seen().open);
  const act = () => setLook({ open: opens });
  const onkeydown = (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    act();
  };
  return h("span", { class: `phrase${words.length < 20 ? " short" : ""}`, key: opens, role: "button", tabindex: 0, "aria-expanded": String(open), onclick: act, onkeydown }, built(words));
}

/** How large the block is, in a few words. */
export function sizeWords(of, unit) {
  return sizeOf(of, unit)?.replace(/ (in|mm)\b/g, "\u00a0$1") ?? null;
}

function sizeOf(of, unit) {
  const option = of.shape?.option;
  if (!complete(of)) return null;
  if (option === "outline") return "drawn outline";
  if (option === "corners") return `${drawnShape(of, unit)?.points.length ?? "some"} corners`;
  const texts = typedFields(of);
  const mm = Object.fromEntries(Object.entries(texts).map(([name, text]) => [name, millimetres(text, unit)]));
  const told = (...names) => (names.every((name) => mm[name] != null) ? `${names.map((name) => number(mm[name], unit)).join(" by ")} ${unit}` : null);
  switch (option) {
    case "square":
      return told("side") && `${length(mm.side, unit)} square`;
    case "rectangle":
      return told("across", "up");
    case "sides":
      return told("bottom", "right");
    case "strip":
      return told("width", "length");
    case "diamond":
      return told("side") && `${told("side")} diamond, ${texts.degrees}°`;
    default: {
      const first = told(shapeOf(option).fields[0].name);
      return first && `${first} ${lower(shapeOf(option).title)}`;
    }
  }
}

function motifWords(start) {
  const { motif, drawing_svg, drawing_name } = design();
  if (drawing_svg) return drawing_name ? `my drawing “${drawing_name}”` : "my own drawing";
  const found = start.motifs.find((m) => m.name === motif);
  return found ? inSentence(found) : null;
}

/** The batting as told: its name, or the gap on its label. */
export function battingWords() {
  const { batting, gap } = design().options;
  if (gap) return `batting quilted every ${gap.replace(/(in|mm)$/, " $1")}`;
  return batting && batting !== "unknown" ? batting : null;
}

export function hoopWords(hoop) {
  return hoop ? `${hoop.replace(/\s*x\s*/, " × ").replace(/(\d)(mm|in)$/, "$1 $2")} hoop` : null;
}

/** The whole sentence for what she is doing. */
export function sentence(start) {
  const unit = seen().unit;
  if (doing() !== "block") return h("h1", { class: "sentence" }, "I am quilting ", phrase("…", "what"));
  const { shape, background, options } = design();
  const settings = ["settings", "machine", "look"].includes(seen().open) || seen().open?.startsWith("set:");
  const words = motifWords(start);
  const behind = start.motifs.find((m) => m.name === background);
  const size = shape ? sizeWords(design(), unit) : null;
  return h(
    "h1",
    { class: "sentence" },
    "I am quilting ",
    phrase("one block", "what"),
    ", ",
    phrase(size ?? "which shape and size?", "shape"),
    (size || words) && [", with ", phrase(words ?? "which motif?", "motif", settings && words ? [seen().open] : [])],
    background && [" on ", phrase(inSentence(behind ?? { name: background }), "background")],
    words && [", over ", phrase(battingWords() ?? "which batting?", "batting"), " in my ", phrase(hoopWords(options.hoop) ?? "which hoop?", "hoop")],
    words && options.hoop ? "." : null,
  );
}
