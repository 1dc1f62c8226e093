// A design turned and shifted so that it meets the marks as hooped: she clicks a mark on the picture and types where the
// needle found it.

import { ask, newestOnly } from "./api.js";
import { h } from "./h.js";
import { built, length, millimetres, withUnit } from "./lengths.js";
import { wrong } from "./parts.js";
import { inPageWords } from "./questions.js";
import { seen, setLook } from "./state.js";
import { take, takeFile } from "./tomachine.js";

const MOST = 8;
let marks = [{ at: [0, 0], across: "", up: "" }];
let found = null;
let turned = false;
let refused = null;

function wanted(held) {
  const told = marks.filter((m) => m.across && m.up).map((m) => ({ at: m.at[0] === 0 && m.at[1] === 0 ? "centre" : `${m.at[0].toFixed(1)}mm,${m.at[1].toFixed(1)}mm`, found: `${m.across},${m.up}` }));
  return { name: held.name, bytes: held.bytes, marks: told, design: held.hoop ? { options: { hoop: held.hoop } } : null };
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
    turned = false;
  }
  setLook({});
});

function where(m) {
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
  const place = (j) => (event) => {
    const mm = millimetres(event.target.value.replace(/^[-+−]/, ""), "mm");
    if (mm != null) m.at[j] = /^[-−]/.test(event.target.value) ? -mm : mm;
    align(held);
    setLook({});
  };
  const spot = (j, words) => h("label", { class: "field" }, h("span", { class: "name" }, words), h("input", { type: "text", value: `${m.at[j]}mm`, onchange: place(j) }));
  const bad = (text) => text && millimetres(text.replace(/^[-+]/, ""), "mm") == null;
  const field = (name, words) => h("label", { class: "field" }, h("span", { class: "name" }, words), h("input", { type: "text", value: m[name], placeholder: "such as 2mm", "aria-invalid": bad(m[name]) ? "true" : null, onchange: set(name) }));
  return h(
    "div",
    { key: i, class: "marked" },
    h("h3", null, h("b", null, String(i + 1)), " ", built(where(m))),
    i > 0 && h("div", { class: "fields" }, spot(0, "In the design: right of its centre"), spot(1, "In the design: above it")),
    h("div", { class: "fields" }, field("across", "Found: across"), field("up", "Found: up")),
    (bad(m.across) || bad(m.up)) && wrong("That is not a length.", "Type it like 2mm or -1.4mm."),
    marks.length > 1 && h("button", { class: "plain", onclick: () => { marks = marks.filter((other) => other !== m); align(held); setLook({}); } }, "Remove this mark"),
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
    marks.length < MOST && h("button", { class: "second small", onclick: () => { marks = [...marks, { at: [30, 30], across: "", up: "" }]; setLook({}); } }, "Another mark"),
    h("label", { class: "field", key: "hoop" }, h("span", { class: "name" }, "Hoop"), h("input", { type: "text", autocomplete: "off", value: held.hoop, placeholder: "such as 200x200mm", onchange: (event) => { held.hoop = event.target.value.replaceAll(/\s/g, "").replace("×", "x"); align(held); setLook({}); } })),
    refused && wrong(refused.message, refused.hint),
    found && h("ul", { class: "facts" }, (found.words ?? []).map((line) => h("li", null, built(inPageWords(line))))),
    found && h("label", { class: "choice" }, h("input", { type: "checkbox", checked: turned, onchange: () => { turned = !turned; setLook({}); } }), h("span", null, "Show it turned")),
    found && h("ul", { class: "takes" }, take("aligned", "The turned design, one zip", "machine file, template, preview", () => takeFile("aligned", "/api/align/files", wanted(held), "aligned.zip"))),
  );
}

/** The marks on the picture, numbered as their fields. */
function dots() {
  return marks.map((m, i) => `<g class="dot" transform="translate(${m.at[0]} ${-m.at[1]})"><path d="M-4 0H4M0 -4V4"/><text x="2.5" y="-2.5">${i + 1}</text></g>`).join("");
}

/** The picture to click on. */
export function alignPicture(held) {
  if (!held.check?.svg) return h("div", { class: "blank" });
  if (turned && found) return h("div", { class: "filepicture", key: "turned", role: "img", "aria-label": "The design as turned", html: found.svg });
  const click = (event) => {
    const drawn = event.currentTarget.querySelector("svg");
    const matrix = (drawn.querySelector("[data-design]") ?? drawn).getScreenCTM();
    if (!matrix) return;
    const p = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    marks = [...marks, { at: [Math.round(p.x * 2) / 2, Math.round(-p.y * 2) / 2], across: "", up: "" }].slice(0, MOST);
    setLook({});
  };
  return h("div", { class: "filepicture toclick", key: "align", html: held.check.svg.replace("</svg>", `${dots()}</svg>`), onclick: click });
}
