// A tree of plain objects, and the smallest change that makes the document equal to it: focus, scroll and a slider
// under the finger stay where they are.

const SVG = "http://www.w3.org/2000/svg";

/**
 * An element: its tag, its properties, its children. Properties: on… are listeners, `key` tells siblings apart, `made`
 * is called once with the new node, `html` is markup from the program, `own` leaves the children to whoever made them.
 */
export function h(tag, props, ...kids) {
  const real = kids.flat(Infinity).filter((kid) => kid != null && kid !== false && kid !== true && kid !== "");
  return { tag, props: props ?? {}, kids: real };
}

/** Makes `host`'s children equal to `kids`. */
export function fill(host, ...kids) {
  children(host, h("x", null, ...kids).kids, host.namespaceURI === SVG);
}

function children(host, kids, svg) {
  const keyed = new Map();
  for (const node of host.childNodes) if (node.key != null) keyed.set(node.key, node);
  let here = host.firstChild;
  for (const kid of kids) {
    const key = kid.props?.key;
    const found = key != null ? keyed.get(key) : fits(here, kid) ? here : null;
    if (found && fits(found, kid)) {
      if (found !== here) host.insertBefore(found, here);
      else here = here.nextSibling;
      update(found, kid, svg);
    } else {
      host.insertBefore(make(kid, svg), here);
    }
  }
  while (here) {
    const next = here.nextSibling;
    here.remove();
    here = next;
  }
}

function fits(node, kid) {
  if (!node) return false;
  if (typeof kid !== "object") return node.nodeType === 3;
  return node.nodeType === 1 && node.localName === kid.tag && (node.key ?? null) === (kid.props.key ?? null);
}

function make(kid, svg) {
  if (typeof kid !== "object") return document.createTextNode(kid);
  const inside = svg || kid.tag === "svg";
  const node = inside ? document.createElementNS(SVG, kid.tag) : document.createElement(kid.tag);
  if (kid.props.key != null) node.key = kid.props.key;
  update(node, kid, svg);
  kid.props.made?.(node);
  return node;
}

function update(node, kid, svg) {
  if (typeof kid !== "object") {
    if (node.data !== String(kid)) node.data = kid;
    return;
  }
  const before = node.props ?? {};
  for (const name of Object.keys(before)) if (!(name in kid.props)) property(node, name, null);
  for (const [name, value] of Object.entries(kid.props)) property(node, name, value, before[name]);
  node.props = kid.props;
  if (kid.props.html == null && !kid.props.own) children(node, kid.kids, (svg || kid.tag === "svg") && kid.tag !== "foreignObject");
}

function property(node, name, value, before) {
  if (name === "key" || name === "made" || name === "own") return;
  if (name.startsWith("on")) {
    node.heard ??= {};
    const kind = name.slice(2);
    if (!(kind in node.heard)) node.addEventListener(kind, (event) => node.heard[kind]?.(event));
    node.heard[kind] = value;
  } else if (name === "html") {
    if (value !== before) node.innerHTML = value ?? "";
  } else if (name === "value" || name === "checked") {
    // What she is typing stays, whatever else is drawn anew meanwhile.
    const typing = name === "value" && value === before && node === document.activeElement;
    if (node[name] !== value && !typing) node[name] = value ?? "";
  } else if (value == null || value === false) {
    node.removeAttribute(name);
  } else if (node.getAttribute(name) !== String(value === true ? "" : value)) {
    node.setAttribute(name, value === true ? "" : value);
  }
}
