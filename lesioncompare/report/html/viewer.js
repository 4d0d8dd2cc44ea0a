// Two aligned photos of one place: side by side, divided, one after the other, or their difference.
// Needs nothing from outside. Words typed by people are only ever set as text.

const SVG = "http://www.w3.org/2000/svg";
const OFTEN_MS = 900; // each photo when alternating: about one change a second, far below three
const STEPS_MM = [0.05, 0.1, 0.2, 0.25, 0.5, 1, 2, 5];
const BANDS = 5;
const MOST_ZOOM = 12;
const HANDLE_PX = 11;
let made = 0;

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

// One square picture: an image, its border, the millimetre bar, the ruler; shares the view.
class Pane {
  constructor(viewer, parent, label) {
    this.viewer = viewer;
    this.box = node(parent, "div", { class: "pane" });
    const side = viewer.side;
    this.svg = shape(this.box, "svg", { viewBox: `0 0 ${side} ${side}`, role: "group" });
    this.svg.setAttribute("aria-label", label);
    this.layers = shape(this.svg, "g");
    this.over = shape(this.svg, "g");
    viewer.moving(this);
  }

  photo(frame, facts = {}) {
    const group = shape(this.layers, "g", facts);
    const image = shape(group, "image", {
      href: frame.src,
      width: this.viewer.side,
      height: this.viewer.side,
      role: "img",
      "aria-label": frame.alt,
    });
    image.style.imageRendering = "auto";
    for (const name of ["under", "line"]) {
      shape(group, "path", { class: name, d: pathOf(frame.outline) });
    }
    return group;
  }

  tag(words, place) {
    return node(this.box, "span", { class: `tag ${place}` }, words);
  }
}

class Viewer {
  // frames: [{label, alt, src, outline}], words: see the report's texts
  constructor(root, { frames, side, mmPerPx, words, pair = null, onMark = null, mark = null, keep = {} }) {
    Object.assign(this, { root, frames, side, mmPerPx, words, onMark, mark });
    this.id = `v${++made}`;
    this.pair = pair ?? [0, frames.length - 1];
    // what was chosen before stays when other photos are shown
    this.view = keep.view ?? { x: 0, y: 0, size: side };
    this.mode = keep.mode ?? "side";
    this.share = keep.share ?? 50;
    this.outlines = keep.outlines ?? true;
    this.ruler = null;
    this.marking = false;
    root.replaceChildren();
    if (frames.length > 2) this.choices();
    this.modes();
    this.stage = node(root, "div", { class: "stage" });
    this.below = node(root, "div", { class: "below" });
    this.tools();
    this.said = node(root, "p", { class: "said", "aria-live": "polite" });
    this.draw();
  }

  choices() {
    const bar = node(this.root, "div", { class: "bar" });
    this.pair.forEach((chosen, which) => {
      const label = node(bar, "label", {}, which ? this.words.later : this.words.earlier);
      const select = node(label, "select");
      this.frames.forEach((frame, i) => {
        const option = node(select, "option", { value: String(i) }, frame.label);
        option.selected = i === chosen;
      });
      select.addEventListener("change", () => {
        this.pair[which] = Number(select.value);
        this.draw();
      });
    });
  }

  modes() {
    const set = node(this.root, "fieldset", { class: "bar" });
    node(set, "legend", {}, this.words.show);
    for (const mode of ["side", "divided", "turns", "difference"]) {
      const label = node(set, "label", { class: "mode" });
      const radio = node(label, "input", { type: "radio", name: `${this.id}-mode`, value: mode });
      radio.checked = mode === this.mode;
      node(label, "span", {}, this.words[mode]);
      radio.addEventListener("change", () => {
        this.mode = mode;
        this.draw();
      });
    }
  }

