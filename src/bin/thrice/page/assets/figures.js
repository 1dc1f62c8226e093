// Three figures under the picture, and what is worth knowing, in words.

import { ask } from "./api.js";
import { h } from "./h.js";
import { built, length } from "./lengths.js";
import { asked, live } from "./live.js";
import { asSaid, caution, say, sign, wrong } from "./parts.js";
import { count } from "./questions.js";
import { design, designStep, seen, setLook } from "./state.js";

function big(number, words) {
  return h("dt", null, h("b", null, built(number)), words && ` ${words}`);
}

/** Minutes, metres of thread, widest gap. */
export function figures() {
  const f = live.drawn?.figures;
  if (!f) return h("dl", { class: "figures" }, h("div", null, h("dt", null, h("b", null, "\u00a0")), h("dd", null, "\u00a0")));
  const unit = seen().unit;
  const minutes = Math.max(1, Math.round(f.minutes));
  const metres = Math.max(1, Math.round(f.thread_m));
  const bobbins = f.bobbins === 1 ? "one bobbin" : `${count(f.bobbins)} bobbins`;
  return h(
    "dl",
    { class: "figures" },
    h("div", null, big(String(minutes), minutes === 1 ? "minute" : "minutes"), h("dd", null, "at the machine")),
    h("div", null, big(String(metres), metres === 1 ? "metre" : "metres"), h("dd", null, `of thread, ${bobbins}`)),
    h("div", null, gapFigure(f, unit), h("dd", null, built(allowed(f, unit)))),
  );
}

function gapFigure(f, unit) {
  if (f.gap_mm == null) return big("no gap", "");
  const [, about, number, after] = /^(about )?(.*?) (in|mm)$/.exec(length(f.gap_mm, unit));
  return h("dt", null, about, h("b", null, built(number)), ` ${after}`);
}

function allowed(f, unit) {
  if (f.gap_mm == null) return "nothing is left open";
  const by = design().options.batting || design().options.gap ? "by your batting" : "by any batting";
  return `widest gap, ${length(f.gap_allowed_mm, unit)} allowed ${by}`;
}

/** Faults and cautions of this design: what to do, why. */
export function worth() {
  const refused = live.refused;
  const warnings = live.drawn?.warnings ?? [];
  if (!seen().worth) return null;
  if (refused) return h("div", { class: "worth" }, wrong(refused.message ?? refused.error, refused.hint));
  if (warnings.length === 0) return null;
  const open = live.drawn.figures.gap_held === false;
  return h(
    "section",
    { class: "worth", "aria-label": "Worth knowing" },
    h("h2", null, "Worth knowing"),
    h("ul", { class: "cautions" }, warnings.map((w) => caution(w.text))),
    open && h("p", null, h("button", { class: "second small", "aria-busy": trying ? "true" : null, onclick: evenOut }, trying ? "Trying …" : "Close the gap"), h("span", { class: "note", role: "status" }, tried === live.drawn.key ? "\u2002Nothing that was tried closes it. Try another motif, or something behind this one." : "")),
  );
}

let trying = false;
let tried = null;

/** Closes the widest gap by what the program has tried out: a setting, or something behind. */
async function evenOut() {
  trying = true;
  tried = null;
  setLook({});
  try {
    const { key } = live.drawn;
    const { warnings } = await ask("/api/draw", { design: asked(), advice: true });
    const help = (warnings ?? []).find(({ remedy }) => remedy);
    if (!help) tried = key;
    else if (help.remedy.setting) designStep("the widest gap", { settings: { ...design().settings, [help.remedy.setting]: help.remedy.value } });
    else designStep("the widest gap", { background: help.remedy.background, background_settings: {} });
    if (help) say(asSaid(help.text));
  } catch {
    tried = live.drawn?.key ?? null;
  }
  trying = false;
  setLook({});
}

/** The first of what is worth knowing, in the row kept for it; opens the rest. */
export function mind() {
  const refused = live.refused ?? null;
  const warnings = live.drawn?.warnings ?? [];
  const first = refused ? refused.message ?? refused.error : warnings[0]?.text;
  if (!first) return h("span", { class: "mind", key: "mind" });
  const short = asSaid(/^.*?(?=[.:;!,](?:\s|$)|$)/.exec(first)[0].replaceAll(/ \([^)]*\)/g, ""));
  const more = !refused && warnings.length > 1 ? `, and ${count(warnings.length - 1)} more` : "";
  return h("button", { class: "mind", key: "mind", "aria-expanded": String(seen().worth), title: first, onclick: () => setLook({ worth: !seen().worth }) }, sign(), h("span", null, built(short), more));
}

/** The tools over the picture and at its foot. */
export function showButton(what, words, off) {
  return h("button", { class: "plain", key: what, "aria-pressed": String(Boolean(seen()[what])), onclick: () => setLook({ [what]: !seen()[what] }) }, seen()[what] ? off : words);
}
