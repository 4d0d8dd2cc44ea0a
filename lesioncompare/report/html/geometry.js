// What is drawn and reckoned with plain points; nothing here knows of the viewer.

const SVG = "http://www.w3.org/2000/svg";

function node(parent, tag, facts = {}, words = "") {
  const made_ = document.createElement(tag);
  for (const [name, value] of Object.entries(facts)) made_.setAttribute(name, value);
  if (words) made_.textContent = words;
  parent.appendChild(made_);
  return made_;
}

function shape(parent, tag, facts = {}) {
  const made_ = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(facts)) made_.setAttribute(name, value);
  parent.appendChild(made_);
  return made_;
}

function round(most) {
  const power = 10 ** Math.floor(Math.log10(most));
  return Math.max(...[1, 2, 5].map((s) => s * power).filter((s) => s <= most * (1 + 1e-9)));
}

function pathOf(points) {
  if (!points || points.length < 3) return "";
  return `M${points.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L")}Z`;
}

function areaOf(points) {
  return Math.abs(
    points.reduce((sum, [x, y], i) => {
      const [u, v] = points[(i + 1) % points.length];
      return sum + (x * v - u * y) / 2;
    }, 0),
  );
}

function toSegment([px, py], [ax, ay], [bx, by]) {
  const dx = bx - ax;
  const dy = by - ay;
  const t = Math.max(0, Math.min(1, ((px - ax) * dx + (py - ay) * dy) / (dx * dx + dy * dy || 1)));
  return Math.hypot(px - ax - t * dx, py - ay - t * dy);
}

function inside([px, py], points) {
  let odd = false;
  for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
    const [ax, ay] = points[i];
    const [bx, by] = points[j];
    if (ay > py !== by > py && px < ((bx - ax) * (py - ay)) / (by - ay) + ax) odd = !odd;
  }
  return odd;
}

// How far the points of one border lie outside and inside another at most [same unit].
function reach(points, other) {
  let out = 0;
  let within = 0;
  for (const point of points) {
    let near = Infinity;
    for (let i = 0; i < other.length; i++) {
      near = Math.min(near, toSegment(point, other[i], other[(i + 1) % other.length]));
    }
    if (inside(point, other)) within = Math.max(within, near);
    else out = Math.max(out, near);
  }
  return { out, within };
}
