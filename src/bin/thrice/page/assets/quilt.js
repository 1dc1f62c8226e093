// The whole quilt: the sentence, one look for all of it or place by place, and the map that quilts itself as she ticks.

import { ask, fetchBytes, newestOnly } from "./api.js";
import { h } from "./h.js";
import { number } from "./lengths.js";
import { shortCaution, wrong } from "./parts.js";
import { count } from "./questions.js";
import { quiltMap } from "./quilt_map.js";
import { begunQuilt, layoutWords, machineOfQuilt } from "./quilt_layout.js";
import { placeCards, placesWords } from "./quilt_places.js";
import { takeFile, take, paperNow } from "./tomachine.js";
import { phrase } from "./sentence.js";
import { seen, setLook, step, toml } from "./state.js";

/** What the program last said of the quilt. */
export const quilt = { answer: null, file: null, refused: null, relief: null, reliefOf: null, busy: false, of: null };

let again = () => {};
let current = null;
let at = null;

export function beginQuilt(redraw) {
  again = redraw;
  addEventListener("keydown", (event) => at && thriceHooping.leaf(event, at, toHooping));
}

const planNewest = newestOnly(async (text) => {
  quilt.busy = true;
  again();
  try {
    quilt.file = (await ask("/api/quilt/change", { toml: text, set: [] })).quilt;
    quilt.answer = await ask("/api/quilt", { toml: text });
    quilt.refused = null;
    quilt.of = text;
  } catch (error) {
    quilt.refused = error;
  }
  quilt.busy = false;
  again();
  if (!quilt.refused) cloth(text);
});

const cloth = newestOnly(async (text) => {
  if (quilt.reliefOf === text || ticks().count() === 0) return;
  try {
    const { blob } = await fetchBytes("/api/quilt/relief", { toml: text, px: 1400 });
    if (quilt.relief) URL.revokeObjectURL(quilt.relief);
    quilt.relief = URL.createObjectURL(blob);
    quilt.reliefOf = text;
    again();
  } catch {
    quilt.relief = null;
  }
});

/** Asks for the plan of the present quilt file. */
export function askForQuilt() {
  if (toml()) planNewest(toml());
}

/** Changes the quilt file: sets or takes away keys; says why not, beside the question that is open. */
export async function changeFile(words, set, join = false) {
  try {
    const { toml: text } = await ask("/api/quilt/change", { toml: toml(), set });
    quilt.refused = null;
    step(words, { toml: text }, join);
  } catch (error) {
    quilt.refused = error;
    again();
  }
}

export const ticks = () => thriceHooping.ticksOf(quilt.answer?.fingerprint ?? "none");

/** The hooping she is at: the one she looked at last, else the next to sew. */
const here = () => (current && quilt.answer.hoopings.some((one) => one.n === current) ? current : thriceHooping.nextToSew(quilt.answer, ticks()));

function toHooping(n) {
  current = n;
  setLook({ open: "hooping" });
}

function sentence() {
  const { answer, file } = quilt;
  const unit = seen().unit;
  const title = answer?.title ?? file?.title ?? "my quilt";
  const family = file?.look?.family;
  const hoops = file?.machine?.hoops ?? [];
  const size = answer ? `${number(answer.map.size_mm[0], unit)} by ${number(answer.map.size_mm[1], unit)}\u00a0${unit}` : "which size?";
  return h(
    "h1",
    { class: "sentence" },
    "I am quilting ", phrase(title, "what"), ", ", phrase(size, "layout"), family ? ", all in " : ", ", phrase(family ?? "place by place", "quilt"), ", in ",
    phrase(hoops.length === 1 ? "my hoop" : hoops.length ? `my ${count(hoops.length)} hoops` : "which hoop?", "hoops"), ", over ", phrase(file?.sandwich?.batting ?? "which batting?", "hoops:batting"), ".",
  );
}

function worth() {
  const warnings = quilt.answer?.warnings ?? [];
  return [
    warnings.length > 0 && h("section", { key: "worth" }, h("h2", { class: "label" }, "Worth knowing"), h("ul", { class: "cautions" }, warnings.map((w) => shortCaution(w.text ?? w)))),
    h("section", { key: "takes" }, h("h2", { class: "label" }, "To take with you"), h("ul", { class: "takes" }, takes())),
  ];
}

