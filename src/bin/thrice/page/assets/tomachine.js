// To the machine: what to take, and the cautions at the step where she acts.

import { fetchBytes, save } from "./api.js";
import { h } from "./h.js";
import { built } from "./lengths.js";
import { forFiles, live } from "./live.js";
import { caution, choices, say, wrong } from "./parts.js";
import { hoopWords } from "./sentence.js";
import { design, seen, setLook } from "./state.js";

let paper = null;
let format = "dst";
let busy = null;
let failed = null;

const again = () => setLook({});

/** The paper she most likely has: by the unit she measures in. */
export const paperNow = () => paper ?? (seen().unit === "in" ? "letter" : "a4");

/** Fetches a file and hands it to the browser; says so, and what went wrong under it. */
export async function takeFile(what, path, body, name) {
  busy = what;
  failed = null;
  again();
  try {
    const { blob, name: given } = await fetchBytes(path, body);
    save(blob, given ?? name);
    say(`${given ?? name} is with your downloads.`);
  } catch (error) {
    failed = { what, error };
  }
  busy = null;
  again();
}

/** One thing to take: what it is, in words; `act` fetches it. */
export function take(what, title, words, act) {
  const wrongHere = failed?.what === what ? failed.error : null;
  return h("li", { key: what }, h("button", { class: "take", "aria-busy": busy === what ? "true" : null, onclick: act }, h("b", null, title), h("span", null, busy === what ? "Being made …" : words)), wrongHere && wrong(wrongHere.message, wrongHere.hint));
}

function one(ending, title, words) {
  const stem = live.drawn?.name ?? "design";
  return take(ending, title, words, () => takeFile(ending, "/api/file", { design: forFiles(), ending, paper: paperNow() }, `${stem}${ending}`));
}

/** The steps at the machine, each with its cautions. */
function steps(start) {
  return h("ol", { class: "steps-list" }, (start.cautions ?? []).map((step) => h("li", null, h("h3", null, step.when), h("ul", null, step.sentences.map((text) => h("li", null, built(text)))))));
}

/** The column of words when she goes to the machine. */
export function machineWords(start) {
  const { hoop } = design().options;
  const refused = live.drawn?.refused ?? (live.refused && { error: live.refused.message, hint: live.refused.hint });
  const held = live.drawn?.hoop;
  const warned = live.drawn?.warnings ?? [];
  return h(
    "div",
    { class: "asked" },
    h(
      "div",
      { class: "opened" },
      h("h2", { class: "question" }, "To take with you"),
      hoop ? h("p", { class: "note" }, held?.words ? built(held.words) : `For your ${hoopWords(hoop)}.`) : h("p", { class: "note" }, "Not checked against a hoop. ", h("button", { class: "phrase", onclick: () => setLook({ open: "hoop" }) }, "Which hoop is it?")),
      refused
        ? wrong(refused.error, refused.hint)
        : h(
            "ul",
            { class: "takes" },
            take("zip", "Everything, one zip", "machine file, template, preview, report", () =>
              takeFile("zip", "/api/files", { design: forFiles(), formats: [format], paper: paperNow() }, `${live.drawn?.name ?? "design"}.zip`)),
            one(`.${format}`, "The machine file alone", `.${format}, to copy on a stick`),
            one(".pdf", "The template, to print", "true size, to lay on the block"),
            one("-sewing-sheet.pdf", "The sewing sheet, to print", "the steps on paper"),
            one(".svg", "The preview", "to look at or send"),
          ),
      choices("Machine file", [{ value: "dst", words: "DST for the machine" }, { value: "exp", words: "EXP for the machine" }], format, (value) => { format = value; again(); }),
      choices("Paper", [{ value: "letter", words: "Letter paper", more: "8 1/2 × 11 in" }, { value: "a4", words: "A4 paper", more: "210 × 297 mm" }], paperNow(), (value) => { paper = value; again(); }),
    ),
    warned.length > 0 && h("div", { class: "opened", key: "worth" }, h("h2", { class: "question" }, "Worth knowing"), h("ul", { class: "cautions" }, warned.map((w) => caution(w.text)))),
    h("div", { class: "opened", key: "steps" }, h("h2", { class: "question" }, "At the machine"), steps(start)),
    live.drawn?.command && h("details", null, h("summary", null, "The same from the command line"), h("code", { class: "command" }, live.drawn.command)),
  );
}

/** The buttons under it. */
export function machineFoot() {
  const refused = live.drawn?.refused || live.refused;
  const main = h("button", { class: "main", "aria-disabled": refused ? "true" : null, "aria-busy": busy === "zip" ? "true" : null, onclick: () => !refused && takeFile("zip", "/api/files", { design: forFiles(), formats: [format], paper: paperNow() }, `${live.drawn?.name ?? "design"}.zip`) }, busy === "zip" ? "Being made …" : "Take everything");
  return [main, h("button", { class: "second", onclick: () => setLook({ open: "settings" }) }, "Back to the block")];
}