  tools() {
    const bar = node(this.root, "div", { class: "bar" });
    this.button(bar, this.words.nearer, () => this.zoom(1.5));
    this.button(bar, this.words.farther, () => this.zoom(1 / 1.5));
    this.button(bar, this.words.whole, () => this.look(0, 0, this.side));
    this.toggle(bar, this.words.outlines, this.outlines, (on) => {
      this.outlines = on;
      this.stage.classList.toggle("bare", !on);
    });
    this.toggle(bar, this.words.ruler, false, (on) => {
      const { x, y, size } = this.view;
      this.ruler = on ? [[x + 0.3 * size, y + 0.25 * size], [x + 0.7 * size, y + 0.25 * size]] : null;
      this.overlay();
    });
    if (this.onMark) {
      this.toggle(bar, this.words.mark, false, (on) => {
        this.marking = on;
        this.stage.classList.toggle("marking", on);
        this.say(on ? this.words.mark_how : "");
      });
    }
  }

  button(bar, words, act) {
    const made_ = node(bar, "button", { type: "button" }, words);
    made_.addEventListener("click", act);
    return made_;
  }

  toggle(bar, words, on, act) {
    const made_ = this.button(bar, words, () => {
      const now = made_.getAttribute("aria-pressed") !== "true";
      made_.setAttribute("aria-pressed", String(now));
      act(now);
    });
    made_.setAttribute("aria-pressed", String(on));
    return made_;
  }

  say(words) {
    this.said.textContent = words;
  }

  draw() {
    this.stop();
    this.stage.replaceChildren();
    this.below.replaceChildren();
    this.panes = [];
    this.say("");
    const [a, b] = this.pair.map((i) => this.frames[i]);
    this.stage.className = `stage ${this.mode}${this.outlines ? "" : " bare"}`;
    if (this.marking) this.stage.classList.add("marking");
    if (this.mode === "side") this.sideBySide(a, b);
    else if (this.mode === "divided") this.divided(a, b);
    else if (this.mode === "turns") this.inTurns(a, b);
    else this.difference(a, b);
    this.look(this.view.x, this.view.y, this.view.size);
  }

  pane(label) {
    const made_ = new Pane(this, this.stage, label);
    this.panes.push(made_);
    return made_;
  }

  sideBySide(a, b) {
    for (const frame of [a, b]) {
      const pane = this.pane(frame.label);
      pane.photo(frame);
      pane.tag(frame.label, "left");
    }
  }

  divided(a, b) {
    const pane = this.pane(`${a.label}, ${b.label}`);
    pane.photo(a);
    const clip = shape(shape(pane.svg, "defs"), "clipPath", { id: `${this.id}-clip` });
    this.cut = shape(clip, "rect", { y: 0, height: this.side });
    pane.photo(b, { "clip-path": `url(#${this.id}-clip)` });
    this.tags = [pane.tag(a.label, "left"), pane.tag(b.label, "right")];
    this.edge = node(pane.box, "div", { class: "edge" });
    const label = node(this.below, "label", { class: "slide" }, this.words.line);
    const range = node(label, "input", { type: "range", min: "0", max: "100" });
    range.value = String(this.share);
    range.addEventListener("input", () => this.divide(Number(range.value)));
    this.range = range;
  }

  divide(share) {
    this.share = share;
    const { x, size } = this.view;
    const at = x + (size * share) / 100;
    this.cut.setAttribute("x", at);
    this.cut.setAttribute("width", Math.max(0, this.side - at));
    this.edge.style.left = `${share}%`;
    this.tags[0].style.visibility = share > 12 ? "" : "hidden";
    this.tags[1].style.visibility = share < 88 ? "" : "hidden";
  }

  inTurns(a, b) {
    const pane = this.pane(`${a.label}, ${b.label}`);
    this.turned = [a, b].map((frame) => pane.photo(frame));
    this.turnTag = pane.tag("", "left");
    const bar = node(this.below, "div", { class: "bar" });
    this.play = this.button(bar, this.words.play, () => (this.timer ? this.stop() : this.start()));
    this.button(bar, this.words.swap, () => {
      this.stop();
      this.turn();
      this.say(this.frames[this.pair[this.now]].label);
    });
    this.now = 1;
    this.turn();
  }

  turn() {
    this.now = 1 - this.now;
    this.turned.forEach((group, i) => (group.style.display = i === this.now ? "" : "none"));
    this.turnTag.textContent = this.frames[this.pair[this.now]].label;
  }

  start() {
    this.turn();
    this.timer = setInterval(() => this.turn(), OFTEN_MS);
    this.play.textContent = this.words.stop;
  }

