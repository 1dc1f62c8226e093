// What she has made so far: the design or quilt, what can be undone, and what of it is kept where.
// The address holds the work; this tab keeps the steps back; this browser keeps the last work and how she looks at it.

const KEPT = "thrice.work";
const LOOK = "thrice.look";
const STEPS = "thrice.steps";
const MOST_STEPS = 200;

export const EMPTY_DESIGN = {
  motif: null,
  shape: null,
  more: {},
  settings: {},
  background: null,
  background_settings: {},
  options: {},
  outline_svg: null,
  outline_name: null,
  drawing_svg: null,
  drawing_name: null,
};
const EMPTY_WORK = { doing: null, design: EMPTY_DESIGN, toml: null, files: {} };
const EMPTY_LOOK = { open: "what", see: "lines", unit: "in", hoop: false, gap: false, holes: false, worth: false, larger: false };

let work = EMPTY_WORK;
let look = EMPTY_LOOK;
let back = [];
let forward = [];
const listeners = [];

export const doing = () => work.doing;
export const design = () => work.design;
export const toml = () => work.toml;
/** The drawings that the quilt file names, by their names. */
export const files = () => work.files ?? {};
export const seen = () => look;
export const undoWords = () => back.at(-1)?.words ?? null;
export const redoWords = () => forward.at(-1)?.words ?? null;

/** Calls `heard` after every change, with what kind of change it was: "work" or "look". */
export function listen(heard) {
  listeners.push(heard);
}

function tell(kind) {
  for (const heard of listeners) heard(kind);
}

/** One step: `change` gives the new parts of the work; `words` say it for Undo. The same words twice in a row join. */
export function step(words, change, join = false) {
  const after = { ...work, ...change };
  if (JSON.stringify(after) === JSON.stringify(work)) return;
  if (!(join && back.at(-1)?.words === words)) back = [...back, { words, work }].slice(-MOST_STEPS);
  work = after;
  forward = [];
  if (join) keepSoon();
  else keep();
  tell("work");
}

/** One step in the design of the block. */
export function designStep(words, change, join = false) {
  step(words, { design: { ...work.design, ...change } }, join);
}

export function undo() {
  const last = back.at(-1);
  if (!last) return null;
  back = back.slice(0, -1);
  forward = [...forward, { words: last.words, work }];
  work = last.work;
  keep();
  tell("work");
  return last.words;
}

export function redo() {
  const next = forward.at(-1);
  if (!next) return null;
  forward = forward.slice(0, -1);
  back = [...back, { words: next.words, work }];
  work = next.work;
  keep();
  tell("work");
  return next.words;
}

/** How she looks at it: nothing to undo. */
export function setLook(change) {
  look = { ...look, ...change };
  write(localStorage, LOOK, look);
  tell("look");
}

function write(where, key, value) {
  try {
    where.setItem(key, JSON.stringify(value));
  } catch {
    // A full or closed store: the address still holds the work.
  }
}

function read(where, key) {
  try {
    return JSON.parse(where.getItem(key));
  } catch {
    return null;
  }
}

let soon = null;

/** Keeps the work when a slider or her typing has come to rest: a browser takes only so many addresses a second. */
function keepSoon() {
  clearTimeout(soon);
  soon = setTimeout(keep, 250);
}

function keep() {
  clearTimeout(soon);
  soon = null;
  const address = toAddress(work);
  if (address !== location.hash) history.replaceState(null, "", address || location.pathname);
  write(localStorage, KEPT, work);
  write(sessionStorage, STEPS, { back: back.slice(-40), forward });
}

/** The work as the part of the address after `#`, without what is empty. */
export function toAddress(of) {
  if (!of.doing) return "";
  const design = of.doing === "block" ? lean(of.design) : undefined;
  const text = JSON.stringify({ doing: of.doing, design, toml: of.doing === "quilt" ? of.toml : undefined });
  const bytes = new TextEncoder().encode(text);
  let binary = "";
  for (const byte of bytes) binary += String.fromCharCode(byte);
  return "#" + btoa(binary).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
}

function lean(design) {
  const filled = Object.entries(design).filter(([, value]) => value != null && JSON.stringify(value) !== "{}");
  return Object.fromEntries(filled);
}

function fromAddress(hash) {
  if (hash.length < 2) return null;
  try {
    const binary = atob(hash.slice(1).replaceAll("-", "+").replaceAll("_", "/"));
    const held = JSON.parse(new TextDecoder().decode(Uint8Array.from(binary, (c) => c.charCodeAt(0))));
    if (!["block", "quilt", "file"].includes(held.doing)) return null;
    return { ...EMPTY_WORK, ...held, design: { ...EMPTY_DESIGN, ...held.design } };
  } catch {
    return null;
  }
}

/** The question that work from elsewhere opens with. */
function opening(of) {
  if (of.doing !== "block") return of.doing;
  return of.design.motif || of.design.drawing_svg ? "settings" : "shape";
}

/** Takes up the work where the address, or else this browser, left it. */
export function takeUp() {
  const steps = read(sessionStorage, STEPS);
  const last = read(localStorage, KEPT);
  const address = fromAddress(location.hash);
  work = address ?? (last ? { ...EMPTY_WORK, ...last, design: { ...EMPTY_DESIGN, ...last.design } } : EMPTY_WORK);
  look = { ...EMPTY_LOOK, ...read(localStorage, LOOK) };
  const same = last && toAddress(last) === toAddress(work);
  if (same) work = { ...work, files: last.files ?? {} };
  if (same && steps) ({ back, forward } = steps);
  if (!work.doing) look = { ...look, open: "what" };
  else if (!same) look = { ...look, open: opening(work) };
  addEventListener("pagehide", () => soon && keep());
  addEventListener("hashchange", () => {
    const other = fromAddress(location.hash);
    if (!other || toAddress(other) === toAddress(work)) return;
    step("another address", other);
    setLook({ open: opening(other) });
  });
  keep();
}
