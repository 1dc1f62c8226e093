// The whole quilt: the sentence, one look for all of it or place by place, and the map that quilts itself as she ticks.

import { ask, fetchBytes, newestOnly } from "./api.js";
import { readText } from "./files.js";
import { h } from "./h.js";
import { number } from "./lengths.js";
import { caution, say, shortCaution, wrong } from "./parts.js";
import { count } from "./questions.js";
import { quiltMap } from "./quilt_map.js";
import { begunQuilt, layoutWords, machineOfQuilt } from "./quilt_layout.js";
import { cornerCards } from "./quilt_border.js";
import { allTold, noneTold } from "./quilt_field.js";
import { evenings, mendings, whoOf } from "./quilt_groups.js";
import { oddPicture } from "./quilt_odd.js";
import { placeCards, placesWords } from "./quilt_places.js";
import { takeFile, take, paperNow } from "./tomachine.js";
import { phrase } from "./sentence.js";
import { files, seen, setLook, step, toml } from "./state.js";

/** What the program last said of the quilt. */
export const quilt = { answer: null, file: null, refused: null, relief: null, reliefOf: null, busy: false, of: null, lost: [] };

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
    const answer = await ask("/api/quilt", { toml: text, files: files() });
    if (quilt.answer) quilt.lost = [...new Set([...quilt.lost, ...carryTicks(quilt.answer, answer)])];
    quilt.answer = answer;
    quilt.refused = null;
    quilt.of = text;
  } catch (error) {
    quilt.refused = error;
  }
  quilt.busy = false;
  again();
  if (!quilt.refused) cloth(text);
});

/**
 * Takes the ticks along to the quilt as changed: a hooping that is the same stitches in the same place stays sewn.
 * Returns where ticks are lost: what is sewn there is no longer what the plan has.
 */
function carryTicks(before, after) {
  if (before.fingerprint === after.fingerprint) return [];
  const sewn = thriceHooping.ticksOf(before.fingerprint);
  const now = thriceHooping.ticksOf(after.fingerprint);
  const lost = [];
  for (const one of before.hoopings.filter(({ n }) => sewn.has(n))) {
    const same = after.hoopings.find((other) => other.where === one.where && other.fingerprint === one.fingerprint);
    if (same) now.set(same.n, true);
    else lost.push(one.where);
  }
  return lost;
}

const cloth = newestOnly(async (text) => {
  const given = files();
  const sent = JSON.stringify(given);
  if ((quilt.reliefOf === text && quilt.reliefFiles === sent) || ticks().count() === 0) return;
  try {
    const { blob } = await fetchBytes("/api/quilt/relief", { toml: text, files: given, px: 1400 });
    if (quilt.relief) URL.revokeObjectURL(quilt.relief);
    quilt.relief = URL.createObjectURL(blob);
    quilt.reliefOf = text;
    quilt.reliefFiles = sent;
    again();
  } catch {
    quilt.relief = null;
  }
});

/** What the quilt is called, for the title of the window. */
export const quiltTitle = () => quilt.answer?.title ?? quilt.file?.title ?? "A whole quilt";

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
  const batting = file?.sandwich?.batting;
  const hoops = file?.machine?.hoops ?? [];
  const size = answer ? `${number(answer.map.size_mm[0], unit)} by ${number(answer.map.size_mm[1], unit)}\u00a0${unit}` : "which size?";
  return h(
    "h1",
    { class: "sentence" },
    "I am quilting ", phrase(title, "what"), ", ", phrase(size, "layout"), family ? ", all in " : ", ", phrase(family ?? "place by place", "quilt"), ", in ",
    phrase(hoops.length === 1 ? "my hoop" : hoops.length ? `my ${count(hoops.length)} hoops` : "which hoop?", "hoops"), ", over ", phrase(batting && batting !== "unknown" ? batting : "which batting?", "hoops:batting"), batting && batting !== "unknown" && ".",
  );
}