  stop() {
    clearInterval(this.timer);
    this.timer = null;
    if (this.play) this.play.textContent = this.words.play;
  }

  // Where the later border lies outside or inside the earlier one, shaded by distance in steps.
  difference(a, b) {
    const pane = this.pane(`${this.words.difference}: ${a.label}, ${b.label}`);
    pane.photo(b).classList.add("faint");
    pane.tag(`${a.label} → ${b.label}`, "left");
    if (!a.outline || !b.outline) {
      this.say(this.words.no_outline);
      return;
    }
    const far = reach(b.outline, a.outline);
    const most = Math.max(far.out, far.within) * this.mmPerPx;
    const step = STEPS_MM.find((s) => most <= BANDS * s) ?? STEPS_MM.at(-1);
    const defs = shape(pane.svg, "defs");
    this.patterns(defs);
    this.bands(pane, defs, "gain", b, a, step);
    this.bands(pane, defs, "loss", a, b, step);
    for (const [frame, name] of [[a, "was"], [b, "is"]]) {
      shape(pane.layers, "path", { class: "under", d: pathOf(frame.outline) });
      shape(pane.layers, "path", { class: `line ${name}`, d: pathOf(frame.outline) });
    }
    this.legend(a, b, far, step);
  }

  patterns(defs) {
    const unit = this.side / 90;
    const gain = shape(defs, "pattern", {
      id: `${this.id}-gain-sign`, width: unit, height: unit, patternUnits: "userSpaceOnUse",
      patternTransform: "rotate(45)",
    });
    shape(gain, "rect", { width: unit * 0.22, height: unit, class: "sign" });
    const loss = shape(defs, "pattern", {
      id: `${this.id}-loss-sign`, width: unit, height: unit, patternUnits: "userSpaceOnUse",
    });
    shape(loss, "circle", { cx: unit / 2, cy: unit / 2, r: unit * 0.22, class: "sign" });
  }

  bands(pane, defs, kind, inThis, notThat, step) {
    const id = `${this.id}-${kind}`;
    const whole = { width: this.side, height: this.side };
    const mask = shape(defs, "mask", { id, maskUnits: "userSpaceOnUse", ...whole });
    shape(mask, "path", { d: pathOf(inThis.outline), fill: "white" });
    shape(mask, "path", { d: pathOf(notThat.outline), fill: "black" });
    const group = shape(pane.layers, "g", { mask: `url(#${id})` });
    // the distance is from the earlier border on either side
    const from = kind === "gain" ? notThat : inThis;
    shape(group, "rect", { ...whole, class: `band${BANDS}` });
    for (let k = BANDS - 1; k >= 1; k--) {
      shape(group, "path", {
        d: pathOf(from.outline), class: `band${k} thick`, "stroke-width": (2 * k * step) / this.mmPerPx,
      });
    }
    shape(group, "rect", { ...whole, fill: `url(#${id}-sign)` });
  }

  legend(a, b, far, step) {
    const mm = (px) => (px * this.mmPerPx).toFixed(2);
    const mm2 = (frame) => (areaOf(frame.outline) * this.mmPerPx ** 2).toFixed(1);
    const list = node(this.below, "ul", { class: "legend" });
    for (let k = 1; k <= BANDS; k++) {
      const item = node(list, "li");
      node(item, "span", { class: `swatch band${k}`, "aria-hidden": "true" });
      const words = k < BANDS ? this.words.up_to : this.words.beyond;
      const edge = k < BANDS ? k * step : (k - 1) * step;
      node(item, "span", {}, words.replace("{mm}", String(Number(edge.toFixed(2)))));
    }
    const told = this.words.moved
      .replace("{out}", mm(far.out)).replace("{in}", mm(far.within))
      .replace("{from}", mm2(a)).replace("{to}", mm2(b));
    node(this.below, "p", { class: "told" }, told);
  }

  zoom(times, at = null) {
    const { x, y, size } = this.view;
    const now = Math.min(this.side, Math.max(this.side / MOST_ZOOM, size / times));
    const [cx, cy] = at ?? [x + size / 2, y + size / 2];
    this.look(cx - ((cx - x) * now) / size, cy - ((cy - y) * now) / size, now);
  }

