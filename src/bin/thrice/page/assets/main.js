// The page: takes up where she left, draws what is open, asks the program when something changes.

import { start } from "./api.js";
import { askForBlock, beginBlock, blockTitle, blockView } from "./block.js";
import { onCards } from "./cards.js";
import { dropZone, takeIn } from "./drop.js";
import { fileTitle, fileView } from "./file.js";
import { firstView } from "./first.js";
import { fill, h } from "./h.js";
import { say, wrong } from "./parts.js";
import { askForQuilt, beginQuilt, quiltTitle, quiltView } from "./quilt.js";
import { doing, listen, redo, redoWords, seen, setLook, takeUp, undo, undoWords } from "./state.js";

let offered = null;
let broken = null;
let planned = false;

/** Draws the page again, once, when the browser is ready for it. */
export function redraw() {
  if (planned) return;
  planned = true;
  requestAnimationFrame(() => {
    planned = false;
    fill(document.getElementById("page"), head(), body());
    const at = seen().open === "what" ? null : { block: blockTitle, quilt: quiltTitle, file: fileTitle }[doing()]?.();
    document.title = at ? `${at} – thrice` : "thrice";
  });
}

function body() {
  if (broken) return h("main", { class: "page", key: "broken" }, h("div", { class: "words" }, h("h1", { class: "sentence" }, "The program does not answer."), wrong(broken.message, broken.hint)));
  if (!offered) return h("main", { class: "page", key: "waiting" });
  if (!doing() || seen().open === "what") return firstView(takeIn);
  if (doing() === "quilt") return quiltView(offered);
  if (doing() === "file") return fileView(offered);
  return blockView(offered);
}

function head() {
  const back = undoWords();
  const forth = redoWords();
  const go = (act, says) => () => {
    const words = act();
    if (words) say(`${says}: ${words}.`);
  };
  const button = (words, of, act, says) =>
    h("button", { class: "plain", "aria-disabled": of ? null : "true", title: of ? `${words}: ${of}` : null, onclick: go(act, says) }, words);
  const flip = () => setLook({ unit: seen().unit === "in" ? "mm" : "in" });
  return h(
    "header",
    { class: "head", key: "head" },
    h("a", { class: "mark", href: "#", "aria-label": "thrice: begin", onclick: (event) => { event.preventDefault(); setLook({ open: "what" }); } }, h("svg", { viewBox: "0 0 25 20", "aria-hidden": "true" }, h("path", { d: "M4 18.5C4 9 9 1.5 21 1.5C21 11 16 18.5 4 18.5ZM8.5 14.5 10.4 12.6M12 11 13.9 9.1" })), "thrice"),
    doing() && h("span", { class: "kept" }, "Saved as you go"),
    button("Undo", back, undo, "Undone"),
    button("Redo", forth, redo, "Redone"),
    h("button", { class: "plain", "aria-label": `Lengths in ${seen().unit === "in" ? "inches; show millimetres" : "millimetres; show inches"}`, onclick: flip }, seen().unit === "in" ? "inches" : "mm"),
  );
}

let unit = null;
let see = null;
let holes = null;

function askAgain(kind) {
  const look = seen();
  if (doing() === "block" && (kind === "work" || unit !== look.unit || see !== look.see || holes !== look.holes)) askForBlock();
  if (doing() === "quilt" && (kind === "work" || unit !== look.unit)) askForQuilt();
  ({ unit, see, holes } = look);
}

function keys(event) {
  const typing = event.target.matches?.("input[type=text], textarea");
  if ((event.ctrlKey || event.metaKey) && !typing && event.key.toLowerCase() === "z") {
    event.preventDefault();
    const words = event.shiftKey ? redo() : undo();
    if (words) say(`${event.shiftKey ? "Redone" : "Undone"}: ${words}.`);
  } else if ((event.ctrlKey || event.metaKey) && !typing && event.key.toLowerCase() === "y") {
    event.preventDefault();
    redo();
  } else if (event.key === "Escape" && seen().open !== "what") {
    close();
  }
}

/** Closes the open question and puts her back on what opened it. */
function close() {
  const was = seen().open;
  const home = { block: "settings", quilt: "quilt", file: "file" }[doing()];
  if (!home || was === home || (doing() === "block" && was.startsWith("set:"))) return;
  setLook({ open: home });
  requestAnimationFrame(() => requestAnimationFrame(() => [...document.querySelectorAll(".phrase, .row")].find((node) => node.key === was)?.focus()));
}

async function begin() {
  takeUp();
  beginBlock(redraw);
  beginQuilt(redraw);
  onCards(redraw);
  dropZone(redraw);
  listen((kind) => {
    redraw();
    if (offered) askAgain(kind);
  });
  addEventListener("keydown", keys);
  addEventListener("resize", redraw);
  redraw();
  try {
    offered = await start();
  } catch (error) {
    broken = error;
  }
  redraw();
  if (offered) askAgain("work");
}

begin();

