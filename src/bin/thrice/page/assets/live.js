// What the program last said of the block she is making: drawing, figures, ranges, cloth. One request at a time; only
// the newest counts.

import { ask, fetchBytes, newestOnly } from "./api.js";
import { withUnit } from "./lengths.js";
import { asSent } from "./shapes.js";
import { design, doing, seen } from "./state.js";

/** `drawn`: the last answer; `refused`: what the last request was told; `late` while the picture is of an older design. */
export const live = { drawn: null, refused: null, ranges: null, cloth: null, clothOf: null, clothBox: null, motifs: null, dragging: false };

let shown = () => {};
let quick = () => {};

/** `onQuick` draws the picture and its figures at once, `onShown` everything. */
export function onAnswers(onQuick, onShown) {
  quick = onQuick;
  shown = onShown;
}

/** The design as it is asked for: with the unit that lengths are told in. */
export function asked(of = design()) {
  const whole = forFiles(of);
  return { ...whole, options: { ...whole.options, "show-in": seen().unit } };
}

/** The design as the command would be given it: numbers she is still typing get the unit that the page shows. */
export function forFiles(of = design()) {
  const { unit } = seen();
  const more = Object.fromEntries(Object.entries(of.more).map(([name, text]) => [name, withUnit(text, unit)]));
  return { ...of, shape: of.shape && asSent(of.shape, unit), more };
}

export const hasMotif = () => Boolean(design().motif || design().drawing_svg);

let newest = null;

const drawNewest = newestOnly(async (wanted, key) => {
  try {
    const drawn = await ask("/api/draw", { design: wanted, card: false, holes: seen().holes });
    // While the slider moves on, its lines are ahead of the figures and stay.
    const ahead = live.dragging && key !== newest && live.drawn ? { svg: live.drawn.svg, box: live.drawn.box, size_mm: live.drawn.size_mm } : {};
    live.drawn = { ...drawn, ...ahead, key };
    live.refused = drawn.refused ?? null;
  } catch (error) {
    live.refused = error;
  }
  quick();
  if (live.dragging) shown();
  else settle();
});

/** The lines alone while the slider moves, at once; what is made of them follows. */
const linesNewest = newestOnly(async (wanted, key) => {
  try {
    const lines = await ask("/api/draw", { design: wanted, lines: true });
    if (live.drawn) {
      live.drawn = { ...live.drawn, ...lines, svg: withMarks(lines.svg, live.drawn.svg), key };
      quick();
    }
  } catch {
    // What is wrong is told with the figures.
  }
  drawNewest(wanted, key);
});

const MARKS = /<(?:rect|circle)[^]*(?=<\/svg>)/;

/** Lines with the marks of the picture before them, until theirs are measured. */
function withMarks(lines, before) {
  return lines.replace("</svg>", `${MARKS.exec(before)?.[0] ?? ""}</svg>`);
}

/** Asks for the drawing of the present design. */
export function draw() {
  if (doing() !== "block" || !hasMotif() || !design().shape) {
    live.drawn = null;
    live.refused = null;
    return;
  }
  const wanted = asked();
  newest = JSON.stringify(wanted);
  if (live.dragging) linesNewest(wanted, newest);
  else drawNewest(wanted, newest);
}

/** What can wait until her finger is off the slider: the ranges, the cloth. */
export function settle() {
  shown();
  if (!live.drawn) return;
  askRanges(asked());
  if (seen().see === "cloth") askCloth();
}

const askRanges = newestOnly(async (wanted) => {
  const key = JSON.stringify([wanted.motif, wanted.shape, wanted.more, wanted.settings, wanted.options.margin, wanted.outline_svg, wanted.options["show-in"], wanted.background, wanted.background_settings, seen().open?.startsWith("set:behind")]);
  if (live.ranges?.key === key || !wanted.motif) return;
  try {
    const answer = await ask("/api/ranges", { design: wanted });
    live.ranges = { key, motif: wanted.motif, settings: answer.settings ?? {}, background: live.ranges?.of === wanted.background ? live.ranges.background : null };
    shown();
    await askBehind(wanted);
  } catch {
    live.ranges = { key, motif: wanted.motif, settings: {}, background: {} };
  }
});

/** The ranges of what lies behind, as if it stood alone. */
async function askBehind(wanted) {
  if (!wanted.background || !seen().open?.startsWith("set:behind")) return;
  const alone = { ...wanted, motif: wanted.background, settings: wanted.background_settings, background: null, background_settings: {} };
  const answer = await ask("/api/ranges", { design: alone });
  live.ranges = { ...live.ranges, of: wanted.background, background: answer.settings ?? {} };
  shown();
}

const relief = newestOnly(async (wanted, px, key) => {
  if (live.clothOf === key) return;
  try {
    const { blob, box } = await fetchBytes("/api/relief", { design: wanted, px });
    if (live.cloth) URL.revokeObjectURL(live.cloth);
    live.cloth = URL.createObjectURL(blob);
    live.clothOf = key;
    live.clothBox = box;
  } catch {
    return;
  }
  quick();
});

/** Asks for the block as quilted cloth. */
export function askCloth() {
  const wanted = asked();
  const px = Math.min(1800, Math.round(Math.min(innerWidth, 1400) * Math.min(devicePixelRatio, 2) * 0.7));
  relief(wanted, px, JSON.stringify(wanted));
}

/** The cloth, if it is of the drawing that is shown. */
export const clothNow = () => (live.drawn && live.clothOf === live.drawn.key && !live.dragging ? live.cloth : null);

/** Which motifs suit the present shape; null until known. */
export const askSuits = newestOnly(async () => {
  const { motif, settings, background, ...rest } = asked();
  const key = JSON.stringify([rest.shape, rest.more, rest.outline_svg]);
  if (live.motifs?.key === key) return;
  try {
    const { motifs } = await ask("/api/suits", { design: rest });
    live.motifs = { key, suiting: motifs.filter((m) => m.suits).map((m) => m.name), refused: null };
  } catch (error) {
    live.motifs = { key, suiting: [], refused: error };
  }
  shown();
});
