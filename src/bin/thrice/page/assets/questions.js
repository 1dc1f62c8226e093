// How the page asks and names things: questions for the settings of motifs, words for the phrases of the sentence.

const ASKED = {
  plume: "How wide is a plume?",
  fullness: "How full are the heads?",
  curl: "How much do they curl?",
  swing: "How far does the spine swing?",
  sweep: "How far does the spine sweep?",
  centre: "Where does it curve round?",
  spacing: "How far apart are the lines?",
  lines: "How many lines in a group?",
  gap: "How far apart within a group?",
  edge: "What happens at the edge?",
  seed: "Which version?",
  petals: "How many in a circle?",
  shell: "How wide is a shell?",
  key: "How far from key to key?",
  bars: "Two lines between keys, or one?",
  cup: "How wide is a circle?",
  row: "How wide is a row?",
  petal: "How long is a petal?",
  patch: "How wide is a patch?",
  flower: "How wide is a flower?",
  size: "How large is a pebble?",
  rise: "How far do the arcs rise?",
  repeat: "How long is one repeat?",
  arcs: "How many arcs in a fan?",
  crossing: "Do the strands pass over and under?",
  form: "Which form?",
  angle: "How steep are the lines?",
  cell: "How far from band to band?",
  band: "How broad is a band?",
  fan: "How wide is a fan?",
  hub: "How large is the middle?",
  points: "How many long points?",
};
const ASKED_OF = {
  "feather-wreath angle": "How far do the plumes lean?",
  "feather-vine angle": "How far do the plumes lean?",
  "feather-spray angle": "How far do the plumes lean?",
  "feather-half-wreath angle": "How far do the plumes lean?",
  "wreath-hatched angle": "How far do the plumes lean?",
  "wreath-heart angle": "How far do the plumes lean?",
  "wreath-ribbed angle": "How far do the plumes lean?",
  "feathered-heart angle": "How far do the plumes lean?",
  "wreath-rosette angle": "How far do the plumes lean?",
  "wreath-separate angle": "How far do the plumes lean?",
  "hanging-diamonds angle": "How steep are the slanting lines?",
  "pumpkin-seed seed": "How long is a seed?",
  "pumpkin-seed fullness": "How full is a seed?",
  "echoed-seeds seed": "How far from ring to ring?",
  "grid angle": "What shape is a cell?",
  "knot cell": "How far from crossing to crossing?",
  "knot-border cell": "How far from crossing to crossing?",
  "knot lines": "How many lines in a band?",
  "knot-border lines": "How many lines in a band?",
  "basket-weave lines": "How many lines in a band?",
  "sunburst points": "How many long rays?",
  "leaf-meander repeat": "How long is half a wave?",
  "scroll repeat": "How long is half a wave?",
  "leaf-vine repeat": "How long is half a wave?",
  "ribbon repeat": "How long is a loop?",
  "hearts repeat": "How far from heart to heart?",
  "rope repeat": "How far from strand to strand?",
  "seed-chain repeat": "How long is a seed?",
  "swag repeat": "How long is a swag?",
  "wave row": "How far apart are the lines?",
  "spiral spacing": "How far apart are the turns?",
  "echo spacing": "How far apart are the rings?",
  "cable lines": "How many lines in a strand?",
  "cable-three lines": "How many lines in a strand?",
  "heart-ring petals": "How many hearts?",
  "leaf-rosette petals": "How many leaves?",
  "flower petals": "How many petals?",
  "star petals": "How many points?",
};

/** The question for one setting of a motif. */
export function question(motif, setting) {
  return ASKED_OF[`${motif} ${setting}`] ?? ASKED[setting] ?? `${setting[0].toUpperCase()}${setting.slice(1)}?`;
}

const NO_ARTICLE = new Set([
  "baptist-fan", "basket-weave", "bishops-fan", "clamshell", "continuous-curve", "cross-hatch", "diagonals", "dogwood", "echo", "echoed-seeds",
  "hanging-diamonds", "hearts", "loops", "orange-peel", "pebbles", "piano-keys", "pumpkin-seed", "ribbon", "scroll", "stipple", "teacup-circles", "wave",
]);
const PLURAL = {
  "baptist-fan": "Baptist fans", "bishops-fan": "bishop’s fans", clamshell: "clamshells", "continuous-curve": "continuous curves", wave: "waves",
  "pumpkin-seed": "pumpkin seeds", echo: "echo lines", scroll: "scrolls",
};

/** A motif within a sentence: `a feather wreath`, `cross-hatch`. */
export function inSentence(motif) {
  const words = PLURAL[motif.name] ?? lower(motif.title ?? motif.name.replaceAll("-", " "));
  if (NO_ARTICLE.has(motif.name)) return words;
  return `${/^[aeiou]/.test(words) ? "an" : "a"} ${words}`;
}