function takes() {
  const body = { toml: toml(), paper: paperNow() };
  const name = (quilt.answer?.title ?? "quilt").toLowerCase().replaceAll(/[^a-z0-9]+/g, "-");
  const one = (what, title, words, ending) => take(what, title, words, () => takeFile(what, "/api/quilt/file", { ...body, what }, `${name}${ending}`));
  const files = quilt.answer?.totals.files;
  return [
    one("machine", `Machine files${files ? `, ${files}` : ""}`, "to copy on a stick", "-machine.zip"),
    one("templates", "Templates", "true size, to print", "-templates.pdf"),
    one("sewing-sheet", "Sewing sheet", "every hooping, to tick", "-sewing-sheet.pdf"),
    take("all", "All of it, one zip", "", () => takeFile("all", "/api/quilt/files", body, `${name}.zip`)),
    take("carry", "To carry to a tablet", "one page that keeps its ticks", () => takeFile("carry", "/api/quilt/machine", { toml: toml() }, `${name}.html`)),
    take("toml", "The quilt file", "to keep, or for the command line", async () => {
      const { save } = await import("./api.js");
      save(new Blob([toml()], { type: "application/toml" }), `${name}.toml`);
    }),
  ];
}

/** Sewn so far, and the hoopings in order. */
function bar() {
  const { hoopings } = quilt.answer;
  const t = ticks();
  const left = hoopings.filter((one) => !t.has(one.n)).reduce((sum, one) => sum + one.minutes, 0);
  const now = here();
  const tile = (one) => {
    const sewn = t.has(one.n);
    return h("button", { key: one.n, class: `tile${sewn ? " sewn" : ""}`, "aria-current": one.n === now ? "step" : null, "aria-label": `Hooping ${one.n}, ${one.where}${sewn ? ", sewn" : ""}`, onclick: () => { current = one.n; again(); } }, String(one.n), h("span", { "aria-hidden": "true" }, sewn ? "✓" : ""));
  };
  const hours = left < 90 ? `about ${Math.max(1, Math.round(left / 5) * 5)} minutes` : `about ${Math.round(left / 60)} hours`;
  return h(
    "div",
    { class: "sewnbar", key: "bar" },
    h("div", { class: "sofar" }, h("b", null, `${t.count()} of ${hoopings.length} sewn`), h("span", null, left > 0 ? `${hours} of sewing to go` : "all of it is sewn")),
    h("div", { class: "tiles", tabindex: "-1" }, hoopings.map(tile)),
    now != null && h("button", { class: "main", onclick: () => toHooping(now) }, `${t.has(now) ? "Look at" : "Sew"} hooping ${now}`),
  );
}

function left(start) {
  if (seen().open === "layout") return layoutWords(quilt, changeFile);
  if (seen().open?.startsWith("hoops")) return machineOfQuilt(start, quilt, changeFile);
  return placesWords(start, quilt, ticks(), changeFile);
}

function middle(start) {
  if (seen().open?.startsWith("place:")) return placeCards(start, quilt, seen().open.slice(6), ticks(), changeFile);
  if (!quilt.answer) return h("div", { class: "blank", key: "blank" }, h("p", { class: "note" }, quilt.busy ? "Your quilt is being planned …" : "Your quilt shows here."));
  return quiltMap(quilt, ticks(), here(), (n) => { current = n; again(); });
}

/** The page for a whole quilt. */
export function quiltView(start) {
  at = null;
  if (!toml()) return begunQuilt(start, begin);
  const { answer } = quilt;
  if (seen().open === "hooping" && answer && here() != null) return machineView();
  return h(
    "main",
    { class: "page quiltpage", key: "quilt" },
    h("div", { class: "words" }, sentence(), quilt.refused && h("p", { key: "refused" }, wrong(quilt.refused.message, quilt.refused.hint)), left(start)),
    h("div", { class: "cloth mapside", key: "map" }, middle(start)),
    h("div", { class: "aside", key: "aside" }, answer && worth()),
    answer && bar(),
  );
}

function machineView() {
  const n = here();
  const draw = (host) => {
    at = thriceHooping.show(host, {
      quilt: quilt.answer, n, larger: seen().larger, to: toHooping,
      back: () => setLook({ open: "quilt" }),
      ticked: () => { cloth(toml()); again(); },
      flip: () => setLook({ larger: !seen().larger }),
    });
  };
  queueMicrotask(() => {
    const host = document.getElementById("atmachine");
    if (host) draw(host);
  });
  return h("main", { class: "machine", id: "atmachine", key: "machine", own: true });
}

/** Begins with a quilt file's text. */
export function begin(words, text) {
  quilt.answer = null;
  current = null;
  step(words, { doing: "quilt", toml: text });
  setLook({ open: "quilt" });
}

