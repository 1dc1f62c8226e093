// The design on her own photo: four corners dragged onto the seams. The photo never leaves the browser.

import { h } from "./h.js";
import { asTransform, goesRound, homography } from "./homography.js";
import { live } from "./live.js";
import { say, sign } from "./parts.js";
import { setLook } from "./state.js";

const NAMES = ["bottom left", "bottom right", "top right", "top left"];
const WIDE = 1000;
let photo = null;
let shape = 0.75;
let corners = [[0.2, 0.8], [0.8, 0.8], [0.8, 0.2], [0.2, 0.2]];
let strong = true;
let failed = null;

/** Takes a picture she chose or dropped. */
export async function takePhoto(file) {
  failed = null;
  if (photo) URL.revokeObjectURL(photo);
  photo = URL.createObjectURL(file);
  try {
    const image = new Image();
    image.src = photo;
    await image.decode();
    shape = image.naturalHeight / image.naturalWidth;
    say("Your photo is on the page. Move its four corners onto the seams.");
  } catch {
    photo = null;
    failed = `${file.name} is not a picture this browser can show.`;
  }
  setLook({ open: "photo" });
}

/** The words beside the photo. */
export function photoWords() {
  const choose = (event) => event.target.files[0] && takePhoto(event.target.files[0]);
  return h(
    "div",
    { class: "asked" },
    h("div", { class: "opened" },
      h("h2", { class: "question" }, "How does it look on your block?"),
      h("p", { class: "note" }, photo ? "Drag the four corners onto the seams of your block. With the keyboard: Tab to a corner, then the arrows." : "Take a picture of the block, a little from above, and choose it here or drop it on the page. It stays in this browser and is sent nowhere."),
      failed && h("p", { class: "wrong", role: "alert" }, sign(), failed),
      h("label", { class: "field" }, h("span", { class: "name" }, photo ? "Another photo" : "Your photo"), h("input", { type: "file", accept: "image/*", onchange: choose })),
      photo && h("label", { class: "choice" }, h("input", { type: "checkbox", checked: strong, onchange: () => { strong = !strong; setLook({}); } }), h("span", null, "Strong lines")),
      photo && !goesRound(corners) && h("p", { class: "wrong", role: "alert" }, sign(), "The corners have crossed over. Put them in their order round the block.")),
  );
}

/** The four corners of the block in its drawing: its own, if it has four, else those of the square round it. */
function ownCorners({ corners: own = [] }, [x, y, w, tall]) {
  const box = [[x, y + tall], [x + w, y + tall], [x + w, y], [x, y]];
  if (own.length !== 4) return box;
  return box.map(([cx, cy]) => own.reduce((best, p) => (Math.hypot(p[0] - cx, p[1] - cy) < Math.hypot(best[0] - cx, best[1] - cy) ? p : best)));
}

function moveTo(i, x, y) {
  const held = (v) => Math.max(-0.1, Math.min(1.1, v));
  corners = corners.map((old, j) => (j === i ? [held(x), held(y)] : old));
  setLook({});
}

function handle(i, w, tall) {
  const [x, y] = corners[i];
  const drag = (event) => {
    const box = event.currentTarget.parentElement.getBoundingClientRect();
    if (event.buttons) moveTo(i, (event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height);
  };
  return h("button", {
    key: NAMES[i],
    class: "corner",
    style: `left:${(100 * x).toFixed(2)}%;top:${(100 * y).toFixed(2)}%`,
    "aria-label": `Corner ${NAMES[i]}. Arrows move it.`,
    onpointerdown: (event) => event.currentTarget.setPointerCapture(event.pointerId),
    onpointermove: drag,
    onkeydown: (event) => {
      const far = event.shiftKey ? 10 : 1;
      const by = { ArrowLeft: [-far, 0], ArrowRight: [far, 0], ArrowUp: [0, -far], ArrowDown: [0, far] }[event.key];
      if (!by) return;
      event.preventDefault();
      moveTo(i, x + by[0] / w, y + by[1] / tall);
    },
  });
}

/** The photo with the design lying on it. */
export function photoView(drawn, block) {
  if (!photo || !drawn || !block) return h("div", { class: "blank", key: "nophoto" }, h("p", { class: "note" }, drawn ? "Your photo shows here." : "Choose a motif first."));
  const room = document.querySelector(".cloth.still");
  const w = Math.min(room?.clientWidth || 700, ((innerHeight || 800) - 140) / shape);
  const tall = w * shape;
  const k = WIDE / block[2];
  const from = ownCorners(drawn, block).map(([x, y]) => [(x - block[0]) * k, (y - block[1]) * k]);
  const to = corners.map(([x, y]) => [x * w, y * tall]);
  const found = goesRound(corners) ? homography(from, to) : null;
  const inner = drawn.svg.replace(/^\s*<svg[^>]*>/, "").replace(/<\/svg>\s*$/, "");
  return h(
    "div",
    { class: "photo", key: "photo", style: `width:${w.toFixed(0)}px;height:${tall.toFixed(0)}px` },
    h("img", { src: photo, alt: "Your photo", width: Math.round(w), height: Math.round(tall) }),
    found && h("svg", { class: `onphoto${strong ? " strong" : ""}`, width: WIDE, height: (block[3] * k).toFixed(1), viewBox: block.join(" "), style: `transform:${asTransform(found)}`, "aria-hidden": "true" }, h("g", { class: "drawing", html: inner })),
    corners.map((_, i) => handle(i, w, tall)),
    live.refused && h("p", { class: "note" }, "This is the last drawing that could be made."),
  );
}

