// What the page asks of the program on this computer.

/** What the program said to a request it could not carry out. */
export class Refused extends Error {
  constructor(said, status) {
    super(said.error ?? "The program gave no answer.");
    this.hint = said.hint ?? null;
    this.field = said.field ?? null;
    /** Files that are named and were not handed in. */
    this.missing = said.missing ?? [];
    /** What is wrong in a quilt file: each with the key it lies in. */
    this.problems = said.problems ?? [];
    this.status = status;
  }
}

async function post(path, body, signal) {
  const request = { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), signal };
  for (let tries = 0; ; tries += 1) {
    let answer;
    try {
      answer = await fetch(path, request);
    } catch (error) {
      if (error.name === "AbortError") throw error;
      throw new Refused({ error: "The program does not answer.", hint: "Start it again with: thrice page" }, 0);
    }
    if (answer.status !== 503 || tries >= 20) return answer;
    await new Promise((done) => setTimeout(done, 100 + 50 * tries));
  }
}

async function refusal(answer) {
  let said = {};
  try {
    said = await answer.json();
  } catch {
    said = { error: `The program answered with ${answer.status}.` };
  }
  return new Refused(said, answer.status);
}

/** Asks for JSON. */
export async function ask(path, body, signal) {
  const answer = await post(path, body, signal);
  if (!answer.ok) throw await refusal(answer);
  return answer.json();
}

/** Asks for a file or picture: its bytes, the name it comes with, and what of the drawing it shows. */
export async function fetchBytes(path, body, signal) {
  const answer = await post(path, body, signal);
  if (!answer.ok) throw await refusal(answer);
  const named = /filename="([^"]+)"/.exec(answer.headers.get("Content-Disposition") ?? "");
  return { blob: await answer.blob(), name: named?.[1] ?? null, box: answer.headers.get("X-Box")?.split(" ").map(Number) ?? null };
}

/** What the program offers: motifs, shapes, hoops, battings, families. */
export async function start() {
  const answer = await fetch("/api/start");
  if (!answer.ok) throw await refusal(answer);
  return answer.json();
}

/** Runs `work` one at a time; of the calls that come in meanwhile only the newest is run. */
export function newestOnly(work) {
  let busy = false;
  let waiting = null;
  return async function go(...given) {
    if (busy) {
      waiting = given;
      return;
    }
    busy = true;
    try {
      await work(...given);
    } finally {
      busy = false;
      if (waiting) {
        const next = waiting;
        waiting = null;
        go(...next);
      }
    }
  };
}

/** Runs at most `width` of the given pieces of work at once, the latest handed in last. */
export function lane(width) {
  const queue = [];
  let running = 0;
  function turn() {
    while (running < width && queue.length > 0) {
      const { work, done } = queue.shift();
      running += 1;
      work().then(done.resolve, done.reject).finally(() => {
        running -= 1;
        turn();
      });
    }
  }
  return (work) => new Promise((resolve, reject) => {
    queue.push({ work, done: { resolve, reject } });
    turn();
  });
}

/** Hands bytes to the browser as a download. */
export function save(blob, name) {
  const url = URL.createObjectURL(blob);
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}
