// Two photos of the same place in the same frame: a line between them, or one after the other.

const SVG = "http://www.w3.org/2000/svg";
const MOST_OFTEN_S = 0.5; // at most one change in this time; flashing stays far below 3 a second
const rooms = new WeakMap();

function unpack(bytes) {
  const size = new DataView(bytes.buffer, bytes.byteOffset).getUint32(0);
  const head = JSON.parse(new TextDecoder().decode(bytes.slice(4, 4 + size)));
  let at = 4 + size;
  for (const shown of head.shown) {
    const jpeg = bytes.slice(at, at + shown.bytes);
    shown.url = URL.createObjectURL(new Blob([jpeg], { type: "image/jpeg" }));
    at += shown.bytes;
  }
  return head;
}

function add(parent, tag, facts = {}, words = "") {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(facts)) node.setAttribute(name, value);
  node.textContent = words;
  parent.appendChild(node);
  return node;
}

function layer(frame, head, shown) {
  const box = add(frame, "div", { class: "layer" });
  add(box, "img", { src: shown.url, alt: shown.alt, draggable: "false" });
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", `0 0 ${head.side} ${head.side}`);
  svg.setAttribute("aria-hidden", "true");
  for (const name of ["under", "over"]) {
    const path = document.createElementNS(SVG, "path");
    path.setAttribute("class", name);
    const points = (shown.outline ?? []).map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`);
    if (points.length) path.setAttribute("d", `M${points.join("L")}Z`);
    svg.appendChild(path);
  }
  box.appendChild(svg);
  return box;
}

class Room {
  constructor(root, head) {
    root.replaceChildren();
    this.head = head;
    this.words = head.texts;
    this.frame = add(root, "div", { class: "frame" });
    this.layers = head.shown.map((shown) => layer(this.frame, head, shown));
    this.tags = head.shown.map((shown, i) =>
      add(this.frame, "span", { class: `tag tag${i}` }, shown.label),
    );
    this.rule();
    this.line = add(this.frame, "div", { class: "line" });
    this.controls(root);
    this.dragging();
    this.divide(50);
  }

  rule() {
    const bar = add(this.frame, "div", { class: "rule" }, this.head.rule.label);
    bar.style.width = `${this.head.rule.share * 100}%`;
  }

  controls(root) {
    const label = add(root, "label", {}, this.words.divider);
    this.range = add(label, "input", { type: "range", min: "0", max: "100", value: "50" });
    this.range.addEventListener("input", () => this.divide(Number(this.range.value)));
    const bar = add(root, "div", { class: "bar" });
    this.play = add(bar, "button", { type: "button" }, this.words.alternate);
    this.play.addEventListener("click", () => (this.timer ? this.stop() : this.start()));
    this.swap = add(bar, "button", { type: "button" }, this.words.swap);
    this.swap.addEventListener("click", () => {
      this.stop();
      this.turn();
    });
    this.lines = add(bar, "button", { type: "button", "aria-pressed": "true" }, this.words.outlines);
    this.lines.addEventListener("click", () => {
      const on = this.lines.getAttribute("aria-pressed") !== "true";
      this.lines.setAttribute("aria-pressed", String(on));
      this.frame.classList.toggle("bare", !on);
    });
    this.said = add(root, "p", { class: "said", "aria-live": "polite" });
  }

  dragging() {
    const follow = (event) => {
      const box = this.frame.getBoundingClientRect();
      const share = (100 * (event.clientX - box.left)) / box.width;
      this.stop();
      this.divide(Math.min(100, Math.max(0, share)));
    };
    this.frame.addEventListener("pointerdown", (event) => {
      this.frame.setPointerCapture(event.pointerId);
      follow(event);
    });
    this.frame.addEventListener("pointermove", (event) => {
      if (event.buttons || event.pointerType === "touch") follow(event);
    });
  }

  divide(share) {
    this.range.value = String(Math.round(share));
    this.layers[1].style.clipPath = `inset(0 0 0 ${share}%)`;
    this.line.style.left = `${share}%`;
    this.line.style.display = "";
    this.tags[0].style.display = share > 8 ? "" : "none";
    this.tags[1].style.display = share < 92 ? "" : "none";
  }

  only(index) {
    this.shown = index;
    this.layers[1].style.clipPath = index ? "none" : "inset(0 0 0 100%)";
    this.line.style.display = "none";
    this.tags.forEach((tag, i) => (tag.style.display = i === index ? "" : "none"));
  }

  turn() {
    this.only(this.shown === 0 ? 1 : 0);
    this.said.textContent = this.timer ? "" : this.head.shown[this.shown].label;
  }

  start() {
    const often = Math.max(MOST_OFTEN_S, this.head.every_s);
    this.turn();
    this.timer = setInterval(() => this.turn(), 1000 * often);
    this.play.textContent = this.words.stop;
  }

  stop() {
    clearInterval(this.timer);
    this.timer = null;
    this.play.textContent = this.words.alternate;
  }
}

export default function ({ data, parentElement }) {
  if (!(data instanceof Uint8Array)) return undefined;
  const root = parentElement.querySelector(".root");
  const before = rooms.get(root);
  const head = unpack(data);
  if (before?.head.id === head.id) return () => before.stop();
  before?.stop();
  const room = new Room(root, head);
  rooms.set(root, room);
  return () => room.stop();
}
