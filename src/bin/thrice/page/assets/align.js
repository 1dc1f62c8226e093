// A design turned and shifted so that it meets the marks as hooped: she clicks a mark on the picture and types where the
// needle found it.

import { ask, newestOnly } from "./api.js";
import { h } from "./h.js";
import { built, length, millimetres, withUnit } from "./lengths.js";
import { wrong } from "./parts.js";
import { seen, setLook } from "./state.js";
import { take, takeFile } from "./tomachine.js";

let marks = [{ at: [0, 0], across: "", up: "" }];
let found = null;
let refused = null;

function wanted(held) {
  const told = marks.filter((m) => m.across && m.up).map((m) => ({ at: m.at[0] === 0 && m.at[1] === 0 ? "centre" : `${m.at[0].toFixed(1)}mm,${m.at[1].toFixed(1)}mm`, found: `${m.across},${m.up}` }));
  return { name: held.name, bytes: held.bytes, marks: told };
}

const align = newestOnly(async (held) => {
  const body = wanted(held);
  if (body.marks.length === 0) return;
  try {
    found = await ask("/api/align", body);
    refused = null;
  } catch (error) {
    refused = error;
    found = null;
  }
  setLook({});
});

function place(m) {
  if (m.at[0] === 0 && m.at[1] === 0) return "The centre";
  const unit = seen().unit;
  const side = (v, one, other) => `${length(Math.abs(v), unit)} ${v < 0 ? other : one}`;
  return `${side(m.at[0], "right", "left")}, ${side(m.at[1], "up", "down")} of the centre`;
}

function markRow(held, m, i) {
  const set = (name) => (event) => {
    const text = event.target.value.trim();
    m[name] = text === "" ? "" : withUnit(text.replace("−", "-"), "mm");
    align(held);
    setLook({});
  };
  const bad = (text) => text && millimetres(text.replace(/^[-+]/, ""), "mm") == null;
  const field = (name, words) => h("label", { class: "field" }, h("span", { class: "name" }, words), h("input", { type: "text", value: m[name], placeholder: "such as 2mm", "aria-invalid": bad(m[name]) ? "true" : null, onchange: set(name) }));
  return h(
    "div",
    { key: i, class: "marked" },
    h("h3", null, h("b", null, String(i + 1)), " ", built(place(m))),
    h("div", { class: "fields" }, field("across", "Found: across"), field("up", "Found: up")),
    (bad(m.across) || bad(m.up)) && wrong("That is not a length.", "Type it like 2mm or -1.4mm."),
    marks.length > 1 && h("button", { class: "plain", onclick: () => { marks = marks.filter((other) => other !== m); align(held); setLook({}); } }, "Take this mark away"),
  );
}

/** The words: the marks, and what they come to. */
export function alignWords(held) {
  return h(
    "div",
    { class: "opened" },
    h("h2", { class: "question" }, "Where do the marks lie in the hoop?"),
    h("p", { class: "note" }, "Click a mark on the picture. Then move the needle over it at the machine and type how far that is from the hoop’s centre; minus is left or down."),
    marks.map((m, i) => markRow(held, m, i)),
    refused && wrong(refused.message, refused.hint),
    found && h("ul", { class: "facts" }, (found.words ?? []).map((line) => h("li", null, built(line)))),
    found && h("ul", { class: "takes" }, take("aligned", "The turned design, one zip", "machine file, template, preview", () => takeFile("aligned", "/api/align/files", wanted(held), "aligned.zip"))),
  );
}

/** The picture to click on. */
export function alignPicture(held) {
  const svg = found?.svg ?? held.check?.svg;
  if (!svg) return h("div", { class: "blank" });
  const click = (event) => {
    const drawn = event.currentTarget.querySelector("svg");
    const matrix = (drawn.querySelector("[data-design]") ?? drawn).getScreenCTM();
    if (!matrix) return;
    const p = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    marks = [...marks, { at: [Math.round(p.x * 2) / 2, Math.round(-p.y * 2) / 2], across: "", up: "" }].slice(0, 8);
    setLook({});
  };
  return h("div", { class: "filepicture toclick", key: "align", html: svg, onclick: click });
}
