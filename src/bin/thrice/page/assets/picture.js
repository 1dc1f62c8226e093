// The picture of the block: lines or cloth at one scale with its tapes; moved and enlarged by hand, wheel or keys.

import { fill, h } from "./h.js";
import { levelTape, uprightTape } from "./tape.js";

const MOST = 16;

/** Draws into `host` and keeps itself as large as it. `show(what)` gives it another drawing. */
export class Picture {
  constructor(host) {
    this.host = host;
    this.zoom = 1;
    this.at = [0, 0];
    this.what = null;
    this.layer = document.createElement("div");
    host.append(this.layer);
    host.tabIndex = 0;
    host.setAttribute("role", "group");
    this.size = [host.clientWidth, host.clientHeight];
    new ResizeObserver(() => {
      this.size = [host.clientWidth, host.clientHeight];
      this.redraw();
      this.moved?.();
    }).observe(host);
    this.listen();
  }

  listen() {
    const held = new Map();
    this.host.addEventListener("wheel", (event) => {
      if (!event.ctrlKey && !event.metaKey) return;
      event.preventDefault();
      this.closer(Math.exp(-event.deltaY / 300), this.point(event));
    }, { passive: false });
    this.host.addEventListener("pointerdown", (event) => {
      if (event.target.closest("button, input")) return;
      if (event.pointerType === "touch" && this.zoom === 1 && held.size === 0) {
        held.set(event.pointerId, this.point(event));
        return;
      }
      held.set(event.pointerId, this.point(event));
      this.host.setPointerCapture(event.pointerId);
    });
    this.host.addEventListener("pointermove", (event) => {
      const before = held.get(event.pointerId);
      if (!before) return;
      const now = this.point(event);
      const other = [...held.entries()].find(([id]) => id !== event.pointerId)?.[1];
      held.set(event.pointerId, now);
      if (other) {
        const far = (p) => Math.hypot(p[0] - other[0], p[1] - other[1]);
        this.closer(far(now) / Math.max(1, far(before)), [(now[0] + other[0]) / 2, (now[1] + other[1]) / 2]);
      } else if (this.zoom > 1) {
        this.move(now[0] - before[0], now[1] - before[1]);
      }
    });
    for (const kind of ["pointerup", "pointercancel"]) this.host.addEventListener(kind, (event) => held.delete(event.pointerId));
    this.host.addEventListener("dblclick", (event) => this.closer(this.zoom < 4 ? 2 : 1 / this.zoom, this.point(event)));
    this.host.addEventListener("keydown", (event) => {
      const step = { ArrowLeft: [60, 0], ArrowRight: [-60, 0], ArrowUp: [0, 60], ArrowDown: [0, -60] }[event.key];
      if (event.target !== this.host || event.ctrlKey || event.metaKey) return;
      if (step && this.zoom > 1) this.move(...step);
      else if (event.key === "+" || event.key === "=") this.closer(1.5);
      else if (event.key === "-") this.closer(1 / 1.5);
      else if (event.key === "0") this.whole();
      else return;
      event.preventDefault();
    });
  }

  point(event) {
    const box = this.host.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  /** `times` closer, with what is under `point` (pixels) staying there. */
  closer(times, point = [this.size[0] / 2, this.size[1] / 2]) {
    const zoom = Math.min(MOST, Math.max(1, this.zoom * times));
    const ratio = zoom / this.zoom;
    this.at = [0, 1].map((i) => point[i] - this.size[i] / 2 - (point[i] - this.size[i] / 2 - this.at[i]) * ratio);
    this.zoom = zoom;
    this.move(0, 0);
  }

  move(dx, dy) {
    const reach = [0, 1].map((i) => (this.size[i] * (this.zoom - 1)) / 2);
    this.at = [Math.max(-reach[0], Math.min(reach[0], this.at[0] + dx)), Math.max(-reach[1], Math.min(reach[1], this.at[1] + dy))];
    this.redraw();
    this.moved?.();
  }

  whole() {
    this.zoom = 1;
    this.at = [0, 0];
    this.redraw();
    this.moved?.();
  }

  /** `what`: { svg, box, block (its box), cloth, clothBox, see, hoop, gap, holes, unit, label }. */
  show(what) {
    if (what.svg !== this.what?.svg || !this.inner) this.inner = what.svg.replace(/^\s*<svg[^>]*>/, "").replace(/<\/svg>\s*$/, "");
    if (what.svg !== this.what?.svg) this.edge = /<path class="outline"[^>]*?\sd="([^"]*)"/.exec(what.svg)?.[1] ?? "";
    this.what = what;
    this.redraw();
  }

  /** Pixels a millimetre and where the drawing's origin lies. */
  place() {
    const { block, frame } = this.what;
    const [w, hgt] = this.size;
    const tape = 52;
    const [x, y, bw, bh] = frame;
    const fit = Math.min((w - tape - 24) / bw, (hgt - tape - 16) / bh);
    const scale = Math.max(0.01, fit) * this.zoom;
    const left = (w + tape - 10) / 2 - (x + bw / 2) * scale + this.at[0];
    const top = (hgt - tape + 10) / 2 - (y + bh / 2) * scale + this.at[1];
    return { scale, left, top, block };
  }

  redraw() {
    if (!this.what || this.size[0] < 40) return;
    const { scale, left, top, block } = this.place();
    const { see, cloth, clothBox, unit, label, hoop, gap, holes } = this.what;
    const [w, hgt] = this.size;
    const onCloth = see === "cloth" && cloth;
    const bottom = Math.min(hgt - 30, top + (block[1] + block[3]) * scale + 12);
    const beside = Math.max(30, left + block[0] * scale - 12);
    fill(
      this.layer,
      h(
        "svg",
        { class: `block${onCloth ? " oncloth" : ""}${hoop ? " withhoop" : ""}${gap ? " withgap" : ""}`, width: w, height: hgt, role: "img", "aria-label": label },
        h("g", { transform: `translate(${left.toFixed(2)} ${top.toFixed(2)}) scale(${scale.toFixed(5)})` },
          h("g", { class: "drawing", html: this.inner }),
          onCloth && h("clipPath", { id: "blockedge" }, h("path", { d: this.edge })),
          onCloth && h("g", { class: "reliefed" }, h("image", { "clip-path": "url(#blockedge)", href: cloth, x: clothBox[0], y: clothBox[1], width: clothBox[2], height: clothBox[3], preserveAspectRatio: "none" })),
          onCloth && (hoop || gap) && h("g", { class: "drawing marks", html: this.inner }),
          holes && h("path", { class: "holes", d: dots(holes) }),
        ),
        levelTape(left + block[0] * scale, bottom, block[2], scale, unit),
        uprightTape(beside, top + (block[1] + block[3]) * scale, block[3], scale, unit),
      ),
    );
  }
}

function dots(holes) {
  return holes.map(([x, y]) => `M${x.toFixed(2)} ${y.toFixed(2)}h0`).join("");
}
