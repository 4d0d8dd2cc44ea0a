// Correcting an outline: a brush that adds, a brush that takes away, and a line that can be pulled.

const GRIPS = 18; // even points on the line, few enough for a finger
const PULL = 2; // neighbours on each side that follow a pulled point

class MendTool {
  constructor(stage, give) {
    this.stage = stage;
    this.give = give;
    this.strokes = make("g", { class: "strokes" }, stage.work);
    this.line = doubleLine(stage.work, "outline");
    this.grips = make("g", { class: "grips" }, stage.work);
    this.edits = [];
    this.outline = [];
    this.mode = "add";
    this.bar(stage.data.texts);
  }

  bar(texts) {
    const { stage } = this;
    this.modes = {};
    for (const mode of ["add", "erase", "pull"]) {
      this.modes[mode] = makeButton(stage.bar, texts[mode], () => this.setMode(mode), {
        "data-mode": mode,
      });
    }
    makeButton(stage.bar, texts.undo, () => this.undo(), { "data-act": "undo" });
    makeButton(stage.bar, texts.nearer, () => stage.zoom(1.5));
    makeButton(stage.bar, texts.farther, () => stage.zoom(1 / 1.5));
    const label = document.createElement("label");
    label.textContent = texts.brush_size;
    this.size = document.createElement("input");
    Object.assign(this.size, { type: "range", min: "6", max: "40", value: "14" });
    label.appendChild(this.size);
    stage.bar.appendChild(label);
    this.setMode("add");
  }

  setMode(mode) {
    this.mode = mode;
    for (const [name, button] of Object.entries(this.modes)) {
      button.setAttribute("aria-pressed", String(name === mode));
    }
    this.draw();
  }

  take(data, anew) {
    if (anew) this.edits = [...(data.edits ?? [])];
    this.applied = new Set(data.applied ?? []);
    this.outline = data.outline ?? [];
    this.draw();
  }

  radius() {
    return Number(this.size.value) * this.stage.unit; // [photo px] as wide on the screen as it says
  }

  start(point) {
    if (this.mode === "pull") {
      this.held = this.nearest(point);
      if (this.held === null) return false; // then the finger moves the photo
      this.base = this.even();
      return true;
    }
    this.stroke = this.newStroke(point);
    return true;
  }

  newStroke(point) {
    const id = `${Date.now().toString(36)}${this.edits.length}`;
    return { id, kind: this.mode, radius: this.radius(), points: [point] };
  }

  move(point) {
    if (this.mode === "pull") {
      this.pulled = this.bend(point);
      this.line.set(asPath(this.pulled));
      return;
    }
    const [x, y] = this.stroke.points.at(-1);
    if (Math.hypot(point[0] - x, point[1] - y) > 2 * this.stage.unit) {
      this.stroke.points.push(point);
    }
    this.draw();
  }

  end() {
    if (this.mode === "pull") {
      this.outline = this.pulled;
      this.push({ ...this.newStroke([0, 0]), kind: "line", points: this.pulled });
    } else {
      const { stroke } = this;
      this.stroke = null;
      this.push(stroke);
    }
  }

  tap(point, begun) {
    if (this.mode === "pull" || !begun) return;
    this.stroke = null;
    this.push(this.newStroke(point));
  }

  cancel() {
    this.stroke = null;
    this.draw();
  }

  key(key, at) {
    if ((key === "Enter" || key === " ") && at && this.mode !== "pull") {
      this.push(this.newStroke(at));
    } else if (key === "Backspace" || key === "z") this.undo();
    else if (key === "+" || key === "=") this.stage.zoom(1.5, at);
    else if (key === "-") this.stage.zoom(1 / 1.5, at);
    else if (key === "a") this.setMode("add");
    else if (key === "e") this.setMode("erase");
    else return false;
    return true;
  }

  push(edit) {
    const short = edit.points.map(([x, y]) => [Math.round(x * 10) / 10, Math.round(y * 10) / 10]);
    this.edits.push({ ...edit, radius: Math.round(edit.radius * 10) / 10, points: short });
    this.tell(this.stage.data.texts.mended);
  }

  undo() {
    if (this.edits.pop()) this.tell(this.stage.data.texts.undone);
  }

  tell(words) {
    this.draw();
    this.stage.say(words);
    this.give("edits", { epoch: this.stage.data.epoch, list: this.edits });
  }

  // The line as evenly spaced points, and how it follows a pulled one

  even() {
    const points = this.outline;
    const gaps = points.map(([x, y], i) => {
      const [nx, ny] = points[(i + 1) % points.length];
      return Math.hypot(nx - x, ny - y);
    });
    const step = gaps.reduce((sum, gap) => sum + gap, 0) / GRIPS;
    const even = [];
    let along = 0;
    for (let i = 0; i < points.length && even.length < GRIPS; i += 1) {
      while (even.length < GRIPS && along + gaps[i] > even.length * step) {
        const share = (even.length * step - along) / gaps[i];
        const [[x, y], [nx, ny]] = [points[i], points[(i + 1) % points.length]];
        even.push([x + (nx - x) * share, y + (ny - y) * share]);
      }
      along += gaps[i];
    }
    return even;
  }

  nearest([x, y]) {
    let best = null;
    let least = 26 * this.stage.unit;
    this.even().forEach(([ex, ey], i) => {
      const away = Math.hypot(x - ex, y - ey);
      if (away < least) [best, least] = [i, away];
    });
    return best;
  }

  bend([x, y]) {
    const [hx, hy] = this.base[this.held];
    return this.base.map(([bx, by], i) => {
      const around = Math.abs(i - this.held);
      const steps = Math.min(around, this.base.length - around);
      const weight = steps > PULL ? 0 : (1 - steps / (PULL + 1)) ** 2;
      return [bx + (x - hx) * weight, by + (y - hy) * weight];
    });
  }

  draw() {
    this.line.set(asPath(this.outline));
    this.strokes.replaceChildren();
    const fresh = this.edits.filter((edit) => !this.applied?.has(edit.id));
    for (const stroke of [...fresh, ...(this.stroke ? [this.stroke] : [])]) {
      if (stroke.kind === "line") continue;
      const facts = { class: stroke.kind, d: asPath([...stroke.points, stroke.points.at(-1)], false) };
      make("path", { ...facts, "stroke-width": 2 * stroke.radius }, this.strokes);
    }
    this.grips.replaceChildren();
    if (this.mode !== "pull") return;
    for (const [cx, cy] of this.even()) {
      make("circle", { cx, cy, r: 7 * this.stage.unit, class: "grip" }, this.grips);
    }
  }
}
