// The map: lines in blue for what is to be sewn; cloth in relief for what is. It quilts itself as she ticks.

import { h } from "./h.js";

function lines(map, one) {
  return one.pieces.map((piece, i) => h("use", { key: i, href: `#drawn-${piece.drawing}`, transform: `matrix(${piece.matrix.join(" ")})` }));
}

/** The map of `quilt` with its ticks; `now` is the hooping she is at; a click on the map goes to another. */
export function quiltMap(quilt, ticks, now, go) {
  const { map, title } = quilt.answer;
  const [w, tall] = map.size_mm;
  const sewn = map.hoopings.filter((one) => ticks.has(one.n));
  const open = map.hoopings.filter((one) => !ticks.has(one.n) && one.n !== now);
  const mine = map.hoopings.find((one) => one.n === now);
  const places = [...new Set(map.patches.map((patch) => patch.place))];
  const relief = quilt.relief && quilt.reliefOf === quilt.of;
  const margin = w * 0.004;
  return h(
    "svg",
    { class: `map${quilt.busy ? " busy" : ""}`, key: "map", viewBox: `${-margin} ${-margin} ${w + 2 * margin} ${tall + 2 * margin}`, role: "img", "aria-label": `${title}: ${sewn.length} of ${map.hoopings.length} hoopings sewn` },
    h("defs", null,
      Object.entries(map.drawings).map(([name, d]) => h("path", { key: name, id: `drawn-${name}`, d })),
      h("clipPath", { id: "sewnsofar", key: "clip" }, sewn.map((one) => h("path", { key: one.n, d: one.area }))),
    ),
    h("g", { class: "patches", key: "patches" }, map.patches.map((patch, i) => h("path", { key: i, class: `patch tone${places.indexOf(patch.place) % 4}`, d: patch.d }))),
    h("g", { class: "open", key: "open" }, open.map((one) => h("g", { key: one.n }, lines(map, one)))),
    h("g", { class: "sewn", key: "sewn" },
      relief ? h("image", { href: quilt.relief, x: 0, y: 0, width: w, height: tall, preserveAspectRatio: "none", "clip-path": "url(#sewnsofar)" }) : sewn.map((one) => h("g", { key: one.n }, h("path", { class: "done", d: one.area }), lines(map, one)))),
    mine && h("g", { class: ticks.has(now) ? "here sewnhere" : "here", key: "here" }, h("path", { class: "around", d: mine.area }), !ticks.has(now) && lines(map, mine), badge(mine, w)),
    h("g", { class: "touch", key: "touch" }, map.hoopings.map((one) => h("path", { key: one.n, d: one.area, onclick: () => go(one.n) }))),
  );
}

function badge(one, w) {
  const r = w * 0.026;
  return [h("circle", { key: "disc", class: "disc", cx: one.at[0], cy: one.at[1], r }), h("text", { key: "n", x: one.at[0], y: one.at[1] + r * 0.36, "font-size": r * 1.05 }, String(one.n))];
}
