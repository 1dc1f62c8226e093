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
  seed: "Which drawing of it?",
  petals: "How many in a circle?",
  shell: "How wide is a shell?",
  key: "How wide is a bar?",
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
};
const ASKED_OF = {
  "feather-wreath angle": "How far do they lean?",
  "feather-vine angle": "How far do they lean?",
  "feather-spray angle": "How far do they lean?",
  "feather-half-wreath angle": "How far do they lean?",
  "hanging-diamonds angle": "How steep are the slanting lines?",
  "pumpkin-seed seed": "How long is a seed?",
  "pumpkin-seed angle": "What shape is a cell?",
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
  "clamshell", "continuous-curve", "cross-hatch", "diagonals", "dogwood", "echo", "hanging-diamonds", "hearts", "loops",
  "orange-peel", "pebbles", "piano-keys", "pumpkin-seed", "stipple", "wave",
]);
const PLURAL = { clamshell: "clamshells", "continuous-curve": "continuous curves", wave: "waves", "pumpkin-seed": "pumpkin seeds", echo: "echo lines" };

/** A motif within a sentence: `a feather wreath`, `cross-hatch`. */
export function inSentence(motif) {
  const words = PLURAL[motif.name] ?? lower(motif.title ?? motif.name.replaceAll("-", " "));
  if (NO_ARTICLE.has(motif.name)) return words;
  return `${/^[aeiou]/.test(words) ? "an" : "a"} ${words}`;
}

export const lower = (text) => text.charAt(0).toLowerCase() + text.slice(1);

const KINDS = [
  ["Feathers", /^feather/],
  ["Flowers and leaves", /^(dogwood|flower|leaf|orange-peel|pumpkin|heart|seed-chain|continuous)/],
  ["Straight lines", /^(cross-hatch|diagonals|grid|hanging|piano|star)/],
  ["Round lines", /^(baptist|clamshell|cable|ribbon|wave|swag|spiral|echo)/],
  ["All over", /^(meander|stipple|loops|pebbles|echo|spiral|wave|clamshell|baptist|cross-hatch|grid|orange-peel|pumpkin-seed)/],
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

/** How many, in words up to twelve. */
export function count(n) {
  return ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"][n] ?? String(n);
}
