// The stage: one photo in an SVG whose user units are the pixels of the original, upright photo.

const SVG = "http://www.w3.org/2000/svg";
const MOST_ZOOM = 24;
const TAP_PX = 8; // a finger that moved less than this on the screen was a tap
const pictures = new Map(); // picture id -> object URL
const waiting = new Map(); // picture id -> functions to call when it arrives

function receive(bytes) {
  const head = new DataView(bytes.buffer, bytes.byteOffset).getUint32(0);
  const { id } = JSON.parse(new TextDecoder().decode(bytes.slice(4, 4 + head)));
  if (!pictures.has(id)) {
    const blob = new Blob([bytes.slice(4 + head)], { type: "image/jpeg" });
    pictures.set(id, URL.createObjectURL(blob));
  }
  for (const tell of waiting.get(id) ?? []) tell(pictures.get(id));
  waiting.delete(id);
}

function whenHere(id, tell) {
  if (pictures.has(id)) tell(pictures.get(id));
  else waiting.set(id, [...(waiting.get(id) ?? []), tell]);
}

function make(tag, facts = {}, parent = null) {
  const node = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(facts)) node.setAttribute(name, value);
  if (parent) parent.appendChild(node);
  return node;
}

function makeButton(parent, label, act, facts = {}) {
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = label;
  button.addEventListener("click", act);
  for (const [name, value] of Object.entries(facts)) button.setAttribute(name, value);
  parent.appendChild(button);
  return button;
}

function asPath(points, closed = true) {
  if (!points || points.length === 0) return "";
  const [first, ...rest] = points.map(([x, y]) => `${x.toFixed(2)} ${y.toFixed(2)}`);
  return `M${first}${rest.map((p) => `L${p}`).join("")}${closed ? "Z" : ""}`;
}

// A dark line under a light one: visible on pink, orange and black alike.
function doubleLine(parent, name) {
  const group = make("g", { class: name }, parent);
  const under = make("path", { class: "under" }, group);
  const over = make("path", { class: "over" }, group);
  return {
    group,
    set(d) {
      under.setAttribute("d", d);
      over.setAttribute("d", d);
    },
  };
}

class Stage {
  constructor(root) {
    this.root = root;
    this.frame = document.createElement("div");
    this.frame.className = "frame";
    this.svg = make("svg", { role: "application", tabindex: "0" });
    this.frame.appendChild(this.svg);
    this.bar = document.createElement("div");
    this.bar.className = "bar";
    this.said = document.createElement("p");
    this.said.className = "said";
    this.said.setAttribute("aria-live", "polite");
    root.append(this.frame, this.bar, this.said);
    this.image = make("image", { x: 0, y: 0, preserveAspectRatio: "none" }, this.svg);
    this.sticker = doubleLine(this.svg, "sticker");
    this.work = make("g", { class: "work" }, this.svg);
    this.cross = make("path", { class: "cross" }, this.svg);
    this.pointers = new Map();
    this.tool = null;
    this.at = null; // cross-hair for the keyboard
    this.listen();
  }

  listen() {
    const on = (name, act, options) => this.svg.addEventListener(name, act, options);
    on("pointerdown", (event) => this.down(event));
    on("pointermove", (event) => this.move(event));
    on("pointerup", (event) => this.up(event));
    on("pointercancel", (event) => this.drop(event));
    on("keydown", (event) => this.key(event));
    on("blur", () => this.cross.setAttribute("d", ""));
    on("wheel", (event) => this.wheel(event), { passive: false });
  }

  show(data) {
    const fresh = data.id !== this.id;
    this.id = data.id;
    this.data = data;
    if (fresh) {
      this.image.removeAttribute("href");
      whenHere(data.id, (url) => this.image.setAttribute("href", url));
      this.image.setAttribute("width", data.width);
      this.image.setAttribute("height", data.height);
      this.svg.style.aspectRatio = `${data.width} / ${data.height}`;
      this.at = null;
      this.whole();
      if (data.focus) this.look(data.focus.x, data.focus.y, data.focus.half);
    }
    this.svg.setAttribute("aria-label", data.texts.label);
    this.sticker.set(asPath(data.sticker));
  }

  // The view

  whole() {
    this.setView(0, 0, this.data.width);
  }

  look(x, y, half) {
    const aspect = this.data.height / this.data.width;
    const width = (2 * half) / Math.min(1, aspect);
    this.setView(x - width / 2, y - (width * aspect) / 2, width);
  }

