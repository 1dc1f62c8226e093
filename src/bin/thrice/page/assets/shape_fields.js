// Which shape, and what it measures: the choice of shapes, and fields that keep what she typed as she typed it.

import { smallShape } from "./diagram.js";
import { millimetres, typed, withUnit } from "./lengths.js";
import { h } from "./h.js";
import { wrong } from "./parts.js";
import { shapeOf, typedCorners } from "./shapes.js";
import { seen } from "./state.js";

const LETTERS = "ABCDEF";

/** The shapes of `all`, drawn small, to choose one from. */
export function shapeButtons(all, now, pick) {
  const one = (shape) => h("button", { key: shape.option, class: "shape", "aria-pressed": String(now === shape.option), onclick: () => pick(shape.option) }, smallShape(shape.option), shape.title);
  return h("div", { class: "shapes", role: "group", "aria-label": "Shape" }, all.map(one));
}

/** A field for each measure of a shape; `set` is told the field's name and what stands in it, `enter` that she is done. */
export function measureFields(option, texts, set, enter) {
  const { fields } = shapeOf(option);
  const lettered = fields.length > 1;
  return h("div", { class: lettered ? "fields" : "" }, fields.map((f, i) => lengthField(f, lettered ? LETTERS[i] : null, texts[f.name] ?? "", set, enter)));
}

/** One field for a length. What she types stays as she typed it; a bare number gets the page's unit when she leaves. */
function lengthField(f, letter, text, set, enter) {
  const unit = seen().unit;
  const unread = text !== "" && !f.plain && millimetres(text, unit) == null;
  const example = unit === "mm" && !f.plain ? typed(millimetres(f.example), "mm") : f.example;
  return h(
    "label",
    { class: `field${f.wide ? " wide" : ""}`, key: f.name },
    h("span", { class: "name" }, letter && h("b", { "aria-hidden": "true" }, letter), f.words),
    h("input", {
      type: "text",
      inputmode: "text",
      autocomplete: "off",
      spellcheck: "false",
      name: f.name,
      value: text,
      placeholder: `such as ${example}`,
      "aria-invalid": unread ? "true" : null,
      "aria-describedby": unread ? `wrong-${f.name}` : null,
      oninput: (event) => set(f.name, event.target.value),
      onblur: (event) => !f.plain && event.target.value && set(f.name, withUnit(event.target.value, unit)),
      onkeydown: (event) => {
        if (event.key !== "Enter") return;
        event.target.blur();
        enter?.();
      },
    }),
    unread && wrong(`“${text}” is not a length.`, `Type it like ${example}.`, `wrong-${f.name}`),
  );
}

/** Fields for the corners of a block, across and up; `set` is told all of them, as they are typed in a command. */
export function cornerFields(value, set) {
  const points = typedCorners(value);
  const rows = [...points, ...Array.from({ length: Math.max(1, 4 - points.length) }, () => ["", ""])];
  const put = (i, j, text) => {
    const next = rows.map((pair, n) => (n === i ? pair.map((old, m) => (m === j ? text.replaceAll(/[,;]/g, "") : old)) : pair));
    while (next.length && next.at(-1).every((t) => !t)) next.pop();
    set(next.map((pair) => pair.join(",")).join("; "));
  };
  const cell = (i, j, text) =>
    h(
      "label",
      { class: "field" },
      h("span", { class: "name" }, j === 0 && h("b", { "aria-hidden": "true" }, i + 1), `Corner ${i + 1}, ${j === 0 ? "across" : "up"}`),
      h("input", { type: "text", autocomplete: "off", value: text, placeholder: "such as 8in", oninput: (e) => put(i, j, e.target.value), onblur: (e) => e.target.value && put(i, j, withUnit(e.target.value, seen().unit)) }),
    );
  return [
    h("p", { class: "note", key: "how" }, "Measured from one spot at the bottom left: how far across, how far up. Go round in order."),
    h("div", { class: "fields", key: "corners" }, rows.map(([across, up], i) => [cell(i, 0, across), cell(i, 1, up)])),
  ];
}
