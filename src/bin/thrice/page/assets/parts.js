// Small parts that several questions share.

import { built, millimetres, shown } from "./lengths.js";
import { h } from "./h.js";
import { inPageWords } from "./questions.js";
import { design, seen, setLook } from "./state.js";

/** The sign before a caution or a fault. */
export const sign = () => h("svg", { viewBox: "0 0 20 20", "aria-hidden": "true" }, h("path", { d: "M10 1 20 19H0ZM9 7h2l-.4 6H9.4ZM9 14.6h2v2H9Z", "fill-rule": "evenodd" }));

/** What the program said in the words of the page; what it put between backticks, between quotation marks; the first letter large. */
export const asSaid = (text) => inPageWords(text, design().motif).replaceAll(/`([^`]*)`/g, "“$1”").replace(/^[a-z]/, (c) => c.toUpperCase());

/** What is wrong and what to do, under a field. */
export function wrong(what, hint, id) {
  return h("span", { class: "wrong", id, role: "alert" }, sign(), h("span", null, asSaid(what).split("\n").map((line) => h("b", null, built(line))), hint && h("span", null, built(asSaid(hint)))));
}

/** A caution: what to do in bold, why after it. */
export function caution(said) {
  const [first, rest] = parted(asSaid(said));
  return h("li", { class: "caution" }, sign(), h("p", null, h("strong", null, built(first)), rest && [" ", h("span", { class: "what" }, built(rest))]));
}

/** The first sentence of a caution, or what stands before its colon, and the rest. */
function parted(text) {
  const ends = /^[A-Z0-9][^:]*:/.test(text) ? /^(.*?[.:!])(?:\s+(.*))?$/s : /^(.*?[.!])(?:\s+(.*))?$/s;
  return ends.exec(text)?.slice(1) ?? [text, ""];
}

/** A caution where room is short: what to do, and the rest when she asks. */
export function shortCaution(said, who = null) {
  const text = asSaid(said);
  if (who) return cautionOf(who, text);
  const [first, rest] = parted(text);
  if (!rest || text.length < 90) return caution(said);
  return h("li", { class: "caution" }, sign(), h("details", null, h("summary", null, built(first.replace(/:$/, "."))), h("p", { class: "what" }, built(rest.replace(/^[a-z]/, (c) => c.toUpperCase())))));
}

/** A caution of certain pieces: what it says in few words, and the whole of it when she asks. */
function cautionOf(who, text) {
  const short = /^.*?(?=[.:;,](?:\s|$)|$)/.exec(text)[0].replaceAll(/ \([^)]*\)/g, "");
  const say = [h("strong", null, `${who}: `), built(short.replace(/^[A-Z](?=[a-z])/, (c) => c.toLowerCase()))];
  if (text.length < short.length + 3) return h("li", { class: "caution" }, sign(), h("p", null, say, "."));
  return h("li", { class: "caution" }, sign(), h("details", null, h("summary", null, say), h("p", { class: "what" }, built(text))));
}

/** A closed question: what it asks and the answer it has. */
export function row(asks, answer, opens) {
  return h("button", { class: "row", key: opens, "aria-expanded": "false", onclick: () => setLook({ open: opens }) }, h("span", null, asks), h("span", { class: "answer" }, built(answer)));
}

/** A choice of one from several: label, further words, value. */
export function choices(name, options, value, pick, kind = "") {
  return h(
    "div",
    { class: `choices ${kind}`, role: "radiogroup", "aria-label": name },
    options.map((option) =>
      h(
        "label",
        { class: "choice", key: `${option.value}` },
        h("input", { type: "radio", name, checked: option.value === value, onchange: () => pick(option.value) }),
        h("span", null, built(option.words), option.more && h("span", { class: "said" }, built(option.more))),
      ),
    ),
  );
}

/** A length in the unit the page shows, from a text that can be typed. */
export const told = (text) => shown(text, seen().unit);

/** True if two typed lengths are the same length. */
export function sameLength(a, b) {
  const [x, y] = [millimetres(a), millimetres(b)];
  return x != null && y != null ? Math.abs(x - y) < 0.05 : a === b;
}

/** Words for assistive technology. */
export function say(words) {
  const said = document.getElementById("said");
  if (said) said.textContent = words;
}