  setView(x, y, width) {
    const { width: w, height: h } = this.data;
    const wide = Math.min(w, Math.max(w / MOST_ZOOM, width));
    const tall = (wide * h) / w;
    const left = Math.min(w - wide, Math.max(0, x));
    const top = Math.min(h - tall, Math.max(0, y));
    this.view = { x: left, y: top, width: wide, height: tall };
    this.svg.setAttribute("viewBox", `${left} ${top} ${wide} ${tall}`);
    this.svg.classList.toggle("zoomed", wide < w * 0.99);
    if (this.tool) this.tool.draw();
  }

  zoom(times, about = null) {
    const { x, y, width, height } = this.view;
    const [cx, cy] = about ?? [x + width / 2, y + height / 2];
    this.setView(cx - (cx - x) / times, cy - (cy - y) / times, width / times);
  }

  get unit() {
    const matrix = this.svg.getScreenCTM();
    return matrix ? 1 / matrix.a : 1; // photo pixels for one screen pixel
  }

  point(event) {
    const matrix = this.svg.getScreenCTM();
    const p = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    return [p.x, p.y];
  }

  // Fingers: one works with the tool, two move and zoom the photo

  down(event) {
    this.svg.setPointerCapture(event.pointerId);
    this.pointers.set(event.pointerId, event);
    if (this.pointers.size === 1) {
      this.first = event;
      this.moved = false;
      this.begun = this.tool.start(this.point(event)) !== false;
      this.from = { point: this.point(event), view: this.view };
    } else {
      if (this.begun) this.tool.cancel();
      this.begun = false;
      this.moved = true;
      this.pinch = null;
    }
  }

  move(event) {
    if (!this.pointers.has(event.pointerId)) return;
    this.pointers.set(event.pointerId, event);
    if (this.pointers.size === 2) this.pinching();
    else if (this.pointers.size === 1 && !this.pinch) {
      const far = Math.hypot(event.clientX - this.first.clientX, event.clientY - this.first.clientY);
      this.moved ||= far > TAP_PX;
      if (this.moved && this.begun) this.tool.move(this.point(event));
      else if (this.moved) this.pan(event);
    }
  }

  up(event) {
    if (!this.pointers.delete(event.pointerId)) return;
    if (this.pointers.size > 0) return;
    const begun = this.begun;
    this.begun = false;
    this.pinch = null;
    if (!this.moved) this.tool.tap(this.point(event), begun);
    else if (begun) this.tool.end(this.point(event));
  }

  drop(event) {
    this.pointers.delete(event.pointerId);
    if (this.begun) this.tool.cancel();
    this.begun = false;
    if (this.pointers.size === 0) this.pinch = null;
  }

  pan(event) {
    const unit = this.unit;
    const dx = (event.clientX - this.first.clientX) * unit;
    const dy = (event.clientY - this.first.clientY) * unit;
    this.setView(this.from.view.x - dx, this.from.view.y - dy, this.from.view.width);
  }

  pinching() {
    const [a, b] = [...this.pointers.values()];
    const gap = Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
    const middle = { clientX: (a.clientX + b.clientX) / 2, clientY: (a.clientY + b.clientY) / 2 };
    if (!this.pinch) this.pinch = { gap, about: this.point(middle), width: this.view.width };
    this.zoom((gap / this.pinch.gap) * (this.view.width / this.pinch.width), this.pinch.about);
    const [x, y] = this.point(middle);
    const [ax, ay] = this.pinch.about;
    this.setView(this.view.x + ax - x, this.view.y + ay - y, this.view.width);
  }

  wheel(event) {
    if (!event.ctrlKey) return; // without Ctrl the wheel scrolls the page
    event.preventDefault();
    this.zoom(event.deltaY < 0 ? 1.25 : 0.8, this.point(event));
  }

  // The keyboard: arrows move a cross-hair, the tool decides what the other keys do

  key(event) {
    const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    if (event.key in arrows) {
      const step = this.unit * (event.shiftKey ? 30 : 5);
      const { x, y, width, height } = this.view;
      const [ax, ay] = this.at ?? [x + width / 2, y + height / 2];
      const [dx, dy] = arrows[event.key];
      this.at = [
        Math.min(this.data.width, Math.max(0, ax + dx * step)),
        Math.min(this.data.height, Math.max(0, ay + dy * step)),
      ];
      this.drawCross();
    } else if (!this.tool.key(event.key, this.at)) return;
    event.preventDefault();
  }

  drawCross() {
    const [x, y] = this.at;
    const arm = 14 * this.unit;
    this.cross.setAttribute("d", `M${x - arm} ${y}H${x + arm}M${x} ${y - arm}V${y + arm}`);
    const v = this.view;
    if (x < v.x || y < v.y || x > v.x + v.width || y > v.y + v.height) {
      this.setView(x - v.width / 2, y - v.height / 2, v.width);
    }
  }

  say(words) {
    this.said.textContent = words;
  }
}
