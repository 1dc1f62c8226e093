// At the machine: one hooping at a time, in large type. The same script runs in the page and in the file she carries to a
// tablet, so it stands alone: no module, nothing fetched.
"use strict";

(() => {
  const SVG = "http://www.w3.org/2000/svg";

  function make(tag, props, ...kids) {
    const svg = ["svg", "g", "path", "use", "circle", "clipPath", "rect", "defs", "image"].includes(tag);
    const node = svg ? document.createElementNS(SVG, tag) : document.createElement(tag);
    for (const [name, value] of Object.entries(props ?? {})) {
      if (value == null || value === false) continue;
      if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
      else node.setAttribute(name, value === true ? "" : value);
    }
    node.append(...kids.flat(3).filter((kid) => kid != null && kid !== false && kid !== ""));
    return node;
  }

  /** Text with built fractions. */
  function built(text) {
    const parts = [];
    let from = 0;
    for (const found of String(text).matchAll(/(?:(\d+)[ -])?\b(\d+)\/(\d+)\b/g)) {
      const [all, whole, above, below] = found;
      parts.push(text.slice(from, found.index));
      parts.push(make("span", { class: "number" }, whole ?? "", make("span", { class: "fraction" }, make("sup", null, above), make("i", null, "/"), make("sub", null, below))));
      from = found.index + all.length;
    }
    return [...parts, String(text).slice(from)];
  }

  /** The ticks of one quilt, kept in this browser: which hoopings are sewn. */
  function ticksOf(fingerprint) {
    const key = `thrice.ticks.${fingerprint}`;
    let sewn = new Set();
    try {
      sewn = new Set(JSON.parse(localStorage.getItem(key)) ?? []);
    } catch {
      sewn = new Set();
    }
    const keep = () => {
      try {
        localStorage.setItem(key, JSON.stringify([...sewn].sort((a, b) => a - b)));
      } catch {
        // Nothing to keep it in: the ticks hold as long as the page is open.
      }
    };
    return {
      has: (n) => sewn.has(n),
      count: () => sewn.size,
      all: () => [...sewn],
      set(n, on) {
        if (on) sewn.add(n);
        else sewn.delete(n);
        keep();
      },
    };
  }

  /** The first hooping that is not sewn yet, from `after` on, then from the first; null when all are. */
  function nextToSew(quilt, ticks, after = 0) {
    const open = quilt.hoopings.map((one) => one.n).filter((n) => !ticks.has(n));
    return open.find((n) => n > after) ?? open[0] ?? null;
  }

  const drawing = (map, one, kind) => one.pieces.map((piece) => make("path", { class: kind, d: map.drawings[piece.drawing], transform: `matrix(${piece.matrix.join(" ")})` }));

  /** The hoop with what lies in it, as she sees it in front of her: the hoop upright, the quilt turned. */
  function hoopPicture(quilt, one, ticks) {
    const { map } = quilt;
    const mine = map.hoopings.find((other) => other.n === one.n);
    const [w, up] = one.field;
    const edge = Math.max(w, up) * 0.03;
    const inside = `hoop${one.n}`;
    const turned = `rotate(${-one.quilt_turn_deg}) translate(${-mine.at[0]} ${-mine.at[1]})`;
    const others = map.hoopings.filter((other) => other.n !== one.n && near(other, mine, 1.6 * Math.max(w, up)));
    const round = Math.min(w, up) * 0.06;
    const box = { x: -w / 2, y: -up / 2, width: w, height: up, rx: round };
    return make(
      "svg",
      { class: "hooped", viewBox: `${-w / 2 - 2 * edge} ${-up / 2 - 2 * edge} ${w + 4 * edge} ${up + 4 * edge}`, role: "img", "aria-label": `What lies in the hoop: ${one.where}. ${one.lies}` },
      make("defs", null, make("clipPath", { id: inside }, make("rect", box))),
      make("rect", { class: "rim", x: -w / 2 - edge, y: -up / 2 - edge, width: w + 2 * edge, height: up + 2 * edge, rx: round + edge }),
      make(
        "g",
        { "clip-path": `url(#${inside})` },
        make("rect", { class: "bare", ...box }),
        make(
          "g",
          { transform: turned },
          map.patches.map((patch) => make("path", { class: "patch", d: patch.d })),
          others.map((other) => make("g", { class: ticks.has(other.n) ? "sewn" : "later" }, drawing(map, other, "line"))),
          make("path", { class: "area", d: mine.area }),
          make("g", { class: "now" }, drawing(map, mine, "line")),
        ),
      ),
      make("rect", { class: "field", ...box }),
      make("path", { class: "cross", d: `M${-w * 0.045} 0H${w * 0.045}M0 ${-w * 0.045}V${w * 0.045}` }),
    );
  }

  function near(other, one, reach) {
    return Math.hypot(other.at[0] - one.at[0], other.at[1] - one.at[1]) < reach;
  }

  /** How the quilt lies: its outline small, turned, its top marked, the hoop on it. */
  function quiltLies(quilt, one) {
    const [w, up] = quilt.map.size_mm;
    const r = Math.hypot(w, up) / 2;
    const turn = -one.quilt_turn_deg;
    const mine = quilt.map.hoopings.find((other) => other.n === one.n);
    return make(
      "svg",
      { class: "lies", viewBox: `${-r} ${-r} ${2 * r} ${2 * r}`, "aria-hidden": "true" },
      make(
        "g",
        { transform: `rotate(${turn}) translate(${-w / 2} ${-up / 2})` },
        make("path", { class: "whole", d: `M0 0H${w}V${up}H0Z` }),
        make("path", { class: "top", d: `M0 0H${w}` }),
        make("path", { class: "field", d: mine.field }),
      ),
    );
  }

  const DEFAULT_STEPS = {
    Place: (one) => `Needle over the cross of template ${one.template ?? one.n}, then take the paper off`,
    Trace: () => "Once round, before the first stitch: a needle that strikes the hoop breaks",
    Sew: () => "Stay by it, hands and hair clear, the quilt’s weight held up on the table",
  };

  function steps(quilt, one) {
    const told = Object.fromEntries((one.steps ?? []).map((step) => [step.name, step.words]));
    const row = (name, ...said) => make("div", { class: "mstep" }, make("dt", null, name), make("dd", null, ...said));
    return make(
      "dl",
      { class: "msteps" },
      make("div", { class: "mstep load" }, make("dt", null, "Load"), make("dd", null, one.file)),
      make("div", { class: "mstep" }, make("dt", null, "Hoop"), make("dd", { class: "withpicture" }, make("span", null, make("b", null, one.hoop), ". ", told.Hoop ?? one.lies), quiltLies(quilt, one))),
      ["Place", "Trace", "Sew"].map((name) => row(name, built(told[name] ?? DEFAULT_STEPS[name](one)))),
    );
  }

  /**
   * Shows hooping `n` of `quilt` (the program's answer) in `host`. `to(n)` is called to go to another one, `back` to
   * leave, `ticked` after a tick.
   */
  function show(host, { quilt, n, larger, to, back, ticked, flip }) {
    const ticks = ticksOf(quilt.fingerprint);
    const at = quilt.hoopings.findIndex((one) => one.n === n);
    const one = quilt.hoopings[at];
    const before = quilt.hoopings[at - 1];
    const sewn = ticks.has(n);
    const next = nextToSew(quilt, { has: (m) => m === n || ticks.has(m) }, n);
    const tick = () => {
      ticks.set(n, !sewn);
      ticked?.();
      to(sewn || next == null ? n : next);
    };
    const words = sewn ? "Sewn. Remove the tick" : next == null ? "Sewn. All done" : `Sewn. On to ${next}`;
    const kids = [
      make("div", { class: "mhead" }, make("button", { class: "plain", onclick: back }, "←\u2002", quilt.title ?? "The quilt"), make("button", { class: "plain", "aria-pressed": String(Boolean(larger)), onclick: flip }, larger ? "Smaller type" : "Larger type")),
      make("div", { class: "mtitle" }, make("span", { class: "mnumber" }, String(n)), make("h1", null, make("span", { class: "of" }, `of ${quilt.hoopings.length} hoopings`), make("span", null, built(one.where.replace(/^./, (c) => c.toUpperCase()))))),
      make("div", { class: "mpicture" }, make("p", { class: "mtop" }, "top of the machine’s screen", make("span", { "aria-hidden": "true" }, "↑")), hoopPicture(quilt, one, ticks)),
      steps(quilt, one),
      make(
        "div",
        { class: "mfoot" },
        before && make("button", { class: "second mback", "aria-label": `Back to hooping ${before.n}`, onclick: () => to(before.n) }, `← ${before.n}`),
        make("p", { class: "mtime" }, make("b", null, `${Math.max(1, Math.round(one.minutes))} min`), one.before && make("span", null, built(one.before))),
        make("button", { class: "main mdone", onclick: tick }, make("span", { class: "box", "aria-hidden": "true" }, sewn ? "✓" : ""), words),
      ),
    ];
    const focused = host.contains(document.activeElement) ? document.activeElement.className : null;
    host.className = `machine${larger ? " larger" : ""}`;
    host.replaceChildren(...kids);
    if (focused) host.getElementsByClassName(focused)[0]?.focus();
    host.onkeydown = null;
    return { tick, before: before?.n ?? null, after: quilt.hoopings[at + 1]?.n ?? null };
  }

  /** Space ticks, the arrows leaf, wherever the focus is but on a button. */
  function leaf(event, now, to) {
    if (event.target.closest?.("button, input, a, summary") && event.key === " ") return;
    if (event.key === " ") now.tick();
    else if (event.key === "ArrowLeft" && now.before != null) to(now.before);
    else if (event.key === "ArrowRight" && now.after != null) to(now.after);
    else return;
    event.preventDefault();
  }

  globalThis.thriceHooping = { show, leaf, ticksOf, nextToSew, built };

  /** The file she carries: the list of hoopings, and each of them. */
  function carry() {
    const held = document.getElementById("quilt");
    const host = document.getElementById("carried");
    if (!held || !host) return;
    const quilt = JSON.parse(held.textContent);
    if (!quilt.hoopings) return;
    const ticks = () => ticksOf(quilt.fingerprint);
    let larger = false;
    let now = null;
    const list = () => {
      now = null;
      const tile = (one) => make("button", { class: `tile${ticks().has(one.n) ? " sewn" : ""}`, "aria-label": `Hooping ${one.n}${ticks().has(one.n) ? ", sewn" : ""}`, onclick: () => to(one.n) }, String(one.n), make("span", { "aria-hidden": "true" }, ticks().has(one.n) ? "✓" : ""));
      const next = nextToSew(quilt, ticks());
      host.className = "machine list";
      host.replaceChildren(
        make("h1", { class: "sentence" }, quilt.title ?? "The quilt"),
        make("p", { class: "note" }, `${ticks().count()} of ${quilt.hoopings.length} sewn. The ticks stay in this browser.`),
        make("div", { class: "tiles" }, quilt.hoopings.map(tile)),
        next == null ? make("p", { class: "question" }, "All of it is sewn.") : make("button", { class: "main", onclick: () => to(next) }, `Sew hooping ${next}`),
      );
    };
    const to = (n) => {
      location.hash = String(n);
      now = show(host, { quilt, n, larger, to, back: () => { location.hash = ""; list(); }, flip: () => { larger = !larger; to(n); } });
    };
    addEventListener("keydown", (event) => now && leaf(event, now, to));
    const first = Number(location.hash.slice(1));
    if (quilt.hoopings.some((one) => one.n === first)) to(first);
    else list();
  }

  if (document.readyState === "loading") addEventListener("DOMContentLoaded", carry);
  else carry();
})();
