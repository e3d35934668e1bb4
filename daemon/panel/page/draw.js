// Drawing: the few SVG strokes that every figure is made of. Lengths are pixels of the page.
const SVG = "http://www.w3.org/2000/svg";

export function make(name, attributes = {}, parent = null, text = null) {
  const node = document.createElementNS(SVG, name);
  put(node, attributes);
  if (text !== null) node.textContent = text;
  if (parent) parent.append(node);
  return node;
}

// Writes only what differs, so that a figure at rest costs nothing.
export function put(node, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    const text = typeof value === "number" ? String(Math.round(value * 100) / 100) : value;
    if (node.getAttribute(name) !== text) node.setAttribute(name, text);
  }
  return node;
}

export function write(node, text) {
  if (node.textContent !== text) node.textContent = text;
  return node;
}

export function show(node, yes) {
  if (node.style.display !== (yes ? "" : "none")) node.style.display = yes ? "" : "none";
}

export function line(node, x1, y1, x2, y2) {
  return put(node, { x1, y1, x2, y2 });
}

export function points(list) {
  let text = "";
  for (const [x, y] of list) text += `${x.toFixed(1)},${y.toFixed(1)} `;
  return text;
}

// A dimension as on a working drawing: a thin line with a stroke across each end.
export function dimension(node, x1, y1, x2, y2) {
  const length = Math.hypot(x2 - x1, y2 - y1) || 1;
  const [nx, ny] = [(-(y2 - y1) / length) * 5, ((x2 - x1) / length) * 5];
  return put(node, {
    d: `M${x1.toFixed(1)},${y1.toFixed(1)}L${x2.toFixed(1)},${y2.toFixed(1)}` +
      `M${(x1 - nx).toFixed(1)},${(y1 - ny).toFixed(1)}L${(x1 + nx).toFixed(1)},${(y1 + ny).toFixed(1)}` +
      `M${(x2 - nx).toFixed(1)},${(y2 - ny).toFixed(1)}L${(x2 + nx).toFixed(1)},${(y2 + ny).toFixed(1)}`,
  });
}

// A dart that points along an angle, clockwise from the top of the page.
export function dart(node, x, y, angle, size) {
  const corner = (turn, far) => {
    const a = ((angle + turn) * Math.PI) / 180;
    return `${(x + Math.sin(a) * far).toFixed(1)},${(y - Math.cos(a) * far).toFixed(1)}`;
  };
  return put(node, { d: `M${corner(0, size * 1.25)}L${corner(148, size)}L${corner(180, size * 0.45)}L${corner(-148, size)}Z` });
}

// The smallest step that is not below a value; a smaller one than before only with some room, so that it can't flicker.
export function step(steps, value, old) {
  const fitting = steps.find((each) => each >= value) ?? steps[steps.length - 1];
  return old !== undefined && old > fitting && value > fitting * 0.93 ? old : fitting;
}

export function rem() {
  return parseFloat(getComputedStyle(document.documentElement).fontSize);
}

// The size of a figure, measured when it changes and not at every stroke.
export function sized(figure, changed) {
  const size = { width: 0, height: 0, rem: rem() };
  new ResizeObserver(() => {
    const box = figure.getBoundingClientRect();
    Object.assign(size, { width: Math.round(box.width), height: Math.round(box.height), rem: rem() });
    put(figure, { viewBox: `0 0 ${size.width} ${size.height}` });
    changed();
  }).observe(figure);
  return size;
}

// The part of a trail that leads in: from the newest place back to where the aircraft last came no nearer.
export function inbound(trail) {
  let farthest = -Infinity;
  let first = trail.length;
  while (first > 0) {
    const distance = -trail[first - 1][0];
    if (distance < farthest - 2500) break;
    farthest = Math.max(farthest, distance);
    first -= 1;
  }
  return trail.slice(first);
}

// The last stretch of a trail.
export function latest(trail, feet) {
  let first = trail.length - 1;
  for (let far = 0; first > 0 && far < feet; first -= 1) far += Math.hypot(trail[first][0] - trail[first - 1][0], trail[first][1] - trail[first - 1][1]);
  return trail.slice(Math.max(first, 0));
}

// The key to the dotted line, in the corner that a descent leaves empty.
export function legend(text, key, words, size) {
  write(text, words);
  const left = size.width - text.getComputedTextLength() - 4;
  put(text, { x: left, y: size.rem });
  line(key, left - size.rem * 2.3, size.rem * 0.7, left - size.rem * 0.4, size.rem * 0.7);
}
