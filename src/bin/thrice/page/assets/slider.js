// A setting as a slider between pictures of its two ends, with − and + for one step.

import { built } from "./lengths.js";
import { h } from "./h.js";

/**
 * `stops`: texts in order; `at`: the index of the present one; `words(text)`: a stop as read; `ends`: pictures of the
 * first and the last; `move(text, released)` on every step; `name`: what it sets.
 */
export function slider({ name, asks, stops, at, words, ends, move }) {
  const last = stops.length - 1;
  const go = (i, released) => i >= 0 && i <= last && move(stops[i], released);
  const button = (by, sign, says, end) =>
    h("button", { "aria-label": says, "aria-disabled": end ? "true" : null, onclick: () => go(at + by, true) }, sign);
  return h(
    "div",
    { key: `slider-${name}` },
    h(
      "div",
      { class: "top" },
      h("h2", { class: "question", id: `asks-${name}` }, asks),
      h("div", { class: "stepper" }, button(-1, "−", "One step less", at <= 0), h("output", null, built(words(stops[at] ?? ""))), button(1, "+", "One step more", at >= last)),
    ),
    last > 0 &&
      h(
        "div",
        { class: "slide" },
        end(ends?.[0], words(stops[0])),
        h("input", {
          type: "range",
          min: 0,
          max: last,
          step: 1,
          value: String(at),
          style: `--at:${((100 * at) / last).toFixed(1)}%`,
          "aria-labelledby": `asks-${name}`,
          "aria-valuetext": words(stops[at] ?? ""),
          oninput: (event) => go(Number(event.target.value), false),
          onchange: (event) => go(Number(event.target.value), true),
          onkeydown: (event) => {
            const by = { PageUp: 4, PageDown: -4 }[event.key];
            if (!by) return;
            event.preventDefault();
            go(Math.max(0, Math.min(last, at + by)), true);
          },
        }),
        end(ends?.[1], words(stops[last])),
      ),
  );
}

function end(picture, words) {
  return h("figure", null, picture ?? h("span", { class: "little", "aria-hidden": "true" }), h("figcaption", null, built(words)));
}
