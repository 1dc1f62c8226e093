// The motifs, each drawn in her block.

import { h } from "./h.js";
import { card } from "./cards.js";
import { live } from "./live.js";
import { readText } from "./files.js";
import { wrong } from "./parts.js";
import { inOrder, kinds } from "./questions.js";
import { design, designStep, seen, setLook } from "./state.js";

let kind = null;

/** The pair of ways to look: as lines, as quilted cloth. */
export function pair() {
  const one = (see, words) =>
    h("label", { key: see }, h("input", { type: "radio", name: "see", checked: seen().see === see, onchange: () => setLook({ see }) }), h("span", null, words));
  return h("fieldset", { class: "pair" }, h("legend", { class: "unseen" }, "Picture"), one("lines", "As lines"), one("cloth", "As quilted cloth"));
}

function choose(name) {
  const same = design().motif === name && !design().drawing_svg;
  if (!same) designStep("the motif", { motif: name, settings: {}, drawing_svg: null, drawing_name: null });
  setLook({ open: "settings" });
}

/** The gallery of motifs for the present block. */
export function gallery(start) {
  const suiting = live.motifs?.suiting ?? null;
  if (!suiting) return h("div", { class: "gallery" }, h("div", { class: "galleryhead" }, h("h2", { class: "title" }, "Which motif?")));
  const motifs = inOrder(start.motifs.filter((m) => suiting.includes(m.name)));
  const all = kinds(suiting);
  const narrowed = all.find((k) => k.name === kind);
  const shown = narrowed ? motifs.filter((m) => narrowed.of(m.name)) : motifs;
  const tab = (name, words) => h("button", { key: words, "aria-pressed": String(kind === name), onclick: () => { kind = name; setLook({}); } }, words);
  return h(
    "div",
    { class: "gallery" },
    h("div", { class: "galleryhead" }, h("h2", { class: "title" }, "Which motif?"), h("span", { class: "note" }, `${suiting.length} suit your block`), pair()),
    h("div", { class: "kinds", role: "group", "aria-label": "Narrow it down" }, tab(null, "Everything"), all.map((k) => tab(k.name, k.name))),
    live.motifs.refused && wrong(live.motifs.refused.message, live.motifs.refused.hint),
    h("div", { class: "cards" }, shown.map((m) => card({
      name: m.title,
      of: plain({ motif: m.name, settings: {} }),
      cloth: seen().see === "cloth",
      chosen: design().motif === m.name,
      pick: () => choose(m.name),
    }))),
    own(),
  );
}

/** The present block and sandwich with another motif, without a background. */
function plain(change) {
  return { ...design(), background: null, background_settings: {}, drawing_svg: null, drawing_name: null, ...change };
}

function own() {
  const take = async (event) => {
    const file = event.target.files[0];
    if (!file) return;
    designStep("the motif", { motif: null, settings: {}, drawing_svg: await readText(file), drawing_name: file.name.replace(/\.svg$/i, "") });
    setLook({ open: "settings" });
  };
  return h(
    "div",
    { class: "own" },
    h("h3", { class: "question" }, "Or a drawing of your own"),
    h("p", { class: "note" }, "Lines drawn in any drawing program, saved as SVG. Choose the file here, or drop it anywhere on the page."),
    h("label", { class: "field" }, h("span", { class: "unseen" }, "Your drawing, an SVG file"), h("input", { type: "file", accept: ".svg,image/svg+xml", onchange: take })),
  );
}

/** What can lie behind the motif, each drawn with it. */
export function backgrounds(start) {
  const suiting = live.motifs?.suiting ?? [];
  const able = start.motifs.filter((m) => suiting.includes(m.name) && start.backgrounds.includes(m.name) && m.name !== design().motif);
  const pick = (name) => {
    if (name !== design().background) designStep("the background", { background: name, background_settings: {} });
    setLook({ open: "settings" });
  };
  const of = (name) => ({ ...design(), background: name, background_settings: name === design().background ? design().background_settings : {} });
  return h(
    "div",
    { class: "gallery" },
    h("div", { class: "galleryhead" }, h("h2", { class: "title" }, "What lies behind it?"), pair()),
    h("div", { class: "cards" }, [
      card({ name: "Nothing", of: of(null), cloth: seen().see === "cloth", chosen: !design().background, pick: () => pick(null) }),
      able.map((m) => card({ name: m.title, of: of(m.name), cloth: seen().see === "cloth", chosen: design().background === m.name, pick: () => pick(m.name) })),
    ]),
  );
}
