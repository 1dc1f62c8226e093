// A field for one key of the quilt file.

import { h } from "./h.js";
import { withUnit } from "./lengths.js";
import { wrong } from "./parts.js";
import { seen } from "./state.js";

const part = (file, at) => at.reduce((of, key) => of?.[key], file);

let told = new Set();

/** Before the fields are drawn anew. */
export function noneTold() {
  told = new Set();
}

/** What is wrong at a key of the quilt file. */
function wrongAt(quilt, name) {
  told.add(name);
  return quilt.refused?.problems?.find((problem) => problem.at === name) ?? null;
}

/** The same in words, to stand beside that key. */
export function toldAt(quilt, name) {
  const refused = wrongAt(quilt, name);
  return refused && wrong(refused.error, refused.hint);
}

/** True if all that is wrong is told beside its key. */
export const allTold = ({ refused }) => refused.problems?.length > 0 && refused.problems.every(({ at }) => told.has(at));

/** A field for one key of the quilt file; the program reads it when she leaves it. */
export function field(quilt, change, { at, words, example, kind = "length", wide }) {
  const now = part(quilt.file, at);
  const name = at.join(".");
  const set = (text) => {
    const trimmed = text.trim();
    if (trimmed === String(now ?? "")) return;
    const value = trimmed === "" ? null : kind === "count" && /^\d+$/.test(trimmed) ? Number(trimmed) : kind === "length" ? withUnit(trimmed, seen().unit) : trimmed;
    change(words.toLowerCase(), [{ at, value }]);
  };
  return h(
    "label",
    { class: `field${wide ? " wide" : ""}`, key: name },
    h("span", { class: "name" }, words),
    h("input", { type: "text", inputmode: kind === "count" ? "numeric" : "text", autocomplete: "off", spellcheck: "false", value: now == null ? "" : Array.isArray(now) ? now.join(", ") : String(now), placeholder: example ? `such as ${example}` : null, "aria-invalid": wrongAt(quilt, name) ? "true" : null, onchange: (event) => set(event.target.value) }),
    toldAt(quilt, name),
  );
}