  look(x, y, size) {
    const most = this.side - size;
    this.view = { x: Math.min(most, Math.max(0, x)), y: Math.min(most, Math.max(0, y)), size };
    const box = `${this.view.x} ${this.view.y} ${size} ${size}`;
    for (const pane of this.panes) {
      pane.svg.setAttribute("viewBox", box);
      pane.box.classList.toggle("near", size < this.side);
    }
    if (this.mode === "divided") this.divide(this.share);
    this.overlay();
  }

  // What keeps its size on the screen: the millimetre bar, the ruler and the mark.
  overlay() {
    for (const pane of this.panes) {
      pane.over.replaceChildren();
      const unit = this.view.size / (pane.box.clientWidth || 400);
      this.bar(pane, unit);
      if (this.ruler) this.rule(pane, unit);
      if (this.mark) this.cross(pane, unit);
    }
  }

  bar(pane, unit) {
    const { x, y, size } = this.view;
    const long = round(0.3 * size * this.mmPerPx);
    const width = long / this.mmPerPx;
    const left = x + 12 * unit;
    const base = y + size - 14 * unit;
    for (const [grow, kind] of [[1.5, "white"], [0, "black"]]) {
      shape(pane.over, "rect", {
        x: left - grow * unit, y: base - (4 + grow) * unit, fill: kind,
        width: width + 2 * grow * unit, height: (5 + 2 * grow) * unit,
      });
    }
    this.words_(pane, `${Number(long.toPrecision(2))} mm`, left, base - 9 * unit, unit);
  }

  words_(pane, words, x, y, unit) {
    const text = shape(pane.over, "text", { x, y, class: "over", "font-size": 14 * unit });
    text.setAttribute("stroke-width", 3.5 * unit);
    text.textContent = words;
  }

  rule(pane, unit) {
    const [from, to] = this.ruler;
    const dx = to[0] - from[0];
    const dy = to[1] - from[1];
    const long = Math.hypot(dx, dy);
    const mm = long * this.mmPerPx;
    for (const [width, kind] of [[5, "white"], [2, "black"]]) {
      const line = { x1: from[0], y1: from[1], x2: to[0], y2: to[1] };
      shape(pane.over, "line", { ...line, stroke: kind, "stroke-width": width * unit });
    }
    const tick = round(Math.max(mm / 8, 0.05));
    for (let at = 0; at <= mm + 1e-9; at += tick) {
      const share = mm ? at / mm : 0;
      const [x, y] = [from[0] + dx * share, from[1] + dy * share];
      const [nx, ny] = long ? [(-dy / long) * 6 * unit, (dx / long) * 6 * unit] : [0, 0];
      shape(pane.over, "line", {
        x1: x - nx, y1: y - ny, x2: x + nx, y2: y + ny, stroke: "black", "stroke-width": 1.6 * unit,
      });
    }
    this.ruler.forEach((place, end) => this.handle(pane, place, end, mm, unit));
    const middle = [from[0] + dx / 2, from[1] + dy / 2 - 14 * unit];
    this.words_(pane, `${mm.toFixed(2)} mm`, ...middle, unit);
  }

  handle(pane, place, end, mm, unit) {
    const circle = shape(pane.over, "circle", {
      cx: place[0], cy: place[1], r: HANDLE_PX * unit, class: "handle", tabindex: "0",
      role: "slider", "aria-valuenow": mm.toFixed(2), "aria-valuemin": "0",
      "aria-valuemax": (this.side * this.mmPerPx * 1.5).toFixed(0),
      "aria-valuetext": `${mm.toFixed(2)} mm`, "aria-label": this.words.ruler_end,
      "stroke-width": 2 * unit, "data-end": String(end),
    });
    circle.addEventListener("keydown", (event) => {
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
      const go = way[event.key];
      if (!go) return;
      event.preventDefault();
      const step = (event.shiftKey ? 10 : 1) * unit;
      this.ruler[end] = [place[0] + go[0] * step, place[1] + go[1] * step];
      const which = this.panes.indexOf(pane);
      this.overlay();
      this.panes[which].over.querySelector(`[data-end="${end}"]`).focus();
    });
  }

