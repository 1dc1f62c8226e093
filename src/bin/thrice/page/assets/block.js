// One block: the sentence and her question on the left, the cloth on the right.

import { ask } from "./api.js";
import { figures, mind, showButton, worth } from "./figures.js";
import { backgrounds, gallery, pair } from "./gallery.js";
import { h } from "./h.js";
import { askSuits, asked, clothNow, draw, hasMotif, live, onAnswers } from "./live.js";
import { measureFoot, measurePicture, measuredSmall, measureWords } from "./measure.js";
import { photoView, photoWords } from "./photo.js";
import { Picture } from "./picture.js";
import { battingWords, hoopWords, lookWords } from "./sandwich.js";
import { sentence, sizeWords } from "./sentence.js";
import { firstQuestion, settingsWords } from "./settings.js";
import { Sewing, sewBar } from "./sewing.js";
import { complete } from "./shapes.js";
import { design, seen, setLook } from "./state.js";
import { machineFoot, machineWords } from "./tomachine.js";

let picture = null;
let sewing = null;
let again = () => {};

/** Tells the block how to have the whole page drawn again. */
export function beginBlock(redraw) {
  again = redraw;
  onAnswers(showPicture, redraw);
}

/** What she is making, for the title of the window. */
export function blockTitle() {
  const size = complete(design()) ? sizeWords(design(), seen().unit) : null;
  return [hasMotif() && live.drawn?.title, size].filter(Boolean).join(", ") || "One block";
}

/** Asks the program for what the present design and question need. */
export function askForBlock() {
  if (complete(design())) askSuits();
  else live.motifs = null;
  if (complete(design()) && hasMotif()) draw();
}

/** The box of the block, [x, y, width, height] in millimetres: its centre is at 0,0. */
function blockBox() {
  const size = live.drawn?.size_mm;
  return size && [-size[0] / 2, -size[1] / 2, ...size];
}

function showPicture() {
  const drawn = live.drawn;
  if (!picture || !picture.host.isConnected || !drawn) return;
  const block = blockBox();
  const frame = seen().hoop && drawn.box ? drawn.box : block;
  picture.show({
    svg: drawn.svg, block, frame, cloth: clothNow(), clothBox: live.clothBox ?? drawn.box, see: seen().see,
    hoop: seen().hoop, gap: seen().gap, holes: seen().holes ? drawn.holes : null, unit: seen().unit,
    label: `${drawn.title}, in your block`,
  });
}

async function watch() {
  if (sewing) return stopSewing();
  const { holes, runs } = await ask("/api/draw", { design: asked(), card: false, holes: true });
  sewing = new Sewing(picture, holes, runs, again);
  again();
  return null;
}

function stopSewing() {
  sewing?.end();
  sewing = null;
  again();
}

function cloth() {
  const drawn = live.drawn;
  return [
    h(
      "div",
      { class: "tools", key: "tools" },
      pair(),
      h("div", { class: "ways" },
        h("button", { class: "plain", "aria-pressed": String(Boolean(sewing)), onclick: watch }, sewing ? "Stop sewing" : "Watch it sew"),
        design().options.hoop ? showButton("hoop", "Show the hoop", "Hide the hoop") : h("button", { class: "plain", onclick: () => setLook({ open: "hoop" }) }, "Name the hoop"),
        h("button", { class: "plain", onclick: () => setLook({ open: "photo" }) }, "On my photo")),
    ),
    h("div", {
      class: `view${picture?.zoom > 1 ? " near" : ""}${sewing ? " sewing" : ""}`,
      key: "view",
      own: true,
      "aria-label": "Picture of your block. Plus and minus come closer and go back, arrows move.",
      made: (host) => {
        stopSewing();
        picture = new Picture(host);
        picture.moved = null;
        requestAnimationFrame(showPicture);
      },
    }),
    sewing && drawn
      ? sewBar(sewing, drawn.figures.minutes, stopSewing)
      : h(
          "div",
          { class: "zoomer", key: "zoomer" },
          mind(),
          drawn?.figures.gap_mm != null && showButton("gap", "Show the gap", "Hide the gap"),
          h("button", { class: "plain", onclick: () => { picture?.closer(1.6); again(); } }, "Closer"),
          h("button", { class: "plain", onclick: () => { picture?.closer(1 / 1.6); again(); } }, "Farther"),
          h("button", { class: "plain", onclick: () => { picture?.whole(); again(); } }, "Whole block"),
        ),
    figures(),
    worth(),
  ];
}

const toMachine = () => h("button", { class: "main", key: "main", onclick: () => setLook({ open: "machine" }) }, "To the machine");
const anotherMotif = () => h("button", { class: "second", key: "another", onclick: () => setLook({ open: "motif" }) }, "Another motif");
const backToBlock = () => h("button", { class: "main", key: "main", onclick: () => setLook({ open: "settings" }) }, "Done");

/** The column of words and the side of the cloth for the question that is open. */
export function blockView(start) {
  const open = seen().open;
  if (sewing && !live.drawn) stopSewing();
  const gone = sewing && (open === "motif" || open === "shape" || open === "photo" || open === "background");
  if (gone) queueMicrotask(stopSewing);
  if (open === "shape" || open === "shape:which" || !complete(design())) return page(start, "ask-first", measureWords(), measureFoot(), h("div", { class: "cloth still", key: "measure" }, measurePicture()));
  if (open === "motif" || !hasMotif()) {
    const back = hasMotif() && backToBlock();
    return page(start, "ask-first", h("div", { class: "asked bare" }, measuredSmall()), back, h("div", { class: "cloth", key: "gallery" }, gallery(start)), true);
  }
  if (open === "background") return page(start, "", h("div", { class: "asked bare" }, measuredSmall()), backToBlock(), h("div", { class: "cloth", key: "behind" }, backgrounds(start)), true);
  if (open === "photo") return page(start, "", photoWords(), backToBlock(), h("div", { class: "cloth still", key: "photo" }, photoView(live.drawn, blockBox())));
  const right = h("div", { class: "cloth still", key: "cloth" }, cloth());
  if (open === "batting") return page(start, "", battingWords(start), backToBlock(), right);
  if (open === "hoop") return page(start, "", hoopWords(start), backToBlock(), right);
  if (open === "look") return page(start, "", lookWords(start), backToBlock(), right);
  if (open === "machine") return page(start, "", machineWords(start), machineFoot(start), right);
  queueMicrotask(() => firstQuestion(start));
  return page(start, "", settingsWords(start), [toMachine(), anotherMotif()], right);
}

function page(start, kind, asked, foot, cloth, still = false) {
  queueMicrotask(showPicture);
  return h(
    "main",
    { class: `page ${kind}`, key: "block" },
    h("div", { class: `words${still ? " still" : ""}` }, sentence(start), asked, foot && h("div", { class: "foot" }, foot)),
    cloth,
  );
}
