// Before something changes that is sewn already, she is asked.

import { h } from "./h.js";
import { count } from "./questions.js";
import { setLook } from "./state.js";

let asking = null;

/** Does it at once, or asks first when something is sewn like this already. */
export function careful(sewn, act) {
  if (sewn === 0) return act();
  asking = { sewn, act };
  return setLook({});
}

/** What she is asked, while she is. */
export function sure() {
  if (!asking) return null;
  const { sewn, act } = asking;
  const many = sewn === 1 ? "One is sewn like this." : `${count(sewn).replace(/^./, (c) => c.toUpperCase())} are sewn like this.`;
  return h(
    "div",
    { class: "sure", key: "sure", role: "alertdialog", "aria-label": many },
    h("p", null, h("strong", null, many), " The others will be sewn differently."),
    h("button", { class: "second small", onclick: () => { asking = null; act(); } }, "Change them anyway"),
    h("button", { class: "plain", onclick: () => { asking = null; setLook({}); } }, "Leave them"),
  );
}