function worth() {
  const warnings = quilt.answer?.warnings ?? [];
  const t = ticks();
  const lost = quilt.lost.filter((where) => !quilt.answer.hoopings.some((one) => one.where === where && t.has(one.n)));
  const more = lost.length > 1 ? ` and ${count(lost.length - 1)} more` : "";
  const otherwise = lost.length > 0 && `What you have sewn is no longer what the plan has. The ticks of ${lost[0].replace(":", ",")}${more} are off; Undo brings them back.`;
  const evened = evenings(quilt);
  return [
    (warnings.length > 0 || otherwise) && h("section", { key: "worth" }, h("h2", { class: "label" }, "Worth knowing"),
      h("ul", { class: "cautions" }, otherwise && caution(otherwise), warnings.filter((w) => !(w.remedy && !w.remedy.without && mendings(quilt, w).length)).map((w) => shortCaution(w.text, whoOf(quilt, w)))),
      evened.length > 0 && h("button", { class: "second small evened", onclick: () => changeFile("evened out", evened) }, "Even it out")),
    h("section", { key: "takes" }, h("h2", { class: "label" }, "To take with you"), h("ul", { class: "takes" }, takes())),
  ];
}

function takes() {
  const body = { toml: toml(), files: files(), paper: paperNow() };
  const name = (quilt.answer?.title ?? "quilt").toLowerCase().replaceAll(/[^a-z0-9]+/g, "-");
  const one = (what, title, words, ending) => take(what, title, words, () => takeFile(what, "/api/quilt/file", { ...body, what }, `${name}${ending}`));
  const many = quilt.answer?.totals.files;
  return [
    one("machine", `Machine files${many ? `, ${many}` : ""}`, "to copy on a stick", "-machine.zip"),
    one("templates", "Templates", "true size, to print", "-templates.pdf"),
    one("sewing-sheet", "Sewing sheet", "every hooping, to tick", "-sewing-sheet.pdf"),
    take("all", "All of it, one zip", "", () => takeFile("all", "/api/quilt/files", body, `${name}.zip`)),
    take("carry", "To carry to a tablet", "one page that keeps its ticks", () => takeFile("carry", "/api/quilt/machine", { toml: toml(), files: files() }, `${name}.html`)),
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
  if (seen().open?.startsWith("corners:")) return cornerCards(start, quilt, seen().open.slice(8), ticks(), changeFile);
  const measured = seen().open === "layout" ? oddPicture() : null;
  if (measured) return measured;
  if (!quilt.answer) return h("div", { class: "blank", key: "blank" }, h("p", { class: "note" }, quilt.busy ? "Your quilt is being planned …" : "Your quilt shows here."));
  return quiltMap(quilt, ticks(), here(), (n) => { current = n; again(); });
}

/** The page for a whole quilt. */
export function quiltView(start) {
  at = null;
  if (!toml()) return begunQuilt(start, begin);
  const { answer } = quilt;
  if (seen().open === "hooping" && answer && here() != null) return machineView();
  noneTold();
  const asked = left(start);
  const shown = middle(start);
  return h(
    "main",
    { class: `page quiltpage${seen().open === "quilt" ? "" : " asking"}`, key: "quilt" },
    h("div", { class: "words" }, sentence(), quilt.refused && (missing() ?? (!allTold(quilt) && h("p", { key: "refused", class: "refused" }, wrong(quilt.refused.message, quilt.refused.hint)))), asked),
    h("div", { class: "cloth mapside", key: "map" }, shown),
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

/** Asks for a drawing that the quilt file names and that is not handed in yet. */
function missing() {
  const name = quilt.refused?.missing?.find((file) => file.toLowerCase().endsWith(".svg"));
  if (!name) return null;
  const take = async (event) => event.target.files[0] && takeQuiltDrawing(name, await readText(event.target.files[0]));
  return h("label", { class: "field", key: "missing" }, h("span", { class: "name" }, `The quilt file names a drawing, ${name}. Choose it here, or drop it anywhere on the page.`), h("input", { type: "file", accept: ".svg,image/svg+xml", onchange: take }));
}

/** A drawing that the quilt file names, or is about to. */
export function takeQuiltDrawing(name, text) {
  step("a drawing", { files: { ...files(), [name]: text } });
  say(`${name} is read.`);
}

/** Begins with a quilt file's text. */
export function begin(words, text) {
  quilt.answer = null;
  quilt.lost = [];
  current = null;
  step(words, { doing: "quilt", toml: text });
  setLook({ open: "quilt" });
}