export const lower = (text) => text.charAt(0).toLowerCase() + text.slice(1);

const KINDS = [
  ["Feathers", /^(feather|wreath)/],
  ["Flowers and leaves", /^(dogwood|flower|leaf|orange-peel|pumpkin|heart|seed-chain|echoed-seeds|continuous|sunburst)/],
  ["Straight lines", /^(cross-hatch|diagonals|grid|hanging|piano|star|compass)/],
  ["Round lines", /^(baptist|bishops|clamshell|ribbon|wave|swag|scroll|spiral|teacup|echo$)/],
  ["Cables and knots", /^(cable|rope|knot|basket)/],
  ["All over", /^(meander|stipple|loops|pebbles|leaf-meander|scroll|basket|echo|spiral|wave|clamshell|baptist|bishops|cross-hatch|grid|orange-peel|pumpkin-seed|continuous|teacup)/],
];

/** The kinds of motif the gallery can be narrowed to, of those at hand: name and test. */
export function kinds(names) {
  return KINDS.filter(([, test]) => names.some((name) => test.test(name))).map(([name, test]) => ({ name, of: (motif) => test.test(motif) }));
}

/** Motifs in the order of the gallery: by kind, then as the program lists them. */
export function inOrder(motifs) {
  const rank = (m) => {
    const found = KINDS.findIndex(([, test]) => test.test(m.name));
    return found < 0 ? KINDS.length : found;
  };
  return [...motifs].sort((a, b) => rank(a) - rank(b));
}

/** A choice of a setting in words. */
export function choiceWords(choice) {
  const words = {
    best: "whichever suits the block best",
    round: "round",
    fitted: "fitted to the outline",
    corner: "round the widest corner",
    side: "round the middle of the long side",
    through: "all lines cross",
    framed: "a line along the edge",
    open: "no line along the edge",
    single: "one line, ending at the centre",
    double: "in, and back out between its own turns",
    rings: "rings joined by short steps",
    spiral: "one spiral",
    s: "swings both ways",
    c: "swings one way",
    whole: "whole ones only",
    cut: "cut at the edge",
    over: "over and under",
  };
  return words[choice] ?? choice;
}

/** What is told in options of the command or keys of a quilt file, in the words of the page. */
export function inPageWords(text, motif = null) {
  const size = (value) => value.replace(/(\d)-(?=\d+\/)/g, "$1 ").replace(/(in|mm)\b/g, " $1").replaceAll(/(\d)x(\d)/g, "$1 × $2").replaceAll(",", " by ").replace(/\s+/g, " ").trim();
  const asks = (name, value) => `“${question(motif, name)}” at ${size(value)}`;
  return text
    .replace(/--(?:background-)?setting ([a-z-]+)[= ](\S+?)(?=[.,;]?(?:\s|$))/g, (_, name, value) => asks(name, value))
    .replace(/settings = \["([a-z-]+)=([^"]+)"\]/g, (_, name, value) => asks(name, value))
    .replace(/(?:--background |background = ")([a-z-]+)"?/g, (_, name) => `${name} behind it`)
    .replace(/: name its sewing field(?: across and up)?, such as --hoop \S+mm/, ": name yours")
    .replace(/--(?:square|rectangle|half-square|quarter-square|side-triangle|corner-triangle|equilateral|hexagon|octagon|circle) ([^\s]+?)(?=[.,;]?(?:\s|$))/g, (_, value) => size(value))
    .replace(/--(?:margin|hoop|thickness|gap|stitch|bobbin|speed) ([^\s]+?)(?=[.,;]?(?:\s|$))/g, (_, value) => size(value))
    .replace(/let [`“]thrice quilt[`”] (?:sew|split) it (?:in|over) ((?:about )?\d+ hoopings)/, "begin a whole quilt of this one block: it takes $1")
    .replace(/[`“]thrice motifs[`”] lists them all/, "the motifs are listed at “Which motif?”")
    .replace(/leave --([a-z-]+) out/g, (_, name) => `leave the ${OPTION_WORDS[name] ?? name.replaceAll("-", " ")} out`)
    .replace(/--([a-z-]+)/g, (_, name) => OPTION_WORDS[name] ?? name.replaceAll("-", " "));
}

const OPTION_WORDS = { "other-diagonal": "other diagonal", margin: "distance from the seam", gap: "gap on the label", "no-ties": "ties left out", bobbin: "bobbin", also: "further files" };

/** How many, in words up to twelve. */
export function count(n) {
  return ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"][n] ?? String(n);
}