  cross(pane, unit) {
    const [x, y] = this.mark;
    for (const [width, kind] of [[5, "white"], [2, "black"]]) {
      for (const [dx, dy] of [[9, 0], [0, 9]]) {
        shape(pane.over, "line", {
          x1: x - dx * unit, y1: y - dy * unit, x2: x + dx * unit, y2: y + dy * unit,
          stroke: kind, "stroke-width": width * unit,
        });
      }
      shape(pane.over, "circle", {
        cx: x, cy: y, r: 13 * unit, fill: "none", stroke: kind, "stroke-width": width * unit,
      });
    }
  }

  at(pane, event) {
    const point = new DOMPoint(event.clientX, event.clientY);
    const { x, y } = point.matrixTransform(pane.svg.getScreenCTM().inverse());
    return [x, y];
  }

  // One finger or the mouse moves the picture, the dividing line or an end of the ruler; two zoom.
  moving(pane) {
    const fingers = new Map();
    let held = null;
    pane.box.addEventListener("pointerdown", (event) => {
      fingers.set(event.pointerId, event);
      if (fingers.size === 1) held = this.grip(pane, event);
      else held = { kind: "pinch" };
      if (held.kind === "none") return;
      pane.box.setPointerCapture(event.pointerId);
    });
    pane.box.addEventListener("pointermove", (event) => {
      if (!held || !fingers.has(event.pointerId)) return;
      const before = fingers.get(event.pointerId);
      if (held.kind === "pinch") this.pinch(pane, fingers, event);
      else this.drag(pane, held, before, event);
      fingers.set(event.pointerId, event);
    });
    for (const end of ["pointerup", "pointercancel"]) {
      pane.box.addEventListener(end, (event) => {
        fingers.delete(event.pointerId);
        if (!fingers.size) held = null;
      });
    }
    pane.box.addEventListener(
      "wheel",
      (event) => {
        if (!event.ctrlKey && this.view.size === this.side) return;
        event.preventDefault();
        this.zoom(Math.exp(-event.deltaY / 400), this.at(pane, event));
      },
      { passive: false },
    );
  }

  grip(pane, event) {
    const [x, y] = this.at(pane, event);
    const unit = this.view.size / pane.box.clientWidth;
    if (this.marking) {
      this.mark = [x, y];
      this.overlay();
      const which = this.mode === "side" ? this.panes.indexOf(pane) : 1;
      this.onMark(this.mark, this.pair[which]);
      return { kind: "none" };
    }
    if (this.ruler) {
      const near = this.ruler.map(([u, v]) => Math.hypot(u - x, v - y) / unit);
      const end = near[0] < near[1] ? 0 : 1;
      if (near[end] < 26) return { kind: "ruler", end };
    }
    if (this.mode === "divided") {
      const line = this.view.x + (this.view.size * this.share) / 100;
      if (this.view.size === this.side || Math.abs(line - x) / unit < 26) return { kind: "line" };
    }
    return { kind: this.view.size < this.side ? "pan" : "none" };
  }

  drag(pane, held, before, event) {
    const [x, y] = this.at(pane, event);
    if (held.kind === "ruler") {
      this.ruler[held.end] = [x, y];
      this.overlay();
    } else if (held.kind === "line") {
      const share = (100 * (x - this.view.x)) / this.view.size;
      this.divide(Math.min(100, Math.max(0, share)));
      this.range.value = String(Math.round(this.share));
    } else if (held.kind === "pan") {
      const [u, v] = this.at(pane, before);
      this.look(this.view.x + u - x, this.view.y + v - y, this.view.size);
    }
  }

  pinch(pane, fingers, event) {
    const other = [...fingers.values()].find((finger) => finger.pointerId !== event.pointerId);
    const before = fingers.get(event.pointerId);
    if (!other) return;
    const apart = (finger) => Math.hypot(finger.clientX - other.clientX, finger.clientY - other.clientY);
    const middle = { clientX: (event.clientX + other.clientX) / 2, clientY: (event.clientY + other.clientY) / 2 };
    this.zoom(apart(event) / (apart(before) || 1), this.at(pane, middle));
  }
}
