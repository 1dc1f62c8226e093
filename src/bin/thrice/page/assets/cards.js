// Cards: a design drawn small in her block, with minutes, thread and gap. Drawn only when they come into view, a few at
// a time, and kept.

import { ask, fetchBytes, lane } from "./api.js";
import { built, roundedUp } from "./lengths.js";
import { h } from "./h.js";
import { asked } from "./live.js";
import { seen } from "./state.js";

const MOST_KEPT = 300;
const drawn = new Map();
const inLane = lane(2);
// The ends of a slider do not wait for the cards of a gallery that she has left.
const atOnce = lane(2);
let changed = () => {};

export function onCards(then) {
  changed = then;
}

function keep(key, value) {
  drawn.set(key, value);
  if (drawn.size > MOST_KEPT) drawn.delete(drawn.keys().next().value);
}

function askFor(key, work, goes) {
  if (drawn.has(key)) return;
  keep(key, { waiting: true });
  goes(work).then((value) => keep(key, value), (error) => keep(key, { refused: error })).finally(() => changed());
}

const watcher = new IntersectionObserver((entries) => {
  for (const { isIntersecting, target } of entries) if (isIntersecting) target.comesIntoView?.();
}, { rootMargin: "200px" });

/** The picture of `of` (a design), as lines or cloth; asked for once it is seen. */
export function little(of, key, cloth = false) {
  const design = asked(of);
  const id = JSON.stringify([design, cloth]);
  const want = () => askFor(id, async () => {
    const lines = await ask("/api/draw", { design, card: true });
    if (!cloth) return lines;
    keep(id, lines);
    changed();
    const { blob, box } = await fetchBytes("/api/relief", { design, px: 420 });
    return { ...lines, cloth: onCloth(lines.svg, URL.createObjectURL(blob), box) };
  }, key?.startsWith("end-") ? atOnce : inLane);
  const got = drawn.get(id);
  const picture = h("span", {
    key: key ?? id,
    class: "little",
    "aria-hidden": "true",
    made: (node) => watcher.observe(node),
    "data-id": id,
    ...view(got),
    onseen: null,
  });
  picture.props.made = (node) => {
    node.comesIntoView = want;
    watcher.observe(node);
  };
  // A card in view that has become another design is asked for at once.
  if (!got) queueMicrotask(() => lookAgain(id, want));
  return { picture, got };
}

function lookAgain(id, want) {
  requestAnimationFrame(() => {
    const node = document.querySelector(`.little[data-id="${CSS.escape(id)}"]`);
    if (!node) return;
    node.comesIntoView = want;
    watcher.unobserve(node);
    watcher.observe(node);
  });
}

let clips = 0;

/** The cloth cut out along the outline of the block. */
function onCloth(svg, url, [x, y, w, tall]) {
  const edge = /<path class="outline"[^>]*?\sd="([^"]*)"/.exec(svg)?.[1] ?? "";
  const box = /viewBox="([^"]*)"/.exec(svg)?.[1] ?? "";
  clips += 1;
  return `<svg viewBox="${box}"><clipPath id="card${clips}"><path d="${edge}"/></clipPath><g class="cut"><image href="${url}" x="${x}" y="${y}" width="${w}" height="${tall}" preserveAspectRatio="none" clip-path="url(#card${clips})"/></g></svg>`;
}

const view = (got) => ({ html: got?.cloth ?? got?.svg ?? "" });

/** A card for the gallery: picture, name, figures. */
export function card({ of, name, cloth, chosen, pick }) {
  const { picture, got } = little(of, "picture", cloth);
  const refused = got?.refused;
  return h(
    "button",
    { class: "card", key: name, "aria-pressed": chosen ? "true" : "false", "aria-disabled": refused ? "true" : null, onclick: () => !refused && pick() },
    picture,
    h("b", null, name),
    h("span", { class: "note" }, refused ? built(refused.message) : figures(got)),
  );
}

function figures(got) {
  const f = got?.figures;
  if (!f) return [h("span", null, "\u00a0"), h("span", null, "\u00a0")];
  const minutes = Math.max(1, Math.round(f.minutes));
  return [
    h("span", null, `${minutes} min\u2003${Math.round(f.thread_m)} m thread`),
    h("span", null, f.gap_mm == null ? "\u00a0" : ["gaps up to ", built(roundedUp(f.gap_mm, seen().unit))]),
  ];
}
