// A file dropped anywhere on the page, or chosen: what it is decides what happens to it.

import { readText } from "./files.js";
import { openDesign } from "./file.js";
import { say } from "./parts.js";
import { takePhoto } from "./photo.js";
import { begin, takeQuiltDrawing } from "./quilt.js";
import { design, designStep, doing, seen, setLook, step, toml } from "./state.js";

/** Takes in one file by its kind. */
export async function takeIn(file) {
  const ending = /\.([a-z0-9]+)$/i.exec(file.name)?.[1].toLowerCase();
  try {
    if (ending === "toml") begin("the quilt file", await readText(file));
    else if (ending === "svg") await takeDrawing(file);
    else if (file.type.startsWith("image/")) await takePhoto(file);
    else await openDesign(file);
    say(`${file.name} is read.`);
  } catch (error) {
    say(error.message);
  }
}

/** A drawing: the outline while the shape is asked for, else her own motif. */
async function takeDrawing(file) {
  const text = await readText(file);
  if (doing() === "quilt" && toml() && seen().open !== "what") return takeQuiltDrawing(file.name, text);
  const name = file.name.replace(/\.svg$/i, "");
  if (doing() !== "block") step("what you are quilting", { doing: "block" });
  if (seen().open === "shape" || seen().open === "shape:which" || !design().shape) {
    designStep("the outline", { outline_svg: text, outline_name: name, shape: { option: "outline", value: "" }, more: {} });
    setLook({ open: "shape" });
    return;
  }
  designStep("the motif", { motif: null, settings: {}, drawing_svg: text, drawing_name: name });
  setLook({ open: "settings" });
}

/** Makes the whole page a place to drop a file on. */
export function dropZone() {
  let over = 0;
  const mark = () => document.body.classList.toggle("dropping", over > 0);
  addEventListener("dragenter", (event) => {
    if (!event.dataTransfer?.types.includes("Files")) return;
    over += 1;
    mark();
  });
  addEventListener("dragleave", () => {
    over = Math.max(0, over - 1);
    mark();
  });
  addEventListener("dragover", (event) => event.dataTransfer?.types.includes("Files") && event.preventDefault());
  addEventListener("drop", (event) => {
    event.preventDefault();
    over = 0;
    mark();
    const file = event.dataTransfer?.files[0];
    if (file) takeIn(file);
  });
}
