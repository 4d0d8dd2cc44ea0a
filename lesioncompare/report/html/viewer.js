// Two aligned photos of one place: side by side, divided, one after the other, or their difference.
// Needs nothing from outside. Words typed by people are only ever set as text.

const OFTEN_MS = 900; // each photo when alternating: about one change a second, far below three
const MOST_ZOOM = 12;
let made = 0;

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

class Viewer extends Handled {
  // frames: [{label, alt, src, outline}], words: see the report's texts
  constructor(root, { frames, side, mmPerPx, words, pair = null, onMark = null, mark = null, keep = {} }) {
    super();
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
}
